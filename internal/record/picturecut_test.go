package record

import (
	"fmt"
	"testing"
	"time"

	"floorpace/internal/day"
)

// A corridor of ninety metres is drawn in pieces, so that the number of every batch
// stands on the picture once, on the paper and large enough to be read; so is one
// that lies across the paper. A hall that fills the paper is not cut.
func TestEveryNumberOnALongFloor(t *testing.T) {
	for _, f := range []struct {
		w, l, pull float64
		batches    int
		pieces     bool
	}{{6, 90, 90, 150, true}, {90, 6, 0, 150, true}, {9, 12, 90, 40, false}} {
		p := hall(f.w, f.l)
		p.Zones[0].PullDeg = f.pull
		p.Lots[0].Parts = map[string]int{"A": 300, "B": 300, "aggregate": 300}
		b := open(t, p)
		at := clockAt(t, "08:00:00")
		for i := range f.batches {
			b.press(at, day.Press{Kind: day.BatchStarted, Mixer: i%3 + 1})
			b.press(at.Add(3*time.Minute), day.Press{Kind: day.BatchPoured, Batch: i + 1})
			at = at.Add(3*time.Minute + 10*time.Second)
		}
		d := b.paper().floors[0].d
		seen := map[string]int{}
		cut := false
		for _, it := range d.items {
			if it.text == "" {
				continue
			}
			seen[it.text]++
			cut = cut || it.text == "goes on beside, at the top" || it.text == "goes on below, at the left"
			if x, y := it.pts[0][0], it.pts[0][1]; x < 0 || x > d.w || y < 0 || y > d.h {
				t.Errorf("%g by %g: %q stands off the drawing at %.1f, %.1f of %.1f, %.1f", f.w, f.l, it.text, x, y, d.w, d.h)
			}
		}
		for no := 1; no <= f.batches; no++ {
			if n := seen[fmt.Sprint(no)]; n != 1 {
				t.Errorf("%g by %g: batch %d stands on the picture %d times", f.w, f.l, no, n)
			}
		}
		if cut != f.pieces {
			t.Errorf("%g by %g: in pieces %v, want %v", f.w, f.l, cut, f.pieces)
		}
		if d.h > floorH+1 || d.w > floorW {
			t.Errorf("%g by %g: %.0f by %.0f mm does not fit the page", f.w, f.l, d.w, d.h)
		}
	}
}
