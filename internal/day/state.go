package day

import (
	"fmt"
	"slices"
	"time"

	"floorpace/internal/pace"
	"floorpace/internal/plan"
	"floorpace/internal/units"
)

// State is the whole day so far: a fold over the events of the log, and
// nothing else. It holds no clock: whatever depends on now takes it as an
// argument.
type State struct {
	Plan   *plan.Plan
	Floors []*pace.Zone // what is computed once for each zone of the plan

	Events  []Event // all of them, undone ones too
	Undone  map[int64]bool
	Unknown int // events of a newer version, kept and passed over

	Opened    time.Time
	Boot      string // of the machine that writes now; never the same when it is not known
	Handover  time.Time
	Zone      int // the zone being poured; -1 before the first and between zones
	Zones     []ZoneState
	Batches   []Batch // Batches[i].No == i+1
	Posts     Posts
	Outages   []Outage // of every post, in the order lost
	Hold      *Hold
	Holds     []Hold
	Readings  []Reading
	Air       Temps // what Readings say now
	Blend     string
	Interval  time.Duration // a pace set by hand; 0 = as fast as the crew can
	Lots      map[string]string
	Tallies   []Tally
	Fences    []Fence
	Overrides []Event
	Doors     map[string]time.Time // shut doors, since when
	Notes     []Event
	Calls     map[string]*Call
	CallLog   []*Call
	Last      time.Time

	lives       map[lifeKey]*lifeClock
	bands       map[int]bandKept
	adviceKept  map[adviceKey]pace.TempAdvice
	forbid      *stopsKept                   // replaced whole, never changed
	atSpots     map[*pace.Zone]map[int][]int // never changed once made
	adviceFirst *pace.TempAdvice
	spread      *pace.Spread // of the lots over zones and panels, by the plan
}

// Posts counts the places of the line that are out of service.
type Posts struct {
	MixersDown  map[int]time.Time // which, since when
	RunnersDown map[int]time.Time
	RakeDown    time.Time
	RollDown    time.Time
	BroadDown   time.Time
	PowerDown   time.Time
}

// ZoneState is one zone of the day.
type ZoneState struct {
	Began, Closed time.Time
	Laid          []Laying // in path order, without gaps
	PosL          float64  // path position, litres of the plan's volume
	Floor         *pace.Zone
	Marks         []Mark
	RakeResetAt   int // number of layings at the last reset of the rake
	RolledRows    map[int]time.Time
	BroadRows     map[int]time.Time
	StopName      string // stop line chosen to end at
	StopL         float64
	StopAt        time.Time // when it was chosen
	Breaks        []float64 // path volumes at which the wet edge was given up for a straight cut
}

// Laying is one batch on the floor.
type Laying struct {
	Batch      int
	FromL, ToL float64 // path volume
	PouredL    float64 // litres out of the bucket, net of loss
	Start, End time.Time
	Wasted     float64 // share of edge life spent waiting in the bucket
	Bad        bool
	Lifted     time.Time // taken up again, Bad until the hole is filled
}

// Mark is a measured front.
type Mark struct {
	At     time.Time
	PosL   float64
	Layers int // number of layings at that time
}

// Batch is one kit from its first stir to the floor.
type Batch struct {
	No      int
	Zone    int
	Mixer   int
	Blend   string
	Share   float64 // part of a full kit, 1 = all
	Weights string
	Lots    string
	Started time.Time
	Boot    string      // in which it was started
	Steps   []time.Time // pressed steps
	Mixed   time.Time   // pressed, or implied by a later press
	// MixedTold says that Mixed was pressed.
	MixedTold bool
	Poured    time.Time
	Scrapped  time.Time
	Why       string
	Bad       string // why it was condemned on the floor
	Lifted    time.Time
}

// Gone reports whether the batch has left the line.
func (b *Batch) Gone() bool { return !b.Poured.IsZero() || !b.Scrapped.IsZero() }

// approx reports whether only the wall clock tells the age of a batch: the machine
// that writes now was restarted since it was started, or another one wrote it.
func (s *State) approx(b *Batch) bool { return b.Boot != s.Boot }

// Hold is a time in which no batch may start.
type Hold struct {
	From, To time.Time
	Why      string
	Stop     bool // someone is hurt, a leak, a stranger on the floor
	Where    string
}

// Reading is one reading, in SI.
type Reading struct {
	N     int64
	At    time.Time
	What  string
	Spot  string
	Value float64
}

// Tally is a count of empties.
type Tally struct {
	At     time.Time
	Batch  int
	Counts string
}

// New begins a day from its plan. The floors are computed once and shared.
func New(p *plan.Plan, floors []*pace.Zone) *State {
	s := &State{
		Plan: p, Floors: floors, Zone: -1, Undone: map[int64]bool{},
		Handover: p.Handover,
		Posts:    Posts{MixersDown: map[int]time.Time{}, RunnersDown: map[int]time.Time{}},
		Lots:     map[string]string{}, Doors: map[string]time.Time{}, Calls: map[string]*Call{},
		lives: map[lifeKey]*lifeClock{},
	}
	for i := range p.Zones {
		s.Zones = append(s.Zones, ZoneState{
			Floor: floors[i], RolledRows: map[int]time.Time{}, BroadRows: map[int]time.Time{},
		})
	}
	s.Air = planned(p)
	return s
}

// Fold is the state after events.
func Fold(p *plan.Plan, floors []*pace.Zone, events []Event) *State {
	s := New(p, floors)
	for _, e := range events {
		if e.Kind == PressUndone {
			s.Undone[e.Of] = true
		}
	}
	for _, e := range events {
		s.step(e)
	}
	return s
}

// Apply takes one more event. It returns the state to go on with: the same
// one, or after an undo a fresh fold. An event that does not fit is kept on
// record and changes nothing (Decide refuses such presses beforehand; a log
// from elsewhere may still hold one).
func (s *State) Apply(e Event) *State {
	if e.Kind == PressUndone {
		return Fold(s.Plan, s.Floors, append(slices.Clip(s.Events), e))
	}
	s.step(e)
	return s
}

func (s *State) step(e Event) {
	e.At = e.At.In(s.Plan.Handover.Location()) // one zone for the whole day: the plan's
	s.Events = append(s.Events, e)
	if e.At.After(s.Last) {
		s.Last = e.At
	}
	if s.Undone[e.N] {
		return
	}
	if f, ok := steps[e.Kind]; ok {
		f(s, e)
		return
	}
	s.Unknown++
}

// batch finds a batch by number; nil when there is none.
func (s *State) batch(no int) *Batch {
	if no < 1 || no > len(s.Batches) {
		return nil
	}
	return &s.Batches[no-1]
}

func (s *State) mustZone(name string) int {
	if name == "" {
		return s.Zone
	}
	return s.Plan.Zone(name)
}

// String is a short account for logs and failing tests.
func (s *State) String() string {
	poured := 0
	for i := range s.Batches {
		if !s.Batches[i].Poured.IsZero() {
			poured++
		}
	}
	return fmt.Sprintf("zone %d, %s started, %d poured, %s", s.Zone, units.Count(len(s.Batches), "batch", "batches"), poured, units.Count(len(s.Events), "event", "events"))
}
