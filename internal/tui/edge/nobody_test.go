package edge

import (
	"context"
	"regexp"
	"strings"
	"testing"
	"time"

	"floorpace/config"
	"floorpace/internal/advice"
	"floorpace/internal/day"
	"floorpace/internal/shift"
)

// judged is a view with its real forecast.
func (q *pour) judged() *shift.View {
	q.t.Helper()
	v := q.view(0)
	ask, ok := advice.Ask(v.Snapshot)
	if !ok {
		q.t.Fatal("nothing to forecast")
	}
	v.Forecast = ask.Judge(context.Background(), 100, 1)
	return v
}

func (q *pour) allMixers(kind day.Kind) {
	for m := 1; m <= q.s.Plan.Crew.Mixers; m++ {
		q.press(day.Press{Kind: kind, Post: day.PostMixer, Which: m})
	}
}

// With every mixer out nothing comes: no figure of the screen may name a time that
// rests on batches to come, and the reason stands instead, forecast or not.
func TestNobodyAtWorkHasNoTimes(t *testing.T) {
	q := newPour(t, example(t, config.USPlan))
	q.batches(8, 130*time.Second)
	q.allMixers(day.PostLost)
	for name, v := range map[string]*shift.View{"judged": q.judged(), "no forecast yet": q.view(0)} {
		for _, size := range [][2]int{{160, 45}, {80, 24}} {
			got := all(New(), size[0], size[1], v)
			for _, bad := range []string{
				`24:00`, `00:00`, `\d kits  \d*:\d\d`, `17:00`, `last \d+ at`, `[%] ends`, `from \d\d:\d\d to`, `at the crew's limit`,
				`8 in 10 +\d`, `\nfinish +\d`, `finish     \d`, `as now [^a-z]*finish`, `(wash-down|wheels|foot|full) +[A-Z][a-z][a-z] \d\d:\d\d`,
			} {
				if at := regexp.MustCompile(bad).FindString(got); at != "" {
					t.Errorf("%s at %v: %q", name, size, at)
				}
			}
			if n := strings.Count(got, "no mixer at work"); n < 4 { // pace, finish, zones, openings
				t.Errorf("%s at %v: the reason stands %d times:\n%s", name, size, n, got)
			}
		}
	}
	for _, w := range q.view(0).StopPlan.Best {
		if w.Need != 0 || !w.LastStart.IsZero() || w.LastBatch != 0 || w.Reach() {
			t.Errorf("with nobody at work: %+v", w)
		}
	}
	q.allMixers(day.PostReturned)
	if got := all(New(), 160, 45, q.judged()); strings.Contains(got, "no mixer at work") || !strings.Contains(got, "in half the days") {
		t.Errorf("back at work:\n%s", got)
	}
}

// The ways out stand before the first batch too: then most can still be changed.
func TestWaysBeforeTheFirstBatch(t *testing.T) {
	q := newPour(t, example(t, config.USPlan))
	v := q.judged()
	if v.Zone >= 0 || len(v.Forecast.Ways) == 0 {
		t.Fatalf("zone %d, %d ways", v.Zone, len(v.Forecast.Ways))
	}
	for _, size := range [][2]int{{160, 45}, {80, 24}} {
		got := all(New(), size[0], size[1], v)
		for _, want := range []string{"Ways out", "as now", v.Forecast.Ways[0].What} {
			if !strings.Contains(got, want) {
				t.Errorf("%v: no %q:\n%s", size, want, got)
			}
		}
	}
}
