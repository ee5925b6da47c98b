package entry

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/units"
)

func typed(l *Line, text string) (o Outcome) {
	for _, r := range text {
		o = l.Key(string(r), []rune{r})
	}
	return o
}

// 68 °F is 20 °C and 212 °F is 100 °C: the scale's own fixed points.
func TestFigure(t *testing.T) {
	slab := func() *Line {
		return &Line{Ask: "slab", Kind: units.Temp, System: units.US, Usual: [2]float64{0, 45}, Refuse: func(v float64) string {
			if v > 60 {
				return "slab cannot be so hot"
			}
			return ""
		}}
	}
	l := slab()
	typed(l, "6x8")
	if l.Text() != "68" || l.Unit() != "°F" {
		t.Errorf("%q %q on the line", l.Text(), l.Unit())
	}
	if o := l.Key("enter", nil); !o.Done || math.Abs(o.Value-20) > 1e-9 {
		t.Errorf("68 °F gives %+v", o)
	}
	l = slab()
	typed(l, "120")
	if o := l.Key("enter", nil); o.Done || !strings.Contains(l.Note(), "unusual") {
		t.Errorf("120 °F was taken without a question: %+v %q", o, l.Note())
	}
	typed(l, "9")
	l.Key("backspace", nil)
	if o := l.Key("enter", nil); !o.Done || math.Abs(o.Value-(120-32)/1.8) > 1e-9 {
		t.Errorf("the second Enter does not take it: %+v", o)
	}
	l = slab()
	typed(l, "212")
	l.Key("enter", nil)
	if o := l.Key("enter", nil); o.Done || l.Note() != "slab cannot be so hot" {
		t.Errorf("boiling was taken: %+v %q", o, l.Note())
	}
	if o := l.Key("esc", nil); !o.Left {
		t.Error("Esc does not leave")
	}
}

func TestShareCommaAndFractions(t *testing.T) {
	for _, c := range []struct {
		kind units.Kind
		sys  units.System
		in   string
		want float64
	}{
		{units.Share, units.Metric, "65", 0.65},
		{units.Share, units.Metric, "0,5", 0.005},
		{units.Length, units.Metric, "12,5", 12.5},
		{units.Length, units.US, "12 1/2", 12.5 * 0.3048},
		{units.Mass, units.Metric, "1.20", 1.2},
		{units.Temp, units.Metric, "-3", -3},
	} {
		l := &Line{Kind: c.kind, System: c.sys}
		typed(l, c.in)
		if o := l.Key("enter", nil); !o.Done || math.Abs(o.Value-c.want) > 1e-9 {
			t.Errorf("%s: %+v %q, want %g", c.in, o, l.Note(), c.want)
		}
	}
}

func TestWholeAndWords(t *testing.T) {
	l := &Line{Sort: Whole}
	typed(l, "1p2.")
	if o := l.Key("enter", nil); !o.Done || o.Value != 12 {
		t.Errorf("%+v", o)
	}
	l = &Line{Sort: Words}
	l.Key("", []rune("bay 4:\x1b[31m soft\u202e patch"))
	if o := l.Key("enter", nil); !o.Done || o.Text != "bay 4:[31m soft patch" {
		t.Errorf("%q", o.Text)
	}
	l = &Line{Sort: Words}
	if o := l.Key("enter", nil); o.Done {
		t.Error("an empty note was taken")
	}
}

// FuzzLine: whatever is typed, a value that comes out is a number inside the
// kind's range, and the drawing is as wide as asked.
func FuzzLine(f *testing.F) {
	f.Add("68", uint8(0), 40)
	f.Add("1/0", uint8(3), 10)
	f.Add("-12 1/2", uint8(1), 5)
	f.Add("x\x00é日", uint8(2), 1)
	f.Fuzz(func(t *testing.T, s string, kind uint8, w int) {
		w = min(max(w, 0), 120)
		k := units.Kind(kind % 11)
		for _, sort := range []Sort{Figure, Whole, Words} {
			l := &Line{Ask: s, Sort: sort, Kind: k, System: units.System(kind & 1)}
			typed(l, s)
			o := l.Key("enter", nil)
			if o.Done && (math.IsNaN(o.Value) || math.IsInf(o.Value, 0)) {
				t.Fatalf("%q gives %v", s, o.Value)
			}
			if o.Done && sort == Figure && units.Check(k, o.Value, l.System) != nil {
				t.Fatalf("%q gives %v, outside the range", s, o.Value)
			}
			c := frame.New(look.New(look.Dark(), look.NoColor, look.Unicode), w, 2)
			l.Draw(c.Pane())
		}
	})
}

// Every item can be reached by digits whatever the room, and no digit chooses
// what is not shown.
func TestListEveryRoom(t *testing.T) {
	for n := 1; n <= 23; n++ {
		for w := 1; w <= 100; w += 7 {
			for h := 1; h <= 12; h++ {
				l := &List{Title: "why"}
				for i := range n {
					l.Items = append(l.Items, Item{Label: fmt.Sprintf("reason-%02d", i)})
				}
				if got := l.Layout(w, h); got > h {
					t.Fatalf("%d items in %d×%d take %d rows", n, w, h, got)
				}
				seen := map[int]bool{}
				for range l.pages() {
					c := frame.New(look.New(look.Dark(), look.NoColor, look.ASCII), w, h)
					l.Draw(c.Pane())
					text := c.Plain()
					for d := '1'; d <= '9'; d++ {
						i, ok, _ := l.Key(string(d))
						if !ok {
							continue
						}
						seen[i] = true
						if w > 20 && h > 1 && !strings.Contains(text, l.Items[i].Label) {
							t.Fatalf("%d items in %d×%d: %c chooses %s, which is not shown:\n%s", n, w, h, d, l.Items[i].Label, text)
						}
					}
					l.Key("0")
				}
				if len(seen) != n {
					t.Fatalf("%d items in %d×%d: %d can be chosen", n, w, h, len(seen))
				}
			}
		}
	}
	l := &List{Items: []Item{{Label: "a"}}}
	if _, ok, left := l.Key("p"); ok || left {
		t.Error("a letter chooses or leaves")
	}
	if _, _, left := l.Key("esc"); !left {
		t.Error("Esc does not leave")
	}
}

// In one column a note that does not fit beside its label goes on below it, and
// nothing of it is lost; digits still choose what stands on the page.
func TestLongNotesTakeTwoRows(t *testing.T) {
	note := "holds on 93 of 100 days, ends 14:35, 60 kits, opens late: Tue 16:40, 2 more hands"
	l := &List{Title: "Ways out"}
	for n := range 7 {
		it := Item{Label: fmt.Sprintf("way %d", n+1), Note: note}
		if n == 2 {
			it.Note = "short"
		}
		l.Items = append(l.Items, it)
	}
	seen := 0
	for {
		h := l.Layout(80, 11)
		c := frame.New(look.New(look.Dark(), look.NoColor, look.Unicode), 80, h)
		l.Draw(c.Pane())
		got := c.Plain()
		from, to := l.shown()
		if from != seen {
			t.Fatalf("a page begins with item %d, want %d", from, seen)
		}
		for i := from; i < to; i++ {
			if !strings.Contains(got, fmt.Sprintf("%d way %d", i-from+1, i+1)) {
				t.Errorf("lacks way %d:\n%s", i+1, got)
			}
		}
		if strings.Contains(got, "…") || strings.Count(strings.Join(strings.Fields(got), " "), note) != strings.Count(got, "way ")-strings.Count(got, "short") {
			t.Errorf("a note is cut:\n%s", got)
		}
		if n, ok, _ := l.Key("1"); !ok || n != from {
			t.Errorf("1 chooses %d, want %d", n, from)
		}
		if seen = to; seen == len(l.Items) {
			break
		}
		l.Key("0")
	}
}
