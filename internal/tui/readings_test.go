package tui

import (
	"strings"
	"testing"
	"time"

	"floorpace/internal/advice"
	"floorpace/internal/day"
	"floorpace/internal/floor"
)

// A reading outside the sheet's range, or far from the one before, is asked
// about once; one inside and near is taken at once.
func TestReadingsAreAskedAboutOnce(t *testing.T) {
	p := samplePlan()
	p.Sheet.Blends[0].SlabMinC, p.Sheet.Blends[0].SlabMaxC = 8, 24
	p.Sheet.Limits.KitMinC, p.Sheet.Limits.KitMaxC = 15, 25
	p.Sheet.Limits.AirMinC, p.Sheet.Limits.AirMaxC = 5, 35
	p.Zones[0].Spots = []floor.Spot{{Name: "sunny", At: p.Zones[0].Outline.Centroid()}}
	for _, q := range []struct {
		keys  string
		asked bool
	}{
		{"r 1 1 8 . 5", false},
		{"r 1 2 4 . 5", true}, // the sheet ends at 24
		{"r 1 1 0", true},     // 9 K below the last
		{"r 1 1 1 . 5", false},
		{"r 2 2 6 . 5", false},
		{"r 2 2 7 . 5", true}, // within the sheet, 8.5 K above the last
		{"r 4 1 4", true},     // kits: the sheet begins at 15
		{"r 4 2 4", false},
		{"r 5 2 3 . 5", false}, // a spot not read before jumps from nothing
		{"r 5 7", true},
	} {
		c := open(t, p)
		m := sized(c, plainOptions(), 80, 24)
		hand(c, m, append(strings.Fields(q.keys), "enter")...)
		if asked := len(c.pressed) == 0; asked != q.asked {
			t.Errorf("%s: asked %v, want %v", q.keys, asked, q.asked)
		}
		if q.asked {
			if v := m.View(); !strings.Contains(v, "Enter again if it is right") {
				t.Errorf("%s asks nothing:\n%s", q.keys, v)
			}
			hand(c, m, "enter")
			if got := kinds(c); got != "reading.taken" {
				t.Errorf("%s and Enter again: %q", q.keys, got)
			}
		}
	}
	c := open(t, p)
	c.do(t, day.Press{Kind: day.ReadingTaken, What: day.ReadSlab, Spot: "A/sunny", Value: day.Value(12)})
	c.wait(time.Second)
	m := sized(c, plainOptions(), 80, 24)
	hand(c, m, strings.Fields("r 5 2 3 enter")...)
	if len(c.pressed) > 0 {
		t.Error("a spot that jumps by 11 K is not asked about")
	}
}

// Every figure of a way out stands whole at 80 columns, in the list and when it
// is chosen; what the console can only write down is not offered as done.
func TestWaysOutAreWholeAt80(t *testing.T) {
	c := open(t, samplePlan())
	c.pour(t, 4)
	at := c.view.Now.Add(time.Hour)
	wide, record := day.Press{Kind: day.PullNarrowed, WidthM: 4}, day.Press{Kind: day.DecisionMade, What: "mixer", Text: "one more mixer"}
	for _, q := range []struct {
		press *day.Press
		label string
	}{{&wide, "do it"}, {&record, "put it on record"}, {nil, "put it on record"}} {
		v := *c.view
		v.Forecast = advice.Outlook{OK: true, Edge: 0.41, Ways: []advice.Way{{
			ID: "mixer", What: "one more mixer", Figure: "from the next batch on", Edge: 0.97, P50: at, Opening: at.Add(30 * time.Hour), Kits: 61, People: 2, Press: q.press,
		}}}
		c.view = &v
		m := sized(c, plainOptions(), 80, 24)
		for _, k := range []string{"w", "1"} {
			c.clock.wall = c.clock.wall.Add(time.Second)
			m.Update(runes(k))
			got := strings.Join(strings.Fields(m.View()), " ")
			for _, want := range []string{"one more mixer", "from the next batch on", "holds on 97 of 100 days, ends " + hm(at) + ", 61 kits, opens late: " + at.Add(30*time.Hour).Format("Mon 15:04") + ", 2 more hands"} {
				if !strings.Contains(got, want) {
					t.Errorf("after %s lacks %q:\n%s", k, want, m.View())
				}
			}
		}
		if !strings.Contains(m.View(), "1 "+q.label) {
			t.Errorf("lacks %q:\n%s", q.label, m.View())
		}
	}
}
