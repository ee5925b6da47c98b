package playback

import (
	"fmt"
	"time"

	"floorpace/internal/day"
)

// MarkKind is what a mark on the time line stands for.
type MarkKind uint8

// Kinds of marks.
const (
	MarkBatch   MarkKind = iota // a batch was poured
	MarkReading                 // something was read
	MarkZone                    // a zone began
	MarkHold                    // nothing might start, from At until Until
	MarkCall                    // the console called out
)

// Mark is something that happened at an instant of the day.
type Mark struct {
	At, Until time.Time // Until for a hold that ended, and a call that cleared
	Kind      MarkKind
	Batch     int    // of MarkBatch
	Grade     int    // of MarkCall, 1 the gravest
	Words     string // what it was, in a few words

	n int // events that have happened once it has
}

// Marks lists what happened, in order. Presses that were taken back are left
// out.
func (b *Playback) Marks() []Mark { return b.marks }

func marksOf(end *day.State, at []time.Time) []Mark {
	var out []Mark
	hold := -1                   // index of the hold that stands
	standing := map[string]int{} // index of the calls that stand
	for i, e := range end.Events {
		if end.Undone[e.N] {
			continue
		}
		m := Mark{At: at[i], Batch: e.Batch, n: i + 1}
		switch e.Kind {
		case day.BatchPoured:
			m.Kind, m.Words = MarkBatch, fmt.Sprintf("batch %d poured", e.Batch)
		case day.ReadingTaken:
			m.Kind, m.Words = MarkReading, "read "+e.What
		case day.ZoneBegan:
			m.Kind, m.Words = MarkZone, e.Zone+" begun"
		case day.HoldBegan, day.MixingStopped:
			if hold >= 0 {
				out[hold].Until = at[i]
			}
			hold = len(out)
			m.Kind, m.Words = MarkHold, "hold: "+e.Why
		case day.HoldEnded:
			if hold >= 0 {
				out[hold].Until, hold = at[i], -1
			}
			continue
		case day.CallRaised:
			if k, ok := standing[e.Call]; ok {
				out[k].Until = at[i]
			}
			standing[e.Call] = len(out)
			m.Kind, m.Grade, m.Words = MarkCall, e.Grad, e.What
		case day.CallCleared:
			if k, ok := standing[e.Call]; ok {
				out[k].Until = at[i]
				delete(standing, e.Call)
			}
			continue
		default:
			continue
		}
		out = append(out, m)
	}
	return out
}
