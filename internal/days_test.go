package internal_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/daylog/logtest"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
	"floorpace/internal/planfile"
	"floorpace/internal/playback"
	"floorpace/internal/shift"
	"floorpace/internal/units"
	"floorpace/internal/worked"
)

// The worked days run through the real packages: the plan is read from its
// files, presses are decided, saved and read back, and every printed answer is
// reached. The logs are committed; they are made again with
//
//	go test ./internal -run TestDays -write-days
var writeDays = flag.Bool("write-days", false, "make the logs of the worked days again")

// aDay is a worked day: its presses, and what it answers.
type aDay struct {
	no      int
	presses func(c *crew)                    // nil: the day has no log
	answers func(t *testing.T, d *workedDay) // puts every answer
}

var allDays = []aDay{
	{1, day1Presses, day1Answers},
	{2, day2Presses, day2Answers},
	{3, day3Presses, day3Answers},
	{4, day4Presses, day4Answers},
	{5, nil, day5Answers},
	{6, day6Presses, day6Answers},
	{7, day7Presses, day7Answers},
}

func TestDays(t *testing.T) {
	for _, a := range allDays {
		t.Run(fmt.Sprintf("day%d", a.no), func(t *testing.T) {
			d := openWorkedDay(t, a)
			a.answers(t, d)
			d.compare(t)
		})
	}
}

func dayDir(no int) string { return filepath.Join("..", "testdata", "days", fmt.Sprintf("day%d", no)) }

// workedDay is a day read from its files.
type workedDay struct {
	no     int
	plan   *plan.Plan
	floors []*pace.Zone
	check  pace.Report
	play   *playback.Playback // nil when the day has no log
	events []day.Event
	got    map[string]any
}

func openWorkedDay(t *testing.T, a aDay) *workedDay {
	t.Helper()
	p, bundle, ps := planfile.LoadPath(filepath.Join(dayDir(a.no), "plan.toml"))
	for _, q := range ps {
		t.Error(q)
	}
	if p == nil {
		t.FailNow()
	}
	d := &workedDay{no: a.no, plan: p, floors: floorsOf(t, p), got: map[string]any{}}
	d.check = checkOf(t, p)
	if a.presses == nil {
		return d
	}
	path := makeLog(t, a, bundle, p, d.floors)
	c, err := daylog.Read(daylog.OS(), committedLog(t, a.no, path))
	if err != nil || c.Verdict != daylog.Clean {
		t.Fatalf("%v %v", c, err)
	}
	sameLog(t, path, c)
	var carried planfile.Bundle
	if err := json.Unmarshal(c.Header.Plan, &carried); err != nil || !bytes.Equal(carried.Plan, bundle.Plan) || !bytes.Equal(carried.Sheet, bundle.Sheet) {
		t.Fatalf("the log carries another plan than plan.toml (%v): make it again with -write-days", err)
	}
	d.events = shift.Events(c.Records)
	d.play = playback.New(p, d.floors, d.events)
	return d
}

func floorsOf(t *testing.T, p *plan.Plan) []*pace.Zone {
	t.Helper()
	floors, err := pace.Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	return floors
}

func checkOf(t *testing.T, p *plan.Plan) pace.Report {
	t.Helper()
	r, err := pace.Check(p, floorsOf(t, p))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// gate finds a gate of a check by its name.
func gate(t *testing.T, r pace.Report, name string) pace.GateReport {
	t.Helper()
	for _, g := range r.Gates {
		if g.Name == name {
			return g
		}
	}
	t.Fatalf("the check asks nothing called %q", name)
	return pace.GateReport{}
}

// put keeps an answer: a number, a duration, an instant or words.
func (d *workedDay) put(asked string, v any) { d.got[asked] = v }

// compare holds what was reached against answers.csv, each rounded as printed
// there, and in both directions.
func (d *workedDay) compare(t *testing.T) {
	t.Helper()
	for _, row := range worked.Rows(t, filepath.Join(dayDir(d.no), "answers.csv")) {
		asked, want, form := row["asked"], row["answer"], row["form"]
		v, ok := d.got[asked]
		if !ok {
			t.Errorf("%s: not reached", asked)
			continue
		}
		delete(d.got, asked)
		if got := printed(v, form); got != want {
			t.Errorf("%s: %s (%v), want %s", asked, got, v, want)
		}
	}
	for asked, v := range d.got {
		t.Errorf("%s is %v, but answers.csv does not ask for it", asked, v)
	}
}

// printed rounds an answer as its form says: a verb such as %.2f, or clock
// (m:ss), time (of the day), minutes.
func printed(v any, form string) string {
	switch x := v.(type) {
	case time.Duration:
		switch form {
		case "clock":
			return units.Clock(x)
		case "minutes":
			return fmt.Sprint(int(math.Round(x.Minutes())))
		}
		return fmt.Sprintf(form, x.Hours())
	case time.Time:
		return x.Round(time.Second).Format("15:04:05")
	}
	return fmt.Sprintf(form, v)
}

// crew presses on a desk with a fixed clock; the desk saves to a real log.
type crew struct {
	t     *testing.T
	plan  *plan.Plan
	clock *logtest.Clock
	desk  *shift.Desk
}

// at lets time pass until an instant.
func (c *crew) at(when time.Time) *crew {
	c.t.Helper()
	d := when.Sub(c.clock.True())
	if d < 0 {
		c.t.Fatalf("%s lies before %s", when.Format("15:04:05"), c.clock.True().Format("15:04:05"))
	}
	c.clock.Run(d)
	return c
}

func (c *crew) press(p day.Press) {
	c.t.Helper()
	if a := c.desk.Press(p); a.Refused != "" || a.Unsaved {
		c.t.Fatalf("%s at %s: %q, unsaved %v", p.Kind, c.clock.True().Format("15:04:05"), a.Refused, a.Unsaved)
	}
}

// todo is a press at an instant; presses are written down in any order.
type todo struct {
	when  time.Time
	press day.Press
}

// run presses a list in the order of time.
func (c *crew) run(list []todo) {
	c.t.Helper()
	slices.SortStableFunc(list, func(a, b todo) int { return a.when.Compare(b.when) })
	for _, p := range list {
		c.at(p.when).press(p.press)
	}
}

// batch is a batch started so that it is poured at an instant.
func batch(mixer, no int, started, poured time.Time) []todo {
	return []todo{
		{started, day.Press{Kind: day.BatchStarted, Mixer: mixer}},
		{poured, day.Press{Kind: day.BatchPoured, Batch: no}},
	}
}

// makeLog presses the day into a log in a folder of its own.
func makeLog(t *testing.T, a aDay, b planfile.Bundle, p *plan.Plan, floors []*pace.Zone) string {
	t.Helper()
	wire, err := json.Marshal(b)
	if err != nil {
		t.Fatal(err)
	}
	var seed [32]byte
	seed[0] = byte(a.no)
	clock := logtest.NewClock(p.Handover)
	h := daylog.Header{Station: "A", Day: p.Handover.Format("2006-01-02"), Plan: wire}
	l, err := daylog.Create(daylog.OS(), t.TempDir(), h, clock, daylog.Options{
		Install: "worked-days", App: "floorpace worked days", Rand: rand.NewChaCha8(seed), Ballast: -1,
	})
	if err != nil {
		t.Fatal(err)
	}
	before, err := daylog.Read(daylog.OS(), l.Path())
	if err != nil {
		t.Fatal(err)
	}
	c := &crew{t, p, clock, shift.Open(p, floors, l, clock, before.Records, nil)}
	a.presses(c)
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	return l.Path()
}

// committedLog is the day's log in testdata, made again from path when asked.
func committedLog(t *testing.T, no int, path string) string {
	t.Helper()
	name := filepath.Join(dayDir(no), "day.jsonl")
	if *writeDays {
		data, err := os.ReadFile(path)
		if err == nil {
			err = os.WriteFile(name, data, 0o644)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	return name
}

// sameLog checks that the committed log is what the presses make: the same
// events at the same instants, with every figure of the committed one. A newer
// program may write more into an event.
func sameLog(t *testing.T, path string, committed *daylog.Contents) {
	t.Helper()
	fresh, err := daylog.Read(daylog.OS(), path)
	if err != nil {
		t.Fatal(err)
	}
	if len(fresh.Records) != len(committed.Records) {
		t.Fatalf("the committed log has %d events, the presses make %d: make it again with -write-days", len(committed.Records), len(fresh.Records))
	}
	for i, r := range fresh.Records {
		q := committed.Records[i]
		if r.Kind != q.Kind || !r.Wall.Equal(q.Wall) || r.Kind != daylog.KindOpened && !holdsFields(r.Body, q.Body) {
			t.Fatalf("event %d of the committed log is %s %s, the presses make %s %s: make it again with -write-days", i, q.Kind, q.Body, r.Kind, r.Body)
		}
	}
}

// holdsFields says whether every field of b stands in a with the same value.
func holdsFields(a, b []byte) bool {
	var x, y map[string]any
	if json.Unmarshal(a, &x) != nil || json.Unmarshal(b, &y) != nil {
		return false
	}
	for k, v := range y {
		if x[k] != v {
			return false
		}
	}
	return true
}
