package day

import (
	"sort"
	"time"
)

// Call is one thing that the console asks of the crew: what in at most four
// words, why in one line of figures.
type Call struct {
	ID         string
	Grade      int // 1 now, 2 soon, 3 when there is a hand free
	What, Why  string
	Raised     time.Time
	Acked      time.Time
	Shelved    time.Time
	ShelvedWhy string
	Cleared    time.Time
}

// Standing reports whether the call still asks for something.
func (c *Call) Standing() bool { return c.Cleared.IsZero() }

// Loud reports whether the call still sounds: standing, neither acknowledged
// nor shelved.
func (c *Call) Loud() bool { return c.Standing() && c.Acked.IsZero() && c.Shelved.IsZero() }

func callRaised(s *State, e Event) {
	c := &Call{ID: e.Call, Grade: e.Grad, What: e.What, Why: e.Why, Raised: e.At}
	if old := s.Calls[e.Call]; old != nil && old.Standing() {
		old.Cleared = e.At // it comes again with a higher grade
	}
	s.Calls[e.Call] = c
	s.CallLog = append(s.CallLog, c)
}

func (s *State) callDo(e Event, f func(*Call)) {
	if c := s.Calls[e.Call]; c != nil && c.Standing() {
		f(c)
	}
}

// order is the place of a call among those of the first grade: people before
// material, the rest by age.
func (c *Call) order() int {
	switch c.ID {
	case "stop":
		return 0
	case "exit":
		return 1
	}
	return 2
}

// standing lists the calls that stand: loud ones first, then by grade, people
// before material, then the oldest.
func (s *State) standing() []Call {
	var out []Call
	for _, c := range s.Calls {
		if c.Standing() {
			out = append(out, *c)
		}
	}
	sort.Slice(out, func(i, j int) bool {
		a, b := &out[i], &out[j]
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
	return out
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
}

// worseNames orders what one subject can say, the graver later: a call that was
// answered speaks up again when it gets worse, and not when it gets better.
var worseNames = map[string]int{"EDGE RUNNING OUT": 1, "EDGE AT RISK": 2, "EDGE LOST": 3}

// worse reports whether the condition is another and graver thing than the call
// that stands for its subject.
func (c *condition) worse(old *Call) bool {
	return c.what != old.What && c.grade <= old.Grade && worseNames[c.what] >= worseNames[old.What]
}

// present gives the standing calls the words and figures of now; those that
// are held up by their dead-band alone keep the words they were raised with.
func present(calls []Call, conds []condition) []Call {
	for i := range calls {
		for _, c := range conds {
			if c.id == calls[i].ID && c.on {
				calls[i].What, calls[i].Why = c.what, c.why
			}
		}
	}
	return calls
}

// Dead-bands. Each is about what a figure moves between two presses.
const (
	slackBand   = 30 * time.Second // a batch more or less moves the slack by this
	paceBand    = 0.05             // share of the needed pace
	bucketFirst = 90 * time.Second // warned of this long before the margin: a carry and a pour
	leastStands = 20 * time.Second // a call stands this long so that it can be read
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
		read := stands && v.Now.Sub(old.Raised) >= leastStands
		switch {
		case c.on && (!stands || c.grade < old.Grade || read && c.worse(old)):
			out = append(out, Event{Kind: CallRaised, At: v.Now, Call: c.id, Grad: c.grade, What: c.what, Why: c.why})
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
