package line

import (
	"fmt"
	"math"
	"slices"
	"sync"
	"time"
)

// Cells is the number of equally likely values in a step's table: enough that
// the spread lost inside a cell is under 0.3 % of the variance for the skewed
// shapes used here, few enough that seven tables stay in a 32 KiB cache.
const Cells = 1024

// Table holds the equally likely values of a step time, ascending, in ms.
type Table [Cells]uint32

type shape uint8

const (
	unused shape = iota
	fixed
	lognormal
	triangular
	observed
	exponential
)

// Dist is the spread of one step's time. The zero Dist is a step that takes no
// time, or a post that is not used. Build one with [Fixed], [LogNormal],
// [Triangular], [Observed] or [Exponential].
type Dist struct {
	shape   shape
	a, b, c float64 // ms, except LogNormal's spread in b
	samples []time.Duration
}

// Fixed is a step that always takes d.
func Fixed(d time.Duration) Dist { return Dist{shape: fixed, a: msOf(d)} }

// LogNormal is a step whose log-time is normal: median is the middle time,
// spread the standard deviation of ln(time), dimensionless (0.2 is about ±20 %).
func LogNormal(median time.Duration, spread float64) Dist {
	return Dist{shape: lognormal, a: msOf(median), b: spread}
}

// Triangular is a step between lo and hi, most often near mode.
func Triangular(lo, mode, hi time.Duration) Dist {
	return Dist{shape: triangular, a: msOf(lo), b: msOf(mode), c: msOf(hi)}
}

// Observed draws from the times seen, each equally likely. At least one is
// needed; more than [Cells] are thinned evenly by rank.
func Observed(times []time.Duration) Dist {
	s := slices.Clone(times)
	slices.Sort(s)
	return Dist{shape: observed, samples: s}
}

// Exponential is a step without memory, for checks against queueing theory.
func Exponential(mean time.Duration) Dist { return Dist{shape: exponential, a: msOf(mean)} }

// times is the step with every time so many times as long.
func (d Dist) times(f float64) Dist {
	d.a, d.c = d.a*f, d.c*f
	if d.shape != lognormal {
		d.b *= f
	}
	d.samples = slices.Clone(d.samples)
	for i := range d.samples {
		d.samples[i] = time.Duration(float64(d.samples[i]) * f)
	}
	return d
}

// walk is the table of walks: 2^15 ms stand for the median.
func (c *Config) walk() Dist {
	const median = (1 << fracBits) * time.Millisecond
	if c.WalkShape.Used() {
		return c.WalkShape.times(median.Seconds())
	}
	return LogNormal(median, c.WalkSpread)
}

// Used reports whether the step takes any time at all.
func (d Dist) Used() bool { return d.shape != unused }

func (d Dist) equal(e Dist) bool {
	return d.shape == e.shape && d.a == e.a && d.b == e.b && d.c == e.c && slices.Equal(d.samples, e.samples)
}

func msOf(d time.Duration) float64 { return float64(d) / float64(time.Millisecond) }

func (d Dist) check(name string) error {
	switch d.shape {
	case fixed, exponential:
		if d.a < 0 {
			return fmt.Errorf("%s: time %v ms is negative; give zero or more", name, d.a)
		}
	case lognormal:
		if d.a <= 0 || d.b < 0 || d.b > 2 || math.IsNaN(d.b) {
			return fmt.Errorf("%s: median %v ms, spread %v; give a median above zero and a spread from 0 to 2", name, d.a, d.b)
		}
	case triangular:
		if d.a < 0 || d.b < d.a || d.c < d.b {
			return fmt.Errorf("%s: lowest %v, usual %v, highest %v ms are not in order", name, d.a, d.b, d.c)
		}
	case observed:
		if len(d.samples) == 0 {
			return fmt.Errorf("%s: no times seen; give at least one", name)
		}
		if d.samples[0] < 0 {
			return fmt.Errorf("%s: a time seen is negative", name)
		}
	}
	if top := d.top(); !(top < maxStepMs) {
		return fmt.Errorf("%s: times up to %.0f ms are longer than %.0f h; use a shorter step", name, top, maxStepMs/3.6e6)
	}
	return nil
}

// maxStepMs bounds a single step: 24 h, far above any step of a pour.
const maxStepMs = 24 * 3600e3

// shelf keeps the tables made last. One question asks a dozen studies and every
// press another, and most steps are the same in all of them; a dozen tables cost
// a tenth of a forecast.
var shelf struct {
	sync.Mutex
	made map[shelved]*Table
}

// shelved is a Dist that can be looked up; times seen cannot.
type shelved struct {
	shape   shape
	a, b, c float64
}

// shelfSize is two crews of the most mixers; 64 tables are 256 KiB.
const shelfSize = 64

// Table returns the step's 1,024 values; do not change them. Each is the mean of its cell, and the
// rounding to whole ms is carried on to the next cell, so the table's mean is
// the distribution's to within a thousandth of a millisecond.
func (d Dist) Table() *Table {
	key := shelved{d.shape, d.a, d.b, d.c}
	if d.shape == observed {
		return d.table()
	}
	shelf.Lock()
	t := shelf.made[key]
	shelf.Unlock()
	if t != nil {
		return t
	}
	t = d.table()
	shelf.Lock()
	defer shelf.Unlock()
	if shelf.made == nil || len(shelf.made) >= shelfSize {
		shelf.made = make(map[shelved]*Table, shelfSize)
	}
	shelf.made[key] = t
	return t
}

func (d Dist) table() *Table {
	t := new(Table)
	var owed, before float64
	below := d.below()
	for i := range t {
		var v float64
		if below != nil {
			upTo := below(i + 1)
			v, before = Cells*(upTo-before), upTo
		} else {
			v = d.cell(i)
		}
		r := math.Round(v + owed)
		owed += v - r
		t[i] = uint32(max(0, r))
	}
	if !slices.IsSorted(t[:]) { // the carried rounding may swap neighbours
		slices.Sort(t[:])
	}
	return t
}

// Mean returns the mean step time.
func (d Dist) Mean() time.Duration {
	var sum float64
	if below := d.below(); below != nil {
		sum = below(Cells)
	} else {
		for i := range Cells {
			sum += d.cell(i) / Cells
		}
	}
	return time.Duration(sum * float64(time.Millisecond))
}

// below returns the integral of the quantile function over the first i cells,
// in ms: the part of the mean that the shortest i/1,024 of the times bring. It
// is nil for the shapes whose cells are worked out one by one.
func (d Dist) below() func(i int) float64 {
	switch {
	case d.shape == lognormal && d.b > 0:
		// Partial expectation of a lognormal: mean · Φ(z − s).
		mean, z := d.a*math.Exp(d.b*d.b/2), normQuantiles()
		return func(i int) float64 { return mean * normCDF(z[i]-d.b) }
	case d.shape == exponential:
		return func(i int) float64 {
			if i == Cells {
				return d.a
			}
			u := float64(i) / Cells
			return d.a * ((1-u)*math.Log1p(-u) + u)
		}
	}
	return nil
}

// cell returns the mean of the distribution over the i-th of 1,024 equally
// likely cells, in ms.
func (d Dist) cell(i int) float64 {
	switch d.shape {
	case fixed, lognormal: // a lognormal without spread
		return d.a
	case triangular:
		const steps = 16 // the quantile is smooth but for a square root at the ends
		var sum float64
		for j := range steps {
			sum += d.triQuantile((float64(i) + (float64(j)+0.5)/steps) / Cells)
		}
		return sum / steps
	case observed:
		n := len(d.samples)
		return msOf(d.samples[min(n-1, int(float64(n)*(float64(i)+0.5)/Cells))])
	}
	return 0
}

// top is the largest value the table will hold, in ms.
func (d Dist) top() float64 {
	if below := d.below(); below != nil {
		return Cells * (below(Cells) - below(Cells-1))
	}
	return d.cell(Cells - 1)
}

func (d Dist) triQuantile(u float64) float64 {
	span := d.c - d.a
	if span == 0 {
		return d.a
	}
	if u < (d.b-d.a)/span {
		return d.a + math.Sqrt(u*span*(d.b-d.a))
	}
	return d.c - math.Sqrt((1-u)*span*(d.c-d.b))
}

func normCDF(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// normQuantiles are the standard normal quantiles at the cells' bounds, from
// minus to plus infinity.
var normQuantiles = sync.OnceValue(func() *[Cells + 1]float64 {
	var z [Cells + 1]float64
	for i := range z {
		z[i] = math.Sqrt2 * math.Erfinv(2*float64(i)/Cells-1)
	}
	return &z
})

// given returns the table of whole step times of a step that has already lasted
// at least elapsedMs: the cells beyond it, each equally likely. When the step
// has outlasted its table it is taken to end now.
func (t *Table) given(elapsedMs uint32) *Table {
	from, _ := slices.BinarySearch(t[:], elapsedMs)
	out := new(Table)
	left := Cells - from
	for i := range out {
		if left == 0 {
			out[i] = elapsedMs
			continue
		}
		out[i] = t[from+i*left/Cells]
	}
	return out
}

func (t *Table) mean() float64 {
	var sum int64
	for _, v := range t {
		sum += int64(v)
	}
	return float64(sum) / Cells
}
