package edge

import (
	"testing"
	"time"

	"floorpace/config"
	"floorpace/internal/day"
	"floorpace/internal/shift"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
)

// frames are the views of a minute of a day of n batches, a second apart, on a
// hall large enough for them: what a screen that stands there draws, one after
// the other, with the few changes of the floor that a minute brings.
func frames(b testing.TB, n int) []*shift.View {
	p := example(b, config.USPlan)
	p.Lots[0].Parts = map[string]int{"A": 900, "B": 900, "aggregate": 900}
	z := &p.Zones[0]
	z.Holes, z.Bays, z.StopLines, z.Doors, z.Spots = nil, nil, nil, nil, nil
	z.Outline[1].X, z.Outline[2].X = 160, 160
	q := newPour(b, p)
	for i := range n {
		q.press(day.Press{Kind: day.BatchStarted, Mixer: i%2 + 1})
		q.at = q.at.Add(130 * time.Second)
		q.press(day.Press{Kind: day.BatchPoured, Batch: i + 1})
	}
	var out []*shift.View
	for range 60 {
		out = append(out, q.view(0.93))
		q.at = q.at.Add(time.Second)
	}
	return out
}

// benchmarkFrame draws whole frames at 160×45, with the escape sequences; anew
// also draws the floor anew each time, as after a pour.
func benchmarkFrame(b *testing.B, n int, anew bool) {
	vs := frames(b, n)
	s := New()
	c := frame.New(look.New(look.Dark(), look.TrueColor, look.Unicode), 160, 45)
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		c.Reset(c.Look(), 160, 45)
		if anew {
			s.floor.rest.Version++
			s.floor.rest.Cells = nil
		}
		s.Draw(c.Pane(), vs[i%len(vs)])
		_ = c.String()
		i++
	}
}

func BenchmarkFrame50(b *testing.B)        { benchmarkFrame(b, 50, false) }
func BenchmarkFrame200(b *testing.B)       { benchmarkFrame(b, 200, false) }
func BenchmarkFrame500(b *testing.B)       { benchmarkFrame(b, 500, false) }
func BenchmarkFrame50Poured(b *testing.B)  { benchmarkFrame(b, 50, true) }
func BenchmarkFrame200Poured(b *testing.B) { benchmarkFrame(b, 200, true) }
func BenchmarkFrame500Poured(b *testing.B) { benchmarkFrame(b, 500, true) }
