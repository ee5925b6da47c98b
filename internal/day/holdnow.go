package day

import (
	"slices"
	"strings"
	"time"
)

// holdNow is why no batch may start whatever is on the way, and since when: a
// hold that was pressed, a reading that the sheet forbids, no mixer at work.
func (s *State) holdNow(mixer int) (why string, since time.Time, ok bool) {
	switch stops := s.sheetStops(); {
	case s.Hold != nil:
		return s.Hold.Why, s.Hold.From, true
	case len(stops) > 0:
		return strings.ToUpper(stops[0].Name), s.readLast(), true
	case !s.Posts.PowerDown.IsZero():
		return "NO POWER", s.Posts.PowerDown, true
	case mixer == 0:
		return "NO MIXER", lastOut(s.Posts.MixersDown), true
	}
	return "", time.Time{}, false
}

// readLast is when the newest reading that stands was taken; the day's opening
// when none was.
func (s *State) readLast() time.Time {
	for i := len(s.Readings) - 1; i >= 0; i-- {
		if r := &s.Readings[i]; !s.Undone[r.N] {
			return r.At
		}
	}
	return s.Opened
}

// lastOut is when the last of them went out: since then none is at work.
func lastOut(down map[int]time.Time) (at time.Time) {
	for _, t := range down {
		at = latest(at, t)
	}
	return at
}

// queueing is how many full buckets stand before the call is to hold: one is
// on its way, two are a queue.
const queueing = 2

// queueSince is since when as many batches are on the way as the loop has
// buckets, with a queue among them.
func queueSince(way []onTheWay, most int) (since time.Time, ok bool) {
	if most <= 0 || len(way) < most {
		return since, false
	}
	var starts, outs []time.Time
	for _, w := range way {
		starts = append(starts, w.b.Started)
		if w.where == InBucket {
			outs = append(outs, w.out)
		}
	}
	if len(outs) < queueing {
		return since, false
	}
	slices.SortFunc(starts, time.Time.Compare)
	slices.SortFunc(outs, time.Time.Compare)
	return latest(starts[most-1], outs[queueing-1]), true
}
