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
	// Caution is the usual word of care for this kind of stop; first aid, the
	// material's safety data sheet and local rules come before the console.
	Caution string
}

// cautions are the usual words of care, by the reason of a stop. Common
// practice, no source.
var cautions = map[string]string{
	"SOMEONE HURT":          "first aid and the site's emergency plan, safety data sheet to hand, local rules",
	"LEAK":                  "keep away and air the place as the safety data sheet says, local rules",
	"STRANGER ON THE FLOOR": "lead them off by the nearest edge; skin or eyes: first aid by the safety data sheet",
	"FIRE OR ALARM":         "out by the nearest way, the site's emergency plan, nobody back for kits",
	"MACHINE UNSAFE":        "power off and locked before a hand goes in, local rules",
}

func caution(why string) string {
	if c, ok := cautions[why]; ok {
		return c
	}
	return "people first: first aid, safety data sheet, local rules"
}

func (s *State) stopped(v *Snapshot) Stopped {
	if s.Hold == nil || !s.Hold.Stop {
		return Stopped{}
	}
	return Stopped{On: true, Since: s.Hold.From, Why: s.Hold.Why, Where: s.Hold.Where, Dies: v.Danger.Dies, Caution: caution(s.Hold.Why)}
}

// StopWithoutReason stands for the reason of a stop until somebody has a hand free to say why.
const StopWithoutReason = "STOPPED"

// decideStopMixing keeps place and time of a stop, whatever else is known.
func (s *State) decideStopMixing(p Press) ([]Event, error) {
	if s.Hold != nil && s.Hold.Stop && (p.Why == "" || p.Why == s.Hold.Why) {
		return nil, refuse("mixing is stopped already: %s", s.Hold.Why)
	}
	if p.Why == "" {
		p.Why = StopWithoutReason
	}
	zone := s.Zone
	if p.Text == "" && zone < 0 {
		p.Zone, p.Text = s.between()
	}
	if p.Text == "" {
		z := &s.Zones[zone]
		at := z.placeAt()
		p.Zone, p.X, p.Y = z.Floor.Z.Name, at.X, at.Y
		p.Text = fmt.Sprintf("zone %s, front at %s", p.Zone, units.FormatFixed(units.Length, z.Floor.Path.FrontAt(z.PosL), s.Plan.Units, 1))
	}
	return []Event{p}, nil
}

// between says where a stop happens while no zone is being poured: by the zone
// that was closed last, which may still be wet.
func (s *State) between() (zone, words string) {
	last := -1
	for i := range s.Zones {
		if c := s.Zones[i].Closed; !c.IsZero() && (last < 0 || c.After(s.Zones[last].Closed)) {
			last = i
		}
	}
	if last < 0 {
		return "", "no zone begun"
	}
	z := &s.Zones[last]
	return z.Floor.Z.Name, fmt.Sprintf("zone %s, closed %s", z.Floor.Z.Name, z.Closed.Format("15:04"))
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
	c.why = fmt.Sprintf("since %s, %s: keep off; %s", v.Stopped.Since.Format("15:04:05"), v.Stopped.Where, v.Stopped.Caution)
	for _, d := range v.Stopped.Dies {
		if !d.Past {
			c.why += fmt.Sprintf("; %s lost at %s", d.What, d.At.Format("15:04:05"))
			break
		}
	}
	return c
}
