package day

import (
	"testing"
	"time"
)

// due lets the calls of an instant into the state.
func due(t *testing.T, s *State, at time.Time) *State {
	t.Helper()
	for _, e := range Due(s, Look(s, at)) {
		e.N = int64(len(s.Events))
		s = s.Apply(e)
	}
	return s
}

// stopped is a row laid and a long stop behind it.
func stopped(t *testing.T) (*State, time.Time) {
	t.Helper()
	p := rectangle(9, 12)
	s := begin(t, p)
	at := clockAt(t, "11:00:00")
	for i := range 6 {
		s = do(t, s, at.Add(-3*time.Minute), Press{Kind: BatchStarted, Mixer: i%3 + 1})
		s = do(t, s, at, Press{Kind: BatchPoured})
		at = at.Add(90 * time.Second)
	}
	return s, at
}

// An answered call speaks up again when its subject gets worse, and a call that
// stands shows the figures of now.
func TestAnsweredCallGetsWorse(t *testing.T) {
	s, at := stopped(t)
	var what string
	for i := 0; what != "EDGE AT RISK"; i++ {
		if i > 200 {
			t.Fatal("the edge never came into danger")
		}
		at = at.Add(10 * time.Second)
		s = due(t, s, at)
		if c := s.Calls["edge"]; c != nil && c.Standing() {
			what = c.What
		}
	}
	s = do(t, s, at, Press{Kind: CallAcked, Call: "edge"})
	if s.Calls["edge"].Loud() {
		t.Fatal("an answered call is loud")
	}
	before := s.Calls["edge"].Why
	s = due(t, s, at.Add(90*time.Second))
	v := Look(s, at.Add(90*time.Second))
	for _, c := range v.Calls {
		if c.ID == "edge" && c.Why == before {
			t.Errorf("the call still shows the figures it was raised with: %s", c.Why)
		}
	}
	at = at.Add(6 * time.Minute)
	s = due(t, s, at)
	c := s.Calls["edge"]
	if c.What != "EDGE LOST" || !c.Loud() {
		t.Errorf("after the loss: %q, loud %v; want EDGE LOST, loud", c.What, c.Loud())
	}
}

// A reading outside the sheet takes the figures away; the right one gives them
// back, and with them the call that fits.
func TestCorrectedReadingGivesTheFiguresBack(t *testing.T) {
	s, at := stopped(t)
	s = do(t, s, at, Press{Kind: ReadingTaken, What: ReadSlab, Value: Value(41)})
	s = due(t, s, at.Add(time.Second))
	if c := s.Calls["edge"]; c == nil || c.What != "NO EDGE FIGURE" {
		t.Fatalf("outside the sheet: %+v", c)
	}
	at = at.Add(time.Minute)
	s = do(t, s, at, Press{Kind: PressUndone, Of: s.Readings[len(s.Readings)-1].N})
	s = do(t, s, at, Press{Kind: ReadingTaken, What: ReadSlab, Value: Value(19)})
	s = due(t, s, at.Add(time.Second))
	if c := s.Calls["edge"]; c.Standing() && c.What == "NO EDGE FIGURE" {
		t.Error("the call for the missing figure still stands")
	}
	s = due(t, s, at.Add(20*time.Minute))
	if c := s.Calls["edge"]; c.What != "EDGE LOST" || !c.Loud() {
		t.Errorf("twenty minutes later: %+v, want EDGE LOST", c)
	}
}

// A slab that warms is said once, however many rounds of readings show it, in
// the next zone too; again when it warms faster by the stated step (two readings
// of ± 0.5 K an hour apart: 1 K an hour), and when the reading that made it was
// wrong and taken back.
func TestSlabThatWarmsIsSaidOnce(t *testing.T) {
	p := rectangle(9, 12)
	p.Rules.TempErrorC, p.Rules.ReadingEvery = 0.5, time.Hour
	s := begin(t, p)
	at := clockAt(t, "11:00:00")
	s = do(t, s, at, Press{Kind: BatchStarted, Mixer: 1})
	base := planned(p).SlabC
	from := planned(p).SlabAt
	spoke := 0
	read := func(after time.Duration, c float64) {
		t.Helper()
		at = from.Add(after)
		s = do(t, s, at, Press{Kind: ReadingTaken, What: ReadSlab, Value: Value(c)})
		for range 6 {
			at = at.Add(10 * time.Second)
			for _, e := range Due(s, Look(s, at)) {
				if e.Kind == CallRaised && e.Call == "slab" {
					spoke++
				}
				e.N = int64(len(s.Events))
				s = s.Apply(e)
			}
		}
	}
	rounds := []struct {
		after time.Duration
		rise  float64
		want  int
	}{
		{4 * time.Hour, 0.9, 0},                // within the error of both readings
		{5 * time.Hour, 2.5, 1},                // 0.4 K an hour over all readings
		{6 * time.Hour, 3, 1},                  // no faster
		{6*time.Hour + 20*time.Minute, 0.8, 1}, // reads level once
		{6*time.Hour + 40*time.Minute, 3.4, 1}, // rises again as before
		{7 * time.Hour, 24, 2},                 // the sun is on it
	}
	for _, q := range rounds {
		read(q.after, base+q.rise)
		v := Look(s, at)
		if spoke != q.want {
			t.Fatalf("%.1f K up after %s (%.2f K an hour): said %d times, want %d", q.rise, q.after, v.Air.RisingKH, spoke, q.want)
		}
	}
	wrong := s.Readings[len(s.Readings)-1].N
	s = do(t, s, at, Press{Kind: PressUndone, Of: wrong})
	read(7*time.Hour+20*time.Minute, base+3.6)
	if spoke != 2 {
		t.Fatalf("after the wrong reading was taken back it was said %d times", spoke)
	}
	read(7*time.Hour+40*time.Minute, base+24)
	if spoke != 3 {
		t.Fatalf("what was said of a wrong reading silences a true one: %d", spoke)
	}
}
