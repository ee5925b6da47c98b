package record

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"

	"floorpace/config"
)

// compared prints papers side by side and gives a way to look a row up.
func compared(t *testing.T, names []string, papers []*Paper) (string, func(string) []string) {
	t.Helper()
	c, err := CompareDays(names, papers)
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := c.Write(&out); err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(out.String(), "\n") {
		if utf8.RuneCountInString(line) > compareCells {
			t.Errorf("wider than %d: %q", compareCells, line)
		}
	}
	return out.String(), func(name string) []string {
		var cells []string
		for _, l := range strings.Split(out.String(), "\n") {
			if rest, ok := strings.CutPrefix(strings.TrimSpace(l), name); ok && (rest == "" || rest[0] == ' ') {
				for _, c := range strings.Split(rest, "  ") {
					if c = strings.TrimSpace(c); c != "" {
						cells = append(cells, c)
					}
				}
			}
		}
		if cells == nil {
			t.Errorf("no row %q in\n%s", name, out.String())
		}
		return cells
	}
}

func TestCompareDays(t *testing.T) {
	a, b := rehearsed(t, config.USPlan, 1).paper(), rehearsed(t, config.USPlan, 2).paper()
	text, row := compared(t, []string{"x/first", "second"}, []*Paper{a, b})
	if !strings.Contains(text, "x/first") || !strings.Contains(text, "zones Hall, Wash bay") {
		t.Errorf("days and zones are not named:\n%s", text)
	}
	for name, f := range map[string]func(*Paper) string{
		"batches poured":             func(p *Paper) string { return fmt.Sprint(p.Totals.Poured) },
		"batches scrapped":           func(p *Paper) string { return fmt.Sprint(p.Totals.Scrapped) },
		"kits opened":                func(p *Paper) string { return kits(p.Totals.KitsOpened) },
		"kits scrapped":              func(p *Paper) string { return kits(p.Totals.KitsScrapped) },
		"what does not fit together": func(p *Paper) string { return fmt.Sprint(len(p.Findings)) },
		"calls in all":               func(p *Paper) string { return fmt.Sprint(len(p.Calls)) },
		"hold: way blocked":          func(p *Paper) string { return "1, " + clockOf(p.Holds[0].Seconds.V) },
		"holds and stops in all":     func(p *Paper) string { return "1, " + clockOf(p.Holds[0].Seconds.V) },
		"least slack": func(p *Paper) string {
			return clockOf(p.Zones[0].Edge.Least.V) + "/" + clockOf(p.Zones[1].Edge.Least.V)
		},
		"median interval": func(p *Paper) string { return clockOf(p.Zones[0].Interval.V) + "/" + clockOf(p.Zones[1].Interval.V) },
	} {
		if r := row(name); len(r) != 2 || r[0] != f(a) || r[1] != f(b) {
			t.Errorf("%s: %v, want %s and %s", name, r, f(a), f(b))
		}
	}
	// Each call is counted by what it said, and none twice.
	for i, p := range []*Paper{a, b} {
		sum := 0
		for _, line := range strings.Split(text, "\n") {
			if name := strings.TrimSpace(line); strings.HasPrefix(name, "call: ") {
				name, _, _ = strings.Cut(name, "  ")
				n := 0
				if _, err := fmt.Sscan(row(name)[i], &n); err == nil {
					sum += n
				}
			}
		}
		if sum != len(p.Calls) || sum == 0 {
			t.Errorf("day %d: %d calls in the rows, %d on the day", i+1, sum, len(p.Calls))
		}
	}
}

// Days of other units stand in those of the first; many days stand below each other
// in eighty columns, each once.
func TestCompareManyDays(t *testing.T) {
	us, metric := rehearsed(t, config.USPlan, 1).paper(), rehearsed(t, config.MetricPlan, 3).paper()
	text, row := compared(t, []string{"us", "metric"}, []*Paper{us, metric})
	if got := row("floor laid, ft²"); len(got) != 2 || !strings.Contains(text, "works in metric units") {
		t.Errorf("two systems of units: %v\n%s", got, text)
	}
	var names []string
	var papers []*Paper
	for i := range 12 {
		names, papers = append(names, fmt.Sprintf("day%d/A.jsonl", i+1)), append(papers, []*Paper{us, metric}[i%2])
	}
	text, row = compared(t, names, papers)
	r := row("batches poured")
	if len(r) != 12 {
		t.Errorf("%d cells of 12 days:\n%s", len(r), text)
	}
	for i, cell := range r {
		if cell != fmt.Sprint(papers[i].Totals.Poured) {
			t.Errorf("day %d: %s batches", i+1, cell)
		}
	}
	c, err := CompareDays(names, papers)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := json.Marshal(c)
	if err != nil {
		t.Fatal(err)
	}
	var back Comparison
	if err := json.Unmarshal(doc, &back); err != nil || len(back.Days) != 12 || back.Days[1].Opened != metric.Totals.KitsOpened || back.Days[0].AreaM2 != us.Totals.AreaM2 {
		t.Errorf("the data: %v\n%s", err, doc)
	}
	if _, err := CompareDays([]string{"one"}, []*Paper{us}); err == nil {
		t.Error("one day was compared with nothing")
	}
}

// A day whose log is damaged is named as such: its figures may be too low.
func TestCompareNamesDamage(t *testing.T) {
	sound := rehearsed(t, config.USPlan, 1).paper()
	hurt := *sound
	hurt.Log.Missing, hurt.Log.NotFound = 3, []string{"0badcafe"}
	text, _ := compared(t, []string{"a", "b"}, []*Paper{sound, &hurt})
	if strings.Count(text, "LOG DAMAGED") != 1 || !strings.Contains(text, "events lost: 3, files missing or not to be placed: 1") {
		t.Errorf("the damage is not told:\n%s", text)
	}
}
