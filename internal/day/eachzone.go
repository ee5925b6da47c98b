package day

import (
	"time"

	"floorpace/internal/pace"
)

// ZoneFacts is what a forecast of the whole day rests on in one zone.
type ZoneFacts struct {
	Laid   []Laying // what lies there, in path order
	EndL   float64  // where the pour is to end, litres of path
	Ground pace.Ground
	// NotBefore is the earliest first batch of a zone that has not begun: the
	// handover and the preparation for the first zone of the day, the move from the
	// zone closed last while none is being poured, and the hour at which the first
	// of its doors opens when all are shut until then. Zero:
	// nothing keeps it.
	NotBefore time.Time
}

// eachZone collects the facts of every zone; laid is the caller's own copy of
// what lies in the zone looked at.
func (s *State) eachZone(zone int, laid []Laying) []ZoneFacts {
	out := make([]ZoneFacts, len(s.Zones))
	for i := range s.Zones {
		z := &s.Zones[i]
		f := ZoneFacts{EndL: z.endL(), Ground: s.ground(i), NotBefore: s.notBefore(i)}
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
	if closed := s.lastClosed(); s.Zone < 0 && !closed.IsZero() {
		at = closed.Add(s.Zones[i].Floor.Z.Move)
	}
	var opens time.Time // the first of its doors
	for _, d := range pace.DoorsOf(s.Plan, i) {
		switch {
		case !s.Doors[d.Key].IsZero(): // shut by a press: nobody knows until when
		case d.OpenFrom.IsZero():
			return at
		case opens.IsZero() || d.OpenFrom.Before(opens):
			opens = d.OpenFrom
		}
	}
	if opens.After(at) {
		at = opens
	}
	return at
}

// lastClosed is when the zone closed last was closed; zero when none is.
func (s *State) lastClosed() (at time.Time) {
	for i := range s.Zones {
		at = latest(at, s.Zones[i].Closed)
	}
	return at
}

// from is the earliest first batch of zone i from now on; now for one that has
// begun.
func (s *State) from(i int, now time.Time) time.Time { return latest(now, s.notBefore(i)) }

// onWay is the instant at which the crew set out for the next zone, so that its
// move ends when it really does, and never before now: now while a zone is being
// poured.
func (s *State) onWay(now time.Time) time.Time {
	closed, next := s.lastClosed(), s.lookedAt()
	if s.Zone >= 0 || closed.IsZero() || next < 0 {
		return now
	}
	return latest(closed, now.Add(-s.Zones[next].Floor.Z.Move))
}
