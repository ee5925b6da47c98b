package advice

import (
	"context"
	"math"
	"testing"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/plan"
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

// Carry and rake learned in one zone stand in the next one, and a state folded
// again from its events knows the same. By hand: n legs at 1.4 of the plan beside a
// plan worth six put the walk at 1.4^(n/(n + 6)).
func TestLearnsAcrossZones(t *testing.T) {
	p := cellar(1, 0.05)
	second := p.Zones[0]
	second.Name = "Annex"
	p.Zones = append(p.Zones, second)
	d := open(t, p)
	for range 9 {
		start := d.at
		d.press(start, day.Press{Kind: day.BatchStarted, Mixer: 1})
		f := d.look().Floor
		leg := f.Carry(d.look().PosL) + p.Crew.Load + p.Crew.Pour
		d.press(start.Add(165*time.Second+time.Duration(1.4*float64(leg))), day.Press{Kind: day.BatchPoured})
		d.at = start.Add(270 * time.Second)
	}
	first := Learn(d.look())
	if first.Carry.Seen < 8 {
		t.Fatalf("only %d walks were learned", first.Carry.Seen)
	}
	n := float64(first.Carry.Seen)
	if want := math.Pow(1.4, n/(n+6)); math.Abs(first.Carry.Median-want) > 1e-3 {
		t.Errorf("walk at %.4f of the plan, by hand %.4f", first.Carry.Median, want)
	}
	d.press(d.at, day.Press{Kind: day.ZoneClosed})
	d.press(d.at.Add(time.Minute), day.Press{Kind: day.ZoneBegan, Zone: "Annex"})
	next := Learn(d.look())
	if next.Carry != first.Carry || next.Rake != first.Rake || next.Cycle[0] != first.Cycle[0] {
		t.Errorf("in the next zone %+v, before %+v", next, first)
	}
	d.s = day.Fold(p, d.s.Floors, d.s.Events)
	if again := Learn(d.look()); again.Carry != next.Carry {
		t.Errorf("after a restart %+v, before %+v", again.Carry, next.Carry)
	}
}

// With the timings that the plan asks for the day's own times take the curve's
// place: their shape, at the median and spread learned. By hand: cycles of 250 and
// 310 s in turn have two values; the table of the mixing then has two, and one
// timing fewer keeps the curve.
func TestOwnTimesTakeTheCurvesPlace(t *testing.T) {
	cycles := func(n, ask int) (Learned, *scene) {
		p := cellar(1, 0.05)
		p.Rules.OwnTimes = ask
		d := open(t, p)
		for i := range n + 1 {
			start := d.at
			d.press(start, day.Press{Kind: day.BatchStarted, Mixer: 1})
			d.press(start.Add(235*time.Second), day.Press{Kind: day.BatchPoured})
			d.at = start.Add([]time.Duration{250 * time.Second, 310 * time.Second}[i%2])
		}
		return Learn(d.look()), look(d.look())
	}
	l, s := cycles(20, 20)
	if l.Cycle[0].Seen != 20 || l.Cycle[0].own == nil {
		t.Fatalf("after %d cycles the curve still stands", l.Cycle[0].Seen)
	}
	mixing, _ := s.learnedMixer(0)
	table := dist(165*time.Second, s.plan.Crew.Spread.Mix, mixing).Table()
	lo, hi := table[0], table[len(table)-1]
	for _, ms := range table {
		if ms > lo+1 && ms+1 < hi { // the table carries its rounding on
			t.Fatalf("the table holds %d ms beside %d and %d", ms, lo, hi)
		}
	}
	// Two values alike in number lie one deviation, √(19/20) of it, off the middle.
	spread := math.Log(float64(hi)/float64(lo)) / 2
	want := mixing.Spread / mixing.plan * s.plan.Crew.Spread.Mix * math.Sqrt(19.0/20)
	if math.Abs(spread-want) > 1e-3 || math.Abs(math.Sqrt(float64(lo)*float64(hi))/165e3-mixing.Median) > 1e-3 {
		t.Errorf("%d and %d ms: spread %.4f, want %.4f about %.4f of the plan", lo, hi, spread, want, mixing.Median)
	}
	if l, _ := cycles(19, 20); l.Cycle[0].own != nil {
		t.Error("19 timings were enough where 20 are asked")
	}
	if l, _ := cycles(30, 0); l.Cycle[0].own != nil {
		t.Error("the curve gave way where the plan says never")
	}
}

// The reason for 59: of so many times the longest is longer than 19 in 20 of all
// with 95 in 100. Source: Wilks, 1941, by formula 1 − 0.95^n.
func TestOwnTimesByWilks(t *testing.T) {
	n := plan.Default().Rules.OwnTimes
	if 1-math.Pow(0.95, float64(n)) < 0.95 || 1-math.Pow(0.95, float64(n-1)) >= 0.95 {
		t.Errorf("%d timings are not the fewest that bound 95 in 100", n)
	}
}

// The spread of taking up a bucket reaches the front: with a long load that varies
// by half the oldest bucket is older than with one that hardly does.
func TestLoadSpreadCounts(t *testing.T) {
	oldest := func(spread float64) time.Duration {
		p := cellar(2, 0.02)
		p.Crew.Load, p.Crew.Spread.Load = 40*time.Second, spread
		d := open(t, p)
		q, _ := Ask(d.look())
		v, err := run{ctx: context.Background(), days: 200, seed: 1}.study(q.s)
		if err != nil {
			t.Fatal(err)
		}
		return v.Dwell.P50
	}
	if calm, wild := oldest(0.02), oldest(0.5); wild < calm+20*time.Second {
		t.Errorf("oldest bucket %v with a wild load, %v with a calm one", wild, calm)
	}
}
