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
	cfg.StartInterval = s.interval(&cfg, needLps)
	cfg.Buckets = s.loop(max(s.limitPace(), s.rakePace(&cfg)))
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
// and the rake with its turns can take it, slower when a pace is set by hand, but
// never slower than the edge needs.
func (s *scene) interval(cfg *line.Config, needLps float64) time.Duration {
	if s.slower > 0 {
		return s.slower
	}
	iv := max(s.limitPace(), s.rakePace(cfg), s.handPace)
	if needLps > 0 {
		iv = min(iv, seconds(s.plan.NetYieldL(s.blend)*s.drift/needLps))
	}
	return iv
}

// rakePace is the mean time the rake takes over a batch, turns included.
func (s *scene) rakePace(cfg *line.Config) time.Duration {
	turns := time.Duration(0)
	for _, t := range cfg.Turn {
		turns += t
	}
	return cfg.Pour.Mean() + cfg.Rake.Mean() + turns/time.Duration(max(1, cfg.Batches))
}

// loop is how many buckets are out at a pace when none of them waits: the console
// holds the next start until the front can take it, so no more are mixed into a
// queue.
func (s *scene) loop(interval time.Duration) int {
	if interval <= 0 {
		return s.hands.Buckets
	}
	var round []float64
	for i := range places {
		at := s.posL + (s.endL-s.posL)*(float64(i)+0.5)/places
		round = append(round, (s.floor.Lead(s.blend, at) + s.plan.Crew.Pour + s.floor.Back(at)).Seconds())
	}
	return max(1, min(s.hands.Buckets, int(math.Ceil(middle(round)/interval.Seconds()-1e-9))))
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
	return st
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
