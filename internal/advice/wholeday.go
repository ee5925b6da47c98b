package advice

import (
	"fmt"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/line"
	"floorpace/internal/pace"
	"floorpace/internal/sheet"
)

// Day is the forecast of the whole day: what is left of the zone now and every
// zone still to pour, each with its move, its doors, path, edges and
// temperatures, by the crew and the times learned so far.
type Day struct {
	Facts   int       // the snapshot's facts it rests on
	From    time.Time // the instant it was made for
	Days    int       // days studied; 0: not studied
	OK      bool      // false: Why says what is missing
	Why     string
	Edge    float64 // chance that every edge of every zone holds, its margin kept
	Buckets float64 // chance that no bucket dies
	Both    float64
	// The last batch of the last zone is raked in 10, 50 and 90 of 100 days.
	P10, P50, P90 time.Time
	Opening       time.Time // of the use the plan asks for, every zone, from each one's middle finish; zero = no figure
	InTime        bool
	Opens         float64 // chance that the opening is met; 0 without a figure
	Kits          int     // still to lay, those on the way included
	Zones         []ZoneAhead
}

// ZoneAhead is one zone still to pour, in the order of pouring.
type ZoneAhead struct {
	Name          string
	Kits          int
	Start         time.Time // in half of the days no sooner; of the zone now, the instant of the forecast
	P10, P50, P90 time.Time // laid, in 10, 50 and 90 of 100 days
	Edge          float64   // chance that its own edges hold
	Both          float64   // the same with its buckets
}

// ahead is a zone still to come.
type ahead struct {
	floor *pace.Zone
	facts day.ZoneFacts
}

// next is the scene of a later zone with the crew of s standing ready and the
// times it has learned.
func (s *scene) next(a ahead) *scene {
	n := &scene{
		plan: s.plan, floor: a.floor, blend: a.floor.Blend, ground: a.facts.Ground, hands: s.hands, now: s.now,
		learned: s.learned, endL: a.facts.EndL, drift: 1, handPace: s.handPace, walk: 1,
		mixers: make([]line.MixerAt, len(s.mixers)), down: s.down, kits: -1,
	}
	for i := range n.mixers {
		n.mixers[i].Clearing = true
	}
	return n
}

// stretch is one zone on the course of a day.
type stretch struct {
	name            string
	blend           *sheet.Blend
	kits            int
	edge, both      float64
	move, notBefore time.Duration // notBefore counts from now
	days            []line.DayEnd
}

// later studies the zones still to come with the crew of a scene, each on luck of
// its own. why says what has no figure.
func (r run) later(s *scene) (out []stretch, why string, err error) {
	for _, a := range s.later {
		n := s.next(a)
		z := stretch{name: a.floor.Z.Name, blend: n.blend, move: a.floor.Z.Move}
		if !a.facts.NotBefore.IsZero() {
			z.notBefore = a.facts.NotBefore.Sub(s.now)
		}
		if why = n.missing(); why == "" {
			var v verdict
			if v, err = r.onZone(a.floor).study(n); err != nil {
				return nil, "", err
			}
			why = v.idle
			z.kits, z.edge, z.both, z.days = v.batches, v.EdgesHold, v.Both, v.days
		}
		if why != "" {
			return nil, z.name + ": " + why, nil
		}
		out = append(out, z)
	}
	return out, "", nil
}

// rest keeps the later zones by the crew that pours them: most ways out change
// nothing there.
type rest struct {
	run   run
	known map[string]restKnown
}

type restKnown struct {
	zones []stretch
	why   string
}

func newRest(r run) *rest {
	r.each, r.rest = true, nil
	return &rest{run: r, known: map[string]restKnown{}}
}

// of gives the later zones of a scene; why says what has no figure.
func (q *rest) of(s *scene) (zones []stretch, why string, err error) {
	key := fmt.Sprint(s.hands, s.down, len(s.mixers))
	k, ok := q.known[key]
	if !ok {
		if k.zones, k.why, err = q.run.later(s); err != nil {
			return nil, "", err
		}
		q.known[key] = k
	}
	return k.zones, k.why, nil
}

// after strings the later zones behind a studied scene; nil when one of them has
// no figure.
func (q *rest) after(s *scene, v verdict) (*strung, error) {
	zones, why, err := q.of(s)
	if err != nil || why != "" {
		return nil, err
	}
	g := s.string(q.run.days)
	g.add(s.of(v))
	for _, z := range zones {
		g.add(z)
	}
	return g, nil
}

// strung is the zones of a day one after the other.
type strung struct {
	*course
	s     *scene
	zones []ZoneAhead
	kits  int
	open  time.Time // from each zone's middle finish; zero once a figure is missing
	lacks bool      // the sheet has no cure for some zone
	late  bool      // some zone opens too late by its middle finish
}

func (s *scene) string(days int) *strung { return &strung{course: newCourse(days), s: s} }

// add goes on to a zone.
func (g *strung) add(z stretch) {
	start := g.laid().P50 + z.move
	g.then(z.move, z.notBefore, z.days)
	laid := g.laid()
	at := func(d time.Duration) time.Time { return g.s.now.Add(d) }
	g.zones = append(g.zones, ZoneAhead{
		Name: z.name, Kits: z.kits, Edge: z.edge, Both: z.both,
		Start: at(max(start, z.notBefore)), P10: at(laid.P10), P50: at(laid.P50), P90: at(laid.P90),
	})
	g.kits += z.kits
	p := g.s.plan
	slabC := pace.CureTempC(p, g.s.ground.SlabC)
	open, ok := pace.UsableAt(z.blend, p.OpeningUse, at(laid.P50), []sheet.Sample{{At: at(laid.P50), TempC: slabC}})
	latest, known := pace.LatestLast(z.blend, p.OpeningUse, p.Opening, p.Inspection, slabC)
	if !ok || !known {
		g.lacks = true
		return
	}
	g.by(latest.Sub(g.s.now))
	g.late = g.late || open.Add(p.Inspection).After(p.Opening)
	if open.After(g.open) {
		g.open = open
	}
}

// opening is when the use that the plan asks for is possible everywhere; zero
// where the sheet has no figure.
func (g *strung) opening() (at time.Time, inTime bool, chance float64) {
	if g.lacks || len(g.zones) == 0 {
		return time.Time{}, false, 0
	}
	return g.open, !g.late, g.opens()
}

// of is the zone of a scene as a study found it.
func (s *scene) of(v verdict) stretch {
	return stretch{name: s.floor.Z.Name, blend: s.blend, kits: v.batches, edge: v.EdgesHold, both: v.Both, days: v.days}
}

// day puts the strung zones into words for the crew.
func (g *strung) day(facts int, days int) Day {
	o := Day{Facts: facts, From: g.s.now, Days: days, OK: true, Kits: g.kits, Zones: g.zones}
	o.Edge, o.Buckets, o.Both = g.shares()
	if n := len(g.zones); n > 0 {
		z := &g.zones[n-1]
		o.P10, o.P50, o.P90 = z.P10, z.P50, z.P90
	}
	o.Opening, o.InTime, o.Opens = g.opening()
	return o
}

// laidAlready says that a zone takes nothing more.
func laidAlready(name string) string { return fmt.Sprintf("zone %s is laid", name) }

// onZone is the run on the luck of a zone.
func (r run) onZone(f *pace.Zone) run {
	r.seed = zoneSeed(r.seed, f.Index)
	return r
}
