package shift

import (
	"context"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"floorpace/internal/advice"
	"floorpace/internal/day"
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
	clock := &handClock{from: p.Handover.Add(p.Preparation), boot: "a"}
	m := NewMemory(clock)
	d := Open(p, floors, m, clock, m.Records(), nil)
	d.Steady()
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

// Ten minutes in which nothing is pressed, ticked through second by second: not
// one figure of the forecast is worked out anew, though the clock, the calls and
// the ages go on.
func TestNoForecastWithoutAFact(t *testing.T) {
	l := goLive(t)
	l.press(day.Press{Kind: day.BatchStarted, Mixer: 1})
	first := l.until("the study of the day", atRest).Forecast
	for range 600 {
		l.tick(time.Second)
	}
	v := l.until("the ten minutes", func(v *View) bool { return v.Now.Sub(first.From) >= 10*time.Minute })
	if len(v.Calls) == 0 {
		t.Error("no call came up in ten minutes with a bucket out: the day does not go on")
	}
	if !v.Forecast.From.Equal(first.From) || v.Forecast.Facts != first.Facts {
		t.Errorf("studied anew at %s without a fact, the first was at %s", v.Forecast.From, first.From)
	}
	if diff := cmp.Diff(first, v.Forecast, cmpopts.IgnoreUnexported(advice.Ratio{})); diff != "" {
		t.Errorf("figures moved without a fact:\n%s", diff)
	}
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
		{Kind: day.BlendChanged, Blend: "cold"},
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
