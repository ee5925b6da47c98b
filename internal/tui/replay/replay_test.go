package replay

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"floorpace/config"
	"floorpace/internal/advice"
	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/pace"
	"floorpace/internal/planfile"
	"floorpace/internal/playback"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/picture"
)

// played is a short invented day on the shipped example plan: 14 batches, a
// hold that costs the edge, a reading, calls.
func played(t testing.TB) (*playback.Playback, []day.Event) {
	t.Helper()
	p, ps := planfile.Load(config.Files, config.USPlan)
	if len(ps) > 0 {
		t.Fatalf("%v", ps)
	}
	floors, err := pace.Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	s := day.New(p, floors)
	at := p.Handover.Add(p.Preparation)
	put := func(es ...day.Event) {
		for _, e := range es {
			e.N = int64(len(s.Events))
			s = s.Apply(e)
		}
	}
	press := func(q day.Press) {
		t.Helper()
		es, err := day.Decide(s, q, at)
		if err != nil {
			t.Fatalf("%s: %v", q.Kind, err)
		}
		put(es...)
	}
	wait := func(d time.Duration) {
		for ; d > 0; d -= 10 * time.Second {
			at = at.Add(10 * time.Second)
			put(day.Due(s, day.Look(s, at))...)
		}
	}
	put(day.Event{Kind: day.SessionOpened, At: at})
	for i := range 14 {
		press(day.Press{Kind: day.BatchStarted, Mixer: i%2 + 1})
		wait(130 * time.Second)
		if i >= 1 {
			press(day.Press{Kind: day.BatchPoured, Batch: i})
		}
		switch i {
		case 6:
			press(day.Press{Kind: day.ReadingTaken, What: day.ReadSlab, Value: day.Value(18)})
		case 9:
			press(day.Press{Kind: day.HoldBegan, Why: "way blocked"})
			wait(11 * time.Minute)
			press(day.Press{Kind: day.HoldEnded})
		}
	}
	return playback.New(p, floors, s.Events), s.Events
}

// running is a deck at work, driven by hand.
type running struct {
	*Deck
	t     testing.TB
	ticks chan time.Time
	at    time.Time
}

func run(t testing.TB, pb *playback.Playback) *running {
	r := &running{Deck: New(pb, "day.log"), t: t, ticks: make(chan time.Time), at: time.Unix(0, 0)}
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan struct{})
	go func() { defer close(ended); r.Run(ctx, r.ticks) }()
	t.Cleanup(func() { stop(); <-ended })
	r.tick(0)
	return r
}

// tick lets real time pass. The deck has taken it when it returns, for it
// takes the next thing only when it is done with the one before.
func (r *running) tick(d time.Duration) {
	r.at = r.at.Add(d)
	r.ticks <- r.at
	r.ticks <- r.at // no time in between: only to wait
}

func (r *running) keys(names ...string) {
	r.t.Helper()
	for _, n := range names {
		if !r.Key(n, daylog.Reading{}) {
			r.t.Fatalf("key %s was passed on", n)
		}
	}
	for len(r.orders) > 0 {
		time.Sleep(time.Millisecond)
	}
	r.tick(0)
}

func (r *running) clock() string { return r.Latest().Now.Format("15:04:05") }

func TestPlaysAndPauses(t *testing.T) {
	pb, _ := played(t)
	begin, end := pb.Begin(), pb.End()
	r := run(t, pb)
	if r.Rate() != 0 || !r.Latest().Now.Equal(begin) {
		t.Fatalf("begins at %s with rate %g", r.clock(), r.Rate())
	}
	r.keys("p", "+", "+", "+", "+", "+") // 1 2 5 10 20 60
	if r.Rate() != 60 {
		t.Fatalf("rate %g after five times faster", r.Rate())
	}
	for range 10 {
		r.tick(100 * time.Millisecond)
	}
	if got := r.Latest().Now.Sub(begin); got != time.Minute {
		t.Errorf("a second at 60 moved the day by %s", got)
	}
	r.tick(time.Hour) // the machine slept
	if got := r.Latest().Now.Sub(begin); got != time.Minute {
		t.Errorf("while the machine slept the day went on to %s", got)
	}
	r.keys("p")
	r.tick(time.Second)
	if got := r.Latest().Now.Sub(begin); got != time.Minute || r.Rate() != 0 {
		t.Errorf("paused, but the day is %s on, rate %g", got, r.Rate())
	}
	r.keys("end", "p") // at the end play begins again
	r.tick(time.Second)
	if now := r.Latest().Now; !now.Before(end) {
		t.Errorf("play at the end stays there: %s", now)
	}
}

func TestKeysMoveTheCursor(t *testing.T) {
	pb, events := played(t)
	r := run(t, pb)
	start := r.Latest().Now
	r.keys("right", "right", "up", "left")
	if got := r.Latest().Now.Sub(start); got != 5*time.Minute+10*time.Second {
		t.Errorf("cursor keys moved it to %s", got)
	}
	r.keys("end")
	if n := r.Latest().Events; n != len(events) {
		t.Errorf("%d events at the end, want %d", n, len(events))
	}
	r.keys(",")
	if n := r.Latest().Events; n != len(events)-1 {
		t.Errorf("%d events a step before the end, want %d", n, len(events)-1)
	}
	r.keys("home", "b", "b", "b")
	if n := len(r.Latest().Laid); n != 3 {
		t.Errorf("%d batches on the floor after three jumps", n)
	}
	r.keys("v")
	if n := len(r.Latest().Laid); n != 2 {
		t.Errorf("%d batches on the floor one back", n)
	}
	r.keys("home", "m")
	if h := r.Latest().History; len(h) != 1 {
		t.Errorf("%d calls after a jump to the first", len(h))
	}
	r.keys("j", "7", "enter")
	if l := r.Latest().Laid; len(l) == 0 || l[len(l)-1].Batch != 7 {
		t.Errorf("asked for batch 7, %d on the floor", len(l))
	}
	r.keys("t", "0", "4", "1")
	if r.Key("x", daylog.Reading{}) || r.typing != nil {
		t.Error("a letter did not leave what was being typed")
	}
	r.keys("t", "0", "4", ":", "2", "3", "backspace", "2", "enter")
	if r.clock() != "04:22:00" {
		t.Errorf("went to %s", r.clock())
	}
	was := r.clock()
	r.keys("t", "2", "3", "5", "9", "enter")
	if r.clock() != was || !strings.Contains(r.shown.Load().said, "no such time") {
		t.Errorf("at %s, said %q", r.clock(), r.shown.Load().said)
	}
	if r.Key("tab", daylog.Reading{}) || r.Key("w", daylog.Reading{}) || r.Key("space", daylog.Reading{}) {
		t.Error("a key of the console was kept")
	}
	if r.Press(day.Press{Kind: day.BatchPoured}, time.Time{}) {
		t.Error("a press was taken on a day that is over")
	}
}

// What if works on the instant shown, leaves the log and the day as they are,
// and its answer goes when the cursor leaves its facts.
func TestWhatIf(t *testing.T) {
	pb, events := played(t)
	before := fmt.Sprintf("%+v", events)
	r := run(t, pb)
	r.keys("j", "9", "enter", "i")
	facts := r.Latest().Facts
	for n := 0; !r.Latest().Forecast.OK && r.shown.Load().ifs.working; n++ {
		if n > 6000 {
			t.Fatal("no answer in a minute")
		}
		time.Sleep(10 * time.Millisecond)
	}
	o := r.Latest().Forecast
	if !o.OK {
		t.Fatalf("no answer: %s", o.Why)
	}
	if o.Facts != facts || o.Days != daysStudied || o.P50.Before(r.Latest().Now) {
		t.Errorf("forecast for facts %d over %d days with finish %s", o.Facts, o.Days, o.P50)
	}
	r.keys("b")
	if r.Latest().Forecast.OK || r.shown.Load().ifs.asked {
		t.Error("the answer stayed after the cursor had gone on")
	}
	if fmt.Sprintf("%+v", events) != before {
		t.Error("the question changed the day")
	}
	r.keys("i", "home") // left at once: the answer must not come up later
	time.Sleep(50 * time.Millisecond)
	r.tick(0)
	if r.Latest().Forecast.OK {
		t.Error("a stale answer was shown")
	}
}

// The answer of a what-if stands whole at 80 columns: the instant, as it stood,
// and the best way out with chance, finish and kits.
func TestWhatIfFitsEightyColumns(t *testing.T) {
	pb, _ := played(t)
	d := New(pb, "log")
	at := pb.Begin().Add(time.Hour)
	d.whatIf = whatIf{asked: true, facts: d.Latest().Facts, at: at, out: advice.Outlook{
		OK: true, Edge: 0.31, P50: at.Add(50 * time.Minute), Ways: []advice.Way{{What: "rows from the same side", Edge: 0.97, P50: at.Add(40 * time.Minute), Kits: 126}},
	}}
	d.publish()
	for _, w := range []int{80, 160} {
		c := frame.New(look.New(look.Dark(), look.NoColor, look.Unicode), w, d.Rows(w, 24))
		d.Draw(c.Pane(), d.Latest())
		head, _, _ := strings.Cut(c.Plain(), "\n")
		for _, words := range []string{at.Format("15:04:05"), "31 %", at.Add(50 * time.Minute).Format("15:04"), "rows from the same side 97 %", at.Add(40 * time.Minute).Format("15:04"), "126 kits"} {
			if !strings.Contains(head, words) {
				t.Errorf("%d columns: %q is not in %q", w, words, head)
			}
		}
	}
}

// What a key could not do is said long enough to be read, also while the day
// plays, and then goes.
func TestRefusalIsReadWhilePlaying(t *testing.T) {
	pb, _ := played(t)
	r := run(t, pb)
	r.keys("p", "j", "9", "9", "9", "9", "enter")
	r.tick(100 * time.Millisecond)
	r.tick(2 * time.Second)
	if s := r.shown.Load(); !s.playing || s.said != "batch 9999 was never poured" {
		t.Errorf("after two seconds of play: playing %v, said %q", s.playing, s.said)
	}
	r.tick(2 * time.Second)
	r.tick(time.Second)
	if s := r.shown.Load(); s.said != "" {
		t.Errorf("after five seconds still %q", s.said)
	}
}

func TestClockTime(t *testing.T) {
	begin := time.Date(2026, 5, 1, 22, 10, 0, 0, time.UTC)
	end := begin.Add(9 * time.Hour)
	for _, c := range []struct{ digits, want string }{
		{"2210", "1 22:10:00"},
		{"2209", ""},
		{"0001", "2 00:01:00"},
		{"645", "2 06:45:00"},
		{"064530", "2 06:45:30"},
		{"64530", "2 06:45:30"},
		{"0711", ""},
		{"2460", ""},
		{"", ""},
		{"7", ""},
		{"0670", ""},
	} {
		got := ""
		if at, ok := clockTime(c.digits, begin, end); ok {
			got = at.Format("2 15:04:05")
		}
		if got != c.want {
			t.Errorf("%q: %q, want %q", c.digits, got, c.want)
		}
	}
}

func TestGolden(t *testing.T) {
	pb, _ := played(t)
	r := run(t, pb)
	l := look.New(look.Dark(), look.NoColor, look.Unicode)
	var b strings.Builder
	show := func(what string) {
		for _, size := range [][2]int{{80, 24}, {100, 30}, {160, 45}, {40, 10}} {
			c := frame.New(l, size[0], r.Rows(size[0], size[1]))
			r.Draw(c.Pane(), r.Latest())
			fmt.Fprintf(&b, "%s at %d×%d\n%s\n", what, size[0], size[1], c.Plain())
		}
	}
	show("beginning")
	r.keys("j", "9", "enter", "p", "+", "+", "+", "+", "+")
	show("playing")
	r.keys("p", "t", "0", "4", "2")
	show("typing")
	r.keys("enter")
	show("refused")
	r.keys("end")
	show("end")
	picture.Golden(t, "testdata/strip.txt", b.String())
}

func TestEverySize(t *testing.T) {
	pb, _ := played(t)
	r := run(t, pb)
	for set := look.Unicode; set <= look.ASCII; set++ {
		l := look.New(look.Dark(), look.TrueColor, set)
		for w := 1; w <= 250; w += 3 {
			for h := 1; h <= 80; h += 3 {
				c := frame.New(l, w, r.Rows(w, h))
				r.Draw(c.Pane(), nil)
				for _, line := range strings.Split(c.Plain(), "\n") {
					if frame.Width(line) != w {
						t.Fatalf("%d×%d: %q", w, h, line)
					}
				}
			}
		}
	}
}
