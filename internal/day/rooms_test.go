package day

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"floorpace/internal/floor"
	"floorpace/internal/plan"
)

// rooms is a plan of one zone a room, hall, store and cellar in a row, with the
// only exit in the hall, and a corridor in which nothing is poured.
func rooms(station string) *plan.Plan {
	p := rectangle(9, 2.25)
	z := p.Zones[0]
	p.Zones, p.StationRoom = nil, station
	for i, name := range []string{"cellar", "store", "hall"} {
		q := z
		y := 2.25 * float64(i)
		q.Name, q.Room = strings.ToUpper(name), name
		q.Outline = floor.Polygon{{X: 0, Y: y}, {X: 9, Y: y}, {X: 9, Y: y + 2.25}, {X: 0, Y: y + 2.25}}
		p.Zones = append(p.Zones, q)
	}
	p.Rooms = []floor.Room{
		{Name: "hall", Exit: true, Doors: []string{"store", "corridor"}},
		{Name: "store", Doors: []string{"cellar"}},
		{Name: "cellar"},
		{Name: "corridor"},
	}
	return p
}

// Worked by hand on the graph corridor – hall (exit) – store – cellar, no source:
// whom a zone traps, by what is wet and which doors are shut.
func TestWhomARoomTraps(t *testing.T) {
	for _, c := range []struct {
		station string
		wet     string // zones poured before
		shut    string // doors
		zone    int
		want    string // part of the reason; "" for nobody
	}{
		{floor.Outside, "", "", 0, ""},
		{floor.Outside, "", "", 1, `pouring room "store" shuts the way to the fire exit for "cellar", still to be poured`},
		{floor.Outside, "", "", 2, `pouring room "hall" shuts the way to the fire exit for "store", "cellar", still to be poured`},
		{floor.Outside, "CELLAR", "", 1, ""},
		{floor.Outside, "CELLAR STORE", "", 2, ""},
		{floor.Outside, "STORE", "", 0, `pouring room "cellar" traps its crew: the way out leads over "store", poured before`},
		{floor.Outside, "", "store/cellar", 0, `traps its crew: it has no exit and no door to a room with a way out; shut: store to cellar since 07:00`},
		{floor.Outside, "", "cellar/store", 0, `shut: store to cellar since 07:00`}, // the same door from its other side
		{floor.Outside, "", "hall/outside", 0, `traps its crew`},
		{"cellar", "", "", 0, `room "cellar" holds the mix station and would be poured with 2 still to do`},
		{"cellar", "", "", 1, `pouring room "store" traps the mix station in room "cellar"`},
		{"corridor", "CELLAR STORE", "", 2, `pouring room "hall" traps the mix station in room "corridor"`},
		{"hall", "CELLAR STORE", "", 2, ""}, // the corridor is never poured: nothing is left to do
	} {
		p := rooms(c.station)
		s := begin(t, p)
		at := p.Handover.Add(time.Hour)
		for _, name := range strings.Fields(c.wet) {
			s = do(t, s, at, Press{Kind: ZoneBegan, Zone: name})
			s = do(t, s, at, Press{Kind: BatchStarted, Mixer: 1})
			at = at.Add(4 * time.Minute)
			s = do(t, s, at, Press{Kind: BatchPoured})
			s = do(t, s, at, Press{Kind: ZoneClosed})
		}
		for _, d := range strings.Fields(c.shut) {
			s = do(t, s, at, Press{Kind: DoorShut, What: d})
		}
		got := s.exits(at, s.zoneViews(at))[c.zone].Why
		if c.want == "" && got != "" || !strings.Contains(got, c.want) {
			t.Errorf("%s: %q, want %q", fmt.Sprint(c), got, c.want)
		}
	}
}

// A valid order stays valid while its first zone is poured: by hand on the same graph,
// cellar – store – hall traps nobody, and hall after cellar would leave out the store.
func TestNextRoomIsJudgedBehindTheOneBeingPoured(t *testing.T) {
	p := rooms(floor.Outside)
	s := begin(t, p)
	at := p.Handover.Add(time.Hour)
	s = do(t, s, at, Press{Kind: ZoneBegan, Zone: "CELLAR"})
	for range 2 { // before anything is down, and with a batch down
		v := Look(s, at)
		if n := v.NextZone(); n != 1 || !v.Exits[0].Way || !v.Exits[1].Way || exitCondition(s, v).on {
			t.Errorf("next zone %d, cellar %q, store %q", n, v.Exits[0].Why, v.Exits[1].Why)
		}
		if want := `shuts the way to the fire exit for "store", still to be poured`; !strings.Contains(v.Exits[2].Why, want) {
			t.Errorf("hall before the store: %q, want %q", v.Exits[2].Why, want)
		}
		s = do(t, s, at, Press{Kind: BatchStarted, Mixer: 1})
		at = at.Add(4 * time.Minute)
		s = do(t, s, at, Press{Kind: BatchPoured})
	}
	s = do(t, begin(t, p), p.Handover.Add(time.Hour), Press{Kind: ZoneBegan, Zone: "STORE"})
	if v := Look(s, p.Handover.Add(time.Hour)); v.Exits[1].Way || !exitCondition(s, v).on {
		t.Error("the store before the cellar is no trap")
	}
}

// Each door is named once, from whichever side it is shut, and opens again from
// the other.
func TestDoorsBetweenRooms(t *testing.T) {
	s := begin(t, rooms(floor.Outside))
	at := s.Plan.Handover
	var words []string
	for _, d := range Look(s, at).RoomDoors {
		words = append(words, d.Words())
	}
	if got := strings.Join(words, ", "); got != "hall to outside, hall to store, hall to corridor, store to cellar" {
		t.Errorf("doors %s", got)
	}
	s = do(t, s, at, Press{Kind: DoorShut, What: "cellar/store"})
	if _, err := Decide(s, Press{Kind: DoorShut, What: "store/cellar"}, at); err == nil {
		t.Error("the same door is shut twice")
	}
	s = do(t, s, at, Press{Kind: DoorOpened, What: "cellar/store"})
	if len(s.Doors) != 0 {
		t.Errorf("still shut: %v", s.Doors)
	}
}
