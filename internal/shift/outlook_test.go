package shift

import (
	"context"
	"os"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"floorpace/internal/advice"
	"floorpace/internal/day"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
	"floorpace/internal/planfile"
)

// atRest tells whether nothing about the facts of a view is left to be studied.
func atRest(v *View) bool {
	o := &v.Forecast
	return o.Facts == v.Facts && o.Day.Facts == v.Facts && (o.Day.Days == daysIdle || o.Day.Why != "")
}

// live is a shift that runs, on a clock moved by hand.
type live struct {
	t     *testing.T
	s     *Shift
	clock *handClock
	ticks chan time.Time
}

func goLive(t *testing.T) *live {
	t.Helper()
	p, floors := example(t)
	return liveDay(t, p, floors, nil)
}

// liveDay runs a day; before, when not nil, is done at its desk first.
func liveDay(t *testing.T, p *plan.Plan, floors []*pace.Zone, before func(d *Desk, clock *handClock)) *live {
	t.Helper()
	clock := &handClock{from: p.Handover.Add(p.Preparation), boot: "a"}
	m := NewMemory(clock)
	d := Open(p, floors, m, clock, m.Records(), nil)
	d.Steady()
	if before != nil {
		before(d, clock)
	}
	l := &live{t, Start(d), clock, make(chan time.Time)}
	ctx, stop := context.WithCancel(t.Context())
	done := make(chan struct{})
	go func() { l.s.Run(ctx, l.ticks); close(done) }()
	t.Cleanup(func() { stop(); <-done })
	return l
}

func (l *live) tick(d time.Duration) {
	l.clock.add(d)
	l.ticks <- time.Time{}
}

// press presses and waits until the press is answered; it must be taken.
func (l *live) press(p day.Press) {
	l.t.Helper()
	before := l.s.Latest().Facts
	l.s.Press(p, l.clock.Now().Wall)
	for end := time.Now().Add(time.Minute); l.s.Latest().Facts == before; time.Sleep(time.Millisecond) {
		if a := l.s.Latest().Answers; len(a) > 0 && a[len(a)-1].Refused != "" && a[len(a)-1].Press.Kind == p.Kind {
			l.t.Fatalf("%s was refused: %s", p.Kind, a[len(a)-1].Refused)
		}
		if time.Now().After(end) {
			l.t.Fatalf("%s was not answered", p.Kind)
		}
	}
}

// until waits for a view; slow is how long the study may take on this machine
// before the test gives up: it counts for nothing else.
func (l *live) until(what string, ok func(v *View) bool) *View {
	l.t.Helper()
	const slow = 2 * time.Minute
	for end := time.Now().Add(slow); ; time.Sleep(2 * time.Millisecond) {
		if v := l.s.Latest(); ok(v) {
			return v
		}
		if time.Now().After(end) {
			v := l.s.Latest()
			l.t.Fatalf("%s never came: facts %d, forecast of %d, day of %d, %q", what, v.Facts, v.Forecast.Facts, v.Forecast.Day.Facts, v.Forecast.Why)
		}
	}
}

// Eight minutes in which nothing is pressed and nothing is lost, ticked through second
// by second: not one figure of the forecast is worked out anew, though the clock, the
// calls and the ages go on.
func TestNoForecastWithoutAFact(t *testing.T) {
	l := goLive(t)
	l.press(day.Press{Kind: day.BatchStarted, Mixer: 1})
	first := l.until("the study of the day", atRest).Forecast
	for range 480 {
		l.tick(time.Second)
	}
	v := l.until("the eight minutes", func(v *View) bool { return v.Now.Sub(first.From) >= 8*time.Minute })
	if len(v.Calls) == 0 {
		t.Error("no call came up in eight minutes with a bucket out: the day does not go on")
	}
	if !v.Forecast.From.Equal(first.From) || v.Forecast.Facts != first.Facts {
		t.Errorf("studied anew at %s without a fact, the first was at %s", v.Forecast.From, first.From)
	}
	if diff := cmp.Diff(first, v.Forecast, cmpopts.IgnoreUnexported(advice.Ratio{})); diff != "" {
		t.Errorf("figures moved without a fact:\n%s", diff)
	}
}

// What nobody presses is a fact too: the crew of test day 1 stops where it stands.
// By hand: the last row laid, of 6:14 open, waits on; within 8:14 of the last pour all
// of it is gone, both buckets on the way long dead (4:46). The chances must not stand
// as they were: they are worked out anew as the edge gets worse, and not more often.
func TestForecastFollowsWhatTimeDoes(t *testing.T) {
	p, floors := warmCellar(t)
	l := liveDay(t, p, floors, func(d *Desk, clock *handClock) {
		pourOn(t, d, clock, 20, 90*time.Second, 205*time.Second, 1, 2, 3)
	})
	fresh := func(v *View) bool { return v.Forecast.Facts == v.Facts }
	if o := l.until("the first study", fresh).Forecast; o.Edge < 0.8 {
		t.Fatalf("before the crew stops the edge holds on %.3f", o.Edge)
	}
	studies := map[time.Time]bool{}
	for range 9 * 60 {
		l.tick(time.Second)
		v := l.s.Latest()
		if v.Edge.GoneM > 0 && v.Facts != v.Forecast.Facts {
			v = l.until("the study of a lost edge", fresh)
		}
		studies[v.Forecast.From] = true
		if v.Edge.GoneM > 0 && v.Forecast.Edge > 0 {
			t.Fatalf("%.1f m of the edge are gone, and it is said to hold on %.3f", v.Edge.GoneM, v.Forecast.Edge)
		}
	}
	v := l.until("the last study", fresh)
	if v.Edge.GoneM == 0 || v.Forecast.Edge > 0 || v.Forecast.Buckets > 0 {
		t.Errorf("nine minutes after: %.1f m gone, edge %.3f, buckets %.3f; want it lost", v.Edge.GoneM, v.Forecast.Edge, v.Forecast.Buckets)
	}
	if n := len(studies); n > 12 {
		t.Errorf("%d studies in nine minutes in which nothing was pressed", n)
	}
	t.Logf("%d studies", len(studies))
}

// Every kind of fact that a forecast rests on is studied anew by itself, from the
// instant of the press, and undone it gives back what stood before.
func TestEveryFactIsForecastAnew(t *testing.T) {
	l := goLive(t)
	l.press(day.Press{Kind: day.BatchStarted, Mixer: 1})
	l.tick(70 * time.Second)
	l.press(day.Press{Kind: day.BatchStarted, Mixer: 2})
	l.tick(130 * time.Second)
	hold := day.Press{Kind: day.HoldBegan, Why: "WAY BLOCKED"}
	for _, p := range []day.Press{
		{Kind: day.BatchPoured},
		{Kind: day.ReadingTaken, What: day.ReadSlab, Value: day.Value(19)},
		{Kind: day.ReadingTaken, What: day.ReadKit, Value: day.Value(22)},
		{Kind: day.PostLost, Post: day.PostMixer, Which: 2},
		{Kind: day.PressUndone},
		{Kind: day.PostLost, Post: day.PostRunner, Which: 1},
		{Kind: day.PostReturned, Post: day.PostRunner, Which: 1},
		hold,
		{Kind: day.HoldEnded},
		{Kind: day.PaceSet, Seconds: 180},
		{Kind: day.PullNarrowed, WidthM: 6},
		{Kind: day.FrontMarked, AlongM: day.Value(0.4)},
		{Kind: day.RakeReset},
		{Kind: day.BlendChanged, Blend: "quick"},
		{Kind: day.PressUndone},
		{Kind: day.DoorShut, What: "Hall/roll-up"},
		{Kind: day.HandoverGiven},
	} {
		l.tick(2 * time.Second)
		before := l.s.Latest().Forecast
		l.press(p)
		o := l.until("the study after "+string(p.Kind), func(v *View) bool { return v.Forecast.Facts == v.Facts }).Forecast
		if o.Facts <= before.Facts || !o.From.After(before.From) {
			t.Errorf("%s: studied from %s on %d facts, before %s on %d", p.Kind, o.From, o.Facts, before.From, before.Facts)
		}
		if p.Kind == hold.Kind && len(o.Notes) == 0 {
			t.Error("a forecast during a hold does not say that mixing would go on")
		}
	}
}

// warmCellar is test day 1 with the mix station near enough for the buckets.
func warmCellar(t *testing.T) (*plan.Plan, []*pace.Zone) {
	t.Helper()
	p, ps := planfile.Load(os.DirFS("../../testdata/days/day1"), "plan.toml")
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	p.Zones[0].Station.Y = -6
	floors, err := pace.Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	return p, floors
}

// pourOn pours n batches at the desk, one every interval on the mixers in turn.
func pourOn(t *testing.T, d *Desk, clock *handClock, n int, interval, handling time.Duration, mixers ...int) {
	t.Helper()
	type due struct {
		at time.Duration
		p  day.Press
	}
	var all []due
	for i := range n {
		at := time.Duration(i) * interval
		all = append(all, due{at, day.Press{Kind: day.BatchStarted, Mixer: mixers[i%len(mixers)]}}, due{at + handling, day.Press{Kind: day.BatchPoured}})
	}
	slices.SortStableFunc(all, func(a, b due) int { return int(a.at - b.at) })
	from := clock.gone
	for _, q := range all {
		if q.at > time.Duration(n-1)*interval { // the last ones are still on the way
			break
		}
		clock.add(from + q.at - clock.gone)
		if a := d.Press(q.p); a.Refused != "" {
			t.Fatalf("%s at %v: %s", q.p.Kind, q.at, a.Refused)
		}
	}
}

// The pour of test day 1 at the live desk: three mixers hold the 9 m pull; at kit
// 30 one dies (two hold 7.47 m at the most, by hand) and the chance falls; within a
// second of the press the ways out are ranked anew; the narrower pull, once
// pressed, brings the chance back that it promised.
func TestMixerDiesAtTheDesk(t *testing.T) {
	p, floors := warmCellar(t)
	l := liveDay(t, p, floors, func(d *Desk, clock *handClock) {
		pourOn(t, d, clock, 30, 90*time.Second, 205*time.Second, 1, 2, 3)
	})
	fresh := func(v *View) bool { return v.Forecast.Facts == v.Facts }
	before := l.until("the first study", fresh).Forecast
	if !before.OK || before.Edge < 0.95 {
		t.Fatalf("with three mixers the chance is %.3f (%s), want it to hold", before.Edge, before.Why)
	}
	// The best of a few tries: what else the machine does counts for nothing.
	least := time.Hour
	var after advice.Outlook
	for try := 0; try < 8 && (try == 0 || least > time.Second && !raceDetector); try++ {
		if try > 0 {
			l.press(day.Press{Kind: day.PostReturned, Post: day.PostMixer, Which: 2})
			l.until("the study with three again", fresh)
		}
		l.tick(100 * time.Millisecond)
		began := time.Now()
		l.press(day.Press{Kind: day.PostLost, Post: day.PostMixer, Which: 2})
		after = l.until("the study with two", fresh).Forecast
		least = min(least, time.Since(began))
	}
	t.Logf("ranked anew %v after the press", least)
	if least > time.Second && !raceDetector { // the race detector makes it ten times as slow
		t.Errorf("ranked anew %v after the press, want a second", least)
	}
	if after.Edge > 0.2 {
		t.Errorf("with two mixers the chance is %.3f, want it to fall", after.Edge)
	}
	i := slices.IndexFunc(after.Ways, func(w advice.Way) bool { return w.ID == "narrow" })
	if i < 0 || i > 2 || after.Ways[i].Edge < 0.95 {
		t.Fatalf("the narrower pull is not among the best: %+v", after.Ways)
	}
	if slices.EqualFunc(before.Ways, after.Ways, func(a, b advice.Way) bool { return a.ID == b.ID }) {
		t.Error("the ways out stand as before")
	}
	w := after.Ways[i]
	if w.Press.WidthM > 7.47 {
		t.Errorf("a pull of %.2f m is offered, by hand 7.47 m is the widest", w.Press.WidthM)
	}
	l.tick(10 * time.Second)
	l.press(*w.Press)
	again := l.until("the study of the narrow pull", fresh).Forecast
	if again.Edge < 0.95 || again.Edge < w.Edge-0.03 {
		t.Errorf("after the press the chance is %.3f, promised %.3f", again.Edge, w.Edge)
	}
	// A restart reads the same from the log.
	m := l.s.desk.log.(*Memory)
	d := Open(p, floors, m, l.clock, m.Records(), nil)
	c, ok := advice.Ask(d.View().Snapshot)
	if !ok {
		t.Fatal("nothing to forecast after a restart")
	}
	if o := c.Judge(t.Context(), daysAtOnce, seed); o.Edge != again.Edge || !o.P50.Equal(again.P50) {
		t.Errorf("after a restart %.4f until %s, before %.4f until %s", o.Edge, o.P50, again.Edge, again.P50)
	}
}
