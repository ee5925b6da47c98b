package sheet

import (
	"fmt"
	"math"
	"sort"
	"time"
)

// Point is one row of a table: a time at a temperature.
type Point struct {
	TempC float64
	Time  time.Duration
}

// Table is a time against temperature, as printed on a data sheet: points in
// rising temperature, times that fall as it gets warmer.
//
// Between two points the logarithm of the time is straight in temperature.
// Outside the points there is no figure. A table with Always set holds at any
// temperature (a sheet that gives one time without a temperature). The zero
// Table has no figure anywhere.
type Table struct {
	Points []Point
	Always time.Duration
}

// Empty reports whether the sheet gives nothing for this table.
func (t Table) Empty() bool { return len(t.Points) == 0 && t.Always == 0 }

// At reads the table at tempC (°C). ok is false outside the table: the caller
// says "outside the sheet" and does not guess.
func (t Table) At(tempC float64) (d time.Duration, ok bool) {
	s, ok := t.seconds(tempC)
	if !ok {
		return 0, false
	}
	return time.Duration(math.Round(s * float64(time.Second))), true
}

func (t Table) seconds(tempC float64) (float64, bool) {
	if t.Always > 0 {
		return t.Always.Seconds(), true
	}
	n := len(t.Points)
	if n == 0 || math.IsNaN(tempC) || tempC < t.Points[0].TempC-tempSlackC || tempC > t.Points[n-1].TempC+tempSlackC {
		return 0, false
	}
	i := sort.Search(n, func(i int) bool { return t.Points[i].TempC >= tempC })
	switch {
	case i == n: // inside the slack above the last point
		return t.Points[n-1].Time.Seconds(), true
	case i == 0 || t.Points[i].TempC == tempC:
		return t.Points[i].Time.Seconds(), true
	}
	a, b := t.Points[i-1], t.Points[i]
	f := (tempC - a.TempC) / (b.TempC - a.TempC)
	return math.Exp(math.Log(a.Time.Seconds())*(1-f) + math.Log(b.Time.Seconds())*f), true
}

// tempSlackC forgives the rounding of a Fahrenheit figure turned into Celsius
// and back (50 °F is 10.000000000000002 °C); far below any thermometer.
const tempSlackC = 1e-6

// Range is the span of temperatures (°C) that the table covers; ok is false
// for an empty table. A table that always holds covers everything.
func (t Table) Range() (lo, hi float64, ok bool) {
	switch {
	case t.Always > 0:
		return math.Inf(-1), math.Inf(1), true
	case len(t.Points) == 0:
		return 0, 0, false
	}
	return t.Points[0].TempC, t.Points[len(t.Points)-1].TempC, true
}

// Problems lists what is wrong with the table, all at once: times that are not
// above zero, temperatures given twice or out of order, times that do not fall
// as it gets warmer.
func (t Table) Problems() []string {
	var out []string
	for i, p := range t.Points {
		if p.Time <= 0 {
			out = append(out, fmt.Sprintf("the time at %.4g °C must be above zero", p.TempC))
		}
		if i == 0 {
			continue
		}
		q := t.Points[i-1]
		switch {
		case p.TempC == q.TempC:
			out = append(out, fmt.Sprintf("%.4g °C stands twice", p.TempC))
		case p.TempC < q.TempC:
			out = append(out, fmt.Sprintf("%.4g °C stands after %.4g °C: put the points in rising temperature", p.TempC, q.TempC))
		case p.Time >= q.Time && p.Time > 0:
			out = append(out, fmt.Sprintf("the time does not fall from %.4g °C to %.4g °C: warmer material must set sooner", q.TempC, p.TempC))
		}
	}
	return out
}

// Sample is a temperature (°C) read at an instant.
type Sample struct {
	At    time.Time
	TempC float64
}

// Used is the share of a life spent between from and to under changing
// temperature, u = Σ Δt / life(T): the equivalent-age sum of ASTM C1074 with
// the sheet's own table in place of a rate law. 1 is the end of the life.
//
// A sample holds from its instant until the next; the first one also holds
// before it. temps must be in rising time. ok is false when there is no
// sample, or a sample that counts lies outside the table.
func (t Table) Used(from, to time.Time, temps []Sample) (u float64, ok bool) {
	if !to.After(from) {
		return 0, len(temps) > 0
	}
	for i := range temps {
		a, b := temps[i].At, to
		if i == 0 || a.Before(from) {
			a = from
		}
		if i+1 < len(temps) && temps[i+1].At.Before(b) {
			b = temps[i+1].At
		}
		if !b.After(a) {
			continue
		}
		life, fine := t.seconds(temps[i].TempC)
		if !fine {
			return 0, false
		}
		u += b.Sub(a).Seconds() / life
	}
	return u, len(temps) > 0
}

// Ends is the instant at which a life begun at from is used up: Used reaches 1
// there. The last sample holds for ever. ok is false as for Used.
func (t Table) Ends(from time.Time, temps []Sample) (end time.Time, ok bool) {
	left, at := 1.0, from
	for i := range temps {
		last := i+1 == len(temps)
		if !last && !temps[i+1].At.After(at) {
			continue
		}
		life, fine := t.seconds(temps[i].TempC)
		if !fine {
			return time.Time{}, false
		}
		need := time.Duration(math.Round(left * life * float64(time.Second)))
		if last || !at.Add(need).After(temps[i+1].At) {
			return at.Add(need), true
		}
		left -= temps[i+1].At.Sub(at).Seconds() / life
		at = temps[i+1].At
	}
	return time.Time{}, false
}
