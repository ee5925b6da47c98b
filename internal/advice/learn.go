package advice

import (
	"math"
	"slices"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/line"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
	"floorpace/internal/sheet"
	"floorpace/internal/stats"
)

// priorWeight is how many timed batches the plan's minutes are worth: two rounds
// of three mixers. One odd batch then moves a median by a seventh of its own
// difference, and an hour of timings outweighs the plan.
const priorWeight = 6

// A time is believed within these bounds of the plan's: below, a press was
// doubled or missed; above, somebody had a break that nobody pressed.
const (
	ratioLeast = 0.4
	ratioMost  = 2.5
	cycleMost  = 1.6 // a cycle is the surest of the times, and a break the likeliest mistake
)

// Ratio is what is known of one step against the plan's minutes: its median as a
// share of the plan's, and its spread (sd of ln). Seen is how many times it rests
// on beside the plan.
type Ratio struct {
	Median, Spread float64
	Seen           int

	plan float64 // the plan's spread
	own  *shape  // of the day's own times, once enough were seen
}

// shape is how the day's own times of a step lie about their middle: logarithms
// less their mean, over their standard deviation, ascending.
type shape struct{ z []float64 }

// Learned is what the day's own timings say of the crew. Mixing, Clear and Cycle
// are by mixer, from 0. The ratio of a step never seen is 1.
type Learned struct {
	Mixing, Clear, Cycle []Ratio
	Carry, Rake          Ratio
}

// step is one step's time being learned: the ratio to the plan, held as seconds.
type step struct {
	stats.LogTime
	plan float64   // the plan's spread
	logs []float64 // of the ratios seen
}

func newStep(spread float64) step {
	l, err := stats.NewLogTime(time.Second, math.Max(0, spread), priorWeight)
	if err != nil { // a second, a spread from 0 up and a weight above 0 are never refused
		panic(err)
	}
	return step{LogTime: l, plan: spread}
}

// see takes in a time that the plan puts at planned.
func (s *step) see(took, planned time.Duration, most float64) {
	if planned <= 0 {
		return
	}
	if r := took.Seconds() / planned.Seconds(); r >= ratioLeast && r <= most {
		s.Observe(time.Duration(r * float64(time.Second)))
		s.logs = append(s.logs, math.Log(r))
	}
}

func (s step) ratio() Ratio {
	return Ratio{Median: s.Median().Seconds(), Spread: s.NextSpread(), Seen: s.N(), plan: s.plan}
}

// together is the spread of the sum of two steps of the plan.
func together(a time.Duration, spreadA float64, b time.Duration, spreadB float64) float64 {
	if a+b <= 0 {
		return 0
	}
	return math.Hypot(a.Seconds()*spreadA, b.Seconds()*spreadB) / (a + b).Seconds()
}

// learner holds the steps of a crew while a day is read.
type learner struct {
	v                    *day.Snapshot
	mixing, clear, cycle []step
	carry, rake          step

	// Of the zone that is read now.
	floor *pace.Zone
	laid  []day.Laying
}

// shapeOf is the shape of a step's own times over every place that does it, each
// about its own mean; nil while fewer than least were seen, or all are alike.
func shapeOf(steps []step, least int) *shape {
	var z []float64
	var squares float64
	free := 0
	for _, s := range steps {
		var mean float64
		for _, x := range s.logs {
			mean += x / float64(len(s.logs))
		}
		for _, x := range s.logs {
			z = append(z, x-mean)
			squares += (x - mean) * (x - mean)
		}
		free += max(0, len(s.logs)-1)
	}
	if least <= 0 || len(z) < least || squares < 1e-12 {
		return nil
	}
	sd := math.Sqrt(squares / float64(free))
	for i := range z {
		z[i] /= sd
	}
	slices.Sort(z)
	return &shape{z}
}

// Learn reads the timings of a day.
func Learn(v *day.Snapshot) Learned {
	p := v.Plan
	b := v.Blend
	if b == nil {
		b = &p.Sheet.Blends[0]
	}
	c, sp := &p.Crew, p.Crew.Spread
	l := learner{v: v}
	mix := together(b.MixTime(), sp.Mix, c.Scrape, sp.Scrape)
	for range c.Mixers {
		l.mixing = append(l.mixing, newStep(mix))
		l.clear = append(l.clear, newStep(sp.Reset))
		l.cycle = append(l.cycle, newStep(together(b.MixTime()+c.Scrape, mix, c.Reset, sp.Reset)))
	}
	l.floor = v.Floor
	l.carry, l.rake = newStep(l.legSpread()), newStep(together(c.Pour, sp.Pour, l.rakeTime(b), sp.Rake))
	l.mixers()
	for i := range v.EachZone { // a crew walks and rakes alike in every zone
		l.floor, l.laid = v.Floors[i], v.EachZone[i].Laid
		l.front()
	}
	var out Learned
	least := p.Rules.OwnTimes
	for m := range l.mixing {
		out.Mixing = append(out.Mixing, l.mixing[m].ratio())
		out.Clear = append(out.Clear, l.clear[m].ratio())
		out.Cycle = append(out.Cycle, l.cycle[m].ratio())
	}
	out.Carry, out.Rake = l.carry.ratio(), l.rake.ratio()
	out.Carry.own, out.Rake.own = shapeOf([]step{l.carry}, least), shapeOf([]step{l.rake}, least)
	mixing, clear, cycle := shapeOf(l.mixing, least), shapeOf(l.clear, least), shapeOf(l.cycle, least)
	for m := range out.Cycle {
		out.Mixing[m].own, out.Clear[m].own, out.Cycle[m].own = mixing, clear, cycle
	}
	return out
}

// legSpread is the spread of a batch's way by the plan: taken up, carried, poured.
func (l *learner) legSpread() float64 {
	c := &l.v.Plan.Crew
	if l.floor == nil {
		return c.Spread.Walk
	}
	walk := l.floor.Carry(l.floor.Path.TotalL() / 2)
	up := together(c.Load, c.Spread.Load, walk, c.Spread.Walk)
	return together(c.Load+walk, up, c.Pour, c.Spread.Pour)
}

// rakeTime is the plan's time of the rake for a batch of b.
func (l *learner) rakeTime(b *sheet.Blend) time.Duration {
	if l.floor == nil || l.v.Plan.Crew.RakeM2Min <= 0 {
		return 0
	}
	return time.Duration(l.floor.M2PerKit(b) / l.v.Plan.Crew.RakeM2Min * float64(time.Minute))
}

// mixers learns mixing, clearing and cycles from the starts on each mixer.
func (l *learner) mixers() {
	p := l.v.Plan
	last := map[int]*day.Batch{}
	for i := range l.v.Batches {
		b := &l.v.Batches[i]
		bl := p.Sheet.Blend(b.Blend)
		if b.Started.IsZero() || bl == nil || b.Mixer < 1 || b.Mixer > len(l.mixing) {
			continue
		}
		m := b.Mixer - 1
		if b.MixedTold {
			l.mixing[m].see(b.Mixed.Sub(b.Started), bl.MixTime()+p.Crew.Scrape, ratioMost)
		}
		if was := last[m]; was != nil && was.Blend == b.Blend && l.mixersLead(was, b, bl) {
			if was.MixedTold {
				l.clear[m].see(b.Started.Sub(was.Mixed), p.Crew.Reset, ratioMost)
			} else {
				l.cycle[m].see(b.Started.Sub(was.Started), p.Cycle(bl), cycleMost)
			}
		}
		last[m] = b
	}
}

// mixersLead reports whether nothing but the mixer itself set the time from one
// of its starts to the next: no hold, no outage, no slower pace, and no other
// post slower than the mixers.
func (l *learner) mixersLead(was, b *day.Batch, bl *sheet.Blend) bool {
	v := l.v
	if was.Zone != b.Zone || was.Share < 1 || b.Zone < 0 || b.Zone >= len(v.EachZone) {
		return false
	}
	for _, q := range v.Paces { // waiting that was ordered is no slowness
		if overlaps(q.From, q.To, was.Started, b.Started) {
			return false
		}
	}
	for _, h := range v.Holds {
		if overlaps(h.From, h.To, was.Started, b.Started) {
			return false
		}
	}
	h := pace.HandsOf(v.Plan)
	for _, o := range v.Outages {
		if !overlaps(o.From, o.To, was.Started, b.Started) {
			continue
		}
		if o.Post != day.PostMixer || o.Which == b.Mixer {
			return false
		}
		h.Mixers--
	}
	_, post := v.Floors[b.Zone].Limit(bl, h, frontAt(v.EachZone[b.Zone].Laid, was.Started))
	return post == "mixers"
}

// frontAt is how far the front of a zone was at an instant, litres: what is
// judged by where the front is now would be judged anew by every batch.
func frontAt(laid []day.Laying, t time.Time) (volL float64) {
	for i := range laid {
		if q := &laid[i]; !q.End.After(t) {
			volL = q.ToL
		}
	}
	return volL
}

// overlaps reports whether the time from a (to b, or still) touches [from, to].
func overlaps(a, b, from, to time.Time) bool {
	return a.Before(to) && (b.IsZero() || b.After(from))
}

// front learns carry, pour and rake from the pours of the zone, in order.
func (l *learner) front() {
	v, c := l.v, &l.v.Plan.Crew
	var poured []*day.Batch // of the layings so far
	for k := range l.laid {
		no := l.laid[k].Batch
		if no < 1 || no > len(v.Batches) {
			continue
		}
		b := &v.Batches[no-1]
		bl := v.Plan.Sheet.Blend(b.Blend)
		if bl == nil || b.Poured.IsZero() {
			continue
		}
		from := l.laid[k].FromL
		leg := c.Load + l.floor.Carry(from) + c.Pour
		out := b.Mixed
		if !b.MixedTold {
			out = b.Started.Add(time.Duration(float64(bl.MixTime()+c.Scrape) * l.mixRatio(b.Mixer)))
		}
		n := len(poured)
		if l.runnerWaits(poured, out, from) && (n == 0 || l.rakeWaits(poured[n-1], b, k, bl)) {
			l.carry.see(b.Poured.Sub(out), leg, ratioMost)
		}
		if n > 0 && v.Plan.Crew.Runners > 1 && !out.Add(leg-c.Pour).After(poured[n-1].Poured) && !l.rakeOut(poured[n-1].Poured, b.Poured) {
			l.rake.see(b.Poured.Sub(poured[n-1].Poured)-l.turns(k), c.Pour+l.rakeTime(bl), ratioMost)
		}
		poured = append(poured, b)
	}
}

// mixRatio is the best guess at a mixer's mixing so far, from 1 up.
func (l *learner) mixRatio(mixer int) float64 {
	if mixer < 1 || mixer > len(l.mixing) {
		return 1
	}
	if m := &l.mixing[mixer-1]; m.N() > 0 {
		return m.Median().Seconds()
	}
	return l.cycle[mixer-1].Median().Seconds()
}

// runnerWaits reports whether a runner stood ready when a bucket came out.
func (l *learner) runnerWaits(poured []*day.Batch, out time.Time, from float64) bool {
	i := len(poured) - l.v.Plan.Crew.Runners
	return i < 0 || !poured[i].Poured.Add(l.floor.Back(from)).After(out)
}

// rakeWaits reports whether the rake was free well before a pour, so that the
// bucket came straight from the mixer.
func (l *learner) rakeWaits(was, b *day.Batch, k int, bl *sheet.Blend) bool {
	free := was.Poured.Add(l.rakeTime(bl) + l.turns(k) + l.v.Plan.Crew.Pour)
	return free.Before(b.Poured) && !l.rakeOut(was.Poured, b.Poured)
}

func (l *learner) rakeOut(from, to time.Time) bool {
	for _, o := range l.v.Outages {
		if (o.Post == day.PostRake || o.Post == day.PostRunner) && overlaps(o.From, o.To, from, to) {
			return true
		}
	}
	return false
}

// turns is the time of the row ends that laying k met.
func (l *learner) turns(k int) time.Duration {
	q := &l.laid[k]
	return time.Duration(l.floor.Path.RowEndsBetween(q.FromL, q.ToL)) * l.v.Plan.Rules.Turn
}

// unlearned is the crew as the plan has it.
func unlearned(p *plan.Plan, f *pace.Zone, b *sheet.Blend) Learned {
	return Learn(&day.Snapshot{Plan: p, Blend: b, Floor: f})
}

// dist is a step of the plan as the day has shown it: median and spread both move
// in the ratio learned. With a shape of its own it takes the day's times in place of
// the lognormal curve, at that median and spread.
func dist(median time.Duration, spread float64, r Ratio) line.Dist {
	if median <= 0 {
		return line.Dist{}
	}
	if r.plan > 0 {
		spread *= r.Spread / r.plan
	} else {
		spread = r.Spread
	}
	at := float64(median) * r.Median
	if r.own == nil {
		return line.LogNormal(time.Duration(at), spread)
	}
	times := make([]time.Duration, len(r.own.z))
	for i, z := range r.own.z {
		times[i] = time.Duration(at * math.Exp(spread*z))
	}
	return line.Observed(times)
}
