package record

import (
	"fmt"
	"math"
	"sort"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
	"floorpace/internal/sheet"
)

// caution stands on every paper.
const caution = "A reminder, not advice. The product's data sheet, the site's rules, local codes and licensed practice come first: " +
	"isocyanates, silica dust, lifting, wet floors, working alone at night. " +
	"Times, edges and openings here are worked out from what was pressed and read; they do not replace an inspection of the floor."

// maker gathers a Paper.
type maker struct {
	plan   *plan.Plan
	floors []*pace.Zone
	events []day.Event
	state  *day.State    // after everything
	look   *day.Snapshot // of the last instant
	pours  map[int]pour  // by batch
	byN    map[int64]int // event number → index
	kit    []sheet.Sample
	gates  []pace.Gate
	first  time.Time // of the first batch
	ends   []Hold
	resets map[int][]Reset // by zone
	bad    [][]stretch     // by zone
	paper  *Paper
}

// pour is what was known the moment a batch went down.
type pour struct {
	needed, limit float64 // batches a minute; 0 = no figure
	missing       string
	limitPost     string
}

// Build makes the record of a day from its plan, its events in the order of the
// log and what is known of the log files. printed is the instant the papers are
// made. It refuses a plan without a zone.
func Build(p *plan.Plan, floors []*pace.Zone, events []day.Event, log Log, printed time.Time) (*Paper, error) {
	if len(p.Zones) == 0 || len(floors) != len(p.Zones) {
		return nil, fmt.Errorf("the plan of this log has no zone to make a record of")
	}
	m := &maker{plan: p, floors: floors, events: events, pours: map[int]pour{}, resets: map[int][]Reset{}, byN: map[int64]int{}}
	for i, e := range events {
		m.byN[e.N] = i
	}
	m.watch()
	m.state = day.Fold(p, floors, events)
	m.look = day.Look(m.state, m.state.Last)
	m.kit = m.samples("kit")
	q := &Paper{
		Form: Form, Version: Version, Units: p.Units.String(), Printed: printed, Log: log, Events: len(events), Caution: caution, sys: p.Units,
		Title: text(clean.String(p.Title), "the plan has no title"), Site: text(clean.String(p.Site), "the plan names no site"),
		Sheet: text(clean.String(p.Sheet.Name), "the sheet has no name"),
		Begin: When{NA: "the log has no event"}, End: When{NA: "the log has no event"},
	}
	if len(events) > 0 {
		q.Begin, q.End = When{T: events[0].At}, When{T: m.state.Last}
	}
	m.paper = q
	m.batches()
	m.zones()
	m.readiness()
	m.readings()
	m.stops()
	m.said()
	m.yield()
	m.lotPlaces()
	m.totals()
	m.openings()
	m.check()
	q.charts = m.series()
	q.tidy()
	return q, nil
}

// tidy makes empty lists of lists that are not there, for the document.
func (q *Paper) tidy() {
	fill(&q.Zones)
	fill(&q.Gates)
	fill(&q.Overrides)
	fill(&q.Readings)
	fill(&q.Batches)
	fill(&q.Holds)
	fill(&q.Outages)
	fill(&q.Calls)
	fill(&q.Corrections)
	fill(&q.Diary)
	fill(&q.Yield)
	fill(&q.LotPlaces)
	fill(&q.Openings)
	fill(&q.Findings)
	fill(&q.Log.Files)
	fill(&q.Log.Words)
	fill(&q.Log.Backward)
	fill(&q.Log.Unordered)
	fill(&q.Log.Apart)
	fill(&q.Log.NotFound)
	fill(&q.Log.Left)
	for i := range q.Log.Files {
		fill(&q.Log.Files[i].Words)
	}
	for i := range q.Zones {
		fill(&q.Zones[i].Resets)
		fill(&q.Zones[i].Bays)
		fill(&q.Zones[i].Edge.Joins)
	}
	for i := range q.Batches {
		fill(&q.Batches[i].Lots)
		fill(&q.Batches[i].Parts)
		fill(&q.Batches[i].Notes)
	}
	for i := range q.Holds {
		fill(&q.Holds[i].Dead)
		fill(&q.Holds[i].Places)
	}
}

func fill[T any](list *[]T) {
	if *list == nil {
		*list = []T{}
	}
}

// watch goes through the day once, without what was taken back, and keeps what
// can only be seen at the time: the band at each pour, the floor at the end of
// each hold, the gates at the first batch.
func (m *maker) watch() {
	undone := map[int64]bool{}
	for _, e := range m.events {
		if e.Kind == day.PressUndone {
			undone[e.Of] = true
		}
	}
	s := day.New(m.plan, m.floors)
	for _, e := range m.events {
		if e.Kind == day.PressUndone || undone[e.N] {
			continue
		}
		switch e.Kind {
		case day.BatchStarted:
			if m.first.IsZero() {
				m.first = e.At
				m.gates = m.gatesOf(s)
			}
		case day.BatchPoured:
			m.notePour(s, e)
		case day.HoldEnded, day.HoldBegan, day.MixingStopped:
			if s.Hold != nil {
				m.ends = append(m.ends, m.holdEnd(s, e.At))
			}
		}
		if e.Kind == day.RakeReset {
			s = m.reset(s, e)
			continue
		}
		s = s.Apply(e)
	}
	if s.Hold != nil {
		h := m.holdEnd(s, s.Last)
		h.To, h.Seconds = When{NA: "not ended on the log"}, noNum("not ended on the log")
		m.ends = append(m.ends, h)
	}
	if m.first.IsZero() {
		m.gates = m.gatesOf(s)
	}
}

func (m *maker) gatesOf(s *day.State) []pace.Gate {
	grounds := make([]pace.Ground, len(m.floors))
	for i := range m.floors {
		grounds[i] = groundOf(s, i)
	}
	return pace.Gates(m.plan, m.floors, grounds, s.Air.AirC, s.Air.Humidity)
}

// groundOf is the ground of zone i by the newest readings.
func groundOf(s *day.State, i int) pace.Ground {
	g := pace.Ground{SlabC: s.Air.SlabC, KitC: s.Air.KitC}
	z := s.Floors[i].Z
	for _, q := range z.Spots {
		v, ok := s.Air.Spots[z.Name+"/"+q.Name]
		if !ok {
			v = math.NaN()
		}
		g.SpotC = append(g.SpotC, v)
	}
	return g
}

// notePour keeps the band of the zone as it stood when a batch went down.
func (m *maker) notePour(s *day.State, e day.Event) {
	if e.Batch < 1 || e.Batch > len(s.Batches) {
		return
	}
	b := &s.Batches[e.Batch-1]
	if b.Zone < 0 || b.Started.IsZero() || b.Gone() {
		return
	}
	z := &s.Zones[b.Zone]
	bl := s.Plan.Sheet.Blend(b.Blend)
	if bl == nil {
		bl = z.Floor.Blend
	}
	band := z.Floor.Band(bl, s.Hands(), groundOf(s, b.Zone), z.PosL)
	p := pour{limit: band.Limit, limitPost: band.LimitPost}
	if band.OK {
		p.needed = band.Needed
	} else {
		p.missing = band.Missing
	}
	m.pours[e.Batch] = p
}

// samples are the temperatures that a place has had, oldest first: "kit", "" for
// the slab, or "zone/spot".
func (m *maker) samples(place string) []sheet.Sample {
	r := m.plan.Readings
	at, start := r.At, r.SlabC
	if at.IsZero() {
		at = m.plan.Handover
	}
	if place == "kit" {
		start = r.KitC
	} else if place != "" {
		for _, q := range r.Spots {
			if q.Zone+"/"+q.Spot == place {
				start = q.SlabC
			}
		}
	}
	var out []sheet.Sample
	if !math.IsNaN(start) {
		out = append(out, sheet.Sample{At: at, TempC: start})
	}
	for _, q := range m.state.Readings {
		switch {
		case m.state.Undone[q.N]:
		case place == "kit" && q.What == day.ReadKit, place != "kit" && q.What == day.ReadSlab && q.Spot == place:
			out = append(out, sheet.Sample{At: q.At, TempC: q.Value})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].At.Before(out[j].At) })
	return out
}
