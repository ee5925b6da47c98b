package ticks

import (
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestValues(t *testing.T) {
	for _, c := range []struct {
		lo, hi         float64
		n              int
		from, to, step float64
	}{
		{62.3, 71.8, 3, 60, 75, 5},
		{0.31, 0.58, 4, 0.3, 0.6, 0.1},
		{-3, 12, 4, -5, 15, 5},
		{5, 5, 2, 4.5, 5.5, 0.5},
		{0, 100, 1, 0, 100, 100},
		{0, 97, 10, 0, 100, 10},
	} {
		from, to, step := Values(c.lo, c.hi, c.n)
		if math.Abs(from-c.from)+math.Abs(to-c.to)+math.Abs(step-c.step) > 1e-9 {
			t.Errorf("%v…%v in %d: got %v…%v by %v, want %v…%v by %v", c.lo, c.hi, c.n, from, to, step, c.from, c.to, c.step)
		}
	}
}

func TestValuesCoverTheRange(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lo := rapid.Float64Range(-1e6, 1e6).Draw(t, "lo")
		hi := lo + rapid.Float64Range(1e-6, 1e6).Draw(t, "width")
		n := rapid.IntRange(2, 12).Draw(t, "n")
		from, to, step := Values(lo, hi, n)
		// A double far from 0 is coarse: four steps of it, on top of what a screen shows.
		eps := 1e-6*step + 4*(math.Nextafter(1, 2)-1)*math.Max(math.Abs(lo), math.Abs(hi))
		if from > lo+eps || to < hi-eps || (to-from)/step > float64(n)+1e-6+2*eps/step {
			t.Fatalf("%v…%v in %d: %v…%v by %v", lo, hi, n, from, to, step)
		}
		mantissa := step / math.Pow(10, math.Floor(math.Log10(step)+1e-9))
		if r := math.Round(mantissa); math.Abs(r-mantissa) > 1e-6 || r != 1 && r != 2 && r != 5 {
			t.Fatalf("step %v is not round", step)
		}
	})
}

func clock(ts []time.Time) string {
	var out []string
	for _, t := range ts {
		out = append(out, t.Format("15:04"))
	}
	return strings.Join(out, " ")
}

func TestTimes(t *testing.T) {
	// Half past five: a zone off the full hour shows that ticks follow the wall
	// clock and not the hours of universal time.
	zone := time.FixedZone("", 5*3600+30*60)
	at := func(h, m int) time.Time { return time.Date(2026, 5, 4, h, m, 7, 0, zone) }
	for _, c := range []struct {
		from, to time.Time
		n        int
		want     string
	}{
		{at(5, 2), at(6, 10), 5, "05:15 05:30 05:45 06:00"},
		{at(5, 2), at(5, 9), 4, "05:04 05:06 05:08"},
		{at(22, 40), at(30, 40), 5, "00:00 02:00 04:00 06:00"},
		{at(5, 2), at(5, 2), 4, ""},
		{at(5, 2), at(80, 0), 3, "00:00 00:00 00:00"},
	} {
		if got := clock(Times(c.from, c.to, c.n)); got != c.want {
			t.Errorf("%s…%s: got %q, want %q", c.from.Format("15:04"), c.to.Format("15:04"), got, c.want)
		}
	}
}

func TestTimesAcrossClockChange(t *testing.T) {
	ny, err := time.LoadLocation("America/New_York")
	if err != nil {
		t.Skip("no time zone data on this system")
	}
	// On 8 March 2026 clocks there go from 2:00 to 3:00 (second Sunday of
	// March: US Energy Policy Act of 2005, from memory).
	got := clock(Times(time.Date(2026, 3, 8, 0, 10, 0, 0, ny), time.Date(2026, 3, 8, 7, 0, 0, 0, ny), 4))
	if want := "04:00 06:00"; got != want { // every two hours; 02:00 did not exist
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestTimesNeverTooMany(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from := time.Unix(rapid.Int64Range(0, 4e9).Draw(t, "from"), 0).UTC()
		to := from.Add(time.Duration(rapid.Int64Range(1, 30*86400).Draw(t, "seconds")) * time.Second)
		n := rapid.IntRange(1, 20).Draw(t, "n")
		got := Times(from, to, n)
		if len(got) > n {
			t.Fatalf("%d ticks, want at most %d", len(got), n)
		}
		for _, k := range got {
			if k.Before(from) || k.After(to) || k.Second() != 0 {
				t.Fatalf("tick %v outside %v…%v or not round", k, from, to)
			}
		}
	})
}
