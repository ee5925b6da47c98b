package advice

import (
	"math"
	"slices"
	"time"

	"floorpace/internal/line"
)

// middle is the middle of an odd number of values, which it sorts.
func middle(v []float64) float64 {
	slices.Sort(v)
	return v[len(v)/2]
}

// spare is the volume below which the path counts as full, litres: far below a
// spoonful.
const spare = 1e-6

// volumes is the path volume of each batch still to lay, litres: those on the way
// by their own share, then whole kits, the last one what is left. What fills holes
// behind the front first does not move it.
func (s *scene) volumes() []float64 {
	var out []float64
	holes := s.holesL()
	for at := s.posL; at < s.endL-spare; {
		v := s.plan.NetYieldL(s.blend) * s.drift
		if k := len(out); k < len(s.inHand) {
			v = s.plan.NetYieldL(s.inHand[k].blend) * s.inHand[k].share * s.drift
		}
		fills := min(v, holes)
		v, holes = v-fills, holes-fills
		if !(v > spare) {
			v = spare // a part batch of nothing, or one that only fills, still takes its turn
		}
		v = min(v, s.endL-at)
		out = append(out, v)
		at += v
	}
	return out
}

// holesL is the path volume behind the front that was lifted and waits to be laid
// again.
func (s *scene) holesL() (l float64) {
	for i := range s.laid {
		if q := &s.laid[i]; q.Bad && !q.Lifted.IsZero() {
			l += max(0, min(q.ToL, s.posL)-q.FromL)
		}
	}
	return l
}

// build makes the line and its first state.
func (s *scene) build() (cfg line.Config, st line.Start) {
	vol := s.volumes()
	n := len(vol)
	c, sp, r := &s.plan.Crew, s.plan.Crew.Spread, &s.plan.Rules
	cfg = line.Config{
		Batches: n, Runners: s.hands.Runners, Buckets: s.hands.Buckets, VolL: vol,
		WalkSpread: s.legSpread(), Headway: c.Headway, EdgeMargin: r.EdgeMargin, BucketMargin: r.BucketMargin,
		ReactionAfter: s.blend.ReactionAfter(), PlannedDwell: s.dwell(),
	}
	if l := s.learned.Carry; l.plan > 0 {
		cfg.WalkSpread *= l.Spread / l.plan
		if l.own != nil {
			cfg.WalkShape = dist(time.Second, s.legSpread(), Ratio{Median: 1, Spread: l.Spread, plan: l.plan, own: l.own})
		}
	}
	cfg.BucketLife, _ = s.blend.BucketLife.At(s.ground.KitC)
	s.along(&cfg)
	s.posts(&cfg)
	mix := together(s.blend.MixTime(), sp.Mix, c.Scrape, sp.Scrape)
	for m := range s.mixers {
		mixing, clear := s.learnedMixer(m)
		cfg.Mixers = append(cfg.Mixers, line.Mixer{
			Mix: dist(s.blend.MixTime()+c.Scrape, mix, mixing), Clear: dist(c.Reset, sp.Reset, clear), Down: s.down[m],
		})
	}
	checks, needLps := s.checks(vol)
	cfg.Checks = checks
	front := s.frontPace(&cfg)
	cfg.StartInterval = s.interval(front, needLps)
	cfg.Buckets = s.loop(&cfg, cfg.StartInterval)
	s.rest(&cfg, front, needLps)
	st = s.start(&cfg)
	return cfg, st
}

// legSpread is the spread of the way to the front, taking the bucket up included:
// the middle of the places ahead. The way back is given the same, for the line has
// one for both; it is the shorter and holds up nothing that waits.
func (s *scene) legSpread() float64 {
	c := &s.plan.Crew
	var d []float64
	for i := range places {
		at := s.posL + (s.endL-s.posL)*(float64(i)+0.5)/places
		d = append(d, together(c.Load, c.Spread.Load, time.Duration(s.walk*float64(s.floor.Carry(at))), c.Spread.Walk))
	}
	return middle(d)
}

// along fills in what changes from batch to batch: walks and turns.
func (s *scene) along(cfg *line.Config) {
	at := s.posL
	cfg.Full, cfg.Empty = make([]time.Duration, cfg.Batches), make([]time.Duration, cfg.Batches)
	cfg.Turn = make([]time.Duration, cfg.Batches)
	walk := s.walk * s.learned.Carry.Median
	for k, v := range cfg.VolL {
		cfg.Full[k] = time.Duration(walk*float64(s.floor.Carry(at))) + time.Duration(s.learned.Carry.Median*float64(s.plan.Crew.Load))
		cfg.Empty[k] = time.Duration(walk * float64(s.floor.Back(at+v)))
		cfg.Turn[k] = time.Duration(s.floor.Path.RowEndsBetween(at, at+v)) * s.plan.Rules.Turn
		at += v
	}
}

// posts fills in pour, rake, roll and broadcast for the mean area of a batch.
func (s *scene) posts(cfg *line.Config) {
	c, sp := &s.plan.Crew, s.plan.Crew.Spread
	area := s.floor.AreaBetween(s.posL, s.endL) / (s.endL - s.posL) * s.plan.NetYieldL(s.blend) * s.drift
	over := func(m2min float64) time.Duration {
		if m2min <= 0 {
			return 0
		}
		return time.Duration(area / m2min * float64(time.Minute))
	}
	cfg.Pour = dist(c.Pour, sp.Pour, s.learned.Rake)
	cfg.Rake = dist(over(c.RakeM2Min), sp.Rake, s.learned.Rake)
	plain := Ratio{Median: 1, Spread: 1, plan: 1}
	if s.hands.Roll {
		cfg.Roll = dist(over(c.RollM2Min), sp.Roll, plain)
	}
	if s.hands.Broadcast {
		cfg.Broadcast = dist(over(c.BroadM2Min), sp.Broadcast, plain)
	}
}

// learnedMixer is what the day says of mixer m: pressed mixings by themselves,
// else its cycle for both parts. A mixer that is not in the plan is as the plan
// has them.
func (s *scene) learnedMixer(m int) (mixing, clear Ratio) {
	l := &s.learned
	if m >= len(l.Mixing) {
		one := newStep(together(s.blend.MixTime(), s.plan.Crew.Spread.Mix, s.plan.Crew.Scrape, s.plan.Crew.Spread.Scrape)).ratio()
		two := newStep(s.plan.Crew.Spread.Reset).ratio()
		return one, two
	}
	mixing, clear = l.Mixing[m], l.Clear[m]
	// A ratio of the cycle moves both parts alike, each within its own spread.
	part := func(r Ratio) Ratio {
		cy := l.Cycle[m]
		r.own = cy.own
		if cy.plan > 0 {
			r.Spread = r.plan * cy.Spread / cy.plan
		} else {
			r.Spread = cy.Spread
		}
		r.Median = cy.Median
		return r
	}
	if l.Cycle[m].Seen > 0 && mixing.Seen == 0 {
		mixing = part(mixing)
	}
	if l.Cycle[m].Seen > 0 && clear.Seen == 0 {
		clear = part(clear)
	}
	return mixing, clear
}

// interval paces the starts as the console calls them: as fast as the slowest post
// can take it where it is fastest, slower when a pace is set by hand, but never
// slower than the edge needs. Where the front is slower the buckets rest.
func (s *scene) interval(front []time.Duration, needLps float64) time.Duration {
	if s.slower > 0 {
		return s.slower
	}
	iv := max(s.limitPace(), slices.Min(front), s.handPace)
	if most := s.mostPace(needLps); most > 0 {
		iv = min(iv, most)
	}
	return iv
}

// mostPace is the longest interval that the hardest edge ahead allows; 0 for none.
func (s *scene) mostPace(needLps float64) time.Duration {
	if needLps <= 0 {
		return 0
	}
	return seconds(s.plan.NetYieldL(s.blend) * s.drift / needLps)
}

// frontPace is how soon after the batch before it each batch can be taken at the
// front: by the rake with the turns it has to make, and by the runners, whose way
// grows.
func (s *scene) frontPace(cfg *line.Config) []time.Duration {
	pour, rake := cfg.Pour.Mean(), cfg.Rake.Mean()
	out := make([]time.Duration, cfg.Batches)
	for k := range out {
		carry := (cfg.Full[k] + pour + cfg.Empty[k]) / time.Duration(max(1, cfg.Runners))
		out[k] = max(pour+rake+cfg.Turn[k], carry)
	}
	return out
}

// round is how long a bucket is out with a batch when nothing waits.
func (s *scene) round(cfg *line.Config, k int) time.Duration {
	mix, n := time.Duration(0), time.Duration(0)
	for _, m := range cfg.Mixers {
		if !m.Down {
			mix, n = mix+m.Mix.Mean(), n+1
		}
	}
	return mix/max(1, n) + cfg.Full[k] + cfg.Pour.Mean() + cfg.Empty[k]
}

// loop is how many buckets are out at a pace when none of them waits: the console
// holds the next start until the front can take it, so no more are mixed into a
// queue.
func (s *scene) loop(cfg *line.Config, interval time.Duration) int {
	if interval <= 0 {
		return s.hands.Buckets
	}
	most := 0
	for k := range cfg.Batches {
		most = max(most, int(math.Ceil(s.round(cfg, k).Seconds()/interval.Seconds()-1e-9)))
	}
	return max(1, min(s.hands.Buckets, most))
}

// rest lets the bucket of each batch stand until the start that it brings will find
// the front free, with those on the way before it: the console reckons so.
func (s *scene) rest(cfg *line.Config, front []time.Duration, needLps float64) {
	if most := s.mostPace(needLps); most > 0 {
		for k := range front {
			front[k] = min(front[k], most)
		}
	}
	cfg.Rest = make([]time.Duration, cfg.Batches)
	for k := range cfg.Rest {
		brings := k + cfg.Buckets
		if brings >= cfg.Batches {
			break // nothing more
		}
		busy := front[brings]
		for _, f := range front[k+1 : brings] {
			busy += max(f, cfg.StartInterval) // those on the way come no sooner
		}
		cfg.Rest[k] = max(0, busy-s.round(cfg, brings)+cfg.Empty[brings]-cfg.Empty[k])
	}
}

// start is the first state of the line.
func (s *scene) start(cfg *line.Config) line.Start {
	st := line.Start{Laid: s.gone, PositionL: s.posL, Mixers: s.mixers, History: s.history(cfg.Checks)}
	inMixers := 0
	for _, m := range s.mixers {
		if m.Mixing {
			inMixers++
		}
	}
	var ready []time.Duration // runners who came back, those whose walk is over
	for _, d := range s.back[max(0, len(s.back)-cfg.Runners):] {
		if d > 0 {
			st.RunnersBack = append(st.RunnersBack, d)
		} else {
			ready = append(ready, d)
		}
	}
	for _, d := range s.back {
		if d > 0 && len(st.EmptyBack) < cfg.Buckets {
			st.EmptyBack = append(st.EmptyBack, d)
		}
	}
	free := cfg.Runners - len(st.RunnersBack)
	for _, h := range s.inHand {
		if !h.full || len(st.Flight) == cfg.Batches {
			break
		}
		f := line.Flight{Where: line.Waiting, At: h.out, Reaction: h.reaction}
		if k := len(st.Flight); k < free {
			f.Where = line.Carried
			if i := k - (free - len(ready)); i >= 0 { // this runner had come back from the floor
				f.At = max(f.At, ready[i])
			}
		}
		if len(st.Flight) == 0 && f.Where == line.Carried {
			if at := s.pourBegan(f.At, cfg); at < 0 {
				f.Where, f.At = line.Pouring, at
			}
		}
		st.Flight = append(st.Flight, f)
	}
	// More are out than the plan names: the crew has found some.
	cfg.Buckets = max(cfg.Buckets, inMixers+len(st.Flight)+len(st.EmptyBack))
	if n := len(s.laid); n > 0 && !s.fresh {
		st.RakeFree = max(0, s.laid[n-1].End.Sub(s.now))
	}
	st.EmptyBack = s.handOut(cfg, &st, inMixers)
	return st
}

// handOut is when the buckets that are neither in a mixer nor full may be handed out,
// the next one first: when they are back, and no sooner than what they bring finds
// the front free, with what is on the way before it.
func (s *scene) handOut(cfg *line.Config, st *line.Start, inMixers int) []time.Duration {
	back := make([]time.Duration, max(0, cfg.Buckets-inMixers-len(st.Flight)))
	copy(back[max(0, len(back)-len(st.EmptyBack)):], slices.Sorted(slices.Values(st.EmptyBack)))
	pour, rake, free := cfg.Pour.Mean(), cfg.Rake.Mean(), max(0, st.RakeFree)
	take := func(k int, ready time.Duration) {
		free = max(ready+cfg.Full[k], free+cfg.Turn[k]) + pour + rake
	}
	k := 0
	for _, f := range st.Flight {
		ready := f.At
		if f.Where == line.Pouring {
			ready -= cfg.Full[k]
		}
		take(k, ready)
		k++
	}
	for i, m := range st.Mixers {
		if m.Mixing && k < cfg.Batches {
			take(k, max(0, m.Started+cfg.Mixers[i].Mix.Mean()))
			k++
		}
	}
	start := -cfg.StartInterval
	for i := range back {
		if k == cfg.Batches {
			break
		}
		mix := s.round(cfg, k) - cfg.Full[k] - pour - cfg.Empty[k]
		back[i] = max(back[i], free+cfg.Turn[k]-cfg.Full[k]-mix)
		start = max(back[i], start+cfg.StartInterval)
		take(k, start+mix)
		k++
	}
	return back
}

// pourBegan is when the pour of the first bucket begins or began, by the crew's
// own minutes, if it was taken up at an instant: the press that it is empty comes
// after, so a bucket that is due at the front is being poured.
func (s *scene) pourBegan(taken time.Duration, cfg *line.Config) time.Duration {
	at := taken + cfg.Full[0]
	if n := len(s.laid); n > 0 && !s.fresh {
		at = max(at, s.laid[n-1].End.Sub(s.now)+cfg.Turn[0])
	}
	return at
}

// history is what was laid, as far back as the checks reach, in the line's way of
// timing a batch: from the beginning of its pour. The life of each edge open now
// is in its check, so no share of it is spent here.
func (s *scene) history(checks []line.Check) []line.Lay {
	if s.fresh {
		return nil
	}
	from := math.Inf(1)
	for _, c := range checks {
		from = math.Min(from, c.CloseL-c.SpanL)
	}
	var out []line.Lay
	at, last := 0.0, time.Duration(math.MinInt64)
	for i := range s.laid {
		q := &s.laid[i]
		to := math.Min(q.ToL, s.posL) // a mark may have moved the front since
		if to <= at+spare {
			continue
		}
		start, end := max(last, q.Start.Sub(s.now)-s.plan.Crew.Pour), q.End.Sub(s.now)
		last = start
		if to > from {
			out = append(out, line.Lay{FromL: at, ToL: to, Start: start, End: max(start, end)})
		}
		at = to
	}
	if n := len(out); n > 0 {
		out[n-1].ToL = s.posL
	}
	return out
}
