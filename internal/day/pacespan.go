package day

import "time"

// PaceSpan is a time during which a pace set by hand stood.
type PaceSpan struct {
	From, To time.Time // To zero: it still stands
	Interval time.Duration
}

// paces lists the times of the day at which a pace set by hand stood, read from
// the events that were not taken back.
func (s *State) paces() (out []PaceSpan) {
	for i := range s.Events {
		e := &s.Events[i]
		if e.Kind != PaceSet || s.Undone[e.N] {
			continue
		}
		if n := len(out); n > 0 && out[n-1].To.IsZero() {
			out[n-1].To = e.At
		}
		if iv := time.Duration(e.Seconds * float64(time.Second)); iv > 0 {
			out = append(out, PaceSpan{From: e.At, Interval: iv})
		}
	}
	return out
}
