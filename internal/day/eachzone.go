package day

import (
	"math"
	"time"

	"floorpace/internal/pace"
)

// ZoneFacts is what a forecast of the whole day rests on in one zone.
type ZoneFacts struct {
	Laid   []Laying // what lies there, in path order
	EndL   float64  // where the pour is to end, litres of path
	Ground pace.Ground
	// NotBefore is the earliest first batch of a zone that has not begun: the
	// handover and the preparation for the first zone of the day, and the hour at
	// which the first of its doors opens when all are shut until then. Zero:
	// nothing keeps it.
	NotBefore time.Time
}

// eachZone collects the facts of every zone; laid is the caller's own copy of
// what lies in the zone looked at.
func (s *State) eachZone(zone int, laid []Laying) []ZoneFacts {
	out := make([]ZoneFacts, len(s.Zones))
	for i := range s.Zones {
		z := &s.Zones[i]
		f := ZoneFacts{EndL: z.Floor.Path.TotalL(), Ground: s.ground(i), NotBefore: s.notBefore(i)}
		if z.StopName != "" {
			f.EndL = math.Min(f.EndL, z.StopL)
		}
		if f.Laid = laid; i != zone {
			f.Laid = append([]Laying(nil), z.Laid...)
		}
		out[i] = f
	}
	return out
}

// notBefore is the earliest first batch of zone i.
func (s *State) notBefore(i int) (at time.Time) {
	if !s.Zones[i].Began.IsZero() {
		return time.Time{}
	}
	if !s.anyBegan() {
		at = s.Handover.Add(s.Plan.Preparation)
	}
	var opens time.Time // the first of its doors
	for _, w := range s.waysFrom(i) {
		switch {
		case !s.Doors[w.key].IsZero(): // shut by a press: nobody knows until when
		case w.d.OpenFrom.IsZero():
			return at
		case opens.IsZero() || w.d.OpenFrom.Before(opens):
			opens = w.d.OpenFrom
		}
	}
	if opens.After(at) {
		at = opens
	}
	return at
}
