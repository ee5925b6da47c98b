package cli

import (
	"context"
	"fmt"
	"io"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/pace"
	"floorpace/internal/rehearsal"
	"floorpace/internal/shift"
	"floorpace/internal/tui"
	"floorpace/internal/units"
)

func newDemo(env *Env) *cobra.Command {
	var seed uint64
	var speed float64
	var steps bool
	var logDir string
	var l looks
	c := &cobra.Command{
		Use:   "demo",
		Short: "Pour an invented floor with an invented crew on a fast clock",
		Long: `demo needs nothing: it pours an invented example plan with an invented crew on
a fast clock, with a mishap or two on the way. On a terminal the screens are
live and every key acts as in a real pour; without one the day runs to its end
and a summary is printed.

` + caution,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			p, err := demoPlan(steps)
			if err != nil {
				return err
			}
			if !env.Terminal {
				return demoToEnd(env, p, seed, logDir)
			}
			return demoLive(cmd.Context(), env, p, seed, speed, logDir, &l)
		},
	}
	c.Flags().Uint64Var(&seed, "seed", 1, "another number makes another day")
	c.Flags().Float64Var(&speed, "speed", 60, "how many times faster than life (1 to 600)")
	c.Flags().BoolVar(&steps, "steps", false, "the crew also presses the end of each mix step and each row rolled or broadcast")
	c.Flags().StringVar(&logDir, "log", "", "keep the day log in this folder")
	l.flags(c, "mix")
	return c
}

// fastClock runs an invented day: it starts at an instant and moves on by hand.
type fastClock struct {
	mu   sync.Mutex
	from time.Time
	gone time.Duration
}

func (c *fastClock) Now() daylog.Reading {
	c.mu.Lock()
	defer c.mu.Unlock()
	return daylog.Reading{Wall: c.from.Add(c.gone), Mono: c.gone, Awake: c.gone, Boot: demoBoot}
}

func (c *fastClock) add(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.gone += d
}

// What stands in the logs of invented days in the place of an installation and of a
// boot.
const (
	demoInstall = "demo"
	demoBoot    = "demo"
)

// demoLog opens the log of a demo day: in memory, or in a folder.
func demoLog(p *loaded, clock daylog.Clock, dir string) (shift.Log, []daylog.Record, string, error) {
	if dir == "" {
		m := shift.NewMemory(clock)
		return m, m.Records(), "", nil
	}
	h := daylog.Header{Station: "A", Day: clock.Now().Wall.Format("2006-01-02"), Plan: p.Wire, Install: demoInstall, App: "floorpace " + Version}
	l, err := daylog.Create(daylog.OS(), dir, h, clock, daylog.Options{Ballast: -1})
	if err != nil {
		return nil, nil, "", fail(ExitFailed, "the day log cannot be begun in %s: %v", dir, err)
	}
	c, err := daylog.Read(daylog.OS(), l.Path())
	if err != nil {
		return nil, nil, "", fail(ExitFailed, "%v", err)
	}
	return l, c.Records, l.Path(), nil
}

// demoDesk is the desk of an invented day, its clock, and where its log lies, if
// anywhere.
type demoDesk struct {
	clock *fastClock
	desk  *shift.Desk
	log   shift.Log
	path  string
}

func openDemo(p *loaded, dir string) (*demoDesk, error) {
	floors, err := pace.Floors(p.Plan)
	if err != nil {
		return nil, fail(ExitUsage, "%v", err)
	}
	d := &demoDesk{clock: &fastClock{from: p.Plan.Handover.Add(p.Plan.Preparation)}}
	var records []daylog.Record
	if d.log, records, d.path, err = demoLog(p, d.clock, dir); err != nil {
		return nil, err
	}
	d.desk = shift.Open(p.Plan, floors, d.log, d.clock, records, nil)
	d.desk.Steady()
	return d, nil
}

// demoStep is the step of the fast clock: short against any handling time.
const demoStep = 5 * time.Second

// demoMost ends a demo day that does not end by itself.
const demoMost = 24 * time.Hour

func demoToEnd(env *Env, p *loaded, seed uint64, logDir string) error {
	d, err := openDemo(p, logDir)
	if err != nil {
		return err
	}
	v := rehearse(d.desk, rehearsal.New(p.Plan, seed), d.clock, demoMost)
	note := "an invented floor, an invented crew"
	path := d.path
	if l, ok := d.log.(*daylog.Log); ok {
		path += "  " + seal(l, v)
		defer l.Close()
	}
	return printDay(env.Out, d.desk.State(), v, note, path)
}

// rehearse lets an invented crew pour until it is done or the time is up.
func rehearse(desk *shift.Desk, crew *rehearsal.Crew, clock *fastClock, most time.Duration) *day.Snapshot {
	v := desk.View().Snapshot
	for t := time.Duration(0); t < most && !crew.Done(v); t += demoStep {
		clock.add(demoStep)
		desk.Tick()
		v = desk.View().Snapshot
		presses := crew.Act(v)
		for _, press := range presses {
			desk.Press(press)
		}
		if len(presses) > 0 {
			v = desk.View().Snapshot
		}
	}
	return v
}

func printDay(w io.Writer, st *day.State, v *day.Snapshot, note, path string) error {
	p := &page{w: w, sys: st.Plan.Units}
	p.say("%s", st.Plan.Title)
	if note != "" {
		p.say("  %s", note)
	}
	for i, z := range v.Zones {
		when := "not begun"
		switch {
		case !z.Closed.IsZero():
			when = z.Began.Format("15:04") + " to " + z.Closed.Format("15:04")
		case !z.Began.IsZero():
			when = "begun " + z.Began.Format("15:04") + ", not closed"
		}
		p.say("  zone %-10s %.0f %% laid with %s, %s", z.Name, 100*z.Done, units.Count(z.Batches, "batch", "batches"), when)
		if j := st.Joined(i); j.OK {
			p.say("                  least slack on its edge %s, %s joined inside the margin, %s too late",
				units.Clock(j.Least), p.f(units.Length, j.RiskM), p.f(units.Length, j.LostM))
		}
	}
	t := st.Totals()
	p.say("  batches         %d poured, %d scrapped; %s left of %d", t.Poured, t.Scrapped, units.Count(t.Left, "kit", "kits"), t.Usable)
	for _, c := range v.History {
		head := "call"
		for _, w := range c.Was {
			p.say("  %s %s  %s: %s", head, w.At.Format("15:04:05"), w.What, w.Why)
			head = "then"
		}
		p.say("  %s %s  %s: %s", head, c.Spoke.Format("15:04:05"), c.What, c.Why)
	}
	if n := &v.Next; n.Say == day.SayHold { // a day that stands still never does so without its reason
		p.say("  stands still    HOLD %s since %s", n.Why, n.Since.Format("15:04:05"))
	}
	for _, o := range v.Opening {
		if o.Asked && o.OK {
			p.say("  opening         zone %s: %s from %s, %s", o.Zone, o.Use, o.At.Format("Mon 15:04"), map[bool]string{true: "in time", false: "TOO LATE"}[o.InTime])
		}
	}
	if path != "" {
		p.say("  day log         %s", path)
	}
	p.say("%s", caution)
	return p.err
}

// demoLive runs the screens over an invented crew.
func demoLive(ctx context.Context, env *Env, p *loaded, seed uint64, speed float64, logDir string, l *looks) error {
	if speed < 1 || speed > 600 {
		return fail(ExitUsage, "--speed %g: write a number from 1 to 600", speed)
	}
	d, err := openDemo(p, logDir)
	if err != nil {
		return err
	}
	sh := shift.Start(d.desk)
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	ticks := make(chan time.Time)
	crew := rehearsal.New(p.Plan, seed)
	failed := make(chan any, 1)
	go func() {
		defer func() {
			if r := recover(); r != nil {
				failed <- r
				stop() // the terminal is put back, then it is said
			}
		}()
		beat := time.NewTicker(demoBeat)
		defer beat.Stop()
		for {
			select {
			case <-ctx.Done():
				return
			case at := <-beat.C:
				d.clock.add(time.Duration(speed * float64(demoBeat)))
				select {
				case ticks <- at:
				case <-ctx.Done():
					return
				}
				for _, press := range crew.Act(sh.Latest().Snapshot) {
					sh.Press(press, at)
				}
			}
		}
	}()
	so, err := l.options(env, tui.Options{Source: sh, Title: "demo", Rate: func() float64 { return speed }})
	if err != nil {
		return err
	}
	if err := runScreens(ctx, env, so, func(c context.Context) { sh.Run(c, ticks) }); err != nil {
		return err
	}
	select {
	case r := <-failed:
		return fail(ExitFailed, "the invented crew failed: %v", r)
	default:
	}
	if d.path != "" {
		fmt.Fprintln(env.Out, "day log", d.path)
	}
	return nil
}

// demoBeat is how often the fast clock moves: at 60 times life every beat is
// three seconds, as long as hands take to answer a call.
const demoBeat = 50 * time.Millisecond
