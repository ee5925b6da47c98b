package pace

import "floorpace/internal/sheet"

// NeededTo is the slowest pace, batches a minute, that keeps every wet edge
// that opens after path volume posL and is joined before toL (litres), each
// with the edge life of the spot it lies at; 0 when none has to wait. ok is
// false where the sheet has no edge life.
func (f *Zone) NeededTo(b *sheet.Blend, g Ground, posL, toL float64) (perMin float64, ok bool) {
	lives, ok, _ := f.edgeLives(b, g)
	if !ok {
		return 0, false
	}
	need, some := f.need(lives, posL, toL)
	if !some {
		return 0, true
	}
	return need.RateLps * 60 / f.NetL(b), true
}
