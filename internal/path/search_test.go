package path

import (
	"strings"
	"testing"

	"floorpace/internal/floor"
)

// Source: test day 1: pulled along the other axis the L needs 2.44 times the
// pace.
func TestSearchOnDay1(t *testing.T) {
	z := zone(floor.Polygon{{X: 0, Y: 0}, {X: 9, Y: 0}, {X: 9, Y: 14}, {X: 6, Y: 14}, {X: 6, Y: 22}, {X: 0, Y: 22}})
	out, err := Search(z, Lay{PullDeg: 0, RowDepthM: 0.75, Start: Right})
	if err != nil {
		t.Fatal(err)
	}
	if len(out) != 4*2*3 {
		t.Errorf("%d ways tried, want 24", len(out))
	}
	best := out[0]
	if best.Lay.Pattern != SameSide || best.Lay.PullDeg != 90 || best.Lay.Start != Right || best.Own {
		t.Errorf("best is %v", best)
	}
	if !strings.Contains(best.String(), "pull 90°, rows from the same side, starting on the right") {
		t.Errorf("best is called %q", best)
	}
	near(t, "best", best.Worst.SpanL/5, 6.75, 0.01)
	own := 0
	for i, o := range out {
		if o.Own {
			own++
			near(t, "own over best", o.Worst.SpanL/best.Worst.SpanL, 2.44, 0.01)
		}
		if i > 0 && o.Worst.SpanL < out[i-1].Worst.SpanL*(1-0.001) {
			t.Errorf("%v stands behind %v", o, out[i-1])
		}
	}
	if own != 1 {
		t.Errorf("%d ways are the plan's own, want 1", own)
	}
}

// A room that stands aslant is best pulled along its own longer wall, and a
// plan that is among the best is named first.
func TestSearchAslant(t *testing.T) {
	f := floor.NewFrame(27)
	var o floor.Polygon
	for _, q := range box(0, 0, 5, 12) {
		o = append(o, f.From(q.X, q.Y))
	}
	out, err := Search(zone(o), Lay{PullDeg: 207, RowDepthM: 0.75, Start: Left})
	if err != nil {
		t.Fatal(err)
	}
	if !out[0].Own {
		t.Errorf("best is %v, want the plan's own", out[0])
	}
	near(t, "best", out[0].Worst.SpanL/5, 5*0.75, 0.01)
	if _, err := Search(zone(o), Lay{}); err == nil {
		t.Error("a lay without a row depth is searched")
	}
}
