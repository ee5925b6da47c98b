package edge

import (
	"strings"
	"testing"
	"time"

	"floorpace/config"
	"floorpace/internal/day"
	"floorpace/internal/tui/look"
)

// A hold or a stop, why, and its age stand at the top at every size and on
// every page.
func TestHoldStandsAtTheTop(t *testing.T) {
	for _, h := range []struct {
		press []day.Press
		words string
	}{
		{[]day.Press{{Kind: day.HoldBegan, Why: "WAY BLOCKED"}}, "HOLD WAY BLOCKED"},
		{[]day.Press{{Kind: day.MixingStopped, Why: "LEAK"}}, "STOP LEAK"},
		{[]day.Press{{Kind: day.PostLost, Post: day.PostRake}}, "HOLD NO RAKE"},
		{[]day.Press{{Kind: day.PostLost, Post: day.PostPower}}, "HOLD NO MIXER"},
		{[]day.Press{{Kind: day.PostLost, Post: day.PostMixer, Which: 1}, {Kind: day.PostLost, Post: day.PostMixer, Which: 2}}, "HOLD NO MIXER"},
	} {
		q := newPour(t, example(t, config.USPlan))
		q.batches(6, 130*time.Second)
		for _, p := range h.press {
			q.press(p)
		}
		q.wait(83 * time.Second)
		v := q.view(0)
		for _, size := range append(sizes[:len(sizes):len(sizes)], [2]int{40, 10}, [2]int{30, 5}, [2]int{30, 4}) {
			s := New()
			l := look.New(look.Dark(), look.NoColor, look.Unicode)
			for page := 1; ; page++ {
				lines := strings.Split(text(s, l, size[0], size[1], v), "\n")
				if top := strings.Join(lines[:2], "\n"); !strings.Contains(top, h.words) || !strings.Contains(top, "1:23") {
					t.Errorf("%d×%d page %d lacks %q with its age:\n%s", size[0], size[1], page, h.words, top)
				}
				if _, of := s.Page(); page >= of {
					break
				}
				s.NextPage()
			}
		}
	}
}

// With no mixer there is no pace to speak of.
func TestNoMixerHasNoPace(t *testing.T) {
	q := newPour(t, example(t, config.USPlan))
	q.batches(6, 130*time.Second)
	q.press(day.Press{Kind: day.PostLost, Post: day.PostPower})
	for range 30 {
		q.wait(30 * time.Second)
		for _, size := range sizes {
			got := all(New(), size[0], size[1], q.view(0))
			if strings.Contains(got, "24:00:00") || strings.Contains(got, "one every 0") || !strings.Contains(got, "no mixer at work") {
				t.Fatalf("%d×%d:\n%s", size[0], size[1], got)
			}
		}
	}
}

// After the last zone the hours of use stand on the first page.
func TestOpeningsFirstWhenAllIsDown(t *testing.T) {
	p := example(t, config.USPlan)
	p.Zones = p.Zones[:1]
	q := newPour(t, p)
	q.batches(q.s.Floors[0].TakeOff(q.s.Floors[0].Blend).Kits, 130*time.Second)
	q.press(day.Press{Kind: day.ZoneClosed})
	q.wait(time.Minute)
	for _, size := range sizes {
		got := text(New(), look.New(look.Dark(), look.NoColor, look.Unicode), size[0], size[1], q.view(0))
		if !strings.Contains(got, "Open for use") || !strings.Contains(got, "every zone is closed") || strings.Contains(got, "no pace yet") {
			t.Errorf("%d×%d:\n%s", size[0], size[1], got)
		}
	}
}
