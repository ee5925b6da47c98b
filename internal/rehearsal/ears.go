package rehearsal

import (
	"fmt"
	"time"

	"floorpace/internal/day"
)

// Ears follow a day view by view and tell what was not called out in time: an
// edge that was lost and a bucket that died without a warning while there was
// still time. A stop of all mixing speaks for both: it names what is lost next.
// They also hold the age of every hold against when it was first seen. For
// tests of whole days.
type Ears struct {
	Faults []string
	Lost   int            // times that a part of the edge was lost
	Dead   int            // buckets that died
	Holds  map[string]int // holds seen, by their reason

	last    time.Time
	risk    time.Time // when part of the edge came at risk; zero for none
	gone    bool
	died    map[int]bool
	pressed map[int]time.Time // buckets: since when one has been in its margin
	free    time.Time         // when a batch was last seen free to start
	why     string            // of the hold seen last
}

// Hear takes the view of an instant, a tick after the one before.
func (h *Ears) Hear(v *day.Snapshot) {
	if h.died == nil {
		h.died, h.pressed, h.Holds = map[int]bool{}, map[int]time.Time{}, map[string]int{}
	}
	tick := v.Now.Sub(h.last)
	h.last = v.Now
	h.edge(v, tick)
	h.buckets(v, tick)
	h.holds(v, tick)
}

// holds wants every hold to say since when, truly: after a batch was last free
// to start, no later than it was first seen.
func (h *Ears) holds(v *day.Snapshot, tick time.Duration) {
	n := &v.Next
	if n.Say != day.SayHold {
		h.free, h.why = v.Now, ""
		return
	}
	if n.Why == h.why {
		return
	}
	h.why = n.Why
	h.Holds[n.Why]++
	if n.Since.IsZero() || n.Since.After(v.Now) || n.Since.Before(h.free.Add(-tick)) {
		h.Faults = append(h.Faults, fmt.Sprintf("%s HOLD %s says since %s, a batch was free to start at %s",
			v.Now.Format("15:04:05"), n.Why, n.Since.Format("15:04:05"), h.free.Format("15:04:05")))
	}
}

func (h *Ears) edge(v *day.Snapshot, tick time.Duration) {
	e := &v.Edge
	bad := e.OK && v.Zone >= 0 && e.RiskM+e.GoneM > 0
	switch {
	case !bad:
		h.risk, h.gone = time.Time{}, false
		return
	case h.risk.IsZero():
		h.risk = v.Now
	}
	if e.GoneM <= 0 || h.gone {
		return
	}
	h.gone = true
	h.Lost++
	h.want(v, "edge", "edge lost", min(v.Plan.Rules.EdgeMargin, v.Now.Sub(h.risk))-2*tick)
}

func (h *Ears) buckets(v *day.Snapshot, tick time.Duration) {
	for i := range v.Buckets {
		b := &v.Buckets[i]
		if !b.OK {
			continue
		}
		if b.Left < v.Plan.Rules.BucketMargin && h.pressed[b.Batch].IsZero() {
			h.pressed[b.Batch] = v.Now
		}
		if b.Dead && !h.died[b.Batch] {
			h.died[b.Batch] = true
			h.Dead++
			h.want(v, "bucket", fmt.Sprintf("bucket %d dead", b.Batch), v.Now.Sub(h.pressed[b.Batch])-2*tick)
		}
	}
}

// want notes a fault unless the call has stood for so long, or a stop does.
func (h *Ears) want(v *day.Snapshot, id, what string, since time.Duration) {
	for i := range v.Calls {
		c := &v.Calls[i]
		if c.ID == "stop" || c.ID == id && v.Now.Sub(c.Raised) >= since {
			return
		}
	}
	h.Faults = append(h.Faults, fmt.Sprintf("%s %s: not called out %s before", v.Now.Format("15:04:05"), what, since.Round(time.Second)))
}

// WorstHour counts the calls raised in the hour that had most of them, and how
// often calls spoke in the hour that was loudest: raised, or worse.
func WorstHour(history []day.Call) (calls, spoke int) {
	var raised, loud []time.Time
	for i := range history {
		c := &history[i]
		raised, loud = append(raised, c.Raised), append(loud, c.Spoke)
		for _, w := range c.Was {
			loud = append(loud, w.At)
		}
	}
	return inAnHour(raised), inAnHour(loud)
}

// inAnHour is the largest number of instants within one hour.
func inAnHour(ts []time.Time) (most int) {
	for _, from := range ts {
		n := 0
		for _, t := range ts {
			if !t.Before(from) && t.Before(from.Add(time.Hour)) {
				n++
			}
		}
		most = max(most, n)
	}
	return most
}
