package record

import (
	"slices"
	"time"

	"floorpace/internal/day"
)

// Why times are not a crew's own.
const (
	whyHold    = "a hold"
	whyOutage  = "a post out of service"
	whySlept   = "the computer asleep or the program stalled"
	whyClosed  = "the console closed and opened again"
	whyMissing = "lines missing from the log"
	whyAgain   = "a press made again after an undo"
)

// watched is a day with the stretches in which the time between two presses says
// nothing about the crew.
type watched struct {
	Seen
	s     *day.State
	off   []stretchOff
	paces []stretchOff // a pace set by hand: it makes starts wait, nothing else
	again map[time.Time]bool
}

type stretchOff struct {
	from, to time.Time // to zero: to the end
	why      string
}

func (o *stretchOff) touches(from, to time.Time) bool {
	return o.from.Before(to) && (o.to.IsZero() || o.to.After(from))
}

// watch reads a day for what it may be learned from.
func watch(d Seen) *watched {
	w := &watched{Seen: d, s: day.Fold(d.Plan, d.Floors, d.Events), again: map[time.Time]bool{}}
	for _, h := range w.s.Holds {
		w.off = append(w.off, stretchOff{h.From, h.To, whyHold})
	}
	for _, o := range w.s.Outages {
		w.off = append(w.off, stretchOff{o.From, o.To, whyOutage})
	}
	w.clocks()
	w.undone()
	for _, e := range d.Events {
		if e.Kind != day.PaceSet || w.s.Undone[e.N] {
			continue
		}
		if n := len(w.paces); n > 0 && w.paces[n-1].to.IsZero() {
			w.paces[n-1].to = e.At
		}
		if e.Seconds > 0 {
			w.paces = append(w.paces, stretchOff{from: e.At})
		}
	}
	return w
}

// fileOf is the bits of an event's number that count its file; the rest is its
// line there.
const fileOf = 32

// clocks finds where no press could be made or its instant is only about right.
// A wall clock that was set changes no age and takes nothing out.
func (w *watched) clocks() {
	last := map[int64]*day.Event{} // of each file
	for i := range w.Events {
		e := &w.Events[i]
		was := last[e.N>>fileOf]
		last[e.N>>fileOf] = e
		if was != nil && e.N > was.N+1 {
			w.off = append(w.off, stretchOff{was.At, e.At, whyMissing})
		}
		switch e.Kind {
		case day.SessionOpened:
			if i > 0 {
				w.off = append(w.off, stretchOff{w.Events[i-1].At, e.At, whyClosed})
			}
		case day.ClockSlept, day.ClockStalled:
			w.off = append(w.off, stretchOff{e.At.Add(-time.Duration(e.Seconds * float64(time.Second))), e.At, whySlept})
		}
	}
}

// madeAgain is how long after a press that was taken back another of its kind is
// taken for the same one made again.
const madeAgain = 2 * time.Minute

// undone finds presses that stand in the place of one taken back: they tell when
// the slip was mended, not when the thing was done.
func (w *watched) undone() {
	for i := range w.Events {
		e := &w.Events[i]
		if !w.s.Undone[e.N] || !day.Pressed(e.Kind) {
			continue
		}
		for k := i + 1; k < len(w.Events) && w.Events[k].At.Sub(e.At) <= madeAgain; k++ {
			if q := &w.Events[k]; q.Kind == e.Kind && !w.s.Undone[q.N] {
				w.again[q.At] = true
				break
			}
		}
	}
}

// why says what makes the time between two presses not the crew's own, "" when
// nothing does.
func (w *watched) why(from, to time.Time) string {
	if w.again[from] || w.again[to] {
		return whyAgain
	}
	for i := range w.off {
		if w.off[i].touches(from, to) {
			return w.off[i].why
		}
	}
	return ""
}

// gaps reports whether lines are missing between others.
func (w *watched) gaps() bool {
	return slices.ContainsFunc(w.off, func(o stretchOff) bool { return o.why == whyMissing })
}

func (w *watched) paced(from, to time.Time) bool {
	for i := range w.paces {
		if w.paces[i].touches(from, to) {
			return true
		}
	}
	return false
}
