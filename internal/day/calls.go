package day

import (
	"sort"
	"strings"
	"time"
)

// Call is one thing that the console asks of the crew: what in at most four
// words, why in one line of figures. What gets worse speaks again as the same
// call, with graver words.
type Call struct {
	ID         string
	Grade      int // 1 now, 2 soon, 3 when there is a hand free
	What, Why  string
	Raised     time.Time
	Spoke      time.Time // when it was raised, or last got worse
	Was        []Said    // what it said before it got worse, oldest first
	Acked      time.Time
	Shelved    time.Time
	ShelvedWhy string
	Cleared    time.Time
	Figure     float64 // what it went by when it last spoke, where it goes by one; else 0
}

// Said is what a call said from an instant until it got worse.
type Said struct {
	At, Until      time.Time
	Grade          int
	What, Why      string
	Acked, Shelved time.Time // answered, put aside while it said so; zero when not
	ShelvedWhy     string
}

// Standing reports whether the call still asks for something.
func (c *Call) Standing() bool { return c.Cleared.IsZero() }

// Since is when it began to say what it says now.
func (c *Call) Since() time.Time {
	if c.Spoke.After(c.Raised) {
		return c.Spoke
	}
	return c.Raised
}

// Loud reports whether the call still sounds: standing, neither acknowledged
// nor shelved.
func (c *Call) Loud() bool { return c.Standing() && c.Acked.IsZero() && c.Shelved.IsZero() }

func callRaised(s *State, e Event) {
	old := s.Calls[e.Call]
	if old != nil && old.Standing() {
		if goesOn(old, e.What, e.Grad) {
			old.rise(e)
			return
		}
		old.Cleared = e.At // the same subject, another thing
	}
	c := &Call{ID: e.Call, Grade: e.Grad, What: e.What, Why: e.Why, Raised: e.At, Spoke: e.At, Figure: e.figure()}
	s.Calls[e.Call] = c
	s.CallLog = append(s.CallLog, c)
}

// rise lets a standing call say something graver, or again what was put aside.
func (c *Call) rise(e Event) {
	if c.What != e.What || c.Grade != e.Grad || c.Figure != e.figure() {
		was := Said{At: c.Spoke, Until: e.At, Grade: c.Grade, What: c.What, Why: c.Why, Acked: c.Acked, Shelved: c.Shelved, ShelvedWhy: c.ShelvedWhy}
		c.Was = append(c.Was[:len(c.Was):len(c.Was)], was)
	}
	c.Grade, c.What, c.Why, c.Spoke, c.Figure = e.Grad, e.What, e.Why, e.At, e.figure()
	c.Acked, c.Shelved, c.ShelvedWhy = time.Time{}, time.Time{}, ""
}

// goesOn reports whether words and grade are what the standing call comes to as
// it gets worse, rather than another call about the same subject.
func goesOn(old *Call, what string, grade int) bool {
	return grade < old.Grade || what == old.What || rank(what) > rank(old.What) || isDead(what) && isDead(old.What)
}

// isDead tells whether a call is about buckets past their life: one more of them
// is the same trouble.
func isDead(what string) bool {
	return strings.HasPrefix(what, "BUCKET ") && strings.HasSuffix(what, " DEAD") || strings.HasSuffix(what, " BUCKETS DEAD")
}

func (s *State) callDo(e Event, f func(*Call)) {
	if c := s.Calls[e.Call]; c != nil && c.Standing() {
		f(c)
	}
}

// order is the place of a call among those of the first grade: people first, then
// what cures never, and comes off for minutes only, then what dies: the edge and
// buckets; the rest by age. Common practice, no source.
func (c *Call) order() int {
	switch c.ID {
	case "stop":
		return 0
	case "exit":
		return 1
	case "bad", "hole", "count":
		return 2
	case "edge", "bucket":
		return 3
	}
	return 4
}

// standing lists the calls that stand.
func (s *State) standing() []Call {
	var out []Call
	for _, c := range s.Calls {
		if c.Standing() {
			out = append(out, *c)
		}
	}
	return out
}

// sortCalls puts loud ones first, then goes by grade and order, then the oldest.
func sortCalls(calls []Call) {
	sort.Slice(calls, func(i, j int) bool {
		a, b := &calls[i], &calls[j]
		if la, lb := a.Loud(), b.Loud(); la != lb {
			return la
		}
		if a.Grade != b.Grade {
			return a.Grade < b.Grade
		}
		if ra, rb := a.order(), b.order(); ra != rb && a.Grade == 1 {
			return ra < rb
		}
		if !a.Raised.Equal(b.Raised) {
			return a.Raised.Before(b.Raised)
		}
		return a.ID < b.ID
	})
}

func (s *State) history() []Call {
	out := make([]Call, len(s.CallLog))
	for i, c := range s.CallLog {
		out[i] = *c
	}
	return out
}

// condition is one reason for a call, judged at an instant. It is raised when
// on, cleared when off; between the two it stays as it was, so that a figure
// that trembles about its line does not ring again and again.
type condition struct {
	id        string
	grade     int
	what, why string
	on, off   bool

	// What is said once a day goes by a figure, and speaks again only when that
	// has grown by a step from what it was before; step 0 is for all other calls.
	figure, before, step float64
}

// grown reports whether the figure has grown by its step since the call spoke.
func (c *condition) grown(old *Call) bool {
	return c.step > 0 && old != nil && c.figure >= c.before+c.step
}

// said reports whether the call has been made today and nothing new is to be
// said: also when it was cleared since, by a reading that came out level or by
// the end of a zone.
func (c *condition) said(old *Call) bool { return c.step > 0 && old != nil && !c.grown(old) }

func (c *condition) raised(at time.Time) Event {
	e := Event{Kind: CallRaised, At: at, Call: c.id, Grad: c.grade, What: c.what, Why: c.why}
	if c.step > 0 {
		e.Value = Value(c.figure)
	}
	return e
}

func (e *Event) figure() float64 {
	if e.Value == nil {
		return 0
	}
	return *e.Value
}

// ranks order what one subject can say, the graver later: a call that was
// answered speaks up again when it gets worse, and not when it gets better.
var ranks = map[string]int{MixFaster: 1, crewCannotHold: 2, edgeRunningOut: 3, edgeAtRisk: 4, edgeLost: 5}

func rank(what string) int { return ranks[what] }

// worse reports whether the condition is another and graver thing than the call
// that stands for its subject.
func (c *condition) worse(old *Call) bool {
	return c.what != old.What && c.grade <= old.Grade && rank(c.what) >= rank(old.What)
}

// present gives the standing calls the words, figures and grade of now; those
// that are held up by their dead-band alone keep the words they were raised
// with.
func present(calls []Call, conds []condition) []Call {
	for i := range calls {
		for _, c := range conds {
			if c.id == calls[i].ID && c.on {
				calls[i].What, calls[i].Why, calls[i].Grade = c.what, c.why, c.grade
			}
		}
	}
	sortCalls(calls)
	return calls
}

// Dead-bands. Each is about what a figure moves between two presses.
const (
	slackBand   = 30 * time.Second // a batch more or less moves the slack by this
	paceBand    = 0.05             // share of the needed pace
	bucketFirst = 90 * time.Second // warned of this long before the margin: a carry and a pour
	leastStands = 20 * time.Second // a call stands this long so that it can be read
	asideFor    = 15 * time.Minute // put aside, it comes back: by then three batches or more went down
)

// Due lists the events that the passing of time itself causes at now: calls
// raised and cleared. It is pure; who holds the clock writes them to the log.
// v is the snapshot of the same instant.
func Due(s *State, v *Snapshot) []Event {
	if s.Opened.IsZero() {
		return nil
	}
	var out []Event
	conds := v.conds
	if conds == nil {
		conds = conditions(s, v)
	}
	seen := map[string]bool{}
	for _, c := range conds {
		seen[c.id] = true
		old := s.Calls[c.id]
		stands := old != nil && old.Standing()
		read := stands && v.Now.Sub(old.Spoke) >= leastStands
		back := stands && !old.Shelved.IsZero() && v.Now.Sub(old.Shelved) >= asideFor
		switch {
		case c.on && (!stands && !c.said(old) || stands && c.grade < old.Grade || read && (c.worse(old) || c.grown(old)) || back):
			out = append(out, c.raised(v.Now))
		case read && !c.on && (c.off || c.what != old.What): // over, or the reason it was raised for is
			out = append(out, Event{Kind: CallCleared, At: v.Now, Call: c.id})
		}
	}
	for id, c := range s.Calls { // what it was about is gone: the bucket poured, the zone closed
		if c.Standing() && !seen[id] {
			out = append(out, Event{Kind: CallCleared, At: v.Now, Call: id})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Call < out[j].Call })
	return out
}
