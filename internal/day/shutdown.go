package day

import (
	"fmt"
	"strings"
	"time"

	"floorpace/internal/pace"
	"floorpace/internal/units"
)

// LaterView is what is left of the zones when everything starts later than now
// expected.
type LaterView struct {
	By    time.Duration
	Zones []pace.Turnout // those not closed
	Works bool           // every zone not closed still fits
	Words string
}

// laterBy is the delay that is asked about first.
const laterBy = time.Hour

// later works out the time line if the zones still to be poured start by later
// than they would: the handover slips, or the crew waits.
func (s *State) later(now time.Time, by time.Duration) LaterView {
	v := LaterView{By: by, Works: true}
	at := s.onWay(now)
	if first := s.Handover.Add(s.Plan.Preparation); !s.anyBegan() && first.After(at) {
		at = first
	}
	at = at.Add(by)
	cureC := pace.CureTempC(s.Plan, s.Air.SlabC)
	var words []string
	begin := at
	for _, i := range s.order() {
		if !s.Zones[i].Closed.IsZero() {
			continue
		}
		t := s.turnout(i, &at, cureC, s.Handover.Add(by))
		v.Zones = append(v.Zones, t)
		switch {
		case !t.OK:
			v.Works = false
			words = append(words, t.Zone+": no cure figure")
		case t.Fits:
			words = append(words, fmt.Sprintf("%s ends %s, %s to spare", t.Zone, t.Ends.Format("Mon 15:04"), units.Hours(t.Spare)))
		default:
			v.Works = false
			words = append(words, fmt.Sprintf("%s ends %s, %s too late", t.Zone, t.Ends.Format("Mon 15:04"), units.Hours(-t.Spare)))
		}
	}
	yes := "no"
	if v.Works {
		yes = "yes"
	}
	v.Words = fmt.Sprintf("%s later: %s; %s", units.Hours(by), yes, strings.Join(words, "; "))
	if !v.Works {
		v.Words += "; " + fitWords(s.fitting(begin, s.Handover.Add(by)))
	}
	return v
}

func (s *State) anyBegan() bool {
	for i := range s.Zones {
		if !s.Zones[i].Began.IsZero() {
			return true
		}
	}
	return false
}

// decideDecision fills in the figures of the decisions that the console knows,
// so that what stands on record is what was on screen.
func (s *State) decideDecision(p Press, now time.Time) ([]Event, error) {
	if strings.TrimSpace(p.What+p.Text) == "" {
		return nil, refuse("a decision says what was decided")
	}
	switch p.What {
	case LaterStarts:
		if p.Seconds <= 0 {
			p.Seconds = laterBy.Seconds()
		}
		p.Text = s.later(now, time.Duration(p.Seconds*float64(time.Second))).Words
	case GoOnFromHere:
		if s.Zone < 0 || len(s.Zones[s.Zone].Laid) == 0 {
			return nil, refuse("nothing is down yet")
		}
		z := &s.Zones[s.Zone]
		p.Zone = z.Floor.Z.Name
		e := s.edgeAt(s.Zone, now, 0)
		length := func(m float64) string { return units.FormatFixed(units.Length, m, s.Plan.Units, 2) }
		p.Text = fmt.Sprintf("go on from the wet edge: %s gone, %s at risk, %s joinable", length(e.GoneM), length(e.RiskM), length(e.JoinM))
		if e.OutM > 0 {
			p.Text += fmt.Sprintf(", %s of it out of reach at any pace", length(e.OutM))
		}
	}
	return []Event{p}, nil
}

// decideHandover wants an instant that can be.
func (s *State) decideHandover(p Press, now time.Time) ([]Event, error) {
	at := now
	if p.Time != "" {
		var err error
		if at, err = time.Parse(time.RFC3339, p.Time); err != nil {
			return nil, refuse("%q is not an instant", p.Time)
		}
	}
	if !at.Before(s.Plan.Opening) {
		return nil, refuse("the floor opens at %s: it cannot be handed over after that", s.Plan.Opening.Format("Mon 15:04"))
	}
	return []Event{p}, nil
}
