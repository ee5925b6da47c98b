package advice

import (
	"math"
	"testing"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/stats"
)

// Cycles are learned by mixer from two presses a batch. Source: the same times put
// one by one into stats.LogTime, which is checked against worked posteriors there.
func TestLearnsCycleByMixer(t *testing.T) {
	d := open(t, cellar(2, 0.05))
	cycles := map[int]time.Duration{1: 270 * time.Second, 2: 300 * time.Second}
	at := [3]time.Time{{}, d.at, d.at.Add(2 * time.Minute)}
	for range 16 {
		m := 1
		if at[2].Before(at[1]) {
			m = 2
		}
		d.press(at[m], day.Press{Kind: day.BatchStarted, Mixer: m})
		at[m] = at[m].Add(cycles[m])
	}
	l := Learn(d.look())
	for m, c := range cycles {
		want, err := stats.NewLogTime(time.Second, l.Cycle[m-1].plan, priorWeight)
		if err != nil {
			t.Fatal(err)
		}
		for range l.Cycle[m-1].Seen {
			want.Observe(time.Duration(float64(time.Second) * c.Seconds() / 270))
		}
		if got := l.Cycle[m-1]; got.Seen < 6 || math.Abs(got.Median-want.Median().Seconds()) > 1e-6 || math.Abs(got.Spread-want.NextSpread()) > 1e-9 {
			t.Errorf("mixer %d: %+v, want median %v of the plan, spread %.4f", m, got, want.Median().Seconds(), want.NextSpread())
		}
	}
	// By hand: k times at ratio 300/270 beside a plan worth six pull the log to
	// k/(k + 6) of ln(300/270).
	k := float64(l.Cycle[1].Seen)
	if want := math.Exp(k / (k + 6) * math.Log(300.0/270)); math.Abs(l.Cycle[1].Median-want) > 1e-6 {
		t.Errorf("slow mixer at %.6f of the plan, by hand %.6f", l.Cycle[1].Median, want)
	}
	if l.Carry.Seen != 0 || l.Rake.Seen != 0 || l.Mixing[0].Seen != 0 {
		t.Errorf("learned from what nobody pressed: %+v", l)
	}
}

// What holds a mixer up is no cycle: a hold, an outage, a break, a slower pace.
func TestDoesNotLearnFromHeldCycles(t *testing.T) {
	for name, between := range map[string]func(d *crew, at time.Time){
		"hold": func(d *crew, at time.Time) {
			d.press(at, day.Press{Kind: day.HoldBegan, Why: "forklift"})
			d.press(at.Add(20*time.Second), day.Press{Kind: day.HoldEnded})
		},
		"outage": func(d *crew, at time.Time) {
			d.press(at, day.Press{Kind: day.PostLost, Post: day.PostMixer, Which: 1})
			d.press(at.Add(20*time.Second), day.Press{Kind: day.PostReturned, Post: day.PostMixer, Which: 1})
		},
		"slower pace": func(d *crew, at time.Time) { d.press(at, day.Press{Kind: day.PaceSet, Seconds: 280}) },
	} {
		d := open(t, cellar(1, 0.05))
		first := d.at
		d.press(first, day.Press{Kind: day.BatchStarted, Mixer: 1})
		between(d, first.Add(3*time.Minute))
		d.press(first.Add(290*time.Second), day.Press{Kind: day.BatchStarted, Mixer: 1})
		if l := Learn(d.look()); l.Cycle[0].Seen != 0 {
			t.Errorf("%s: a held cycle was learned: %+v", name, l.Cycle[0])
		}
	}
	d := open(t, cellar(1, 0.05))
	d.press(d.at, day.Press{Kind: day.BatchStarted, Mixer: 1})
	d.press(d.at.Add(9*time.Minute), day.Press{Kind: day.BatchStarted, Mixer: 1})
	if l := Learn(d.look()); l.Cycle[0].Seen != 0 {
		t.Error("a break of half a cycle was learned")
	}
	d = open(t, cellar(1, 0.05))
	d.press(d.at, day.Press{Kind: day.BatchStarted, Mixer: 1})
	d.press(d.at.Add(290*time.Second), day.Press{Kind: day.BatchStarted, Mixer: 1})
	if l := Learn(d.look()); l.Cycle[0].Seen != 1 {
		t.Error("an undisturbed cycle was not learned")
	}
}

// Carry and rake: a bucket that comes straight through times the carry; one that
// stood waiting times the rake. Worked by hand.
func TestLearnsCarryAndRake(t *testing.T) {
	d := open(t, cellar(1, 0.05))
	leg := d.look().Floor.Carry(0) + d.s.Plan.Crew.Pour
	slow := time.Duration(1.5 * float64(leg))
	first := d.at
	d.press(first, day.Press{Kind: day.BatchStarted, Mixer: 1})
	d.press(first.Add(165*time.Second+slow), day.Press{Kind: day.BatchPoured})
	l := Learn(d.look())
	if want := math.Exp(math.Log(1.5) / 7); l.Carry.Seen != 1 || math.Abs(l.Carry.Median-want) > 1e-3 {
		t.Errorf("carry %+v, want one time and %.4f of the plan", l.Carry, want)
	}
	// Two buckets stand at the front; the second is poured 1:40 after the first,
	// where the plan says 30 s and 2.201 m² at 4 m²/min, 1:03.0.
	d = open(t, cellar(2, 0.05))
	first = d.at
	d.press(first, day.Press{Kind: day.BatchStarted, Mixer: 1})
	d.press(first, day.Press{Kind: day.BatchStarted, Mixer: 2})
	d.press(first.Add(5*time.Minute), day.Press{Kind: day.BatchPoured})
	d.press(first.Add(5*time.Minute+100*time.Second), day.Press{Kind: day.BatchPoured})
	l = Learn(d.look())
	if want := math.Exp(math.Log(100/63.019) / 7); l.Rake.Seen != 1 || math.Abs(l.Rake.Median-want) > 1e-3 {
		t.Errorf("rake %+v, want one time and %.4f of the plan", l.Rake, want)
	}
	// Pressed mixings are times of their own.
	d = open(t, cellar(1, 0.05))
	d.press(d.at, day.Press{Kind: day.BatchStarted, Mixer: 1})
	d.press(d.at.Add(198*time.Second), day.Press{Kind: day.BatchMixed, Mixer: 1})
	if l = Learn(d.look()); l.Mixing[0].Seen != 1 || math.Abs(l.Mixing[0].Median-math.Exp(math.Log(198/165.0)/7)) > 1e-6 {
		t.Errorf("mixing %+v", l.Mixing[0])
	}
}

// A crew slower than its plan is forecast to end later.
func TestSlowCrewEndsLater(t *testing.T) {
	ends := func(interval time.Duration) time.Duration {
		d := open(t, cellar(1, 0.03))
		d.pour(10, interval, 205*time.Second, 1)
		return d.judge(300).P50.Sub(d.at)
	}
	plan, slow := ends(270*time.Second), ends(310*time.Second)
	// Nine cycles at 310/270 beside the plan's six: 9/15 of the way in the log.
	want := math.Pow(310.0/270, 9.0/15)
	if got := slow.Seconds() / plan.Seconds(); math.Abs(got-want) > 0.02 {
		t.Errorf("forecast %.3f times as long, want %.3f", got, want)
	}
}

// A cycle is judged by the pace that stood while it ran: a pace pressed later takes
// away nothing that was learned, and one set off again teaches no ordered waiting.
func TestLearnsByThePaceOfThatTime(t *testing.T) {
	d := open(t, cellar(1, 0.05))
	start := func(after time.Duration) {
		d.at = d.at.Add(after)
		d.press(d.at, day.Press{Kind: day.BatchStarted, Mixer: 1})
	}
	start(0)
	start(290 * time.Second)
	start(290 * time.Second)
	free := Learn(d.look()).Cycle[0]
	d.at = d.at.Add(time.Second)
	d.press(d.at, day.Press{Kind: day.PaceSet, Seconds: 360})
	if set := Learn(d.look()).Cycle[0]; free.Seen != 2 || set != free {
		t.Errorf("before a pace was set %+v, after %+v; want two cycles both times", free, set)
	}
	start(360 * time.Second)
	start(360 * time.Second)
	d.at = d.at.Add(time.Second)
	d.press(d.at, day.Press{Kind: day.PaceSet})
	if off := Learn(d.look()).Cycle[0]; off != free {
		t.Errorf("set off again: %+v, want %+v: the waiting was ordered", off, free)
	}
	start(290 * time.Second) // the pace stood for its first second
	start(290 * time.Second)
	if last := Learn(d.look()).Cycle[0]; last.Seen != 3 {
		t.Errorf("%d cycles, want 3", last.Seen)
	}
}
