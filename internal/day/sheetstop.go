package day

import (
	"fmt"
	"math"
	"strings"

	"floorpace/internal/air"
	"floorpace/internal/pace"
	"floorpace/internal/units"
)

// sheetStops are the questions of the sheet that the newest readings answer
// with stop and that nobody has overridden on record. What was never read stops
// nothing here: the plan check asks for it. They are kept until a reading or an
// override comes.
func (s *State) sheetStops() []pace.Gate {
	key := stopsKey{len(s.Readings), len(s.Overrides), s.lookedAt(), s.Blend}
	if s.forbid != nil && s.forbid.key == key {
		return s.forbid.gates
	}
	grounds := make([]pace.Ground, len(s.Zones))
	floors := make([]*pace.Zone, len(s.Zones))
	for i := range s.Zones {
		grounds[i], floors[i] = s.ground(i), s.Zones[i].Floor
	}
	out := []pace.Gate{}
	ahead, at := grounds[:0:0], floors[:0:0] // a zone that is down needs no leave
	for i := range floors {
		if s.Zones[i].Closed.IsZero() {
			ahead, at = append(ahead, grounds[i]), append(at, floors[i])
		}
	}
	if len(at) == 0 {
		at, ahead = floors, grounds
	}
	for _, g := range pace.WeatherGates(s.Plan, at, ahead, s.Air.AirC, s.Air.Humidity) {
		if g.Call == air.Stop && s.gateRead(g.Name) && !s.overrides(g.Name) {
			out = append(out, g)
		}
	}
	if z := s.lookedAt(); z >= 0 && !math.IsNaN(s.Air.SlabC) && !s.overrides("slab temperature") {
		b, g := s.blend(z), grounds[z]
		for i, c := range append([]float64{g.SlabC}, g.SpotC...) {
			if math.IsNaN(c) || b.FitsSlab(c) {
				continue
			}
			why := s.advice().Words
			if i > 0 {
				why = fmt.Sprintf("%s: slab %s, %s goes on no such slab", s.Plan.Zones[z].Spots[i-1].Name, units.Format(units.Temp, c, s.Plan.Units), b.Name)
			}
			out = append(out, pace.Gate{Name: "slab temperature", Call: air.Stop, Why: why})
			break
		}
	}
	s.forbid = &stopsKept{key, out}
	return out
}

type stopsKept struct {
	key   stopsKey
	gates []pace.Gate
}

type stopsKey struct {
	readings, overrides, zone int
	blend                     string
}

// gateRead reports whether everything a question rests on has been read.
func (s *State) gateRead(name string) bool {
	nan := func(vs ...float64) bool {
		for _, v := range vs {
			if math.IsNaN(v) {
				return true
			}
		}
		return false
	}
	t := &s.Air
	switch {
	case strings.HasPrefix(name, "dew"):
		return !nan(t.SlabC, t.AirC, t.Humidity)
	case strings.HasPrefix(name, "air"):
		return !nan(t.AirC)
	case strings.HasPrefix(name, "kit"):
		return !nan(t.KitC)
	case strings.HasPrefix(name, "humidity"):
		return !nan(t.Humidity)
	}
	return !nan(t.SlabC, t.KitC)
}

// overrides reports whether somebody overrode a question by name, role and
// reason.
func (s *State) overrides(name string) bool {
	for i := range s.Overrides {
		if s.Overrides[i].What == name {
			return true
		}
	}
	return false
}

// sheetCondition calls out what the sheet forbids, other than the dew margin
// and the slab, which have calls of their own.
func sheetCondition(v *Snapshot) condition {
	c := condition{id: "sheet", grade: 1, off: true}
	var whys []string
	for _, g := range v.Forbidden {
		if !strings.HasPrefix(g.Name, "dew") && g.Name != "slab temperature" {
			whys = append(whys, g.Name+" "+g.Why)
		}
	}
	if len(whys) > 0 {
		c.on, c.off, c.what, c.why = true, false, "OUTSIDE THE SHEET", strings.Join(whys, "; ")
	}
	return c
}
