package day

import (
	"encoding/json"
	"fmt"
	"time"
)

// Kind is the wire name of an event: a fact in the past tense. The names are
// frozen; logs written with them open for ever.
type Kind string

// Kinds of events.
const (
	SessionOpened Kind = "session.opened"
	ZoneBegan     Kind = "zone.began"
	ZoneClosed    Kind = "zone.closed"

	BatchStarted   Kind = "batch.started"
	BatchStepped   Kind = "batch.stepped"
	BatchMixed     Kind = "batch.mixed"
	BatchPoured    Kind = "batch.poured"
	BatchScrapped  Kind = "batch.scrapped"
	BatchCondemned Kind = "batch.condemned"
	BatchLifted    Kind = "batch.lifted"

	HoldBegan     Kind = "hold.began"
	HoldEnded     Kind = "hold.ended"
	MixingStopped Kind = "mixing.stopped" // someone hurt, a leak, a stranger on the floor
	PostLost      Kind = "post.lost"
	PostReturned  Kind = "post.returned"

	ReadingTaken Kind = "reading.taken"
	FrontMarked  Kind = "front.marked"
	RowRolled    Kind = "row.rolled"
	RowBroadcast Kind = "row.broadcast"
	RakeReset    Kind = "rake.reset"

	PaceSet       Kind = "pace.set"
	BlendChanged  Kind = "blend.changed"
	PullNarrowed  Kind = "pull.narrowed"
	StopChosen    Kind = "stop.chosen"
	CutBack       Kind = "front.cut_back"
	DecisionMade  Kind = "decision.made"
	HandoverGiven Kind = "handover.given"
	OverrideGiven Kind = "override.given"
	LotOpened     Kind = "lot.opened"
	TallyTaken    Kind = "tally.taken"
	DoorShut      Kind = "door.shut"
	DoorOpened    Kind = "door.opened"
	NoteWritten   Kind = "note.written"
	PlanChanged   Kind = "plan.changed"

	CallRaised   Kind = "call.raised"
	CallAcked    Kind = "call.acknowledged"
	CallShelved  Kind = "call.shelved"
	CallCleared  Kind = "call.cleared"
	PressUndone  Kind = "press.undone"
	ClockStepped Kind = "clock.stepped"
	ClockSlept   Kind = "clock.slept"
	ClockStalled Kind = "clock.stalled"
)

// Event is one fact of the day. Only the fields its kind names are set; the
// wire form is one flat JSON object of those fields.
type Event struct {
	N      int64     `json:"-"` // place in its log, from 0
	At     time.Time `json:"-"` // the instant, on the day's own time line
	Approx bool      `json:"-"` // the instant crosses a restart of the machine
	Kind   Kind      `json:"-"`

	Batch int    `json:"batch,omitempty"` // 1, 2, 3 … through the day
	Mixer int    `json:"mixer,omitempty"` // from 1
	Zone  string `json:"zone,omitempty"`
	Blend string `json:"blend,omitempty"`
	Step  int    `json:"step,omitempty"` // from 1
	// Share is the part of a full kit in a part batch, by weight; 0 means all.
	Share float64 `json:"share,omitempty"`
	// Weights of a part batch, "A=1.20 B=0.80" in kg.
	Weights string `json:"weights,omitempty"`
	// Lots of a batch, "A=A-101 B=B-7".
	Lots string `json:"lots,omitempty"`

	Post  string `json:"post,omitempty"`  // mixer, runner, rake, roll, broadcast, power
	Which int    `json:"which,omitempty"` // which mixer or runner, from 1
	Why   string `json:"why,omitempty"`
	Who   string `json:"who,omitempty"`
	Role  string `json:"role,omitempty"`
	Text  string `json:"text,omitempty"`

	What  string   `json:"what,omitempty"`  // what was read, chosen or overridden
	Spot  string   `json:"spot,omitempty"`  // place of a reading
	Value *float64 `json:"value,omitempty"` // SI; share for humidity

	AlongM  *float64 `json:"along_m,omitempty"` // front, metres along the pull
	AreaM2  *float64 `json:"area_m2,omitempty"` // front, area covered
	Bay     string   `json:"bay,omitempty"`     // front, past this bay; the panel of an override
	Row     int      `json:"row,omitempty"`     // from 1
	WidthM  float64  `json:"width_m,omitempty"`
	DepthM  float64  `json:"depth_m,omitempty"`
	X       float64  `json:"x,omitempty"`
	Y       float64  `json:"y,omitempty"`
	Seconds float64  `json:"seconds,omitempty"`
	Time    string   `json:"time,omitempty"` // an instant that is not now, RFC 3339
	Counts  string   `json:"counts,omitempty"`

	Of   int64  `json:"of,omitempty"`   // the event this one corrects
	Call string `json:"call,omitempty"` // which call
	Grad int    `json:"priority,omitempty"`
	Boot string `json:"boot,omitempty"`
	App  string `json:"app,omitempty"`
	Hash string `json:"hash,omitempty"`
}

// Body is the wire form of the event's own fields.
func (e Event) Body() []byte {
	b, err := json.Marshal(e)
	if err != nil { // only a NaN or an infinity could do this; Decide refuses both
		panic(fmt.Sprintf("day: event %s cannot be written: %v", e.Kind, err))
	}
	return b
}

// ParseEvent reads an event back from its wire form. Fields that this version
// does not know are passed over; a field of the wrong type is an error.
func ParseEvent(n int64, kind string, at time.Time, approx bool, body []byte) (Event, error) {
	e := Event{N: n, Kind: Kind(kind), At: at, Approx: approx}
	if len(body) > 0 {
		if err := json.Unmarshal(body, &e); err != nil {
			return e, fmt.Errorf("event %d (%s): %w", n, kind, err)
		}
	}
	return e, nil
}

// Value makes a pointer for the optional figures of an Event.
func Value(v float64) *float64 { return &v }
