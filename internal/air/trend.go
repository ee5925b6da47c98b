package air

import (
	"fmt"
	"math"
	"time"

	"floorpace/internal/stats"

	"gonum.org/v1/gonum/stat/distuv"
)

// Sample is one reading at an instant, in any unit; temperatures are in °C.
type Sample struct {
	At    time.Time
	Value float64
}

// Direction is what a trend shows beyond its own scatter.
type Direction uint8

// The three directions. Level means that no movement can be told from scatter,
// not that there is none.
const (
	Level Direction = iota
	Rising
	Falling
)

// String is "level", "rising" or "falling".
func (d Direction) String() string {
	switch d {
	case Rising:
		return "rising"
	case Falling:
		return "falling"
	}
	return "level"
}

// Drift is the straight line through a set of readings.
type Drift struct {
	PerHour   float64       // change per hour, in the readings' unit
	SE        float64       // standard error of PerHour; NaN with two readings
	N         int           // readings used
	Over      time.Duration // from the first to the last
	Direction Direction     // told with 95 % confidence; Level with two readings
	first     time.Time
	line      stats.Line
}

// At is the line's value at an instant. Beyond the readings it is a guess that
// grows with distance.
func (d Drift) At(t time.Time) float64 { return d.line.At(t.Sub(d.first).Hours()) }

// Trend fits a straight line to readings by least squares (see package stats) and
// gives the change per hour with its standard error. The direction is Rising or
// Falling when |PerHour| exceeds SE times Student's t for 95 % two-sided with n−2
// degrees of freedom. A slab that rises while a coat is open drives air out of the
// concrete and into the coat as blisters (common practice, no source).
//
// The readings may come in any order. Fewer than two, or all at one instant, are
// refused.
func Trend(readings []Sample) (Drift, error) {
	if len(readings) < 2 {
		return Drift{}, fmt.Errorf("trend: %d reading(s); at least 2 are needed, take another", len(readings))
	}
	first, last := readings[0].At, readings[0].At
	for _, r := range readings {
		if r.At.Before(first) {
			first = r.At
		}
		if r.At.After(last) {
			last = r.At
		}
	}
	if !last.After(first) {
		return Drift{}, fmt.Errorf("trend: all %d readings were taken at one instant; take another later", len(readings))
	}
	x, y := make([]float64, len(readings)), make([]float64, len(readings))
	for i, r := range readings {
		x[i], y[i] = r.At.Sub(first).Hours(), r.Value
	}
	line, err := stats.Fit(x, y)
	if err != nil {
		return Drift{}, fmt.Errorf("trend: %w", err)
	}
	d := Drift{PerHour: line.Slope, SE: line.SlopeSE, N: line.N, Over: last.Sub(first), first: first, line: line}
	if line.N > 2 {
		t := distuv.StudentsT{Sigma: 1, Nu: float64(line.N - 2)}.Quantile(0.975)
		if limit := t * line.SlopeSE; math.Abs(line.Slope) > limit {
			d.Direction = Falling
			if line.Slope > 0 {
				d.Direction = Rising
			}
		}
	}
	return d, nil
}
