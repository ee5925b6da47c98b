package advice

import (
	"context"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/line"
)

// Outlook is the forecast from an instant on.
type Outlook struct {
	Facts int       // the snapshot's facts it rests on
	From  time.Time // the instant it was made for
	OK    bool      // false: Why says what is missing
	// Why says what is missing, or why nothing comes: with no mixer, runner or
	// rake at work the chance of the edge is nought, and the finish is zero.
	Why     string
	Days    int     // days studied
	Edge    float64 // chance that every edge holds, its margin kept
	Live    float64 // the same with the margin used up
	Buckets float64 // chance that no bucket dies
	Both    float64
	// Finish of the zone (last batch raked) in 10, 50 and 90 of 100 days.
	P10, P50, P90 time.Time
	Opening       time.Time // of the use the plan asks for, from P50; zero = no figure
	InTime        bool
	Kits          int        // still to lay, those on the way included
	Use           []line.Use // of each post, the tightest first
	Learned       Learned
	// Ways are best first; the first entry never is "as now". Without a figure for
	// now they are those that give one.
	Ways    []Way
	Refused []Refuse // ways that are not offered, and why
	Notes   []string // what the figures take for granted
	// Day is the whole day. It may rest on older facts than the rest: its own
	// Facts and From say which.
	Day Day
}

// Way is one way out.
type Way struct {
	ID       string
	What     string // a few words
	Figure   string // its own figure: "pull 6.0 m", "to joint 3: 14 kits, 21:00"
	Edge     float64
	Buckets  float64
	Both     float64
	P50      time.Time
	Opening  time.Time // of the use the plan asks for; zero = no figure
	InTime   bool
	People   int        // more hands than now
	Kits     int        // kits from here to the end it leads to, those on the way included
	Short    bool       // more than are on hand
	LeavesM2 float64    // floor that it leaves for another day, m²
	Press    *day.Press // the press that records the choice: what the console acts on, else the decision
}

// Refuse is a way that cannot be offered.
type Refuse struct{ ID, What, Why string }

// Case is a question made ready from a snapshot; it holds plain values only.
type Case struct {
	v    *day.Snapshot
	s    *scene
	laid bool // the zone now takes nothing more: only later ones are left
	all  bool // see Every
}

// Ask makes a question of a snapshot; false when there is nothing to forecast: no
// zone to look at, or nothing left to lay in it or in any later one.
func Ask(v *day.Snapshot) (Case, bool) {
	if v == nil || v.Floor == nil || v.Blend == nil {
		return Case{}, false
	}
	c := Case{v: v, s: look(v), laid: v.EndL-v.PosL <= spare}
	return c, !c.laid || len(c.s.later) > 0
}

// Every is the question that offers each way it judges, one that gains nothing too:
// for somebody who asks what a change would have done, not what to do now.
func (c Case) Every() Case {
	c.all = true
	return c
}

// Judge studies the zone now and its ways out, each for that many days on the luck
// of seed; later zones add the plan's minutes to the openings. It is safe to call
// from any goroutine; a cancelled ctx gives an Outlook that is not OK.
func (c Case) Judge(ctx context.Context, days int, seed uint64) Outlook {
	return c.judge(run{ctx: ctx, days: days, seed: seed})
}

// JudgeDay is Judge with every later zone of the day simulated too: Outlook.Day is
// filled, and the openings go by it.
func (c Case) JudgeDay(ctx context.Context, days int, seed uint64) Outlook {
	r := run{ctx: ctx, days: days, seed: seed, each: true}
	r.rest = newRest(r)
	return c.judge(r)
}

func (c Case) judge(all run) Outlook {
	o := Outlook{Facts: c.v.Facts, From: c.v.Now, Days: all.days, Learned: c.s.learned}
	failed := func(err error) Outlook { return Outlook{Facts: o.Facts, From: o.From, Why: err.Error()} }
	r := all.onZone(c.s.floor)
	if c.laid {
		o.Why = laidAlready(c.s.floor.Z.Name)
		if err := c.day(r, verdict{}, &o); err != nil {
			return failed(err)
		}
		return o
	}
	if o.Why = c.s.missing(); o.Why != "" {
		o.Day = Day{Facts: o.Facts, From: o.From, Why: o.Why}
		w := ways{run: r, s: c.s, v: c.v, out: &o, every: c.all}
		if err := w.figures(); err != nil {
			return failed(err)
		}
		rank(o.Ways, c.v.Plan.Rules.Chance)
		return o
	}
	base, err := r.study(c.s)
	if err != nil {
		return failed(err)
	}
	o.OK, o.Why = true, base.idle
	o.Edge, o.Live, o.Buckets, o.Both = base.EdgesHold, base.EdgesLive, base.BucketsHold, base.Both
	o.Kits, o.Use = base.batches, base.Ranking
	if base.idle == "" {
		at := func(d time.Duration) time.Time { return c.v.Now.Add(d) }
		o.P10, o.P50, o.P90 = at(base.Laid.P10), at(base.Laid.P50), at(base.Laid.P90)
		o.Opening, o.InTime = r.opening(c.s, base)
	}
	if err := c.day(r, base, &o); err != nil {
		return failed(err)
	}
	o.Notes = c.notes(r)
	w := ways{run: r, s: c.s, v: c.v, base: base, out: &o, every: c.all}
	if err := w.all(); err != nil {
		return failed(err)
	}
	rank(o.Ways, c.v.Plan.Rules.Chance)
	return o
}

// NotStudied stands in Day.Why where only the zone now was studied.
const NotStudied = "not studied yet"

// day fills in the whole day, where it is asked for.
func (c Case) day(r run, now verdict, o *Outlook) error {
	o.Day = Day{Facts: o.Facts, From: o.From, Why: NotStudied}
	if r.rest == nil {
		return nil
	}
	if o.Day.Why = now.idle; now.idle != "" {
		return nil
	}
	zones, why, err := r.rest.of(c.s)
	if o.Day.Why = why; err != nil || why != "" {
		return err
	}
	g := c.s.string(r.days)
	if !c.laid {
		g.add(c.s.of(now))
	} else if n := len(c.s.laid); n > 0 {
		g.begin(c.s.laid[n-1].End.Sub(c.s.now)) // the rake may still be at it
	}
	for _, z := range zones {
		g.add(z)
	}
	o.Day = g.day(o.Facts, r.days)
	return nil
}

// notes say what the figures take for granted.
func (c Case) notes(r run) (out []string) {
	if c.v.Hold != nil {
		out = append(out, "as if mixing goes on at once")
	}
	if len(c.s.later) > 0 && r.rest == nil {
		out = append(out, "this zone only; later zones by the plan's minutes")
	}
	return out
}
