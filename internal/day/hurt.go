package day

import (
	"fmt"
	"time"

	"floorpace/internal/units"
)

// Stopped is a stop of all mixing because someone is hurt, something leaks or a
// stranger is on the floor: place and time, and what is lost when. People come
// first; the figures are for afterwards.
type Stopped struct {
	On    bool
	Since time.Time
	Why   string
	Where string
	Dies  []Loss
}

func (s *State) stopped(v *Snapshot) Stopped {
	if s.Hold == nil || !s.Hold.Stop {
		return Stopped{}
	}
	return Stopped{On: true, Since: s.Hold.From, Why: s.Hold.Why, Where: s.Hold.Where, Dies: v.Danger.Dies}
}

// stopWithoutReason stands until somebody has a hand free to say why.
const stopWithoutReason = "STOPPED"

// decideStopMixing keeps place and time of a stop, whatever else is known.
func (s *State) decideStopMixing(p Press) ([]Event, error) {
	if s.Hold != nil && s.Hold.Stop && (p.Why == "" || p.Why == s.Hold.Why) {
		return nil, refuse("mixing is stopped already: %s", s.Hold.Why)
	}
	if p.Why == "" {
		p.Why = stopWithoutReason
	}
	zone := s.lookedAt()
	if p.Text == "" && zone >= 0 {
		z := &s.Zones[zone]
		at := z.placeAt()
		p.Zone, p.X, p.Y = z.Floor.Z.Name, at.X, at.Y
		p.Text = fmt.Sprintf("zone %s, front at %s", p.Zone, units.FormatFixed(units.Length, z.Floor.Path.FrontAt(z.PosL), s.Plan.Units, 1))
	}
	return []Event{p}, nil
}

// mixingStopped begins a stop; during one it only adds the reason.
func mixingStopped(s *State, e Event) {
	if s.Hold == nil || !s.Hold.Stop {
		holdBegan(s, e)
		return
	}
	h := &s.Holds[len(s.Holds)-1]
	h.Why = e.Why
}

// stopCondition keeps the stop in sight until the all clear.
func stopCondition(v *Snapshot) condition {
	c := condition{id: "stop", grade: 1, off: !v.Stopped.On}
	if c.off {
		return c
	}
	c.on, c.what = true, "MIXING STOPPED"
	c.why = fmt.Sprintf("since %s, %s: keep off, people first, by the site's own emergency plan", v.Stopped.Since.Format("15:04:05"), v.Stopped.Where)
	for _, d := range v.Stopped.Dies {
		if !d.Past {
			c.why += fmt.Sprintf("; %s lost at %s", d.What, d.At.Format("15:04:05"))
			break
		}
	}
	return c
}
