package day

import (
	"fmt"
	"math"
	"strings"
	"time"

	"floorpace/internal/plan"
)

// steps says what each kind of event does to the state. A kind that only
// stands on record has an entry that does nothing.
var steps map[Kind]func(*State, Event)

func init() {
	nothing := func(*State, Event) {}
	steps = map[Kind]func(*State, Event){
		SessionOpened: func(s *State, e Event) {
			if s.Opened.IsZero() {
				s.Opened = e.At
			}
			if s.Boot = e.Boot; s.Boot == "" {
				s.Boot = fmt.Sprintf("?%d", e.N) // nobody knows: never the same
			}
		},
		ZoneBegan:      zoneBegan,
		ZoneClosed:     zoneClosed,
		BatchStarted:   batchStarted,
		BatchStepped:   batchStepped,
		BatchMixed:     batchMixed,
		BatchPoured:    batchPoured,
		BatchScrapped:  batchScrapped,
		BatchCondemned: batchCondemned,
		BatchLifted:    batchLifted,
		HoldBegan:      holdBegan,
		MixingStopped:  mixingStopped,
		HoldEnded:      holdEnded,
		PostLost:       func(s *State, e Event) { s.postChanged(e, e.At) },
		PostReturned:   func(s *State, e Event) { s.postChanged(e, time.Time{}) },
		ReadingTaken:   readingTaken,
		FrontMarked:    frontMarked,
		CutBack:        frontCutBack,
		RowRolled:      func(s *State, e Event) { s.rowDone(e, true) },
		RowBroadcast:   func(s *State, e Event) { s.rowDone(e, false) },
		RakeReset: func(s *State, e Event) {
			if z := s.zone(e.Zone); z != nil {
				z.RakeResetAt = len(z.Laid)
			}
		},
		PaceSet:      func(s *State, e Event) { s.Interval = time.Duration(e.Seconds * float64(time.Second)) },
		BlendChanged: blendChanged,
		PullNarrowed: pullNarrowed,
		StopChosen: func(s *State, e Event) {
			if z := s.zone(e.Zone); z != nil && e.Value != nil {
				z.StopName, z.StopL, z.StopAt = e.Text, *e.Value, e.At
			}
		},
		DecisionMade:  decisionMade,
		HandoverGiven: handoverGiven,
		OverrideGiven: func(s *State, e Event) { s.Overrides = append(s.Overrides, e) },
		LotOpened:     func(s *State, e Event) { s.Lots[e.What] = e.Text },
		TallyTaken:    tallyTaken,
		DoorShut:      func(s *State, e Event) { s.Doors[e.What] = e.At },
		DoorOpened:    func(s *State, e Event) { delete(s.Doors, e.What) },
		NoteWritten:   func(s *State, e Event) { s.Notes = append(s.Notes, e) },
		PlanChanged:   nothing,
		CallRaised:    callRaised,
		CallAcked:     func(s *State, e Event) { s.callDo(e, func(c *Call) { c.Acked = e.At }) },
		CallShelved:   func(s *State, e Event) { s.callDo(e, func(c *Call) { c.Shelved, c.ShelvedWhy = e.At, e.Why }) },
		CallCleared:   func(s *State, e Event) { s.callDo(e, func(c *Call) { c.Cleared = e.At }) },
		PressUndone:   nothing,
		ClockStepped:  nothing,
		ClockSlept:    nothing,
		ClockStalled:  nothing,
	}
}

func (s *State) zone(name string) *ZoneState {
	i := s.mustZone(name)
	if i < 0 {
		return nil
	}
	return &s.Zones[i]
}

func zoneBegan(s *State, e Event) {
	i := s.Plan.Zone(e.Zone)
	if i < 0 {
		return
	}
	s.Zone = i
	z := &s.Zones[i]
	if z.Began.IsZero() {
		z.Began = e.At
	}
	z.Closed = time.Time{} // opening it again is how a zone closed by mistake is mended
	s.Blend = z.Floor.Blend.Name
}

func zoneClosed(s *State, e Event) {
	if z := s.zone(e.Zone); z != nil {
		z.Closed = e.At
	}
	if s.mustZone(e.Zone) == s.Zone {
		s.Zone = -1
	}
}

func batchStarted(s *State, e Event) {
	if e.Batch < 1 || e.Batch > len(s.Batches)+1000 { // a number far ahead is damage, not a batch
		return
	}
	for len(s.Batches) < e.Batch {
		s.Batches = append(s.Batches, Batch{No: len(s.Batches) + 1, Zone: -1})
	}
	// A mixer that starts again has let go of what it was mixing.
	if old := s.inMixer(e.Mixer); old != nil && old.Mixed.IsZero() {
		old.Mixed = s.mixedBy(old, e.At)
	}
	share := e.Share
	if share <= 0 {
		share = 1
	}
	blend := e.Blend
	if blend == "" {
		blend = s.Blend
	}
	s.Batches[e.Batch-1] = Batch{
		No: e.Batch, Zone: s.mustZone(e.Zone), Mixer: e.Mixer, Blend: blend, Share: share,
		Weights: e.Weights, Lots: e.Lots, Started: e.At, Boot: s.Boot,
	}
}

// mixedBy is when a batch left its mixer if nobody pressed: by the plan's
// minutes, or now if the crew was faster.
func (s *State) mixedBy(b *Batch, now time.Time) time.Time {
	due := b.Started.Add(s.mixTime(b) + s.Plan.Crew.Scrape)
	if due.After(now) {
		return now
	}
	return due
}

func (s *State) mixTime(b *Batch) time.Duration {
	if bl := s.Plan.Sheet.Blend(b.Blend); bl != nil {
		return bl.MixTime()
	}
	return 0
}

// inMixer is the last batch that was started on a mixer and not yet gone.
func (s *State) inMixer(mixer int) *Batch {
	for i := len(s.Batches) - 1; i >= 0; i-- {
		if b := &s.Batches[i]; b.Mixer == mixer && !b.Started.IsZero() {
			return b
		}
	}
	return nil
}

func batchStepped(s *State, e Event) {
	if b := s.batch(e.Batch); b != nil {
		b.Steps = append(b.Steps, e.At)
	}
}

func batchMixed(s *State, e Event) {
	if b := s.batch(e.Batch); b != nil && b.Mixed.IsZero() {
		b.Mixed, b.MixedTold = e.At, true
	}
}

func batchPoured(s *State, e Event) {
	b := s.batch(e.Batch)
	if b == nil || b.Started.IsZero() || b.Gone() {
		return
	}
	if e.Share > 0 {
		b.Share = e.Share
		if e.Weights != "" { // else what was weighed before mixing stands
			b.Weights = e.Weights
		}
	}
	if b.Mixed.IsZero() {
		b.Mixed = s.mixedBy(b, e.At)
	}
	b.Poured = e.At
	if b.Zone >= 0 {
		s.lay(b)
	}
}

func batchScrapped(s *State, e Event) {
	if b := s.batch(e.Batch); b != nil && !b.Started.IsZero() && !b.Gone() {
		b.Scrapped, b.Why = e.At, e.Why
	}
}

func batchCondemned(s *State, e Event) {
	if b := s.batch(e.Batch); b != nil {
		b.Bad = e.Why
		if b.Bad == "" {
			b.Bad = badNoReason
		}
		s.condemned(b.No)
	}
}

func batchLifted(s *State, e Event) {
	if b := s.batch(e.Batch); b != nil {
		b.Lifted = e.At
		s.lifted(b.No, e.At)
	}
}

func (s *State) condemned(no int) {
	for i := range s.Zones {
		for j := range s.Zones[i].Laid {
			if s.Zones[i].Laid[j].Batch == no {
				s.Zones[i].Laid[j].Bad = true
			}
		}
	}
}

func holdBegan(s *State, e Event) {
	if s.Hold != nil { // a second hold takes over and the first ends
		s.Holds[len(s.Holds)-1].To = e.At
	}
	s.Holds = append(s.Holds, Hold{From: e.At, Why: e.Why, Stop: e.Kind == MixingStopped, Where: e.Text})
	s.Hold = &s.Holds[len(s.Holds)-1]
}

func holdEnded(s *State, e Event) {
	if s.Hold != nil {
		s.Holds[len(s.Holds)-1].To = e.At
		s.Hold = nil
	}
}

// Names of posts, as they stand in events and on screen.
const (
	PostMixer     = "mixer"
	PostRunner    = "runner"
	PostRake      = "rake"
	PostRoll      = "roll"
	PostBroadcast = "broadcast"
	PostPower     = "power"
)

func (s *State) postChanged(e Event, at time.Time) {
	s.noteOutage(e, at)
	many := func(m map[int]time.Time) {
		if at.IsZero() {
			delete(m, e.Which)
		} else {
			m[e.Which] = at
		}
	}
	switch e.Post {
	case PostMixer:
		many(s.Posts.MixersDown)
	case PostRunner:
		many(s.Posts.RunnersDown)
	case PostRake:
		s.Posts.RakeDown = at
	case PostRoll:
		s.Posts.RollDown = at
	case PostBroadcast:
		s.Posts.BroadDown = at
	case PostPower:
		s.Posts.PowerDown = at
	}
}

// Outage is a time in which a post of the line was out of service. To is zero
// while it lasts.
type Outage struct {
	Post     string
	Which    int
	From, To time.Time
}

func (s *State) noteOutage(e Event, lost time.Time) {
	if !lost.IsZero() {
		s.Outages = append(s.Outages, Outage{Post: e.Post, Which: e.Which, From: lost})
		return
	}
	for i := range s.Outages {
		if o := &s.Outages[i]; o.Post == e.Post && o.Which == e.Which && o.To.IsZero() {
			o.To = e.At
		}
	}
}

// Things that are read. Values are °C, shares, lb per 1000 ft² in 24 h.
const (
	ReadSlab     = "slab"
	ReadAir      = "air"
	ReadHumidity = "humidity"
	ReadKit      = "kit"
)

func readingTaken(s *State, e Event) {
	if e.Value == nil || math.IsNaN(*e.Value) {
		return
	}
	r := Reading{N: e.N, At: e.At, What: e.What, Spot: e.Spot, Value: *e.Value}
	s.Readings = append(s.Readings, r)
	s.Air.take(r)
	s.lives = map[lifeKey]*lifeClock{} // the lives run on the new temperature from here
}

// SameSide stands in Event.What of a narrowed pull whose rows are all laid from
// the same side from there on.
const SameSide = "same side"

// pullNarrowed lays what is ahead of the front in lanes, or in other rows. What
// lies behind it, and the volumes on record, stay as they are.
func pullNarrowed(s *State, e Event) {
	z := s.zone(e.Zone)
	if z == nil {
		return
	}
	if f, err := z.Floor.Narrow(z.PosL, e.WidthM, e.DepthM, e.What == SameSide); err == nil {
		z.Floor = f
	}
}

func blendChanged(s *State, e Event) {
	if s.Plan.Sheet.Blend(e.Blend) == nil {
		return
	}
	s.Blend = e.Blend
}

func (s *State) rowDone(e Event, roll bool) {
	z := s.zone(e.Zone)
	if z == nil {
		return
	}
	if roll {
		z.RolledRows[e.Row] = e.At
	} else {
		z.BroadRows[e.Row] = e.At
	}
}

func handoverGiven(s *State, e Event) {
	if t, err := time.Parse(time.RFC3339, e.Time); err == nil {
		s.Handover = t
	} else {
		s.Handover = e.At
	}
}

// pairs reads "A=A-101 B=B-7".
func pairs(s string) map[string]string {
	out := map[string]string{}
	for _, f := range strings.Fields(s) {
		if k, v, ok := strings.Cut(f, "="); ok {
			out[k] = v
		}
	}
	return out
}

// planned takes the temperatures that the plan was made with.
func planned(p *plan.Plan) Temps {
	r := p.Readings
	t := Temps{SlabC: r.SlabC, AirC: r.AirC, Humidity: r.Humidity, KitC: r.KitC, Spots: map[string]float64{}}
	at := r.At
	if at.IsZero() {
		at = p.Handover
	}
	t.SlabAt, t.AirAt, t.HumidityAt, t.KitAt = at, at, at, at
	for _, s := range r.Spots {
		t.Spots[s.Zone+"/"+s.Spot] = s.SlabC
	}
	return t
}
