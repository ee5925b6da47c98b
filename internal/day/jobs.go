package day

import (
	"strings"
	"time"

	"floorpace/internal/units"
)

// Job is something the plan asks for again and again: readings, a count of the
// empties. A job that is due is a reminder, no call: nothing is wrong yet, it
// makes no sound and is not on the log. Left undone for as long again, it
// becomes a call.
type Job struct {
	ID        string
	What, Why string
	Since     time.Time // due since
	Late      bool      // left undone for as long again: it is a call
}

// Jobs of the plan.
const (
	JobRead  = "reading" // slab and air
	JobSpot  = "spot"    // the slab at a spot whose temperature changes now
	JobCount = "tally"   // empties
)

// oneShift is how long the hour alone says when something was.
const oneShift = 12 * time.Hour

// clock is an instant of the past by the clock, with the day of the week when a
// shift and more has gone since.
func clock(at, now time.Time) string {
	if now.Sub(at) < oneShift {
		return at.Format("15:04")
	}
	return at.Format("Mon 15:04")
}

// jobs lists what is due, before the first batch and between two zones too.
func (s *State) jobs(v *Snapshot) (out []Job) {
	if v.Floor == nil {
		return nil
	}
	if v.Air.Due {
		j := Job{
			ID: JobRead, What: "READ SLAB AND AIR", Why: "due since " + clock(v.Air.NextRead, v.Now),
			Since: v.Air.NextRead, Late: v.Now.Sub(v.Air.NextRead) >= s.Plan.Rules.ReadingEvery,
		}
		if v.Air.SlabAt.IsZero() || v.Air.AirAt.IsZero() {
			j.Why = "never read"
		}
		out = append(out, j)
	}
	if j, ok := s.spotJob(v.Now); ok {
		out = append(out, j)
	}
	if every := s.Plan.Rules.TallyEvery; every > 0 {
		since := 0
		if n := len(s.Tallies); n > 0 {
			since = s.Tallies[n-1].Batch
		}
		if n := s.nextBatch() - 1 - since; n >= every {
			j := Job{ID: JobCount, What: "COUNT THE EMPTIES", Why: units.Count(n, "batch", "batches") + " since the last count", Late: n >= 2*every}
			if b := s.batch(since + every); b != nil {
				j.Since = b.Started
			}
			out = append(out, j)
		}
	}
	return out
}

// spotJob asks for a reading at each spot of a zone not closed whose hours have
// begun or ended since it was read last. It is late once the margin at the end of
// the edge life no longer covers what nobody knows.
func (s *State) spotJob(now time.Time) (Job, bool) {
	var since time.Time
	var names []string
	for i := range s.Zones {
		z := s.Zones[i].Floor.Z
		if !s.Zones[i].Closed.IsZero() {
			continue
		}
		for k, h := range z.Hours {
			change := h.Until
			if change.IsZero() || change.After(now) {
				change = h.From
			}
			if change.IsZero() || change.After(now) || !s.readAt(z.Name+"/"+z.Spots[k].Name).Before(change) {
				continue
			}
			if since.IsZero() || change.Before(since) {
				since = change
			}
			names = append(names, z.Spots[k].Name+", zone "+z.Name)
		}
	}
	return Job{
		ID: JobSpot, What: "READ THE SPOT", Why: strings.Join(names, "; ") + ": another temperature since " + since.Format("15:04"),
		Since: since, Late: now.Sub(since) >= s.Plan.Rules.EdgeMargin,
	}, len(names) > 0
}

// readAt is when a spot was read last on the day; zero when it was not.
func (s *State) readAt(spot string) (at time.Time) {
	for i := range s.Readings {
		if r := &s.Readings[i]; r.What == ReadSlab && r.Spot == spot && !s.Undone[r.N] {
			at = latest(at, r.At)
		}
	}
	return at
}

// jobConditions are the calls of jobs that were left undone.
func jobConditions(v *Snapshot) (out []condition) {
	for _, j := range v.Jobs {
		c := condition{id: j.ID, grade: 3, what: j.What, why: j.Why, on: j.Late, off: !j.Late}
		if j.ID == JobSpot {
			c.grade = 2 // the edge life there may be half of what is shown
		}
		out = append(out, c)
	}
	return out
}
