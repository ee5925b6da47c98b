package day

import (
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
	JobCount = "tally"   // empties
)

// jobs lists what is due, before the first batch and between two zones too.
func (s *State) jobs(v *Snapshot) (out []Job) {
	if v.Floor == nil {
		return nil
	}
	if v.Air.Due {
		j := Job{
			ID: JobRead, What: "READ SLAB AND AIR", Why: "due since " + v.Air.NextRead.Format("15:04"),
			Since: v.Air.NextRead, Late: v.Now.Sub(v.Air.NextRead) >= s.Plan.Rules.ReadingEvery,
		}
		if v.Air.SlabAt.IsZero() || v.Air.AirAt.IsZero() {
			j.Why = "never read"
		}
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

// jobConditions are the calls of jobs that were left undone.
func jobConditions(v *Snapshot) (out []condition) {
	for _, j := range v.Jobs {
		out = append(out, condition{id: j.ID, grade: 3, what: j.What, why: j.Why, on: j.Late, off: !j.Late})
	}
	return out
}
