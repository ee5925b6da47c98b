package advice

import (
	"math"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/line"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
	"floorpace/internal/sheet"
)

// scene is all that a study of a zone rests on. A way out is a copy with something
// changed. Instants are relative to now.
type scene struct {
	plan    *plan.Plan
	floor   *pace.Zone
	blend   *sheet.Blend
	ground  pace.Ground
	hands   pace.Hands
	now     time.Time
	learned Learned

	posL, endL, drift float64
	handPace          time.Duration // a pace set by hand, 0 = none
	slower            time.Duration // a pace that a way out asks for, 0 = none
	walk              float64       // walks against the plan's: 1, less with a nearer mix station

	laid   []day.Laying
	open   map[int]openEdge // by cell: edges that wait to be joined
	fresh  bool             // begun at a straight cut: nothing behind it is joined
	inHand []hand           // batches on the way, in the order in which they come
	mixers []line.MixerAt
	down   []bool
	back   []time.Duration // when the latest poured buckets and their runners are back, latest last
	gone   int             // batches that have left the line in this zone: they key the luck

	later []ahead // zones still to come
	kits  int     // usable kits from here on, those on the way included; -1 when the plan names none
}

// openEdge is a covered place that waits: laid and dead are instants.
type openEdge struct{ laid, dead time.Duration }

// hand is a batch on the way.
type hand struct {
	blend         *sheet.Blend
	share         float64
	full          bool // out of its mixer
	out, reaction time.Duration
}

// places is how many places ahead are looked at where one figure has to stand for
// the rest of the path: the front moves a few metres between two of them.
const places = 9

// look makes a scene of a snapshot.
func look(v *day.Snapshot) *scene {
	s := &scene{
		plan: v.Plan, floor: v.Floor, blend: v.Blend, ground: v.Ground, hands: v.Hands, now: v.Now,
		learned: Learn(v), posL: v.PosL, endL: v.EndL, drift: v.Drift, handPace: v.Interval, walk: 1,
		laid: v.Laid, open: map[int]openEdge{}, kits: -1,
	}
	for _, e := range v.Edge.Points {
		s.open[e.Cell] = openEdge{laid: -e.Age, dead: e.Dead.Sub(v.Now)}
	}
	if len(v.Plan.Lots) > 0 {
		s.kits = v.Kits.OnHand + v.Kits.OnTheWay
	}
	s.lookMixers(v)
	s.lookBuckets(v)
	for i, f := range v.Floors {
		if f.Index != v.Floor.Index && i < len(v.Zones) && v.Zones[i].Closed.IsZero() {
			s.later = append(s.later, ahead{f, v.EachZone[i]})
		}
	}
	if f := v.EachZone[v.Floor.Index]; f.NotBefore.After(v.Now) {
		s.wait(f.NotBefore.Sub(v.Now))
	}
	return s
}

// wait lets no mixer start before an instant.
func (s *scene) wait(d time.Duration) {
	s.mixers = append([]line.MixerAt(nil), s.mixers...)
	for i := range s.mixers {
		s.mixers[i].FreeAt = max(s.mixers[i].FreeAt, d)
	}
}

// lookMixers sees what is in the mixers and in full buckets.
func (s *scene) lookMixers(v *day.Snapshot) {
	s.mixers, s.down = make([]line.MixerAt, len(v.Mixers)), make([]bool, len(v.Mixers))
	for i, m := range v.Mixers {
		s.down[i] = m.Down
		// What is not mixing is free, or being cleared after its last batch: it
		// starts before those that are still mixing, in the order of its freedom.
		s.mixers[i] = line.MixerAt{FreeAt: max(0, m.Ready.Sub(v.Now)), Clearing: true}
	}
	for _, w := range v.Way {
		if w.Dead {
			continue // it goes outside
		}
		b := v.Plan.Sheet.Blend(w.Blend)
		if b == nil {
			b = v.Blend
		}
		h := hand{blend: b, share: w.Share, full: true, out: min(0, w.Out.Sub(v.Now)), reaction: w.Reaction.Sub(v.Now)}
		if m := w.Mixer - 1; !w.InBucket && m >= 0 && m < len(s.mixers) && !s.mixers[m].Mixing {
			h.full = false
			s.mixers[m] = line.MixerAt{Mixing: true, Started: min(0, w.Started.Sub(v.Now)), Reaction: h.reaction}
		}
		s.inHand = append(s.inHand, h)
	}
	// Full buckets first: they are carried before any that is still mixed.
	full := make([]hand, 0, len(s.inHand))
	for _, want := range []bool{true, false} {
		for _, h := range s.inHand {
			if h.full == want {
				full = append(full, h)
			}
		}
	}
	s.inHand = full
}

// lookBuckets sees which buckets and runners are on their way back.
func (s *scene) lookBuckets(v *day.Snapshot) {
	for i := range v.Batches {
		b := &v.Batches[i]
		if !b.Gone() || b.Zone != v.Floor.Index {
			continue
		}
		s.gone++
		if !b.Poured.IsZero() {
			s.back = append(s.back, b.Poured.Add(v.Floor.Back(v.PosL)).Sub(v.Now))
		}
	}
}

// begin is the scene of a zone of the plan with its crew standing ready.
func begin(p *plan.Plan, f *pace.Zone, h pace.Hands) *scene {
	s := &scene{
		plan: p, floor: f, blend: f.Blend, ground: pace.GroundOf(p, f.Index), hands: h,
		learned: unlearned(p, f, f.Blend), endL: f.Path.TotalL(), drift: 1, walk: 1,
		mixers: make([]line.MixerAt, h.Mixers), down: make([]bool, h.Mixers), kits: -1,
		now: p.Handover.Add(p.Preparation),
	}
	for i := range s.mixers {
		s.mixers[i].Clearing = true
	}
	return s
}

// edgeLife is the edge life of blend b at spot i of the zone (-1: the plain
// slab); ok is false where the sheet has no figure.
func (s *scene) edgeLife(b *sheet.Blend, i int) (life time.Duration, ok bool) {
	at := s.ground.SlabC
	if i >= 0 && i < len(s.ground.SpotC) && !math.IsNaN(s.ground.SpotC[i]) {
		at = s.ground.SpotC[i]
	}
	return b.EdgeLife.At(at)
}

// lives are the edge lives at each spot and, last, on the plain slab.
func (s *scene) lives(b *sheet.Blend) ([]time.Duration, bool) {
	n := len(s.floor.Z.Spots)
	out := make([]time.Duration, n+1)
	for i := range out {
		k := i
		if i == n {
			k = -1
		}
		var ok bool
		if out[i], ok = s.edgeLife(b, k); !ok {
			return nil, false
		}
	}
	return out, true
}

// limitPace is the interval of the slowest post: the middle of the places ahead.
func (s *scene) limitPace() time.Duration {
	var iv []float64
	for i := range places {
		perMin, _ := s.floor.Limit(s.blend, s.hands, s.posL+(s.endL-s.posL)*(float64(i)+0.5)/places)
		iv = append(iv, pace.Interval(perMin).Seconds())
	}
	return seconds(middle(iv))
}

// dwell is how old a batch is when poured by the plan's own handling: the middle
// of the places ahead.
func (s *scene) dwell() time.Duration {
	var d []float64
	for i := range places {
		d = append(d, s.floor.Dwell(s.blend, s.posL+(s.endL-s.posL)*(float64(i)+0.5)/places).Seconds())
	}
	return seconds(middle(d))
}

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }
