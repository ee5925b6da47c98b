package day

import (
	"testing"
	"time"
)

// Ages that cross a restart of the machine are about right only; those of batches
// started since are exact, and nothing is marked any more once it no longer matters.
func TestAgesAcrossARestart(t *testing.T) {
	s := begin(t, rectangle(10, 6))
	at := s.Plan.Handover.Add(time.Hour)
	opened := func(boot string) {
		at = at.Add(time.Minute)
		s = s.Apply(Event{N: int64(len(s.Events) + 1), At: at, Kind: SessionOpened, Boot: boot})
	}
	press := func(p Press) {
		t.Helper()
		at = at.Add(3 * time.Minute)
		s = do(t, s, at, p)
	}
	check := func(when string, day bool, buckets ...bool) {
		t.Helper()
		v := Look(s, at.Add(4*time.Minute))
		if v.Approx != day || len(v.Buckets) != len(buckets) {
			t.Fatalf("%s: the day about right %v, want %v; %d buckets, want %d", when, v.Approx, day, len(v.Buckets), len(buckets))
		}
		for i, want := range buckets {
			if v.Buckets[i].Approx != want {
				t.Errorf("%s: batch %d about right %v, want %v", when, v.Buckets[i].Batch, v.Buckets[i].Approx, want)
			}
		}
	}
	opened("a")
	press(Press{Kind: BatchStarted, Mixer: 1})
	check("same boot", false, false)
	opened("a")
	check("started again, same boot", false, false)
	opened("b")
	check("restarted", true, true)
	press(Press{Kind: BatchStarted, Mixer: 2})
	check("one since", true, true, false)
	press(Press{Kind: BatchPoured})
	check("on the floor, its edge still counts", true, false)
	press(Press{Kind: BatchPoured})
	opened("")
	check("a boot that nobody knows", true)
	opened("")
	press(Press{Kind: BatchStarted, Mixer: 1})
	check("never the same twice", true, false)
	opened("")
	check("again", true, true)
	press(Press{Kind: BatchPoured})
	press(Press{Kind: ZoneClosed})
	check("zone closed", false)
}
