// Package ticks finds round places on an axis: values at 1, 2 or 5 times a
// power of ten, clock times at round minutes and hours of the place's own
// wall clock.
package ticks

import (
	"math"
	"time"
)

// Values gives the fewest-digit step of 1, 2 or 5 times a power of ten that
// divides lo…hi into at most n steps, and the range widened to whole steps. A
// range of no width is widened first.
func Values(lo, hi float64, n int) (from, to, step float64) {
	n = max(n, 1)
	if !(hi > lo) {
		d := max(math.Abs(lo)*0.05, 0.5)
		lo, hi = lo-d, hi+d
	}
	step = math.Pow(10, math.Floor(math.Log10((hi-lo)/float64(n))))
	for {
		for _, f := range []float64{1, 2, 5} {
			s := step * f
			from, to = math.Floor(lo/s+1e-9)*s, math.Ceil(hi/s-1e-9)*s
			if (to-from)/s <= float64(n)+1e-9 || n == 1 && s >= (hi-lo) {
				return from, to, s
			}
		}
		step *= 10
	}
}

// Decimals gives the digits after the point that figures at such a step need.
func Decimals(step float64) int {
	return min(max(int(math.Ceil(-math.Log10(step)-1e-9)), 0), 6)
}

var minutes = []int{1, 2, 5, 10, 15, 30, 60, 120, 180, 360, 720, 1440}

// Times gives round clock times within from…to, at most n, in the zone of
// from; in whole days beyond twelve hours apart.
func Times(from, to time.Time, n int) []time.Time {
	if n < 1 || !to.After(from) {
		return nil
	}
	y, m, d := from.Date()
	for _, step := range minutes {
		if to.Sub(from) > time.Duration(step*(n+1))*time.Minute {
			continue
		}
		if out := every(from, to, y, m, d, step, n); out != nil {
			return out
		}
	}
	days := int(to.Sub(from).Hours()/24)/n + 1
	return every(from, to, y, m, d, 1440*days, n)
}

// every gives the times a step apart, counted on the wall clock from midnight;
// nil if they are more than n.
func every(from, to time.Time, y int, m time.Month, d, step, n int) []time.Time {
	out := []time.Time{}
	for k := 0; ; k++ {
		t := time.Date(y, m, d, 0, k*step, 0, 0, from.Location())
		if t.After(to) {
			return out
		}
		if t.Hour()*60+t.Minute() != k*step%1440 {
			continue // the wall clock jumps over this time today
		}
		if t.Before(from) || len(out) > 0 && !t.After(out[len(out)-1]) {
			continue // before the window, or an hour that the clock showed twice
		}
		if len(out) == n {
			return nil
		}
		out = append(out, t)
	}
}
