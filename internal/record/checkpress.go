package record

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"floorpace/internal/day"
)

// checkPresses puts every press of the log to the rules of the live console once
// more, on the day as it stood then: what the console would have refused, or
// would have written otherwise, cannot have been pressed on it. What another
// check has listed of the same thing and instant is not listed twice.
func (m *maker) checkPresses() {
	s := day.New(m.plan, m.floors)
	type alike struct {
		n    int
		last day.Event
	}
	seen := map[string]*alike{}
	for _, e := range m.events {
		if why := refused(s, e); why != "" && !m.listed(e) {
			k := string(e.Kind) + digits.ReplaceAllString(why, "")
			if seen[k] == nil {
				seen[k] = &alike{}
			}
			q := seen[k]
			if q.n, q.last = q.n+1, e; q.n <= mostAlike {
				m.find(notPossible, words(e, m.plan), e.At, "%s", why)
			}
		}
		s = s.Apply(e)
	}
	for _, k := range sortedKeys(seen) {
		if q := seen[k]; q.n > mostAlike {
			m.find(notPossible, words(q.last, m.plan), q.last.At, "the last of %d more, for the same reason", q.n-mostAlike)
		}
	}
}

const notPossible = "not possible then"

// mostAlike is how many presses that are impossible for the same reason are listed
// one by one: a zone begun at the wrong moment makes every later start impossible,
// and one cause must not bury the others.
const mostAlike = 6

var digits = regexp.MustCompile(`[0-9]+`)

// refused says why a live console would not have written an event, "" if it
// would.
func refused(s *day.State, e day.Event) string {
	if e.Kind == day.CallCleared {
		if c := s.Calls[e.Call]; c == nil || !c.Standing() {
			return fmt.Sprintf("no call %q stood then", e.Call)
		}
	}
	if !day.Pressed(e.Kind) || !known(e.Kind) || e.Approx { // an instant that is about right only judges nothing
		return ""
	}
	out, err := day.Decide(s, e, e.At)
	var no *day.Refusal
	if errors.As(err, &no) {
		return "the console refuses it: " + no.Words
	}
	for _, d := range out {
		if d.Kind != e.Kind {
			continue
		}
		for _, w := range []struct{ what, log, console string }{
			{"batch", number(e.Batch), number(d.Batch)},
			{"mixer", number(e.Mixer), number(d.Mixer)},
			{"step", number(e.Step), number(d.Step)},
			{"zone", e.Zone, d.Zone},
			{"blend", e.Blend, d.Blend},
			{"lots", bare(e.Lots), bare(d.Lots)},
		} {
			if w.log != w.console && (w.log != "" || e.Kind == day.BatchStarted) {
				return fmt.Sprintf("the log says %s: %s; by all that stands before it: %s", w.what, orNone(w.log), orNone(w.console))
			}
		}
	}
	return ""
}

// number writes what is given; 0 is nothing given.
func number(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

// bare tells only whether there are lots: which ones a crew took is its own word.
func bare(lots string) string {
	if lots == "" {
		return ""
	}
	return "named"
}

func orNone(s string) string {
	if s == "" {
		return "none"
	}
	return s
}

func known(k day.Kind) bool { return k != daySealed && slices.Contains(knownKinds, k) }

// listed tells whether a finding about the same thing at the same instant stands
// already.
func (m *maker) listed(e day.Event) bool {
	said := words(e, m.plan)
	aboutZone := e.Zone != "" && e.Kind != day.ZoneBegan && e.Kind != day.ZoneClosed // of those every one counts
	for i := range m.paper.Findings {
		f := &m.paper.Findings[i]
		if !f.At.T.Equal(e.At) || f.Kind == notPossible || f.Kind == outOfOrder {
			continue
		}
		switch {
		case e.Batch > 0 && f.Where == batchName(e.Batch), aboutZone && f.Where == "zone "+e.Zone, f.Where == said,
			strings.Contains(f.What, said), e.Kind == day.ReadingTaken && f.Where == "readings",
			e.Kind == day.HoldEnded && f.Where == "hold", e.Kind == day.PressUndone && f.Where == "correction",
			e.Kind == day.OverrideGiven && f.Kind == "override nobody stands for",
			e.Kind == day.LotOpened && f.Where == "lot "+e.Text, e.Kind == day.TallyTaken && f.Kind == "empties do not fit",
			e.Kind == day.HandoverGiven && f.Where == "handover":
			return true
		}
	}
	return false
}
