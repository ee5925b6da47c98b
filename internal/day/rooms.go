package day

import (
	"slices"
	"strings"
	"time"

	"floorpace/internal/floor"
)

// RoomDoor is a door between two rooms of the plan, or the exit of one.
type RoomDoor struct {
	Name     string // under which it is shut and opened: see DoorName
	From, To string // To is floor.Outside for an exit
	ShutAt   time.Time
}

// Words names the door: "cold store to hall".
func (d *RoomDoor) Words() string { return d.From + " to " + d.To }

// roomDoors lists the doors between rooms and the exits, each once.
func (s *State) roomDoors() (out []RoomDoor) {
	add := func(from, to string) {
		for i := range out {
			if q := &out[i]; q.From == to && q.To == from || q.From == from && q.To == to {
				return
			}
		}
		at, shut := s.Doors[DoorName(from, to)]
		if !shut {
			at = s.Doors[DoorName(to, from)]
		}
		out = append(out, RoomDoor{DoorName(from, to), from, to, at})
	}
	for _, r := range s.Plan.Rooms {
		if r.Exit {
			add(r.Name, floor.Outside)
		}
		for _, d := range r.Doors {
			add(r.Name, d)
		}
	}
	return out
}

// roomTrap says whom pouring the room of zone i from an instant on would trap,
// "" for nobody: the crew, the mix station, or the fire exit of rooms still to
// do. Rooms that can be walked on again by then are no hindrance. The zone being
// poured is down before any other begins.
func (s *State) roomTrap(i int, from time.Time) string {
	room := s.Plan.Zones[i].Room
	if len(s.Plan.Rooms) == 0 || room == "" {
		return ""
	}
	var poured, todo, free []string
	for j := range s.Zones {
		r := s.Plan.Zones[j].Room
		if r == "" || r == room {
			continue
		}
		if s.Zones[j].Closed.IsZero() && j != s.Zone {
			todo = append(todo, r)
		}
		if _, wet, _ := s.wet(j, from); (wet || j == s.Zone) && !slices.Contains(poured, r) {
			poured = append(poured, r)
		}
	}
	for k := range s.Plan.Rooms {
		if r := s.Plan.Rooms[k].Name; r != room && !slices.Contains(todo, r) && !slices.Contains(poured, r) {
			free = append(free, r)
		}
	}
	station := s.Plan.StationRoom
	if station == "" {
		station = floor.Outside
	}
	why := floor.Trap(s.shutRooms(), station, poured, free, room)
	if why == "" {
		return ""
	}
	var shut []string
	for _, d := range s.roomDoors() {
		if !d.ShutAt.IsZero() {
			shut = append(shut, d.Words()+" since "+d.ShutAt.Format("15:04"))
		}
	}
	if len(shut) > 0 {
		why += "; shut: " + strings.Join(shut, ", ")
	}
	return why
}

// shutRooms are the rooms without the doors between them that were shut by a
// press, as "room/room"; an exit shut as "room/outside" is none.
func (s *State) shutRooms() []floor.Room {
	if len(s.Doors) == 0 {
		return s.Plan.Rooms
	}
	out := slices.Clone(s.Plan.Rooms)
	shut := func(a, b string) bool {
		_, one := s.Doors[DoorName(a, b)]
		_, other := s.Doors[DoorName(b, a)]
		return one || other
	}
	for i := range out {
		r := &out[i]
		r.Exit = r.Exit && !shut(r.Name, floor.Outside)
		var doors []string
		for _, d := range r.Doors {
			if !shut(r.Name, d) {
				doors = append(doors, d)
			}
		}
		r.Doors = doors
	}
	return out
}

// doorNames lists every door of the plan that a press can shut or open.
func (s *State) doorNames() (out []string) {
	for i := range s.Plan.Zones {
		z := &s.Plan.Zones[i]
		for _, d := range z.Doors {
			out = append(out, DoorName(z.Name, d.Name))
		}
	}
	for _, d := range s.roomDoors() {
		out = append(out, d.Name)
	}
	return out
}

func (s *State) decideDoor(p Press) ([]Event, error) {
	for _, d := range s.roomDoors() { // a door between rooms has two names
		if p.What == DoorName(d.To, d.From) {
			p.What = d.Name
		}
	}
	_, shut := s.Doors[p.What]
	switch names := s.doorNames(); {
	case !slices.Contains(names, p.What):
		if len(names) == 0 {
			return nil, refuse("the plan names no door")
		}
		return nil, refuse("there is no door %q in the plan: %s", p.What, strings.Join(names, ", "))
	case shut && p.Kind == DoorShut:
		return nil, refuse("%s is shut already", p.What)
	case !shut && p.Kind == DoorOpened:
		return nil, refuse("%s is not shut", p.What)
	}
	return []Event{p}, nil
}
