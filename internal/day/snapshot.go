package day

import (
	"math"
	"slices"
	"time"

	"floorpace/internal/air"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
	"floorpace/internal/sheet"
)

// Snapshot is everything the screens need of an instant, as plain values. It
// is built by the one owner of the state and then only read.
type Snapshot struct {
	Now     time.Time
	Events  int // how many events it rests on
	Facts   int // those that a forecast rests on: presses, and what time has done to the floor
	Plan    *plan.Plan
	Approx  bool // an age that still matters crosses a restart of the machine
	Started time.Time

	Zone    int // being poured; -1 for none
	Zones   []ZoneView
	Next    Next
	Mixers  []MixerView
	Buckets []BucketView
	Hold    *Hold

	Band    pace.Band
	Doing   float64 // present pace, batches a minute; 0 = not known yet
	Edge    Edge
	Floor   *pace.Zone // of the zone being poured, or looked at; nil for none
	PosL    float64
	Laid    []Laying
	Breaks  []float64
	NextAt  Place
	Kits    Kits
	Depth   Depth
	Finish  time.Time // of the zone at the crew's limit, by the plan's minutes; with nobody at work as if they came back at once
	Rows    []RowWindow
	Stops   []StopView // lines ahead, nearest first
	Opening []OpeningView
	Air     AirView
	Advice  pace.TempAdvice
	Calls   []Call  // standing ones, most urgent first, in the words of now
	Jobs    []Job   // what is due; those that are late are calls too
	rate    float64 // at which Edge is judged, batches a minute
	conds   []condition
	// Forbidden is what the sheet stops by the newest readings and nobody has
	// overridden: no batch should be started.
	Forbidden []pace.Gate
	History   []Call // every call of the day in the order raised
	LastAre   []Event
	Mean      float64 // drift: front moved for a litre against the plan, by the day's mean

	// When something goes wrong.
	Posts     []PostView
	Danger    Danger
	StopPlan  StopPlan
	Later     LaterView  // if everything starts an hour later
	Exits     []ExitView // of every zone
	Lots      LotsView
	Fences    []FenceView
	Bad       []BadView
	Finishing Finishing
	Stopped   Stopped
	DoorNames []string   // doors a press can shut
	RoomDoors []RoomDoor // of those, the doors between rooms and the exits of rooms

	// What a forecast of the zone looked at rests on beside the above.
	Hands    pace.Hands   // at work now
	Blend    *sheet.Blend // of the next batch
	Ground   pace.Ground
	Drift    float64       // of the next batches: by the last two marks
	Interval time.Duration // a pace set by hand; 0 = none
	Paces    []PaceSpan    // when a pace set by hand stood, over the whole day
	EndL     float64       // where the pour is to end: the stop line chosen, else the zone's end
	Way      []OnTheWay    // batches started and not gone, the one that is out first at the front
	Batches  []Batch       // of the whole day
	Holds    []Hold        // of the whole day
	Outages  []Outage      // of the whole day
	Floors   []*pace.Zone  // every zone as it is laid now
	EachZone []ZoneFacts   // of every zone, by its place in the plan
}

// OnTheWay is a batch that was started and is neither on the floor nor scrapped.
type OnTheWay struct {
	Batch, Mixer int
	Blend        string
	Share        float64
	InBucket     bool
	Started      time.Time
	Out          time.Time // when it is, or was, out of the mixer: as pressed, else by the plan's minutes
	Reaction     time.Time // when its reaction begins or began
	Dead         bool      // its bucket is past its life: it goes outside, not on the floor
}

// Place is a point on the drawing, metres.
type Place struct{ X, Y float64 }

// ZoneView is one zone in a list.
type ZoneView struct {
	Name          string
	Began, Closed time.Time
	Done          float64 // share of the volume laid
	Batches       int
	Turnout       pace.Turnout
}

// MixerView is one mixer.
type MixerView struct {
	No       int
	Batch    int // 0 when it is free
	Step     string
	StepNo   int
	StepEnds time.Time
	Then     string // what comes after this step
	Ready    time.Time
	Down     bool
	Pressed  bool // this step was pressed, not only timed
}

// BucketView is one full bucket out of the mixer and not yet poured.
type BucketView struct {
	Batch  int
	Mixer  int
	Age    time.Duration // since the reaction began
	Left   time.Duration // of its life; may be negative
	Used   float64       // share of its life
	OK     bool          // the sheet has a figure
	Dead   bool
	Approx bool // its age crosses a restart of the machine
}

// Kits is the count of kits of the zone.
type Kits struct {
	Poured, Scrapped, OnTheWay int  // on the way without what is dead
	Dead                       int  // buckets past their life and not scrapped yet
	Need                       int  // to finish by the plan
	NeedMean, NeedLast         int  // to finish by the mean drift and by the last three kits
	OnHand                     int  // usable kits left, not yet started; where lots must not mix, of the lots in use
	OneLot                     bool // other lots have more, which must not go here
	Usable                     int  // at the start
	Drift, DriftLast           float64
	SaveFor                    int     // kits that may still be laid at the present use before resetting the rake no longer saves it
	Short                      bool    // more needed than on hand, by mean or last three
	ReachM2                    float64 // where the floor would stop with what is on hand, by the mean
	ReachLastM2                float64 // the same by the last three kits
	M2PerKit                   float64 // by the plan
}

// Depth is how thick the floor went down.
type Depth struct {
	// ActualM is the mean up to the newest mark, 0 before the first; PlanM that
	// of the same piece by the plan (of the whole zone before the first mark).
	PlanM, ActualM float64
}

// RowWindow is the finishing window of one row.
type RowWindow struct {
	Row                   int // from 1
	First, Last           time.Time
	RollFirst, RollLast   time.Time // rolling shuts for its first and last laid point
	BroadFrom, BroadUntil time.Time
	HasRoll, HasBroad     bool
	RolledAt, BroadcastAt time.Time
	RollOff, BroadcastOff bool // the window has shut
	AtEdge                bool // it bears the wet edge: keep a bare strip
}

// OpeningView is a use of a zone and when it may begin.
type OpeningView struct {
	Zone   string
	Use    string
	At     time.Time
	OK     bool
	Asked  bool // the use the plan's opening asks for
	InTime bool
}

// AirView is the conditions with their trend.
type AirView struct {
	Temps
	Dew      air.Verdict
	DewOK    bool
	DewWords string
	Slab     Trend
	Margin   Trend
	// Worst is the margin that decides: of the slab, of every spot still to be
	// poured, and of the lowest slab expected through cure, the least; WorstAt
	// says where, "" for the slab as read.
	Worst   air.Verdict
	WorstOK bool
	WorstAt string
	// Spots are the slab of the zone looked at and its spots; Rising says that
	// the slab warms by more than the thermometers' error, MarginGone when the
	// margin meets its rule if it closes on, if that is before the zone is done
	// or the next reading is due.
	Spots      []SpotView
	Rising     bool
	RisingAt   string  // the spot that warms most; "" for the slab as a whole
	RisingKH   float64 // K an hour
	MarginGone time.Time
	NextRead   time.Time
	Due        bool
}

// Trend is how a reading moves.
type Trend struct {
	OK      bool
	PerHour float64
	Points  []Point
}

// Point is one value at an instant.
type Point struct {
	At time.Time
	V  float64
}

// fact reports whether a forecast made before the event is out of date: a press, or
// a call that says what has become of the floor meanwhile. An edge that is lost and a
// bucket that is dead are facts too, though nobody presses them.
func (e *Event) fact() bool {
	switch e.Kind {
	case CallAcked, CallShelved, NoteWritten:
		return false
	case CallRaised:
		return e.Call == edgeCall || isDead(e.What)
	}
	return Pressed(e.Kind)
}

// Look builds the snapshot of now. zone is the zone to look at when none is
// being poured; -1 picks the next one that is not closed.
func Look(s *State, now time.Time) *Snapshot {
	now = now.In(s.Plan.Handover.Location())
	v := &Snapshot{
		Now: now, Events: len(s.Events), Plan: s.Plan, Zone: s.Zone, Started: s.Opened,
		Advice: s.advice(), Kits: Kits{Drift: 1, DriftLast: 1},
	}
	for i := range s.Events {
		if s.Events[i].fact() {
			v.Facts++
		}
	}
	if n := len(s.Events); n > 0 {
		v.Approx = slices.ContainsFunc(s.Batches, func(b Batch) bool {
			return s.approx(&b) && (!b.Gone() || s.Zones[b.Zone].Closed.IsZero())
		})
		v.LastAre = lastPresses(s, lastShown)
	}
	if s.Hold != nil {
		h := *s.Hold // the state's own will end
		v.Hold = &h
	}
	way := s.pipeline(now)
	v.forecastFacts(s, way)
	v.Mixers, v.Buckets = s.mixers(now), s.buckets(way, now)
	v.Zones = s.zoneViews(now)
	v.RoomDoors = s.roomDoors()
	v.Exits, v.Later, v.Posts, v.DoorNames = s.exits(now, v.Zones), s.later(now, laterBy), s.posts(), s.doorNames()
	v.Bad = s.bad(v)
	v.Fences = s.fences(v.Bad, now)
	v.Air = s.airView(now)
	if zone := s.lookedAt(); zone < 0 {
		v.Next = Next{Say: SayDone, Why: "DAY DONE", Batch: s.nextBatch()}
		v.Stopped = s.stopped(v)
	} else {
		s.lookZone(v, zone, way, now)
	}
	v.Finishing = s.finishing(v, s.lookedAt())
	v.EachZone = s.eachZone(s.lookedAt(), v.Laid)
	v.Opening = s.openings(now)
	v.Forbidden = s.sheetStops()
	v.Jobs = s.jobs(v)
	v.conds = conditions(s, v)
	v.Calls, v.History = present(s.standing(), v.conds), s.history()
	return v
}

// forecastFacts copies what a forecast looks at of the whole day.
func (v *Snapshot) forecastFacts(s *State, way []onTheWay) {
	v.Interval, v.Paces = s.Interval, s.paces()
	for i := range s.Zones {
		v.Floors = append(v.Floors, s.Zones[i].Floor)
	}
	v.Batches, v.Holds, v.Outages = slices.Clone(s.Batches), slices.Clone(s.Holds), slices.Clone(s.Outages)
	for _, w := range way {
		v.Way = append(v.Way, OnTheWay{
			Batch: w.b.No, Mixer: w.b.Mixer, Blend: w.b.Blend, Share: w.b.Share, InBucket: w.where == InBucket,
			Started: w.b.Started, Out: w.out, Reaction: s.reactionAt(w.b), Dead: s.deadAt(w.b, v.Now),
		})
	}
}

// lookedAt is the zone being poured, else the next one that is not closed.
func (s *State) lookedAt() int {
	if s.Zone >= 0 {
		return s.Zone
	}
	for i := range s.Zones {
		if s.Zones[i].Closed.IsZero() {
			return i
		}
	}
	return -1
}

// roundL is more than sums of kits are off by, litres.
const roundL = 1e-6

func (s *State) lookZone(v *Snapshot, zone int, way []onTheWay, now time.Time) {
	z := &s.Zones[zone]
	v.Floor, v.PosL, v.Breaks = z.Floor, z.PosL, z.Breaks
	v.Laid = append([]Laying(nil), z.Laid...)
	q := z.Floor.Path.NextPlace(math.Min(z.PosL+roundL, z.Floor.Path.TotalL())) // at a row's end: where the next begins
	v.NextAt = Place{q.X, q.Y}
	v.Band = s.band(zone)
	v.Hands, v.Blend, v.Ground, v.Drift = s.Hands(), s.blend(zone), s.ground(zone), z.drift()
	v.EndL = z.endL()
	rate, present := s.doing(zone, now)
	v.Doing = present
	if rate <= 0 {
		rate = v.Band.Limit
	}
	v.rate = rate
	v.Edge = s.edgeAt(zone, now, rate)
	v.Next = s.next(zone, now, way, v.Band.Limit, math.Max(v.Edge.NeededPerMin, v.Band.Needed), v.Band.BucketsMax)
	v.Kits = s.kits(zone, way, now)
	v.Mean = v.Kits.Drift
	v.Depth = s.depth(zone)
	v.Rows = s.rows(zone, now)
	v.Stops = s.stops(v, zone)
	v.StopPlan = s.stopPlan(v, zone)
	v.Finish = s.from(zone, now)
	if l := s.limitOrPlan(zone); l > 0 {
		v.Finish = v.Finish.Add(time.Duration(float64(v.Kits.Need) * float64(pace.Interval(l))))
	}
	v.Lots = s.lotsView(zone)
	v.Danger = s.danger(v, zone)
	v.Stopped = s.stopped(v)
	s.replacing(v, zone)
	v.Air.Spots = s.spots(zone)
	by := v.Finish
	if next := now.Add(s.Plan.Rules.ReadingEvery); next.After(by) {
		by = next
	}
	v.Air.closing(s.Plan.Rules.TempErrorC, by)
	s.rising(&v.Air, zone, now)
}

// advice is the temperature advice for what is not yet poured, with the hands
// at work now.
func (s *State) advice() pace.TempAdvice { return s.adviceWith(s.Hands()) }

// adviceWith is kept until a reading, the hands or the zone change.
func (s *State) adviceWith(h pace.Hands) pace.TempAdvice {
	zone := s.lookedAt()
	if zone < 0 {
		return pace.TempAdvice{}
	}
	key := adviceKey{len(s.Readings), h, zone}
	if a, ok := s.adviceKept[key]; ok {
		return a
	}
	var left []pace.Ahead
	for i := zone; i < len(s.Zones); i++ {
		if s.Zones[i].Closed.IsZero() {
			left = append(left, pace.Ahead{Zone: s.Zones[i].Floor, FromL: s.Zones[i].PosL, SpotC: s.ground(i).SpotC})
		}
	}
	start := s.Last
	if start.IsZero() {
		start = s.Handover.Add(s.Plan.Preparation)
	}
	a := pace.Advise(s.Plan, left, h, s.ground(zone), start)
	if s.adviceKept == nil {
		s.adviceKept = map[adviceKey]pace.TempAdvice{}
	}
	s.adviceKept[key] = a
	return a
}

type adviceKey struct {
	readings int
	hands    pace.Hands
	zone     int
}

// lastShown is how many presses can be taken back from the list: a round of
// readings and a row of batches.
const lastShown = 18

// lastPresses are the latest events that a hand made, newest last.
func lastPresses(s *State, n int) []Event {
	var out []Event
	for i := len(s.Events) - 1; i >= 0 && len(out) < n; i-- {
		e := s.Events[i]
		if !Pressed(e.Kind) || s.Undone[e.N] {
			continue
		}
		out = append([]Event{e}, out...)
	}
	return out
}

// ZoneFrom is when the first batch of the zone that comes next is due: by the
// plan, or once the crew has moved over from the zone closed last, and never
// before a door opens; moving tells which. The zero time without such a zone.
func (v *Snapshot) ZoneFrom() (at time.Time, moving bool) {
	if v.Floor == nil {
		return at, false
	}
	for i := range v.Zones {
		moving = moving || !v.Zones[i].Closed.IsZero()
	}
	return v.EachZone[v.Floor.Index].NotBefore, moving
}
