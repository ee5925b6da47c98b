package record

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"floorpace/internal/day"
)

// evenDay pours batches one after the other, each mixed in 2:30 less or more by
// turns and poured a minute later, so many days after the first; between is called
// before each is mixed.
func evenDay(t *testing.T, days, batches int, between func(b *book, batch int, mixing time.Time)) *book {
	t.Helper()
	p := hall(9, 60)
	p.Rules.ReadingEvery = 24 * time.Hour
	p.Lots[0].Parts = map[string]int{"A": 400, "B": 400, "aggregate": 400}
	p.Handover = p.Handover.AddDate(0, 0, days)
	b := open(t, p)
	at := p.Handover.Add(time.Hour)
	for i := 1; i <= batches; i++ {
		b.press(at, day.Press{Kind: day.BatchStarted, Mixer: 1})
		mixed := at.Add(150*time.Second + time.Duration(i%5-2)*time.Second)
		if between != nil {
			between(b, i, at.Add(time.Minute))
		}
		if b.s.Batches[i-1].Mixed.IsZero() {
			b.press(mixed, day.Press{Kind: day.BatchMixed, Batch: i})
		}
		b.press(mixed.Add(time.Minute), day.Press{Kind: day.BatchPoured, Batch: i})
		at = mixed.Add(90 * time.Second)
	}
	return b
}

// Times that are not the crew's own are left out and counted by what came between:
// of twenty batches the three about the seventh lose a time to each kind.
func TestDisturbedTimesAreLeftOut(t *testing.T) {
	missing := int64(0)
	for _, c := range []struct {
		name, why string
		do        func(b *book, at time.Time)
	}{
		{"hold", whyHold, func(b *book, at time.Time) {
			b.press(at, day.Press{Kind: day.HoldBegan, Why: "WAY BLOCKED"})
			b.press(at.Add(30*time.Second), day.Press{Kind: day.HoldEnded})
		}},
		{"stop", whyHold, func(b *book, at time.Time) {
			b.press(at, day.Press{Kind: day.MixingStopped, Why: "A LEAK", Text: "at the drain"})
			b.press(at.Add(30*time.Second), day.Press{Kind: day.HoldEnded})
		}},
		{"post out", whyOutage, func(b *book, at time.Time) {
			b.press(at, day.Press{Kind: day.PostLost, Post: day.PostRunner, Which: 1, Why: "x"})
			b.press(at.Add(30*time.Second), day.Press{Kind: day.PostReturned, Post: day.PostRunner, Which: 1})
		}},
		{"sleep", whySlept, func(b *book, at time.Time) { b.put(at, day.Event{Kind: day.ClockSlept, Seconds: 20}) }},
		{"stall", whySlept, func(b *book, at time.Time) { b.put(at, day.Event{Kind: day.ClockStalled, Seconds: 5}) }},
		{"console closed", whyClosed, func(b *book, at time.Time) { b.put(at, day.Event{Kind: day.SessionOpened, App: "test"}) }},
		{"lines missing", whyMissing, func(*book, time.Time) { missing = 3 }},
		{"clock set", "", func(b *book, at time.Time) { b.put(at, day.Event{Kind: day.ClockStepped, Seconds: -3600}) }},
	} {
		missing = 0
		gap := int64(0) // number of the event before the gap
		b := evenDay(t, 0, 20, func(b *book, batch int, at time.Time) {
			if batch == 7 {
				gap = int64(len(b.s.Events))
				c.do(b, at)
			}
		})
		d := seen("a", b)
		if missing > 0 { // lines that were there once and are lost
			d.Events = append([]day.Event(nil), d.Events...)
			for i := range d.Events {
				if d.Events[i].N > gap {
					d.Events[i].N += missing
				}
			}
		}
		l, err := Learn([]Seen{d})
		if err != nil {
			t.Fatal(c.name, err)
		}
		f := l.named("mixing and pouring out")
		want := 19
		if c.why == "" {
			want = 20
		}
		if f == nil || f.Seen != want || len(f.Out) > 0 || math.Abs(f.Median.V-150) > 1 {
			t.Errorf("%s: %+v, want %d times of 150 s", c.name, f, want)
		}
		said := strings.Join(l.Notes, "\n")
		if c.why != "" && !strings.Contains(said, "times across "+c.why+" were left out") || c.why == "" && strings.Contains(said, "were left out") {
			t.Errorf("%s: notes\n%s", c.name, said)
		}
	}
}

// A press made again after an undo tells when the slip was mended: with it a batch
// would seem to take twenty seconds less.
func TestUndonePressTeachesNothing(t *testing.T) {
	b := evenDay(t, 0, 20, func(b *book, batch int, at time.Time) {
		if batch == 9 {
			b.press(at, day.Press{Kind: day.BatchMixed, Batch: batch})
			b.press(at.Add(5*time.Second), day.Press{Kind: day.PressUndone})
			b.press(at.Add(10*time.Second), day.Press{Kind: day.BatchMixed, Batch: batch})
		}
	})
	l, err := Learn([]Seen{seen("a", b)})
	if err != nil {
		t.Fatal(err)
	}
	f := l.named("mixing and pouring out")
	if f == nil || f.Seen != 19 || !strings.Contains(strings.Join(l.Notes, "\n"), whyAgain) {
		t.Errorf("%+v\n%v", f, l.Notes)
	}
}

// A pace set by hand makes starts wait and nothing else.
func TestPacedStartsTeachNoCycle(t *testing.T) {
	paced := evenDay(t, 0, 20, func(b *book, batch int, at time.Time) {
		if batch == 3 {
			b.press(at, day.Press{Kind: day.PaceSet, Seconds: 300})
		}
		if batch == 12 {
			b.press(at, day.Press{Kind: day.PaceSet})
		}
	})
	l, err := Learn([]Seen{seen("a", paced)})
	if err != nil {
		t.Fatal(err)
	}
	// Starts 4 to 13 came while it stood, or the start before them did.
	if f := l.named(fitCycle); f == nil || f.Seen != 9 || l.named(fitOut).Seen != 20 {
		t.Errorf("%+v", f)
	}
}

// Days that do not belong together are refused by name; a copy counts once.
func TestLearnRefusesOtherMaterials(t *testing.T) {
	a := evenDay(t, 0, 12, nil)
	other := evenDay(t, 1, 12, nil)
	other.p.Sheet.Name = "V"
	_, err := Learn([]Seen{seen("2026-05-01/A.jsonl", a), seen("2026-05-02/B.jsonl", other)})
	if err == nil || !strings.Contains(err.Error(), `2026-05-01/A.jsonl and 2026-05-02/B.jsonl: two materials, "U" and "V"`) {
		t.Errorf("%v", err)
	}
	slower := evenDay(t, 1, 12, nil)
	slower.p.Sheet.Blends[0].Steps[1].Time += time.Second
	if _, err := Learn([]Seen{seen("a", a), seen("b", slower)}); err == nil || !strings.Contains(err.Error(), "other mix steps") {
		t.Errorf("%v", err)
	}
	// The same day again, cut short as a salvaged copy may be.
	copied := seen("copy", a)
	copied.Events = copied.Events[:len(copied.Events)-9]
	l, err := Learn([]Seen{seen("a", a), copied})
	if err != nil || l.Batches != 12 || len(l.Days) != 1 || !strings.Contains(fmt.Sprint(l.Notes), "copy is the same day as a: counted once") {
		t.Errorf("%v %+v", err, l)
	}
	// Other figures of the crew are no hindrance, but said.
	planned := evenDay(t, 2, 15, nil)
	planned.p.Crew.RakeM2Min *= 2
	l, err = Learn([]Seen{seen("a", a), seen("b", planned)})
	if err != nil || l.Batches != 27 || !strings.Contains(fmt.Sprint(l.Notes), "the plans of these days differ in rake: the plan's figures here are those of a") {
		t.Errorf("%v %v", err, l)
	}
}

// A crew that mixes less long than the sheet asks is told so, and its mixing is not
// written for a plan to go by; one that mixes longer pours out later.
func TestMixingAgainstTheSheet(t *testing.T) {
	mixed := func(days int, takes time.Duration) *Lesson {
		b := evenDay(t, days, 12, func(b *book, batch int, at time.Time) {
			from := at.Add(-time.Minute)
			scatter := time.Duration(batch%3-1) * time.Second
			for k, share := range []time.Duration{1, 3, 5} { // of five: the sheet's 0:30, 1:00, 1:00
				b.press(from.Add(takes*share/5+scatter*time.Duration(k+1)/3), day.Press{Kind: day.BatchStepped, Batch: batch})
			}
		})
		l, err := Learn([]Seen{seen("a", b)})
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	short, long := mixed(0, 140*time.Second), mixed(1, 161*time.Second)
	said := func(l *Lesson) bool { return strings.Contains(strings.Join(l.Notes, "\n"), "SHORTER THAN THE SHEET") }
	if !said(short) || said(long) {
		t.Errorf("short: %v\nlong: %v", short.Notes, long.Notes)
	}
	for name, c := range map[string]struct {
		l      *Lesson
		scrape string
	}{"short": {short, ""}, "long": {long, `scrape    = "0:26"`}} { // 0:15 as planned and 11 s more
		var out strings.Builder
		if err := c.l.WriteCrew(&out); err != nil {
			t.Fatal(err)
		}
		if c.scrape == "" && strings.Contains(out.String(), "scrape ") || !strings.Contains(out.String(), c.scrape) {
			t.Errorf("%s: %s", name, out.String())
		}
	}
	for step, want := range map[string]float64{"step A and colour": 32.2, "step B in": 64.4, "step aggregate": 64.4} {
		if f := long.named(step); f == nil || f.Seen != 12 || math.Abs(f.Median.V-want) > 0.6 {
			t.Errorf("%s: %+v", step, f)
		}
	}
}
