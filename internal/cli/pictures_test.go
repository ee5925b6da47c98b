package cli

import (
	"context"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"floorpace/internal/advice"
	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/pace"
	"floorpace/internal/playback"
	"floorpace/internal/rehearsal"
	"floorpace/internal/shift"
	"floorpace/internal/tui"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/picture"
	"floorpace/internal/tui/replay"
)

// still is a source that shows one view.
type still struct{ v *shift.View }

func (s still) Latest() *shift.View             { return s.v }
func (s still) Changed() <-chan struct{}        { return nil }
func (s still) Press(day.Press, time.Time) bool { return false }
func (s still) Quiet(time.Time) bool            { return false }
func (s still) Waiting() (int, time.Time)       { return 0, time.Time{} }

// demoUntil rehearses the demo's day until something is so.
func demoUntil(t *testing.T, when func(*day.Snapshot) bool) *shift.View {
	v, _ := demoRun(t, when)
	return v
}

// demoRun is demoUntil with the log of the day so far.
func demoRun(t *testing.T, when func(*day.Snapshot) bool) (*shift.View, *shift.Memory) {
	t.Helper()
	p, err := demoPlan(false)
	if err != nil {
		t.Fatal(err)
	}
	d, err := openDemo(p, "")
	if err != nil {
		t.Fatal(err)
	}
	desk, log := d.desk, d.log.(*shift.Memory)
	crew := rehearsal.New(p.Plan, 1)
	for range 24 * 720 {
		d.clock.add(demoStep)
		desk.Tick()
		v := desk.View()
		if when(v.Snapshot) {
			if c, ok := advice.Ask(v.Snapshot); ok {
				v.Forecast = c.JudgeDay(context.Background(), 2000, 1)
			}
			return v, log
		}
		for _, press := range crew.Act(v.Snapshot) {
			desk.Press(press)
		}
	}
	t.Fatal("it never came to that")
	return nil, nil
}

func demoUntilStart(t *testing.T) *shift.View {
	return demoUntil(t, func(v *day.Snapshot) bool { return len(v.Laid) > 1 })
}

// show draws a view with the program's own root.
func show(v *shift.View, w, h int, o tui.Options) picture.Screen {
	o.Source = still{v}
	o.Now = func() daylog.Reading { return v.Reading }
	m := tui.New(o)
	m.Init()
	m.Update(tea.WindowSizeMsg{Width: w, Height: h})
	return picture.FromString(m.View(), w, h)
}

// replayed is the demo's whole day, looked back at from its worst moment.
func replayed(t *testing.T) picture.Screen {
	t.Helper()
	end, log := demoRun(t, func(v *day.Snapshot) bool { return !v.Zones[len(v.Zones)-1].Closed.IsZero() })
	p, err := demoPlan(false)
	if err != nil {
		t.Fatal(err)
	}
	floors, err := pace.Floors(p.Plan)
	if err != nil {
		t.Fatal(err)
	}
	b := playback.New(p.Plan, floors, shift.Events(log.Records()))
	for b.JumpCall(1) && !strings.HasPrefix(lastCall(b.Snapshot()), "EDGE AT RISK") {
	}
	deck := replay.New(b, "")
	o := tui.Options{Source: deck, Strip: deck, Title: "replay", Screen: "edge", Rate: deck.Rate, ReadOnly: "replay"}
	o.Now = func() daylog.Reading { return end.Reading }
	m := tui.New(o)
	m.Init()
	m.Update(tea.WindowSizeMsg{Width: 120, Height: 36})
	return picture.FromString(m.View(), 120, 36)
}

func lastCall(v *day.Snapshot) string {
	if n := len(v.History); n > 0 {
		return v.History[n-1].What
	}
	return ""
}

// The README's pictures, from the program itself.
func TestPicturesOfTheScreens(t *testing.T) {
	poured := func(n int) func(*day.Snapshot) bool {
		return func(v *day.Snapshot) bool { return len(v.Laid) >= n && v.Next.Say == day.SayWait && len(v.Buckets) > 0 }
	}
	picture.Golden(t, "../../testdata/pictures/mix.svg", show(demoUntil(t, poured(12)), 100, 30, tui.Options{Title: "demo"}).SVG())
	danger := demoUntil(t, func(v *day.Snapshot) bool { return len(v.Laid) > 30 && v.Edge.RiskM > 0 })
	picture.Golden(t, "../../testdata/pictures/edge.svg", show(danger, 160, 45, tui.Options{Title: "demo", Screen: "edge"}).SVG())
	picture.Golden(t, "../../testdata/pictures/replay.svg", replayed(t).SVG())
	for _, name := range []struct {
		screen string
		sun    bool
	}{{"mix", true}, {"edge", true}, {"edge", false}} {
		for _, size := range [][2]int{{80, 24}, {100, 30}, {200, 60}} {
			s := show(danger, size[0], size[1], tui.Options{Screen: name.screen, Sun: name.sun, Profile: look.TrueColor})
			if s.Line(0) == "" {
				t.Errorf("%s at %v is empty", name.screen, size)
			}
		}
	}
}
