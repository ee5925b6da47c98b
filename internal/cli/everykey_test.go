package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"regexp"
	"sort"
	"strings"
	"testing"
	"time"

	"floorpace/internal/advice"
	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
	"floorpace/internal/planfile"
	"floorpace/internal/record"
	"floorpace/internal/shift"
)

// stillClock stands where it is put.
type stillClock struct{ at time.Time }

func (c *stillClock) Now() daylog.Reading {
	return daylog.Reading{Wall: c.at, Mono: c.at.Sub(time.Date(2026, 5, 1, 0, 0, 0, 0, time.UTC)), Boot: "a"}
}

// refused begins the outcome of a plan that is not taken.
const refused = "REFUSED "

// notTried are keys without another value in the table, with why.
var notTried = map[string]string{
	".crew_file":       "the name of a file beside the plan: TestPlanWithCrewFile reads one",
	".sheet":           "the name of the sheet's file: here the sheet itself stands in the plan",
	"zone.column.name": "said in problems only",
	"zone.drain.name":  "said in problems only",
	"zone.door.at":     "drawn on the Edge screen only",
}

// planOutcome is all that a plan leads to: its check, its forecast, a pour by a
// script at the desk with what the console says, its outlook and its record.
func planOutcome(t *testing.T, text string) string {
	t.Helper()
	p, ps := planfile.Parse("p.toml", []byte(text), func(string) ([]byte, error) { return nil, errors.New("no file") })
	if len(ps) > 0 {
		return fmt.Sprint(refused, ps)
	}
	floors, err := pace.Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	r, err := pace.Check(p, floors)
	if err != nil {
		t.Fatal(err)
	}
	if err := printCheck(&out, r, &loaded{Plan: p}); err != nil {
		t.Fatal(err)
	}
	f, err := advice.Forecast(context.Background(), p, floors, advice.Options{Days: 40, Seed: 1}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := printForecast(&out, f, p.Units); err != nil {
		t.Fatal(err)
	}
	for _, z := range f.Zones { // posts after the rake hold up nothing that is printed but their own use
		fmt.Fprintf(&out, "%+v\n", z.Found)
	}
	pourScript(t, &out, p, floors)
	return out.String()
}

// pourScript pours 26 batches at the desk, with a part batch, a bad one, a mark and
// a hold, and writes down what the console says on the way.
func pourScript(t *testing.T, out *bytes.Buffer, p *plan.Plan, floors []*pace.Zone) {
	t.Helper()
	begin := time.Date(2026, 5, 2, 0, 30, 0, 0, time.UTC)
	clock := &stillClock{begin.Add(-20 * time.Minute)}
	m := shift.NewMemory(clock)
	d := shift.Open(p, floors, m, clock, m.Records(), nil)
	d.Steady()
	tell(out, d)
	for i := range 26 {
		start := begin.Add(time.Duration(i) * 66 * time.Second)
		clock.at = start
		q := day.Press{Kind: day.BatchStarted, Mixer: i%2 + 1}
		if i == 6 {
			q.Share, q.Weights = 0.5, "A=2.1 B=2 aggregate=10.5"
		}
		if i == 8 {
			q.Share = 0.5 // by volume
		}
		fmt.Fprintln(out, d.Press(q).Refused)
		if i >= 3 {
			clock.at = start.Add(time.Duration(5+i%3*6) * time.Second)
			fmt.Fprintln(out, d.Press(day.Press{Kind: day.BatchPoured, Batch: i - 2}).Refused)
		}
		switch i {
		case 9:
			fmt.Fprintln(out, d.Press(day.Press{Kind: day.BatchCondemned, Batch: 6, Why: "LUMPS"}).Refused)
		case 12:
			fmt.Fprintln(out, d.Press(day.Press{Kind: day.FrontMarked, AlongM: day.Value(3)}).Refused)
		}
		d.Tick()
		if i%6 == 2 {
			tell(out, d)
		}
	}
	clock.at = clock.at.Add(30 * time.Second)
	outlook(out, d)
	fmt.Fprintln(out, d.Press(day.Press{Kind: day.ReadingTaken, What: day.ReadSlab, Value: day.Value(6)}).Refused)
	outlook(out, d)
	clock.at = clock.at.Add(6 * time.Minute)
	d.Tick()
	tell(out, d)
	paper, err := record.Build(p, floors, d.State().Events, record.Log{}, clock.at)
	if err != nil {
		t.Fatal(err)
	}
	if err := paper.WriteHTML(out); err != nil {
		t.Fatal(err)
	}
}

// outlook writes down the forecast of an instant and its ways out.
func outlook(out *bytes.Buffer, d *shift.Desk) {
	if c, ok := advice.Ask(d.View().Snapshot); ok {
		o := c.JudgeDay(context.Background(), 40, 1)
		fmt.Fprintf(out, "%v %s %.3f %.3f %s %s\n%+v\n", o.OK, o.Why, o.Edge, o.Both, o.P10, o.P90, o.Day)
		for _, w := range o.Ways {
			w.Press = nil
			fmt.Fprintf(out, "%+v\n", w)
		}
		fmt.Fprintf(out, "%v\n", o.Refused)
	}
}

// tell writes down what the console says of an instant.
func tell(out *bytes.Buffer, d *shift.Desk) {
	v := d.View().Snapshot
	e := &v.Edge
	fmt.Fprintf(out, "%s next %+v\nmixers %+v\nbuckets %+v\nkits %+v\nrows %+v\nstops %+v\n", v.Now, v.Next, v.Mixers, v.Buckets, v.Kits, v.Rows, v.Stops)
	fmt.Fprintf(out, "edge %v %.4f %.4f %.4f %s %.4f\n", e.OK, e.JoinM, e.RiskM, e.GoneM, e.LastUntil, e.NeededPerMin)
	fmt.Fprintf(out, "opening %+v\ncalls %+v\nbad %+v\nlots %+v\nexits %+v\nlater %s\ndoors %v\nband %+v\n", v.Opening, v.Calls, v.Bad, v.Lots, v.Exits, v.Later.Words, v.DoorNames, v.Band)
	fmt.Fprintf(out, "air %s %v %s %+v\nforbidden %+v\nwhere %v %.3f\n", v.Air.DewWords, v.Air.Due, v.Air.NextRead, v.Air.Spots, v.Forbidden, v.NextAt, v.PosL)
}

var (
	keyLine = regexp.MustCompile(`^([a-z_-]+) = (.*?)\s*#([~*!]) (.*)$`)
	head    = regexp.MustCompile(`^\[+([a-z._]+)\]+`)
)

// A key that the reader takes and nothing looks at is a promise that is not kept:
// each one, written with another value, changes the check, the forecast, the
// console's pour or the record.
func TestEveryPlanKeyCounts(t *testing.T) {
	if testing.Short() || raceDetector { // one goroutine, ten times as slow under the race detector
		t.Skip("a hundred plans poured")
	}
	data, err := os.ReadFile("testdata/everykey.toml")
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(data), "\n")
	base := planOutcome(t, string(data))
	if again := planOutcome(t, string(data)); again != base {
		t.Fatal("the same plan leads to two outcomes")
	}
	seen, table := map[string]bool{}, ""
	for i, line := range lines {
		if h := head.FindStringSubmatch(line); h != nil {
			table = h[1]
		}
		k := keyLine.FindStringSubmatch(line)
		if k == nil {
			continue
		}
		seen[table+"."+k[1]] = true
		changed := append([]string(nil), lines...)
		changed[i] = k[1] + " = " + k[4]
		text := strings.Join(changed, "\n")
		if k[3] == "*" {
			text = strings.ReplaceAll(string(data), k[2], k[4])
		}
		t.Run(fmt.Sprintf("%s.%s", table, k[1]), func(t *testing.T) {
			switch got := planOutcome(t, text); {
			case got == base:
				t.Errorf("line %d: %s changes nothing when it is %s", i+1, k[1], k[4])
			case strings.HasPrefix(got, refused) != (k[3] == "!"):
				t.Errorf("line %d: %s = %s: %.300s", i+1, k[1], k[4], got)
			}
		})
	}
	t.Run("crew.cycle", func(t *testing.T) {
		seen["crew.cycle"] = true
		text := regexp.MustCompile(`(?m)^reset = "1:30".*$`).ReplaceAllString(string(data), `cycle = "5:00"`)
		if got := planOutcome(t, text); got == base || strings.HasPrefix(got, refused) {
			t.Errorf("the cycle: %.300s", got)
		}
	})
	for _, key := range known(t) {
		if seen[key] != (notTried[key] == "") {
			t.Errorf("%s is tried: %v; a reason against: %q", key, seen[key], notTried[key])
		}
	}
}

// known lists every key that the reader takes, as table.key: it names them itself
// when it meets one that it does not know.
func known(t *testing.T) (out []string) {
	t.Helper()
	tables := []string{
		"", "rules", "crew", "crew.spread", "kits", "readings", "readings.spot", "room", "zone", "zone.column", "zone.drain", "zone.bay", "zone.panel", "zone.stop_line",
		"zone.door", "zone.spot", "zone.extra", "sheet", "sheet.limits", "sheet.blend", "sheet.blend.cure", "sheet.blend.part", "sheet.blend.step",
	}
	single := map[string]bool{"rules": true, "crew": true, "crew.spread": true, "readings": true, "sheet": true, "sheet.limits": true, "sheet.blend.cure": true}
	doc := "units = \"metric\"\n"
	at := map[int]string{}
	for _, table := range tables {
		switch {
		case table == "":
		case single[table]:
			doc += "[" + table + "]\n"
		default:
			doc += "[[" + table + "]]\n"
		}
		doc += "qqqqqqqqqqqq = 1\n"
		at[strings.Count(doc, "\n")] = table
	}
	_, ps := planfile.Parse("p.toml", []byte(doc), nil)
	isTable := map[string]bool{}
	for _, table := range tables {
		isTable[table] = true
	}
	for _, p := range ps {
		_, list, ok := strings.Cut(p.Mend, "known here: ")
		if !ok {
			continue
		}
		table := at[p.Line]
		for _, key := range strings.Split(list, ", ") {
			full := strings.TrimPrefix(table+"."+key, ".")
			if isTable[full] {
				continue // a table: its keys count
			}
			out = append(out, table+"."+key)
		}
	}
	if len(out) < 100 {
		t.Errorf("only %d keys are known: %v", len(out), out)
	}
	sort.Strings(out)
	return out
}
