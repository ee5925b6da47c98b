// Package rehearsal is an invented crew that works a plan: it starts and pours
// batches as the console calls for them, at its own uneven speed, with a mishap
// or two on the way. The demo runs on it, and tests of whole days.
//
// It sees what a crew sees (the published view) and presses what a crew
// presses; time and luck are arguments, so the same seed makes the same day. Where
// the day's plan wants steps on record it also presses the end of each mix step,
// the rows rolled and broadcast, and more marks of the front.
//
// The plan it is made from is the crew as it really is: with another plan than the
// day's it is a crew that the plan has wrong, for tests of what is learned.
package rehearsal

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/plan"
	"floorpace/internal/sheet"
)

// Crew is the invented crew.
type Crew struct {
	plan  *plan.Plan
	luck  *rand.Rand
	outAt map[int]time.Time // when each batch is really out of its mixer
	rake  time.Time         // when the raker is really free
	slow  time.Time         // nobody sees START before this
	next  map[string]time.Time
	did   map[string]bool
	begun time.Time
	drift float64 // how far a litre really goes, against the plan
	trueL float64 // where the front really is, litres of path
	known map[int]bool

	counted int // batches whose empties were counted

	steps  map[int][]time.Time // when each mix step still to be pressed really ends
	seen   time.Time           // the instant of the view before
	tick   time.Duration       // from view to view
	roller finisher
	caster finisher
}

// Drift is how far a litre goes with every such crew, against the plan: its floors
// come out a little thick.
const Drift = 0.985

// New makes a crew that works as a plan says, with a seed of luck.
func New(p *plan.Plan, seed uint64) *Crew {
	return &Crew{
		plan: p, luck: rand.New(rand.NewPCG(seed, 0x666c6f6f72)), outAt: map[int]time.Time{},
		next: map[string]time.Time{}, did: map[string]bool{}, drift: Drift, known: map[int]bool{},
		steps: map[int][]time.Time{},
	}
}

// vary draws a time around a median with a spread (sd of ln).
func (c *Crew) vary(median time.Duration, spread float64) time.Duration {
	return time.Duration(float64(median) * math.Exp(spread*c.luck.NormFloat64()))
}

// Act says what the crew presses at the instant of the view, in order.
func (c *Crew) Act(v *day.Snapshot) []day.Press {
	if c.begun.IsZero() {
		c.begun = v.Now
	}
	var out []day.Press
	out = append(out, c.mishaps(v)...)
	out = append(out, c.stepped(v)...)
	out = append(out, c.pours(v)...)
	out = append(out, c.readings(v)...)
	out = append(out, c.finished(v)...)
	out = append(out, c.ends(v)...)
	out = append(out, c.starts(v)...)
	if !c.seen.IsZero() {
		c.tick = v.Now.Sub(c.seen)
	}
	c.seen = v.Now
	return out
}

// Done reports whether the crew has nothing left to do.
func (c *Crew) Done(v *day.Snapshot) bool {
	for _, z := range v.Zones {
		if z.Closed.IsZero() {
			return false
		}
	}
	return true
}

func (c *Crew) starts(v *day.Snapshot) []day.Press {
	for i := range v.Mixers { // what others pressed counts too
		if b := v.Mixers[i].Batch; b > 0 && c.outAt[b].IsZero() {
			c.began(b, v)
		}
	}
	if v.Next.Mixer == 0 || v.Now.Before(c.slow) || v.Next.Say != day.SayStart && v.Next.Say != day.SayLate {
		return nil
	}
	if v.Zone < 0 && !c.moved(v) {
		return nil
	}
	c.slow = v.Now.Add(c.vary(4*time.Second, 0.5)) // hands are slower than the call
	return []day.Press{{Kind: day.BatchStarted, Mixer: v.Next.Mixer}}
}

// moved reports whether the crew has set up at the next zone.
func (c *Crew) moved(v *day.Snapshot) bool {
	at, ok := c.next["move"]
	return !ok || !v.Now.Before(at)
}

func (c *Crew) began(batch int, v *day.Snapshot) {
	s := c.plan.Crew.Spread
	mix := time.Duration(0)
	var blend *sheet.Blend
	if v.Blend != nil {
		if blend = c.plan.Sheet.Blend(v.Blend.Name); blend != nil {
			mix = blend.MixTime()
		}
	}
	took := c.vary(mix, s.Mix)
	from := v.Now
	if v.Plan.Rules.StepPresses { // the crew's own clock runs from the start itself
		from = v.Batches[batch-1].Started.Add(-c.late())
	}
	c.outAt[batch] = from.Add(took + c.vary(c.plan.Crew.Scrape, s.Scrape))
	if blend == nil || !v.Plan.Rules.StepPresses {
		return
	}
	for _, q := range blend.Steps {
		from = from.Add(time.Duration(float64(q.Time) * float64(took) / float64(mix)))
		c.steps[batch] = append(c.steps[batch], from)
	}
}

// pours empties the oldest bucket when a runner can be there and the raker is
// free.
func (c *Crew) pours(v *day.Snapshot) []day.Press {
	if v.Floor == nil || len(v.Buckets) == 0 && v.Zone < 0 {
		return nil
	}
	oldest, at := 0, time.Time{}
	for i := range v.Buckets {
		b := v.Buckets[i].Batch
		if c.outAt[b].IsZero() {
			c.outAt[b] = v.Now
		}
		if oldest == 0 || b < oldest {
			oldest, at = b, c.outAt[b]
		}
	}
	if oldest == 0 {
		return nil
	}
	if i := v.Buckets[0]; i.Dead {
		return []day.Press{{Kind: day.BatchScrapped, Batch: i.Batch, Why: "too old"}}
	}
	cr := &c.plan.Crew
	key := "pour" // drawn once a batch
	if !c.known[oldest] {
		c.known[oldest] = true
		walk := time.Duration(v.Floor.Path.Distance(v.PosL) / cr.WalkFull * float64(time.Second))
		there := at.Add(cr.Load + c.vary(walk, cr.Spread.Walk))
		if there.Before(c.rake) {
			there = c.rake
		}
		c.next[key] = there.Add(c.vary(cr.Pour, cr.Spread.Pour))
	}
	if v.Now.Before(c.next[key]) {
		return nil
	}
	net := v.Floor.NetL(v.Floor.Blend)
	area := v.Floor.AreaBetween(v.PosL, v.PosL+net)
	poured := v.Now
	if v.Plan.Rules.StepPresses { // the pour itself, not its press, which comes a little later
		poured = c.next[key].Add(time.Duration(v.Floor.Path.RowEndsBetween(v.PosL, v.PosL+net)) * c.plan.Rules.Turn)
	}
	c.rake = poured.Add(c.vary(time.Duration(area/cr.RakeM2Min*float64(time.Minute)), cr.Spread.Rake))
	c.trueL += net * c.drift * c.uneven(v)
	return []day.Press{{Kind: day.BatchPoured, Batch: oldest}}
}

// due reports whether a repeating job is due and sets its next time.
func (c *Crew) due(what string, now time.Time, every time.Duration) bool {
	at, ok := c.next[what]
	if !ok {
		c.next[what] = now.Add(every)
		return false
	}
	if now.Before(at) {
		return false
	}
	c.next[what] = now.Add(every)
	return true
}

// warming is how long machines and people warm an invented room: then it stays as
// it is. Without an end a long day would leave every sheet.
const warming = 4 * time.Hour

// readings are taken a little late, and the front is marked now and then.
func (c *Crew) readings(v *day.Snapshot) []day.Press {
	var out []day.Press
	if c.due("read", v.Now, 48*time.Minute) && !math.IsNaN(v.Air.SlabC) {
		h := min(v.Now.Sub(c.begun), warming).Hours()
		put := func(what string, at float64) {
			out = append(out, day.Press{Kind: day.ReadingTaken, What: what, Value: day.Value(math.Round(at*10) / 10)})
		}
		put(day.ReadSlab, c.plan.Readings.SlabC+0.6*h+0.2*c.luck.NormFloat64()) // machines and people warm the room
		put(day.ReadAir, c.plan.Readings.AirC+0.8*h+0.2*c.luck.NormFloat64())
		put(day.ReadKit, c.plan.Readings.KitC+0.4*h+0.2*c.luck.NormFloat64())
		out = append(out, day.Press{Kind: day.ReadingTaken, What: day.ReadHumidity, Value: day.Value(math.Round(100*(c.plan.Readings.Humidity+0.01*h)) / 100)})
	}
	for _, job := range v.Jobs {
		if job.ID == day.JobCount && c.due("tally", v.Now, 30*time.Second) {
			out = append(out, c.tally(v))
		}
	}
	return append(out, c.mark(v)...)
}

// mark measures the front every dozen batches, twice as often where the plan wants
// steps on record.
func (c *Crew) mark(v *day.Snapshot) []day.Press {
	every, show := 12, func(x float64) float64 { return math.Floor(10*x) / 10 }
	if v.Plan.Rules.StepPresses {
		every, show = 6, func(x float64) float64 { return math.Round(10*x) / 10 }
	}
	n := len(v.Laid)
	if n == 0 || n%every != 0 || c.trueL <= 0 {
		return nil
	}
	what := fmt.Sprintf("mark %s %d", v.Floor.Z.Name, n)
	if c.did[what] {
		return nil
	}
	c.did[what] = true
	pos := math.Min(c.trueL, v.Floor.Path.TotalL())
	return []day.Press{{Kind: day.FrontMarked, AreaM2: day.Value(show(v.Floor.Path.AreaAt(pos)))}}
}

// tally counts the empties since the last count: one of each part for every
// batch started.
func (c *Crew) tally(v *day.Snapshot) day.Press {
	counts, n := "", v.Next.Batch-1-c.counted
	c.counted += n
	for i, part := range v.Floor.Blend.Parts {
		if i > 0 {
			counts += " "
		}
		counts += fmt.Sprintf("%s=%d", strings.ReplaceAll(part.Name, " ", "_"), n)
	}
	return day.Press{Kind: day.TallyTaken, Counts: counts}
}

// ends closes a full zone and moves on.
func (c *Crew) ends(v *day.Snapshot) []day.Press {
	if v.Zone < 0 || v.Next.Say != day.SayDone || len(v.Buckets) > 0 || v.Kits.OnTheWay > 0 {
		return nil
	}
	if v.PosL < v.Floor.Path.TotalL()-1e-6 || c.finishing(v) {
		return nil
	}
	c.trueL, c.roller, c.caster = 0, finisher{}, finisher{}
	if i := v.Zone + 1; i < len(c.plan.Zones) {
		c.next["move"] = v.Now.Add(c.plan.Zones[i].Move)
	}
	return []day.Press{{Kind: day.ZoneClosed}}
}

// mishaps are what goes wrong: a forklift in the way, a dropped bucket, a mixer
// that dies and comes back.
func (c *Crew) mishaps(v *day.Snapshot) []day.Press {
	once := func(what string, when bool) bool {
		if !when || c.did[what] {
			return false
		}
		c.did[what] = true
		return true
	}
	n := 0
	for _, z := range v.Zones {
		n += z.Batches
	}
	switch {
	case once("forklift", n >= 14 && v.Hold == nil):
		c.next["forklift"] = v.Now.Add(100 * time.Second)
		return []day.Press{{Kind: day.HoldBegan, Why: "WAY BLOCKED"}}
	case v.Hold != nil && v.Hold.Why == "WAY BLOCKED" && !v.Now.Before(c.next["forklift"]):
		return []day.Press{{Kind: day.HoldEnded}}
	case once("dropped", n >= 22 && len(v.Buckets) > 0):
		return []day.Press{{Kind: day.BatchScrapped, Batch: v.Buckets[0].Batch, Why: "dropped"}}
	case once("mixer", n >= 31 && c.plan.Crew.Mixers > 1):
		c.next["mixer"] = v.Now.Add(9 * time.Minute)
		return []day.Press{{Kind: day.PostLost, Post: day.PostMixer, Which: 2, Why: "gearbox"}}
	case c.did["mixer"] && !v.Now.Before(c.next["mixer"]) && once("mixer back", true):
		return []day.Press{{Kind: day.PostReturned, Post: day.PostMixer, Which: 2}}
	}
	return nil
}
