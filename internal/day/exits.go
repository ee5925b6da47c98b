package day

import (
	"fmt"
	"strings"
	"time"

	"floorpace/internal/floor"
	"floorpace/internal/pace"
	"floorpace/internal/sheet"
)

// ExitView is the way out of a zone over the time in which it is poured.
type ExitView struct {
	Zone  string
	Doors []DoorView
	// Way says that crew and buckets have a way from first to last batch. Why
	// says what shuts it. Both speak of zones not closed yet; a zone without
	// doors or rooms in the plan has no answer and no call.
	Way      bool
	Why      string
	LastShut time.Time // when the last way out shuts by the hours of its doors; zero = not known to
}

// DoorView is one door of a zone.
type DoorView struct {
	Name, To string
	Open     bool      // it can be used from now to the last batch of the zone
	Why      string    // what shuts it
	Until    time.Time // when it shuts by its hours; zero = it does not
	ShutAt   time.Time // shut by a press since; zero = not
}

// DoorName is the name under which a door of a zone is shut and opened.
func DoorName(zone, door string) string { return zone + "/" + door }

// exits judges the way out of every zone; zones holds each one's time line.
func (s *State) exits(now time.Time, zones []ZoneView) []ExitView {
	out := make([]ExitView, len(s.Zones))
	for i := range s.Zones {
		x := &out[i]
		z := &s.Zones[i]
		x.Zone, x.Way = z.Floor.Z.Name, true
		if !z.Closed.IsZero() {
			continue
		}
		from, to := zones[i].Turnout.Start, zones[i].Turnout.Ends
		if from.Before(now) {
			from = now
		}
		if len(z.Floor.Z.Doors) > 0 {
			s.doors(x, i, from, to)
		}
		if why := s.roomTrap(i, from); why != "" {
			x.Way, x.Why = false, why
		}
	}
	return out
}

// doors judges the doors of zone i between two instants.
func (s *State) doors(x *ExitView, i int, from, to time.Time) {
	x.Way = false
	var why []string
	known := true
	for _, w := range s.waysFrom(i) {
		v := DoorView{Name: w.name, To: w.to, Until: w.d.OpenUntil, ShutAt: s.Doors[w.key]}
		v.Why = s.doorShut(w, from, to, map[int]bool{i: true})
		v.Open = v.Why == ""
		if v.Open {
			x.Way = true
		} else {
			why = append(why, w.name+" "+v.Why)
		}
		switch { // a door shut from the first is no way at all
		case !v.ShutAt.IsZero():
		case w.d.OpenUntil.IsZero() && v.Open:
			known = false
		case w.d.OpenUntil.After(x.LastShut):
			x.LastShut = w.d.OpenUntil
		}
		x.Doors = append(x.Doors, v)
	}
	if !known {
		x.LastShut = time.Time{}
	}
	if !x.Way {
		x.Why = strings.Join(why, "; ")
	}
}

// way is a door as seen from one of its zones.
type way struct {
	d         *doorHours
	key, name string
	to        string
}

type doorHours struct{ OpenFrom, OpenUntil time.Time }

// waysFrom lists the doors of a zone, its own and those of others that lead to
// it.
func (s *State) waysFrom(i int) (out []way) {
	me := s.Plan.Zones[i].Name
	for j := range s.Plan.Zones {
		z := &s.Plan.Zones[j]
		for k := range z.Doors {
			d := &z.Doors[k]
			w := way{&doorHours{d.OpenFrom, d.OpenUntil}, DoorName(z.Name, d.Name), d.Name, d.To}
			switch {
			case j == i:
				out = append(out, w)
			case d.To == me:
				w.to = z.Name
				out = append(out, w)
			}
		}
	}
	return out
}

// doorShut says why a door cannot be used all the time between two instants,
// "" when it can.
func (s *State) doorShut(w way, from, to time.Time, seen map[int]bool) string {
	switch at := s.Doors[w.key]; {
	case !at.IsZero():
		return "shut since " + at.Format("15:04")
	case w.d.OpenFrom.After(from):
		return "opens only at " + w.d.OpenFrom.Format("15:04")
	case !w.d.OpenUntil.IsZero() && w.d.OpenUntil.Before(to):
		return fmt.Sprintf("shuts at %s, last batch %s", w.d.OpenUntil.Format("15:04"), to.Format("15:04"))
	}
	j := s.Plan.Zone(w.to)
	if w.to == "" || w.to == floor.Outside || j < 0 {
		return ""
	}
	if until, wet, ok := s.wet(j, from); wet {
		if !ok {
			return fmt.Sprintf("leads over %s, wet", w.to)
		}
		return fmt.Sprintf("leads over %s, wet until %s", w.to, until.Format("15:04"))
	}
	if seen[j] {
		return "leads back"
	}
	seen[j] = true
	ws := s.waysFrom(j)
	for _, next := range ws {
		if s.doorShut(next, from, to, seen) == "" {
			return ""
		}
	}
	return fmt.Sprintf("leads to %s, which has no way out", w.to)
}

// wet reports whether zone j cannot be crossed at an instant: something is down
// and it may not be walked on yet. ok is false when the sheet has no figure for
// when it may.
func (s *State) wet(j int, at time.Time) (until time.Time, wet, ok bool) {
	z := &s.Zones[j]
	if len(z.Laid) == 0 {
		return time.Time{}, false, true
	}
	if z.Closed.IsZero() {
		return time.Time{}, true, false
	}
	last := z.Laid[len(z.Laid)-1].End
	temps := append(s.slabSince(last), sheet.Sample{At: at, TempC: pace.CureTempC(s.Plan, s.Air.SlabC)})
	until, ok = pace.UsableAt(z.Floor.Blend, sheet.UseFoot, last, temps)
	return until, !ok || at.Before(until), ok
}

// exitCondition speaks of the zone being poured and of the next one to begin,
// so that the warning comes before the first batch.
func exitCondition(s *State, v *Snapshot) condition {
	c := condition{id: "exit", grade: 2, off: true}
	next := -1
	for i := range s.Zones {
		if i != s.Zone && s.Zones[i].Began.IsZero() && s.Zones[i].Closed.IsZero() {
			next = i
			break
		}
	}
	for _, i := range []int{s.Zone, next} {
		if i < 0 || v.Exits[i].Way {
			continue
		}
		c.on, c.off = true, false
		c.what, c.why = "WAY OUT SHUTS", fmt.Sprintf("zone %s: %s", v.Exits[i].Zone, v.Exits[i].Why)
		if i == s.Zone {
			c.grade = 1
		}
		return c
	}
	return c
}
