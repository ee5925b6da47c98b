package day

import (
	"slices"
	"strings"
	"testing"
	"time"

	"floorpace/internal/pace"
)

// One story, one call: from too slow to lost it is raised once and gets worse in
// place, and each worsening wants an answer again.
func TestEdgeIsOneStory(t *testing.T) {
	s, at := stopped(t)
	var said []string
	for range 120 {
		at = at.Add(10 * time.Second)
		before := s.Calls["edge"]
		spoke := time.Time{}
		if before != nil {
			spoke = before.Spoke
		}
		s = due(t, s, at)
		c := s.Calls["edge"]
		if c == nil || c.Spoke.Equal(spoke) {
			continue
		}
		if before != nil && before != c {
			t.Fatalf("%s is another call than %s", c.What, before.What)
		}
		if !c.Loud() {
			t.Errorf("%s is silent as it is said", c.What)
		}
		if !spoke.IsZero() && c.Spoke.Sub(spoke) < leastStands {
			t.Errorf("%s comes %s after the one before: nobody can read that", c.What, c.Spoke.Sub(spoke))
		}
		if !c.Since().Equal(at) {
			t.Errorf("%s is said since %v, it began at %v", c.What, c.Since(), at)
		}
		said = append(said, c.What)
		s = do(t, s, at, Press{Kind: CallAcked, Call: "edge"})
		if e := s.Events[len(s.Events)-1]; e.What != c.What {
			t.Errorf("on record %q is answered, it said %q", e.What, c.What)
		}
	}
	if len(said) < 3 || said[len(said)-1] != edgeLost {
		t.Fatalf("said %q, want it to end with %s", said, edgeLost)
	}
	for i := 1; i < len(said); i++ {
		if rank(said[i]) <= rank(said[i-1]) {
			t.Errorf("%q does not get worse", said)
		}
	}
	n := 0
	for _, c := range s.CallLog {
		if c.ID == "edge" {
			n++
		}
	}
	c := s.Calls["edge"]
	if n != 1 || len(c.Was) != len(said)-1 {
		t.Errorf("%d calls about the edge, the last of which said %d things before; want one that said %d", n, len(c.Was), len(said)-1)
	}
	for i, w := range c.Was {
		if w.What != said[i] || w.Acked.IsZero() || !w.Until.After(w.At) {
			t.Errorf("it said %+v, want %s, answered", w, said[i])
		}
	}
	if c.Raised.After(c.Was[0].At) {
		t.Error("it is younger than what it said first")
	}
	due(t, s.Clone(), at.Add(time.Hour))
	if !slices.Equal(c.Was, s.Calls["edge"].Was) {
		t.Error("a copy of the day shares what a call said")
	}
}

// During a hold nobody is told to mix faster, and during a stop of all mixing
// the edge and the buckets are part of what the stop says.
func TestNoFasterInAHold(t *testing.T) {
	s, at := stopped(t)
	held := do(t, s, at, Press{Kind: HoldBegan, Why: "WAY BLOCKED"})
	shut := do(t, held.Clone(), at, Press{Kind: MixingStopped, Why: "SOMEONE HURT"})
	edge := false
	for i := range 150 {
		now := at.Add(time.Duration(i+1) * 10 * time.Second)
		held, shut = due(t, held, now), due(t, shut, now)
		for _, c := range Look(held, now).Calls {
			edge = edge || c.ID == "edge"
			if c.What == MixFaster {
				t.Fatalf("%s in a hold", c.What)
			}
		}
		for _, c := range Look(shut, now).Calls {
			if c.ID == "edge" || c.ID == "bucket" {
				t.Fatalf("%s in a stop", c.What)
			}
		}
	}
	if !edge {
		t.Error("the edge is not called out in a hold of 25 minutes")
	}
	at = at.Add(26 * time.Minute)
	shut = do(t, shut, at, Press{Kind: HoldEnded})
	shut = due(t, shut, at.Add(time.Second))
	if c := shut.Calls["edge"]; c == nil || c.What != edgeLost || !c.Loud() {
		t.Errorf("after the all clear: %+v, want %s, loud", c, edgeLost)
	}
}

// What is put aside comes back after a quarter of an hour, as the same call.
func TestPutAsideComesBack(t *testing.T) {
	s, at := stopped(t)
	at = at.Add(25 * time.Minute)
	s = due(t, s, at)
	c := s.Calls["edge"]
	if c == nil || c.What != edgeLost {
		t.Fatalf("%+v", c)
	}
	s = do(t, s, at, Press{Kind: CallShelved, Call: "edge", Why: "IN HAND"})
	s = due(t, s, at.Add(asideFor-time.Second))
	if s.Calls["edge"].Loud() {
		t.Error("it is back too soon")
	}
	s = due(t, s, at.Add(asideFor))
	if q := s.Calls["edge"]; q != c || !q.Loud() || len(q.Was) != 0 {
		t.Errorf("after %s: %+v, want the same call, loud", asideFor, q)
	}
}

// A job that is due is no call; left undone for as long again it is one.
func TestJobsAreNoCalls(t *testing.T) {
	p := rectangle(9, 12)
	p.Rules.ReadingEvery, p.Rules.TallyEvery = time.Hour, 4
	s := begin(t, p)
	read := s.Opened
	for _, what := range []string{ReadSlab, ReadAir} {
		s = do(t, s, read, Press{Kind: ReadingTaken, What: what, Value: Value(19)})
	}
	for _, q := range []struct {
		after     time.Duration
		job, call bool
	}{{59 * time.Minute, false, false}, {61 * time.Minute, true, false}, {119 * time.Minute, true, false}, {121 * time.Minute, true, true}} {
		now := read.Add(q.after)
		s = due(t, s, now)
		v := Look(s, now)
		job := slices.ContainsFunc(v.Jobs, func(j Job) bool { return j.ID == JobRead })
		call := slices.ContainsFunc(v.Calls, func(c Call) bool { return c.ID == JobRead })
		if job != q.job || call != q.call {
			t.Errorf("%s after the reading: job %v, call %v; want %v, %v", q.after, job, call, q.job, q.call)
		}
	}
	at := clockAt(t, "11:00:00")
	for i := range 8 {
		s = do(t, s, at, Press{Kind: BatchStarted, Mixer: i%3 + 1})
		at = at.Add(90 * time.Second)
		s = due(t, s, at)
		v := Look(s, at)
		job := slices.ContainsFunc(v.Jobs, func(j Job) bool { return j.ID == JobCount })
		call := slices.ContainsFunc(v.Calls, func(c Call) bool { return c.ID == JobCount })
		if job != (i+1 >= 4) || call != (i+1 >= 8) {
			t.Errorf("%d batches uncounted: job %v, call %v", i+1, job, call)
		}
	}
}

// MIX FASTER comes and goes once, however the figures tremble about their line,
// it says when it will be over, it is over then, and the word for the pace comes
// and goes with it. Worked by hand, no source: needed one every 2:30 (0.4 a
// minute), so over at 0.4/0.95 a minute, one every 2:22.5, or at 15 s of slack.
func TestFasterHasADeadBand(t *testing.T) {
	s, at := stopped(t)
	v := Look(s, at)
	v.Edge.NeededPerMin, v.Band.Needed, v.Band.Limit, v.Edge.Hopeless, v.Calls = 0.4, 0.3, 0.6, false, nil
	v.Next = Next{Say: SayWait}
	least := v.Edge.Least
	set := func(doing float64, slack time.Duration) {
		v.Doing, v.Edge.Points[least].Slack = doing, slack
		at = at.Add(leastStands)
		v.Now, v.conds = at, []condition{edgeCondition(s, v)}
		for _, e := range Due(s, v) {
			e.N = int64(len(s.Events))
			s = s.Apply(e)
		}
		v.Calls = present(s.standing(), v.conds)
	}
	stands := func() bool { c := s.Calls["edge"]; return c != nil && c.Standing() }
	for i, q := range []struct {
		doing  float64
		slack  time.Duration
		stands bool
		word   string
	}{
		{0.45, 40 * time.Second, false, "PACE HOLDS"},
		{0.39, -14 * time.Second, false, "PACE IS TIGHT"}, // inside the band: not yet
		{0.41, 10 * time.Second, false, "PACE HOLDS"},
		{0.39, -16 * time.Second, true, "MIX FASTER"},
		{0.41, 14 * time.Second, true, "MIX FASTER"}, // inside the band: still
		{0.39, -14 * time.Second, true, "MIX FASTER"},
		{0.42, 14 * time.Second, true, "MIX FASTER"},
		{0.422, -10 * time.Second, false, "PACE HOLDS"}, // past 0.4/0.95
		{0.41, 0, false, "PACE HOLDS"},
		{0.39, -20 * time.Second, true, "MIX FASTER"},
		{0.39, 16 * time.Second, false, "PACE IS TIGHT"}, // past the slack
	} {
		set(q.doing, q.slack)
		word, _ := v.PaceWord()
		if stands() != q.stands || word != q.word {
			t.Errorf("step %d, doing %.3f, slack %v: stands %v, %q; want %v, %q", i, q.doing, q.slack, stands(), word, q.stands, q.word)
		}
		if want := "; over at 2:23 or 0:15 of slack"; stands() && !strings.HasSuffix(v.Calls[0].Why, want) {
			t.Errorf("step %d: it says %q, want it to end with %q", i, v.Calls[0].Why, want)
		}
	}
}

// A crew that is just large enough again does not ring in and out.
func TestCannotHoldHasADeadBand(t *testing.T) {
	v := &Snapshot{Band: pace.Band{Needed: 0.5, Limit: 0.5}}
	for _, q := range []struct {
		needed  float64
		on, off bool
	}{{0.51, true, false}, {0.5, false, false}, {0.48, false, false}, {0.474, false, true}} {
		v.Band.Needed = q.needed
		if got := crewStage(v); got.on != q.on || got.off != q.off {
			t.Errorf("needed %.3f of a limit of 0.5: on %v, off %v; want %v, %v", q.needed, got.on, got.off, q.on, q.off)
		}
	}
}

// Where it is decided to stop, the edge ends there for good: nothing beyond asks for
// a pace, and nothing dies while the tape goes down. Without the decision the same
// row is lost (test day 6).
func TestNoEdgeBeyondTheStop(t *testing.T) {
	for _, decided := range []bool{true, false} {
		s := begin(t, rectangle(9, 12))
		at := clockAt(t, "10:45:00")
		for i := range 13 {
			at = at.Add(90 * time.Second)
			s = do(t, s, at.Add(-3*time.Minute), Press{Kind: BatchStarted, Mixer: i%3 + 1})
			if i == 8 && decided {
				s = do(t, s, at, Press{Kind: StopChosen, Text: "end of row 4", Value: Value(s.Floors[0].Path.RowEnd(3))})
				v := Look(s, at)
				if whole := s.Floors[0].Band(v.Blend, v.Hands, v.Ground, v.PosL).Needed; v.Band.Needed <= 0 || v.Band.Needed > whole {
					t.Errorf("to the stop %.3f a minute are needed, to the end of the zone %.3f", v.Band.Needed, whole)
				}
			}
			share := 1.0
			if i == 12 { // four rows are 12.2658 batches
				share = s.Floors[0].Path.RowEnd(3)/s.netL(0) - 12
			}
			s = do(t, s, at.Add(time.Second), Press{Kind: BatchPoured, Share: share})
		}
		var worst string
		for range 240 {
			at = at.Add(10 * time.Second)
			s = due(t, s, at)
			if c := s.Calls["edge"]; c != nil && c.Standing() {
				worst = c.What
			}
		}
		v := Look(s, at)
		if want := map[bool]string{true: "", false: edgeLost}[decided]; worst != want {
			t.Errorf("stop decided %v: called %q, want %q", decided, worst, want)
		}
		if decided && (len(v.Edge.Points) > 0 || v.Band.Needed != 0) {
			t.Errorf("at the stop %d places wait, %.3f batches a minute needed", len(v.Edge.Points), v.Band.Needed)
		}
	}
}

// A reading of another day: the hour alone would be one that is still to come.
func TestOldJobNamesItsDay(t *testing.T) {
	p := rectangle(9, 12)
	p.Rules.ReadingEvery = time.Hour
	s := begin(t, p)
	read := s.Opened
	for _, what := range []string{ReadSlab, ReadAir} {
		s = do(t, s, read, Press{Kind: ReadingTaken, What: what, Value: Value(19)})
	}
	next := read.Add(time.Hour)
	for late, want := range map[time.Duration]string{
		time.Minute:                "due since " + next.Format("15:04"),
		11 * time.Hour:             "due since " + next.Format("15:04"),
		23*time.Hour + time.Minute: "due since " + next.Format("Mon 15:04"),
	} {
		jobs := Look(s, next.Add(late)).Jobs
		i := slices.IndexFunc(jobs, func(j Job) bool { return j.ID == JobRead })
		if i < 0 || jobs[i].Why != want {
			t.Errorf("%v late: %+v, want %q", late, jobs, want)
		}
	}
}
