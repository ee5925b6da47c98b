package day

import (
	"time"

	"floorpace/internal/plan"
)

// StillMixing tells whether a batch has been in its mixer so short a time that
// a press for what comes after it, its pour or the next start, is taken for a
// slip and refused. A batch that is told to be mixed, or has left the line, is
// not mixing.
func StillMixing(p *plan.Plan, b *Batch, now time.Time) bool {
	if b.Started.IsZero() || b.Gone() || !b.Mixed.IsZero() {
		return false
	}
	bl := p.Sheet.Blend(b.Blend)
	return bl != nil && float64(now.Sub(b.Started)) < startsAgain*float64(bl.MixTime())
}
