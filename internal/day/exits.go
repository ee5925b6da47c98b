package day

import (
	"fmt"
	"slices"
	"time"

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
	Rooms    bool      // Why is of the rooms, were the zone the next to be poured
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
			x.Way, x.Why, x.Rooms = false, why, true
		}
	}
	return out
}

// ways judges the ways out as the day stands.
func (s *State) ways() pace.Ways {
	return pace.Ways{Plan: s.Plan, ShutAt: func(door string) time.Time { return s.Doors[door] }, Wet: s.wet}
}

// doors judges the doors of zone i between two instants.
func (s *State) doors(x *ExitView, i int, from, to time.Time) {
	w := s.ways()
	for _, d := range pace.DoorsOf(s.Plan, i) {
		v := DoorView{Name: d.Name, To: d.To, Until: d.OpenUntil, ShutAt: s.Doors[d.Key]}
		v.Why = w.Shut(d, from, to, to, i)
		v.Open = v.Why == ""
		x.Doors = append(x.Doors, v)
	}
	_, x.Why = w.Gap(i, from, to)
	x.Way = x.Why == ""
	x.LastShut = w.LastShut(i, from)
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

// NextZone is the zone to begin when the one being poured is done; -1 for none.
func (v *Snapshot) NextZone() int {
	return slices.IndexFunc(v.Zones, func(z ZoneView) bool { return z.Began.IsZero() && z.Closed.IsZero() })
}

// exitCondition speaks of the zone being poured and of the next one to begin,
// so that the warning comes before the first batch.
func exitCondition(s *State, v *Snapshot) condition {
	c := condition{id: "exit", grade: 2, off: true}
	for _, i := range []int{s.Zone, v.NextZone()} {
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
