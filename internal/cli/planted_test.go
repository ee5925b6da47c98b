package cli

import (
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/shift"
)

// plant is a contradiction written into a log and how the command must list it.
type plant struct {
	kind, where string
	do          func(es []day.Event) []day.Event
}

// first is the first event of a kind about a batch (0: any).
func first(es []day.Event, k day.Kind, batch int) int {
	return slices.IndexFunc(es, func(e day.Event) bool { return e.Kind == k && (batch == 0 || e.Batch == batch) })
}

func change(k day.Kind, batch int, f func(*day.Event)) func([]day.Event) []day.Event {
	return func(es []day.Event) []day.Event {
		f(&es[first(es, k, batch)])
		return es
	}
}

func behind(k day.Kind, batch int, e day.Event) func([]day.Event) []day.Event {
	return func(es []day.Event) []day.Event {
		i := first(es, k, batch)
		e.At = es[i].At
		return slices.Insert(es, i+1, e)
	}
}

// plants are all in one log at once: the kinds that were asked for by name, and
// more.
func plants() []plant {
	read := func(what string, v float64) day.Event {
		return day.Event{Kind: day.ReadingTaken, What: what, Value: day.Value(v)}
	}
	return []plant{
		{"times out of order", "line", change(day.BatchPoured, 4, func(e *day.Event) { e.At = e.At.Add(-5 * time.Minute) })},
		{"dew point above the air", "readings", behind(day.BatchPoured, 3, read(day.ReadHumidity, 1.02))},
		{"more opened than the lot has", "lot INV-B201", func(es []day.Event) []day.Event {
			for i := range es {
				if es[i].Kind == day.BatchStarted {
					es[i].Lots = "resin=INV-B201 hardener=INV-B201"
				}
			}
			return es
		}},
		{"more batches than kits", "resin", func(es []day.Event) []day.Event { return es }}, // the same batches, counted over all lots
		{"zone closed before its last batch", "zone Hall", func(es []day.Event) []day.Event {
			i, k := first(es, day.ZoneClosed, 0), first(es, day.BatchPoured, 17)
			e := es[i]
			e.At = es[k].At.Add(-time.Second)
			return slices.Insert(slices.Delete(es, i, i+1), k, e)
		}},
		{"part kit without weights", "batch 6", change(day.BatchStarted, 6, func(e *day.Event) { e.Share, e.Weights = 0.5, "resin=9.1" })},
		{"edge joined with no age", "zone Hall", behind(day.BatchPoured, 8, read(day.ReadSlab, 31))},
		{"two names in one role", "foreman", func(es []day.Event) []day.Event {
			es = behind(day.BatchPoured, 5, day.Event{Kind: day.DecisionMade, Text: "go on", Who: "A. Placer", Role: "foreman"})(es)
			es = behind(day.BatchPoured, 5, day.Event{Kind: day.DecisionMade, Text: "stop", Who: "B. Raker", Role: "foreman"})(es)
			return behind(day.BatchPoured, 5, day.Event{Kind: day.DecisionMade, Text: "go on", Who: "A. Placer", Role: "Foreman"})(es)
		}},
		{"lot does not exist", "batch 9", change(day.BatchStarted, 9, func(e *day.Event) { e.Lots = "resin=INV-X hardener=INV-B202" })},
		{"photo without a place", "note", behind(day.BatchPoured, 5, day.Event{Kind: day.NoteWritten, Text: "photo IMG_7.jpg"})},
		{"batch gone twice", "batch 10", behind(day.BatchPoured, 10, day.Event{Kind: day.BatchScrapped, Batch: 10, Why: "dropped"})},
		{"batch not started", "batch 77", behind(day.BatchPoured, 5, day.Event{Kind: day.BatchPoured, Batch: 77})},
		{"blend not on the sheet", "batch 12", change(day.BatchStarted, 12, func(e *day.Event) { e.Blend = "instant" })},
		{"mixer not in the plan", "batch 13", change(day.BatchStarted, 13, func(e *day.Event) { e.Mixer = 9 })},
		{"hold not ended", "hold", behind(day.BatchPoured, 16, day.Event{Kind: day.HoldBegan, Why: "BREAK"})},
		{"reading out of range", "readings", behind(day.BatchPoured, 4, read(day.ReadAir, 91))},
		{"correction of nothing", "correction", behind(day.BatchPoured, 4, day.Event{Kind: day.PressUndone, Of: 77777})},
		{"zone not in the plan", "zone Attic", behind(day.BatchPoured, 4, day.Event{Kind: day.RowRolled, Zone: "Attic", Row: 1})},
		{"scrap without a reason", "batch 14", func(es []day.Event) []day.Event {
			es[first(es, day.BatchPoured, 14)].Kind = day.BatchScrapped
			return es
		}},
		{"reading missing", "zone Hall", func(es []day.Event) []day.Event { // everything after batch 15 happens three hours later
			for i := first(es, day.BatchStarted, 15); i < len(es); i++ {
				es[i].At = es[i].At.Add(3 * time.Hour)
			}
			return es
		}},
	}
}

// Contradictions planted together in one log are each listed by the command,
// all at once, on the terminal and on every paper, with exit code 1; the figures
// stand as they were logged, and so does the log.
func TestPlantedContradictionsAreAllListed(t *testing.T) {
	env, _, _, dir := bench(t)
	s := beginHall(t, dir, hallPlan(9, 10, 12), daylog.OS(), daylog.Options{})
	s.pour(1, 17)
	s.press(day.Press{Kind: day.ZoneClosed})
	s.close()
	c, err := daylog.Read(daylog.OS(), s.log.Path())
	if err != nil {
		t.Fatal(err)
	}
	es := shift.Events(c.Records)
	for _, q := range plants() {
		es = q.do(es)
	}
	clock := &fastClock{from: s.clock.from}
	bad, err := daylog.Create(daylog.OS(), t.TempDir(), daylog.Header{Station: "A", Day: "2026-09-12", Plan: s.plan.Wire}, clock, daylog.Options{Ballast: -1})
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range es {
		if e.Kind == day.SessionOpened {
			continue
		}
		clock.gone = e.At.Sub(clock.from)
		if _, _, err := bad.Append(string(e.Kind), e.Body()); err != nil {
			t.Fatalf("%s: %v", e.Kind, err)
		}
	}
	if err := bad.Close(); err != nil {
		t.Fatal(err)
	}
	p := writePapers(t, env, bad.Path())
	if p.code != ExitNo {
		t.Errorf("exit %d, want %d", p.code, ExitNo)
	}
	rows := p.page["What does not fit together"]
	listed := func(kind, where string) bool {
		return slices.ContainsFunc(rows[1:], func(r []string) bool { return r[1] == kind && r[2] == where && r[4] != "" })
	}
	for _, q := range plants() {
		if q.where == "line" { // of the file
			q.where = filepath.Base(bad.Path()) + " line 15" // as an editor counts, the header is line 1
		}
		if !strings.Contains(p.said, "  "+q.kind+", "+q.where+": ") {
			t.Errorf("the terminal does not list %s at %s", q.kind, q.where)
		}
		if !listed(q.kind, q.where) {
			t.Errorf("the page does not list %s at %s", q.kind, q.where)
		}
		if !slices.Contains(kindsOf(p), q.kind) {
			t.Errorf("the document does not list %s", q.kind)
		}
		if p.pdf != "" && !strings.Contains(spaceless(p.pdf), spaceless(q.kind)) {
			t.Errorf("the PDF does not list %s", q.kind)
		}
	}
	if t.Failed() {
		t.Log(p.said)
	}
	// Nothing was mended: 102 % and 91 °C stand among the readings.
	for _, want := range []string{"102.0", "91.0"} {
		if !slices.ContainsFunc(p.csv["readings"], func(r []string) bool { return r[3] == want }) {
			t.Errorf("a reading of %s is not among the readings", want)
		}
	}
	if n := len(rows) - 1; !strings.Contains(p.text, strconv.Itoa(n)+" findings") || n != len(kindsOf(p)) {
		t.Errorf("%d findings in the table, %d in the document, the page counts otherwise", n, len(kindsOf(p)))
	}
	t.Logf("%d planted, %d findings", len(plants()), len(rows)-1)
}
