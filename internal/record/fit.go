package record

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/stats"
	"floorpace/internal/units"
)

// Fit is what was learned of one step: the median with its 95 % interval and the
// spread (standard deviation of the logarithm), beside the plan's.
type Fit struct {
	Name    string  `json:"step"`
	Unit    string  `json:"unit"` // s, m/s, m²/min, share
	Seen    int     `json:"seen"` // those left out not counted
	Median  Num     `json:"median"`
	Low     Num     `json:"low"` // of the 95 % interval of the median
	High    Num     `json:"high"`
	Spread  Num     `json:"spread"`
	Plan    Num     `json:"plan"`
	PlanVar Num     `json:"plan_spread"`
	Out     []Odd   `json:"left_out"`
	Note    string  `json:"note"`
	fits    string  // key of the plan's crew table this answers, "" for none
	kind    fitKind // how it prints
}

type fitKind uint8

const (
	asTime fitKind = iota
	asSpeed
	asRate
	asShare
)

// Odd is a time that was left out.
type Odd struct {
	Log   string    `json:"log"`
	Batch int       `json:"batch"` // 0 = no batch's: a row's
	At    time.Time `json:"at"`
	Value float64   `json:"value"`
}

// oddAt is the modified z-score beyond which a time is left out and named:
// 0.6745 · |x − median| / MAD > 3.5, on logarithms (Iglewicz and Hoaglin, "How
// to Detect and Handle Outliers", 1993; from memory).
const oddAt = 3.5

// fitOf fits the logarithms: median, its 95 % interval by Student's t, spread.
func fitOf(name string, seen []value) (Fit, error) {
	f := Fit{Name: name, Out: []Odd{}}
	var kept []value
	for _, v := range seen {
		if v.v > 0 && !math.IsInf(v.v, 0) {
			kept = append(kept, v)
		} else {
			f.Out = append(f.Out, Odd{clean.String(v.log), v.batch, v.at, v.v})
		}
	}
	if len(kept) < least {
		return f, fmt.Errorf("%s: seen %s, at least %d are needed", name, units.Count(len(kept), "time", "times"), least)
	}
	kept, odd := withoutOdd(kept)
	f.Out = append(f.Out, odd...)
	if len(kept) < least {
		return f, fmt.Errorf("%s: only %d of %s agree with each other", name, len(kept), units.Count(len(seen), "time", "times"))
	}
	out := f.Out
	f = fitKept(name, kept)
	f.Out = out
	return f, nil
}

// fitKept fits values that are all taken.
func fitKept(name string, kept []value) Fit {
	f := Fit{Name: name, Out: []Odd{}}
	var m stats.Moments
	for _, v := range kept {
		m.Add(math.Log(v.v))
	}
	half := studentT(0.975, float64(m.N()-1)) * m.SD() / math.Sqrt(float64(m.N()))
	f.Seen = m.N()
	f.Median, f.Spread = num(math.Exp(m.Mean())), num(m.SD())
	f.Low, f.High = num(math.Exp(m.Mean()-half)), num(math.Exp(m.Mean()+half))
	return f
}

// nearLine parts values y over x into those near a straight line and those far from
// it, by oddAt on what is left of them over the line. The line is that of Theil and
// Sen (the median of the slopes of all pairs), which a quarter of odd values cannot
// move (from memory).
func nearLine(x []float64, v []value) (keptX, keptY []float64, kept []value, odd []Odd) {
	var slopes []float64
	every := 1 + len(x)/mostPairs
	for i := range x {
		for k := i % every; k < i; k += every {
			if d := x[i] - x[k]; math.Abs(d) > 1e-9 {
				slopes = append(slopes, (v[i].v-v[k].v)/d)
			}
		}
	}
	slope := 0.0
	if len(slopes) > 0 {
		slope = median(slopes)
	}
	over := make([]float64, len(x))
	for i := range x {
		over[i] = v[i].v - slope*x[i]
	}
	mid := median(slices.Clone(over))
	away := make([]float64, len(x))
	for i := range over {
		away[i] = math.Abs(over[i] - mid)
	}
	mad := math.Max(median(slices.Clone(away)), leastMAD)
	for i := range x {
		if 0.6745*away[i]/mad > oddAt {
			odd = append(odd, Odd{clean.String(v[i].log), v[i].batch, v[i].at, v[i].v})
			continue
		}
		keptX, keptY, kept = append(keptX, x[i]), append(keptY, v[i].v), append(kept, v[i])
	}
	if odd == nil {
		odd = []Odd{}
	}
	return keptX, keptY, kept, odd
}

// mostPairs is how many values are paired each with each; of more only every second,
// third … is, which moves no median and keeps a hundred days to a second.
const mostPairs = 1000

// leastMAD is the least scatter about a line of times, s: presses are no surer.
const leastMAD = 1

// withoutOdd parts what stands far from all the rest, by oddAt.
func withoutOdd(in []value) (kept []value, odd []Odd) {
	logs := make([]float64, len(in))
	for i, v := range in {
		logs[i] = math.Log(v.v)
	}
	mid := median(slices.Clone(logs))
	away := make([]float64, len(in))
	for i := range logs {
		away[i] = math.Abs(logs[i] - mid)
	}
	// Times are pressed to the second: a scatter below that is rounding, and must
	// not make a batch of one second more an odd one.
	mad := math.Max(median(slices.Clone(away)), 0.02)
	near := grid(logs)
	for i, v := range in {
		if 0.6745*away[i]/mad > oddAt && away[i] > near {
			odd = append(odd, Odd{clean.String(v.log), v.batch, v.at, v.v})
			continue
		}
		kept = append(kept, v)
	}
	return kept, odd
}

// grid is how far values may lie from the middle by the coarseness of the clock
// alone: presses that come a whole tick apart (a demo's of five seconds) take few
// different values, and the next one, or the one after, is no outlier. 0 where the
// values are not on such a grid.
func grid(logs []float64) float64 {
	sorted := slices.Clone(logs)
	sort.Float64s(sorted)
	apart := []float64{}
	for i := 1; i < len(sorted); i++ {
		if d := sorted[i] - sorted[i-1]; d > 1e-9 {
			apart = append(apart, d)
		}
	}
	// A grid shows by values that come again and again.
	if len(apart) == 0 || 3*(len(apart)+1) > len(logs) {
		return 0
	}
	return 2.5 * median(apart)
}
