package advice

import (
	"fmt"
	"math"
	"strings"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/line"
	"floorpace/internal/pace"
	"floorpace/internal/units"
)

// ways tries what a crew could change from a scene.
type ways struct {
	run
	s    *scene
	v    *day.Snapshot
	base verdict
	out  *Outlook

	every bool // offer a way that gains nothing too
}

// helps is the least gain in chance that is worth saying: half of what 2,000 days
// can tell apart at 95 in 100.
const helps = 0.005

// figures tries what gives a figure back where the sheet has none at the readings.
func (w *ways) figures() error {
	for _, try := range []func() error{w.coolerKits, w.otherBlends, w.heatFirst} {
		if err := try(); err != nil {
			return err
		}
	}
	return nil
}

func (w *ways) all() error {
	for _, try := range []func() error{
		w.moreMixers, w.moreRunners, w.rakeBack, w.narrower, w.shallower, w.sameSide, w.fewerBuckets, w.nearer,
		w.coolerKits, w.otherBlends, w.slowerPace, w.heatFirst, w.stops, w.cutBack,
	} {
		if err := try(); err != nil {
			return err
		}
	}
	return nil
}

// copy is the scene with something still to be changed.
func (s *scene) copy() *scene {
	c := *s
	return &c
}

// judge studies a changed scene and offers it when it gains something, or always.
func (w *ways) judge(s *scene, x Way, always bool) error {
	v, err := w.study(s)
	if err != nil {
		return err
	}
	w.offer(s, x, v, always)
	return nil
}

func (w *ways) offer(s *scene, x Way, v verdict, always bool) {
	x = w.way(s, x, v)
	if x.Press == nil {
		x.Press = &day.Press{Kind: day.DecisionMade, What: x.ID, Text: x.What + ": " + x.Figure}
	}
	gains := v.EdgesHold > w.base.EdgesHold+helps || v.Both > w.base.Both+helps ||
		x.InTime && !w.out.InTime && v.EdgesHold > w.base.EdgesHold-helps
	if always || gains || w.every {
		w.out.Ways = append(w.out.Ways, x)
		return
	}
	why := "gains nothing: " + v.idle
	if v.idle == "" {
		why = fmt.Sprintf("gains nothing: %s, edge %s and buckets %s; as now %s and %s", x.Figure,
			inHundred(v.EdgesHold), inHundred(v.BucketsHold), inHundred(w.base.EdgesHold), inHundred(w.base.BucketsHold))
	}
	w.refuse(x.ID, x.What, why)
}

func inHundred(share float64) string { return fmt.Sprintf("%.0f %%", 100*share) }

// enough says why a way that only saves what is in danger is not tried.
const enough = "not needed: edge and buckets hold at the chance asked for"

func (w *ways) refuse(id, what, why string) {
	w.out.Refused = append(w.out.Refused, Refuse{id, what, why})
}

// holds reports whether a study keeps edge and buckets at the chance asked for.
func (w *ways) holds(v verdict) bool { return v.Both >= w.v.Plan.Rules.Chance }

func (w *ways) length(m float64) string { return units.Format(units.Length, m, w.v.Plan.Units) }

// outOf is the first post of a kind that is out of service, 0 for none.
func (w *ways) outOf(post string) int {
	for _, q := range w.v.Posts {
		if q.Post == post && !q.Down.IsZero() {
			return q.Which
		}
	}
	return 0
}

// rakeBack brings the rake back: nothing is laid without it.
func (w *ways) rakeBack() error {
	if w.outOf(day.PostRake) == 0 {
		return nil
	}
	s := w.s.copy()
	s.hands.Rake = true
	return w.judge(s, Way{ID: "rake", What: "rake back at work", Figure: "one every " + units.Clock(s.limitPace())}, false)
}

func (w *ways) mixerOut(no int) bool {
	for _, q := range w.v.Posts {
		if q.Post == day.PostMixer && q.Which == no {
			return !q.Down.IsZero()
		}
	}
	return false
}

// moreMixers brings back the power or the mixer that is out, else adds one.
func (w *ways) moreMixers() error {
	s := w.s.copy()
	s.down = append([]bool(nil), w.s.down...)
	s.mixers = append([]line.MixerAt(nil), w.s.mixers...)
	x := Way{ID: "mixer", What: "one more mixer", People: 1}
	power := w.outOf(day.PostPower) > 0
	if power {
		x.What, x.People = "power back", 0
	}
	for i, d := range s.down {
		if d && power {
			s.down[i] = w.mixerOut(i + 1) // its own fault stays
		} else if d {
			x.What, x.People = fmt.Sprintf("mixer %d back at work", i+1), 0
			s.down[i], s.mixers[i].FreeAt = false, 0
			break
		}
	}
	if x.People > 0 {
		s.mixers, s.down = append(s.mixers, line.MixerAt{Clearing: true}), append(s.down, false)
	}
	if len(s.mixers) > line.MaxMixers {
		w.refuse(x.ID, x.What, fmt.Sprintf("no more than %d are reckoned with", line.MaxMixers))
		return nil
	}
	s.hands.Mixers = 0
	for _, d := range s.down {
		if !d {
			s.hands.Mixers++
		}
	}
	x.Figure = fmt.Sprintf("%s from now, one every %s", units.Count(s.hands.Mixers, "mixer", "mixers"), units.Clock(s.limitPace()))
	return w.judge(s, x, false)
}

func (w *ways) moreRunners() error {
	s := w.s.copy()
	if s.hands.Runners >= line.MaxRunners {
		w.refuse("runner", "one more runner", fmt.Sprintf("no more than %d are reckoned with", line.MaxRunners))
		return nil
	}
	s.hands.Runners++
	x := Way{
		ID: "runner", What: "one more runner", People: 1,
		Figure: fmt.Sprintf("%s from now, one every %s", units.Count(s.hands.Runners, "runner", "runners"), units.Clock(s.limitPace())),
	}
	if n := w.outOf(day.PostRunner); n > 0 {
		x.What, x.People = fmt.Sprintf("runner %d back at work", n), 0
	}
	return w.judge(s, x, false)
}

// fewerBuckets takes out of the loop what only ages. At the pace that the console
// calls no more are out than the line can empty; the others stand clean.
func (w *ways) fewerBuckets() error {
	if all := w.s.hands.Buckets; w.base.idle == "" && w.base.buckets < all {
		w.refuse("buckets", "fewer buckets", fmt.Sprintf("no more than %d of %d are out at the pace called: none is full and waits for the line", w.base.buckets, all))
		return nil
	}
	s := w.s.copy()
	s.hands.Buckets--
	if most := w.v.Band.BucketsMax; most > 0 {
		s.hands.Buckets = min(s.hands.Buckets, most)
	}
	if s.hands.Buckets < 1 {
		w.refuse("buckets", "fewer buckets", "there is only one")
		return nil
	}
	return w.judge(s, Way{ID: "buckets", What: "fewer buckets", Figure: fmt.Sprintf("%d in the loop", s.hands.Buckets)}, false)
}

// farthest is the longest way from the mix station to a place ahead, m.
func (s *scene) farthest() (m float64) {
	for i := range places {
		m = math.Max(m, s.floor.Path.Distance(s.posL+(s.endL-s.posL)*float64(i)/places))
	}
	return m
}

// nearer moves the mix station to within what the bucket life allows, or by a
// quarter, and nearer by a tenth until the buckets live.
func (w *ways) nearer() error {
	const id, what = "station", "nearer mix station"
	far := w.s.farthest()
	if far <= 0 || w.base.BucketsHold > 1-helps {
		w.refuse(id, what, "not needed: no bucket dies on the way as it is")
		return nil
	}
	within := 0.75 * far
	if most := w.v.Band.CarryMost; most > 0 {
		within = math.Min(within, most)
	}
	var s *scene
	var v verdict
	var err error
	for range tries {
		within = w.roundDown(within)
		s = w.s.copy()
		s.walk = within / far
		if v, err = w.study(s); err != nil {
			return err
		}
		if v.BucketsHold >= w.v.Plan.Rules.Chance {
			break
		}
		within *= tryShare
	}
	w.offer(s, Way{ID: id, What: what, Figure: "within " + w.length(s.walk*far) + " of the front"}, v, false)
	return nil
}

// coolerKits reads the bucket life at the cooler kits that the plan names.
func (w *ways) coolerKits() error {
	const id, what = "cool-kits", "cooler kits"
	c := w.v.Plan.Readings.CoolerKitC
	temp := func(c float64) string { return units.Format(units.Temp, c, w.v.Plan.Units) }
	switch life, ok := w.s.blend.BucketLife.At(c); {
	case math.IsNaN(c):
		w.refuse(id, what, "the plan names no cooler kits")
		return nil
	case c >= w.s.ground.KitC:
		w.refuse(id, what, fmt.Sprintf("those of %s are not cooler than %s", temp(c), temp(w.s.ground.KitC)))
		return nil
	case !ok:
		w.refuse(id, what, fmt.Sprintf("bucket life at %s: outside the sheet", temp(c)))
		return nil
	default:
		s := w.s.copy()
		s.ground.KitC = c
		return w.judge(s, Way{ID: id, What: what, Figure: fmt.Sprintf("kits at %s, bucket life %s", temp(c), units.Clock(life))}, false)
	}
}

// otherBlends judges each other blend by its own lives.
func (w *ways) otherBlends() error {
	if len(w.v.Plan.Sheet.Blends) == 1 {
		w.refuse("blend", "another blend", "the sheet has no other")
	}
	for i := range w.v.Plan.Sheet.Blends {
		b := &w.v.Plan.Sheet.Blends[i]
		if strings.EqualFold(b.Name, w.s.blend.Name) {
			continue
		}
		id, what := "blend:"+b.Name, "use "+b.Name
		s := w.s.copy()
		s.blend = b
		left := w.v.Plan.Usable(b)
		for _, q := range w.v.Batches {
			if q.Blend == b.Name && !q.Started.IsZero() {
				left--
			}
		}
		if s.kits >= 0 {
			s.kits = left + len(s.inHand)
		}
		if !b.FitsSlab(s.ground.SlabC) {
			w.refuse(id, what, fmt.Sprintf("slab %s is outside its range", units.Format(units.Temp, s.ground.SlabC, w.v.Plan.Units)))
			continue
		}
		if why := s.missing(); why != "" {
			w.refuse(id, what, why)
			continue
		}
		if s.kits >= 0 && left <= 0 {
			w.refuse(id, what, "no kits of it on hand")
			continue
		}
		edge, _ := s.edgeLife(b, -1)
		life, _ := b.BucketLife.At(s.ground.KitC)
		fig := fmt.Sprintf("edge life %s", units.Clock(edge))
		if life > 0 {
			fig += fmt.Sprintf(", bucket life %s", units.Clock(life))
		}
		if perMin, ok := s.floor.NeededTo(b, s.ground, s.posL, s.endL); ok && perMin > 0 {
			fig += fmt.Sprintf(", one every %s or sooner", units.Clock(pace.Interval(perMin)))
		}
		if err := w.judge(s, Way{ID: id, What: what, Figure: fig, Press: &day.Press{Kind: day.BlendChanged, Blend: b.Name}}, true); err != nil {
			return err
		}
	}
	return nil
}

// slowerPace finds the slowest pace that still holds, where the edge lasts longer
// than the crew needs.
func (w *ways) slowerPace() error {
	const id, what = "slow", "slower pace"
	if w.base.EdgesHold < w.v.Plan.Rules.Chance {
		w.refuse(id, what, "the edge does not last long enough as it is")
		return nil
	}
	cfg, _ := w.s.build()
	_, need := w.s.checks(cfg.VolL)
	now := cfg.StartInterval
	if need <= 0 {
		w.refuse(id, what, "no edge waits: there is no pace to keep")
		return nil
	}
	for i := range tries {
		iv := seconds(w.s.plan.NetYieldL(w.s.blend) * w.s.drift / need * math.Pow(tryShare, float64(i))).Truncate(5 * time.Second)
		if iv < now+now/10 { // a tenth slower is the least a crew would notice
			break
		}
		s := w.s.copy()
		s.slower = iv
		v, err := w.study(s)
		if err != nil {
			return err
		}
		if w.holds(v) {
			w.offer(s, Way{
				ID: id, What: what, Figure: fmt.Sprintf("one every %s instead of %s", units.Clock(iv), units.Clock(now)),
				Press: &day.Press{Kind: day.PaceSet, Seconds: iv.Seconds()},
			}, v, true)
			return nil
		}
	}
	w.refuse(id, what, fmt.Sprintf("one every %s as now, and none a tenth slower holds", units.Clock(now)))
	return nil
}

// heatFirst waits until the slab is as warm as the plan says that heating makes
// it, spots warmed by as much, and goes on from there. Where the plan does not know
// it names heating when the slab is below the blend's range or the floor cures too
// late, and what is missing: how fast a slab warms is in no sheet.
func (w *ways) heatFirst() error {
	b, slab := w.s.blend, w.s.ground.SlabC
	temp := func(c float64) string { return units.Format(units.Temp, c, w.v.Plan.Units) }
	if r := &w.v.Plan.Readings; !math.IsNaN(r.WarmSlabC) && r.WarmSlabC > slab && b.FitsSlab(r.WarmSlabC) {
		s := w.s.copy()
		s.ground = warmed(s.ground, r.WarmSlabC-slab)
		if why := s.missing(); why != "" {
			w.refuse("heat", "heating first", why)
			return nil
		}
		s.wait(r.WarmUp)
		return w.judge(s, Way{ID: "heat", What: "heating first", Figure: fmt.Sprintf("slab %s after %s", temp(r.WarmSlabC), units.Clock(r.WarmUp))}, false)
	}
	why := ""
	switch {
	case b.SlabMaxC > b.SlabMinC && slab < b.SlabMinC:
		why = fmt.Sprintf("slab %s, %s wants %s", temp(slab), b.Name, temp(b.SlabMinC))
	case !w.out.Opening.IsZero() && !w.out.InTime:
		why = fmt.Sprintf("at %s the floor cures too late", temp(slab))
	default:
		if w.out.OK {
			w.refuse("heat", "heating first", "not needed: the sheet takes the slab as it is and the floor does not cure too late")
		}
		return nil
	}
	w.refuse("heat", "heating first", why+"; not judged: the plan names no warm_slab and warm_up for here")
	return nil
}

// warmed is a ground by so many degrees warmer, its spots too.
func warmed(g pace.Ground, by float64) pace.Ground {
	spots := make([]float64, len(g.SpotC))
	for i, c := range g.SpotC {
		spots[i] = c + by
	}
	g.SlabC, g.SpotC = g.SlabC+by, spots
	return g
}
