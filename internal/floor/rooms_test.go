package floor

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// day5 is the house of test day 5.
func day5() []Room {
	return []Room{
		{Name: "1", Exit: true, Doors: []string{"2"}},
		{Name: "2", Doors: []string{"3", "5"}},
		{Name: "3", Doors: []string{"4"}},
		{Name: "4"},
		{Name: "5"},
	}
}

// Source: test day 5, worked by hand: three valid orders of 120.
func TestOrdersOfDay5(t *testing.T) {
	got, more, err := Orders(day5(), Outside, 0)
	if err != nil || more {
		t.Fatalf("more %v, error %v", more, err)
	}
	want := [][]string{{"4", "3", "5", "2", "1"}, {"4", "5", "3", "2", "1"}, {"5", "4", "3", "2", "1"}}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	all := permutations([]string{"1", "2", "3", "4", "5"})
	good := 0
	for _, o := range all {
		if WhyNot(day5(), Outside, o) == "" {
			good++
		}
	}
	if len(all) != 120 || good != 3 {
		t.Errorf("WhyNot passes %d of %d orders, want 3 of 120", good, len(all))
	}
}

func permutations(v []string) [][]string {
	if len(v) == 1 {
		return [][]string{v}
	}
	var out [][]string
	for i := range v {
		rest := append(append([]string(nil), v[:i]...), v[i+1:]...)
		for _, p := range permutations(rest) {
			out = append(out, append([]string{v[i]}, p...))
		}
	}
	return out
}

func TestOrdersLimit(t *testing.T) {
	got, more, err := Orders(day5(), Outside, 2)
	if err != nil || len(got) != 2 || !more {
		t.Errorf("got %v, more %v, error %v; want two orders and more", got, more, err)
	}
}

func TestWhyNot(t *testing.T) {
	ring := []Room{ // a corridor round: a has the exit, every room has two doors
		{Name: "a", Exit: true, Doors: []string{"b", "d"}},
		{Name: "b", Doors: []string{"c"}},
		{Name: "c", Doors: []string{"d"}},
		{Name: "d"},
	}
	for _, c := range []struct {
		name    string
		rooms   []Room
		station string
		order   string
		want    string // part of the reason; empty for a good order
	}{
		{"good", day5(), Outside, "4 5 3 2 1", ""},
		{"exit room first", day5(), Outside, "1 2 3 4 5", `shuts the way to the fire exit for "2", "3", "4", "5"`},
		{"middle room first", day5(), Outside, "2 1 3 4 5", `pouring room "2" shuts the way to the fire exit for "3", "4", "5"`},
		{"station room early", day5(), "5", "5 4 3 2 1", `room "5" holds the mix station`},
		{"station in a dead end", day5(), "4", "5 3 4 2 1", `pouring room "3" traps the mix station in room "4"`},
		{"station by the exit", day5(), "1", "4 5 3 2 1", ""},
		{"round the ring", ring, Outside, "c b d a", ""},
		{"round the ring the other way", ring, Outside, "b c d a", ""},
		{"two sides of the ring", ring, Outside, "b d c a", `pouring room "d" shuts the way to the fire exit for "c"`},
		{"no exit at all", []Room{{Name: "x", Doors: []string{"y"}}, {Name: "y"}}, Outside, "x y", "traps its crew"},
		{"left out", day5(), Outside, "4 5 3 2", `leaves out room "1"`},
		{"twice", day5(), Outside, "4 4 5 3 2 1", `names room "4" twice`},
		{"unknown", day5(), Outside, "4 9", `names room "9"`},
	} {
		got := WhyNot(c.rooms, c.station, strings.Fields(c.order))
		if c.want == "" && got != "" || !strings.Contains(got, c.want) {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}

func TestOrdersRefuses(t *testing.T) {
	for _, c := range []struct {
		name    string
		rooms   []Room
		station string
		want    string
	}{
		{"no name", []Room{{}}, Outside, "room 1"},
		{"same name", []Room{{Name: "a"}, {Name: "a"}}, Outside, `two rooms called "a"`},
		{"unknown door", []Room{{Name: "a", Doors: []string{"b"}}}, Outside, `door to "b"`},
		{"unknown station", []Room{{Name: "a"}}, "yard", `stands in "yard"`},
		{"no station", []Room{{Name: "a"}}, "", "no place"},
	} {
		_, _, err := Orders(c.rooms, c.station, 0)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", c.name, err, c.want)
		}
	}
}
