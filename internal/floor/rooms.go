package floor

import (
	"errors"
	"fmt"
	"strings"
)

// Room is one room of the job. Exit means it has a way out of the job's area
// that nobody has to cross another room for. Doors names the rooms it opens to;
// a door named by one of its rooms serves both.
type Room struct {
	Name  string
	Exit  bool
	Doors []string
}

// Outside is the station of Orders and WhyNot when the mixers stand outside the
// job's area.
const Outside = "outside"

// Orders lists the orders in which the rooms can be poured, at most limit of
// them (none: all), in the order of the list of rooms; more says whether there
// are others. station is the room where the mixers stand, or Outside.
//
// A room once poured cannot be crossed. So at every step
//   - the room to be poured can be reached from the mix station, and its crew
//     has a way out, over rooms not yet poured and outside;
//   - when it is poured every other room not yet poured still has a way out;
//   - the room of the mix station comes last.
//
// Names that are missing, repeated or unknown are an error.
func Orders(rooms []Room, station string, limit int) (orders [][]string, more bool, err error) {
	h, err := newHouse(rooms, station)
	if err != nil {
		return nil, false, err
	}
	var walk func(done []int) bool
	poured := make([]bool, len(rooms))
	walk = func(done []int) bool {
		if len(done) == len(rooms) {
			if limit > 0 && len(orders) == limit {
				more = true
				return false
			}
			names := make([]string, len(done))
			for i, r := range done {
				names[i] = rooms[r].Name
			}
			orders = append(orders, names)
			return true
		}
		for r := range rooms {
			if poured[r] || h.trap(poured, nil, r) != "" {
				continue
			}
			poured[r] = true
			on := walk(append(done, r))
			poured[r] = false
			if !on {
				return false
			}
		}
		return true
	}
	walk(make([]int, 0, len(rooms)))
	return orders, more, nil
}

// WhyNot says why the rooms cannot be poured in this order: which step traps
// the crew, the mix station or the fire exit. It is empty when they can.
func WhyNot(rooms []Room, station string, order []string) string {
	h, err := newHouse(rooms, station)
	if err != nil {
		return err.Error()
	}
	poured := make([]bool, len(rooms))
	for _, name := range order {
		r, ok := h.index[name]
		if !ok {
			return fmt.Sprintf("the order names room %q, which is not on the list", name)
		}
		if poured[r] {
			return fmt.Sprintf("the order names room %q twice", name)
		}
		if why := h.trap(poured, nil, r); why != "" {
			return why
		}
		poured[r] = true
	}
	for r, p := range poured {
		if !p {
			return fmt.Sprintf("the order leaves out room %q", rooms[r].Name)
		}
	}
	return ""
}

// house is the rooms as a graph. station is −1 outside.
type house struct {
	rooms   []Room
	index   map[string]int
	doors   [][]int
	station int
}

func newHouse(rooms []Room, station string) (*house, error) {
	h := &house{rooms: rooms, index: map[string]int{}, doors: make([][]int, len(rooms)), station: -1}
	for i, r := range rooms {
		if r.Name == "" || r.Name == Outside {
			return nil, fmt.Errorf("room %d is called %q: give it a name of its own", i+1, r.Name)
		}
		if _, twice := h.index[r.Name]; twice {
			return nil, fmt.Errorf("there are two rooms called %q: give each a name of its own", r.Name)
		}
		h.index[r.Name] = i
	}
	for i, r := range rooms {
		for _, d := range r.Doors {
			j, ok := h.index[d]
			if !ok {
				return nil, fmt.Errorf("room %q has a door to %q, which is not on the list: add the room, or mark an exit", r.Name, d)
			}
			h.doors[i], h.doors[j] = append(h.doors[i], j), append(h.doors[j], i)
		}
	}
	switch i, ok := h.index[station]; {
	case ok:
		h.station = i
	case station == "":
		return nil, errors.New("the mix station has no place: name its room, or outside")
	case station != Outside:
		return nil, fmt.Errorf("the mix station stands in %q, which is not on the list: name its room, or outside", station)
	}
	return h, nil
}

// trap says whom or what pouring room r next would trap, empty for none. In
// free rooms nothing is left to pour; nil when there are none.
func (h *house) trap(poured, free []bool, r int) string {
	name := h.rooms[r].Name
	left := make([]bool, len(h.rooms)) // rooms not poured once r is
	rest := 0
	for i := range left {
		left[i] = !poured[i] && i != r
		if left[i] && (free == nil || !free[i]) {
			rest++
		}
	}
	if r == h.station && rest > 0 {
		return fmt.Sprintf("room %q holds the mix station and would be poured with %d still to do: the station must be moved first, or the room left to the last", name, rest)
	}
	out := h.wayOut(left)
	crew := h.rooms[r].Exit
	for _, j := range h.doors[r] {
		crew = crew || out[j]
	}
	if !crew {
		if by := h.poured(poured, h.doors[r]); by != "" {
			return fmt.Sprintf("pouring room %q traps its crew: the way out leads over %s, poured before", name, by)
		}
		return fmt.Sprintf("pouring room %q traps its crew: it has no exit and no door to a room with a way out", name)
	}
	var cut []string
	for i := range left {
		if left[i] && !out[i] {
			if i == h.station {
				return fmt.Sprintf("pouring room %q traps the mix station in room %q", name, h.rooms[i].Name)
			}
			if free == nil || !free[i] {
				cut = append(cut, fmt.Sprintf("%q", h.rooms[i].Name))
			}
		}
	}
	if len(cut) > 0 {
		return fmt.Sprintf("pouring room %q shuts the way to the fire exit for %s, still to be poured", name, strings.Join(cut, ", "))
	}
	return ""
}

// wayOut marks the rooms of left from which an exit is reached over left alone.
func (h *house) wayOut(left []bool) []bool {
	out := make([]bool, len(left))
	var queue []int
	for i, r := range h.rooms {
		if left[i] && r.Exit {
			out[i] = true
			queue = append(queue, i)
		}
	}
	for len(queue) > 0 {
		i := queue[0]
		queue = queue[1:]
		for _, j := range h.doors[i] {
			if left[j] && !out[j] {
				out[j] = true
				queue = append(queue, j)
			}
		}
	}
	return out
}

// poured names the poured rooms among is.
func (h *house) poured(poured []bool, is []int) string {
	var names []string
	for _, i := range is {
		if poured[i] {
			names = append(names, fmt.Sprintf("%q", h.rooms[i].Name))
		}
	}
	return strings.Join(names, ", ")
}

// Trap says whom or what pouring room next would trap when the rooms poured are
// wet already: its crew, the mix station or the fire exit of others still to
// do. Rooms in which nothing is left to pour, and which can be crossed, are
// free. It is empty when nobody is trapped, and names what is wrong with the
// rooms.
func Trap(rooms []Room, station string, poured, free []string, next string) string {
	h, err := newHouse(rooms, station)
	if err != nil {
		return err.Error()
	}
	done := make([]bool, len(rooms))
	for _, name := range poured {
		r, ok := h.index[name]
		if !ok {
			return fmt.Sprintf("room %q, poured before, is not on the list", name)
		}
		done[r] = true
	}
	r, ok := h.index[next]
	if !ok {
		return fmt.Sprintf("room %q is not on the list", next)
	}
	none := make([]bool, len(rooms))
	for _, name := range free {
		if i, ok := h.index[name]; ok {
			none[i] = true
		}
	}
	return h.trap(done, none, r)
}
