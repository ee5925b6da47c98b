package record

import (
	"fmt"
	"io"
	"strings"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/units"
)

// Compare prints days side by side, one column a day.
func Compare(w io.Writer, names []string, papers []*Paper) error {
	if len(papers) < 2 || len(names) != len(papers) {
		return fmt.Errorf("comparing needs two days or more")
	}
	sys := papers[0].sys
	var rows [][]string
	row := func(name string, f func(*Paper) string) {
		r := []string{name}
		for _, p := range papers {
			r = append(r, clean.String(f(p)))
		}
		rows = append(rows, r)
	}
	r := []string{""}
	for _, n := range names {
		r = append(r, clean.Fit(n, 28))
	}
	rows = append(rows, r)
	row("plan", func(p *Paper) string { return clean.Fit(p.heading(), 28) })
	row("day", dayOf)
	row("crew's units", func(p *Paper) string { return p.Units })
	row("batches poured", func(p *Paper) string { return fmt.Sprint(p.Totals.Poured) })
	row("floor laid", func(p *Paper) string { return units.Format(units.Area, p.Totals.AreaM2, sys) })
	row("median interval", func(p *Paper) string { return p.zoneText(func(z *Zone) Num { return z.Interval }, clockOf) })
	row("an hour", func(p *Paper) string {
		return p.zoneText(func(z *Zone) Num { return z.M2PerHour }, printer{p, sys}.f(units.Area))
	})
	rows = append(rows, compareHolds(papers)...)
	row("least slack", func(p *Paper) string { return p.zoneText(func(z *Zone) Num { return z.Edge.Least }, clockOf) })
	row("joined inside the margin", func(p *Paper) string { return p.edgeText(func(e *Edges) float64 { return e.RiskM }, sys) })
	row("joined too late", func(p *Paper) string { return p.edgeText(func(e *Edges) float64 { return e.LostM }, sys) })
	row("kits opened", func(p *Paper) string { return kits(p.Totals.KitsOpened) })
	row("kits used", func(p *Paper) string { return kits(p.Totals.KitsUsed) })
	row("kits scrapped", func(p *Paper) string { return kits(p.Totals.KitsScrapped) })
	row("kits left of opened", func(p *Paper) string { return kits(p.Totals.KitsLeft) })
	row("kits by the plan", func(p *Paper) string {
		n := 0
		for i := range p.Zones {
			n += p.Zones[i].PlanKits
		}
		return fmt.Sprint(n)
	})
	row("a kit covers", func(p *Paper) string {
		return p.zoneText(func(z *Zone) Num { return z.RealM2Kit }, printer{p, sys}.f(units.Area))
	})
	row("use against the plan", func(p *Paper) string { return p.zoneText(func(z *Zone) Num { return z.Drift }, percent) })
	rows = append(rows, compareCalls(papers)...)
	row("findings", func(p *Paper) string { return fmt.Sprint(len(p.Findings)) })
	out := &lines{w: w}
	out.columns(rows)
	return out.err
}

// zoneText joins a figure of each zone poured.
func (p *Paper) zoneText(f func(*Zone) Num, print func(float64) string) string {
	var out []string
	for i := range p.Zones {
		z := &p.Zones[i]
		if z.Batches == 0 {
			continue
		}
		if n := f(z); n.OK() {
			out = append(out, print(n.V))
		} else {
			out = append(out, "N/A")
		}
	}
	if len(out) == 0 {
		return "N/A"
	}
	return strings.Join(out, " / ")
}

func (p *Paper) edgeText(f func(*Edges) float64, sys units.System) string {
	sum := 0.0
	for i := range p.Zones {
		sum += f(&p.Zones[i].Edge)
	}
	return units.Format(units.Length, sum, sys)
}

// compareHolds gives the holds and stops of each day by their cause.
func compareHolds(papers []*Paper) [][]string {
	causes := map[string]bool{}
	length := make([]map[string]time.Duration, len(papers))
	times := make([]map[string]int, len(papers))
	for i, p := range papers {
		length[i], times[i] = map[string]time.Duration{}, map[string]int{}
		for k := range p.Holds {
			h := &p.Holds[k]
			cause := "hold: " + strings.ToLower(h.Why.S)
			if !h.Why.OK() {
				cause = "hold: " + h.Why.NA
			}
			if h.Stop {
				cause = "stop: " + strings.ToLower(h.Why.S)
			}
			to := p.End.T
			if h.To.OK() {
				to = h.To.T
			}
			causes[cause] = true
			length[i][cause] += to.Sub(h.From)
			times[i][cause]++
		}
	}
	if len(causes) == 0 {
		r := []string{"holds"}
		for range papers {
			r = append(r, "none")
		}
		return [][]string{r}
	}
	var out [][]string
	for _, c := range sortedKeys(causes) {
		r := []string{c}
		for i := range papers {
			r = append(r, fmt.Sprintf("%d, %s", times[i][c], units.Clock(length[i][c])))
		}
		out = append(out, r)
	}
	return out
}

// compareCalls counts the calls of each day by what they said; numbers in them
// do not count, so that BUCKET 7 DEAD and BUCKET 9 DEAD are one.
func compareCalls(papers []*Paper) [][]string {
	kinds := map[string]bool{}
	n := make([]map[string]int, len(papers))
	for i, p := range papers {
		n[i] = map[string]int{}
		for k := range p.Calls {
			what := "call: " + strings.ToLower(withoutNumbers(p.Calls[k].What))
			kinds[what] = true
			n[i][what]++
		}
	}
	var out [][]string
	for _, k := range sortedKeys(kinds) {
		r := []string{k}
		for i := range papers {
			r = append(r, fmt.Sprint(n[i][k]))
		}
		out = append(out, r)
	}
	return out
}

func withoutNumbers(s string) string {
	var out []string
	for _, w := range strings.Fields(s) {
		if strings.Trim(w, "0123456789") != "" {
			out = append(out, w)
		}
	}
	return strings.Join(out, " ")
}
