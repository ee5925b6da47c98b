package stats

import (
	"math"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

func start(t interface{ Fatal(...any) }, median time.Duration, spread, weight float64) LogTime {
	l, err := NewLogTime(median, spread, weight)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func near(a, b, tol float64) bool { return math.Abs(a-b) <= tol }

// Worked by hand from the posterior formulas (Murphy 2007, section 6; Gelman et
// al., section 3.3; from memory). Prior: median e⁴ s, spread 0.5, weight 4, so
// Mu 4, Kappa 4, Alpha 3, Beta 0.5. Three times with logarithms 4, 5 and 6:
//
//	x̄ = 5, S = Σ(x−x̄)² = 2
//	Mu = (4·4 + 3·5)/7 = 31/7, Kappa = 7, Alpha = 3 + 3/2 = 4.5
//	Beta = 0.5 + S/2 + 4·3·(5−4)²/(2·7) = 1.5 + 6/7
func TestLogTimeByHand(t *testing.T) {
	e := func(x float64) time.Duration { return time.Duration(math.Exp(x) * 1e9) }
	l := start(t, e(4), 0.5, 4)
	if !near(l.Spread(), 0.5, 1e-12) || !near(l.Median().Seconds(), math.Exp(4), 1e-6) || l.N() != 0 {
		t.Errorf("before any time: %+v, median %v, spread %g; want the plan's own", l, l.Median(), l.Spread())
	}
	for _, x := range []float64{4, 5, 6} {
		if !l.Observe(e(x)) {
			t.Fatalf("time e^%g s refused", x)
		}
	}
	const tol = 1e-9 // times are whole nanoseconds
	if !near(l.Mu, 31.0/7, tol) || !near(l.Kappa, 7, 0) || !near(l.Alpha, 4.5, 0) || !near(l.Beta, 1.5+6.0/7, tol) || l.N() != 3 {
		t.Errorf("after three times: %+v; want Mu %g, Kappa 7, Alpha 4.5, Beta %g", l, 31.0/7, 1.5+6.0/7)
	}
	// Expected variance Beta/(Alpha−1) = (33/14)/(7/2) = 33/49.
	if !near(l.Spread(), math.Sqrt(33.0/49), tol) {
		t.Errorf("spread %g, want √(33/49)", l.Spread())
	}
	if !near(l.NextSpread(), math.Sqrt(33.0/49*8/7), tol) {
		t.Errorf("next spread %g, want √(33/49 · 8/7)", l.NextSpread())
	}
}

// One by one or all at once: the batch posterior formulas with gonum's mean and
// variance give the same, and so does any order.
func TestLogTimeBatch(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		w := rapid.Float64Range(0.5, 30).Draw(rt, "weight")
		s := rapid.Float64Range(0.01, 0.8).Draw(rt, "spread")
		secs := rapid.SliceOfN(rapid.IntRange(1, 3600), 2, 30).Draw(rt, "seconds")
		prior := start(rt, 4*time.Minute, s, w)
		one, back := prior, prior
		var x []float64
		for i, v := range secs {
			one.Observe(time.Duration(v) * time.Second)
			back.Observe(time.Duration(secs[len(secs)-1-i]) * time.Second)
			x = append(x, math.Log(float64(v)))
		}
		n := float64(len(x))
		mean, variance := stat.MeanVariance(x, nil)
		k := prior.Kappa + n
		want := LogTime{
			Mu: (prior.Kappa*prior.Mu + n*mean) / k, Kappa: k, Alpha: prior.Alpha + n/2,
			Beta: prior.Beta + variance*(n-1)/2 + prior.Kappa*n*(mean-prior.Mu)*(mean-prior.Mu)/(2*k),
			Seen: len(x),
		}
		for _, got := range []LogTime{one, back} {
			if !near(got.Mu, want.Mu, 1e-9) || !near(got.Kappa, want.Kappa, 1e-9) || !near(got.Alpha, want.Alpha, 1e-9) || !near(got.Beta, want.Beta, 1e-7) || got.N() != want.Seen {
				rt.Errorf("one by one %+v, at once %+v", got, want)
			}
		}
	})
}

// The posterior predictive is Student's t with 2·Alpha degrees of freedom and
// scale² Beta(Kappa+1)/(Alpha·Kappa) (Murphy 2007); gonum's variance of it is
// NextSpread squared.
func TestNextSpreadIsPredictive(t *testing.T) {
	l := start(t, 90*time.Second, 0.25, 5)
	for _, s := range []int{80, 100, 130, 85} {
		l.Observe(time.Duration(s) * time.Second)
		p := distuv.StudentsT{Mu: l.Mu, Sigma: math.Sqrt(l.Beta * (l.Kappa + 1) / (l.Alpha * l.Kappa)), Nu: 2 * l.Alpha}
		if got, want := l.NextSpread()*l.NextSpread(), p.Variance(); !near(got, want, 1e-12) {
			t.Errorf("after %d times: next spread² %g, predictive variance %g", l.N(), got, want)
		}
	}
}

// Many times of a crew that is 30 % slower than the plan: the plan is forgotten.
// The log-times run evenly through ±0.173, so their sd is 0.1.
func TestLogTimeLearns(t *testing.T) {
	l := start(t, 4*time.Minute, 0.3, 5)
	const n = 400
	for i := range n {
		off := (float64(i)/(n-1)*2 - 1) * 0.1 * math.Sqrt(3)
		l.Observe(time.Duration(312 * math.Exp(off) * 1e9)) // 1.3 × 240 s
	}
	if got := l.Median().Seconds(); !near(got, 312, 312*0.01) {
		t.Errorf("median %.1f s, want 312 within 1 %%", got)
	}
	if got := l.Spread(); !near(got, 0.1, 0.01) {
		t.Errorf("spread %.4f, want 0.1 within a tenth", got)
	}
}

func TestLogTimeRefuses(t *testing.T) {
	for _, c := range []struct {
		median         time.Duration
		spread, weight float64
	}{
		{0, 0.2, 5},
		{-time.Second, 0.2, 5},
		{time.Minute, -0.1, 5},
		{time.Minute, math.NaN(), 5},
		{time.Minute, math.Inf(1), 5},
		{time.Minute, 0.2, 0},
		{time.Minute, 0.2, math.NaN()},
		{time.Minute, 0.2, math.Inf(1)},
	} {
		if l, err := NewLogTime(c.median, c.spread, c.weight); err == nil {
			t.Errorf("NewLogTime(%v, %g, %g) = %+v, want an error", c.median, c.spread, c.weight, l)
		}
	}
	l := start(t, time.Minute, 0, 5) // a machine: no spread at all
	before := l
	if l.Observe(0) || l.Observe(-time.Second) || l != before {
		t.Errorf("an impossible time was taken in: %+v", l)
	}
	if !l.Observe(time.Minute) || l.Spread() > 1e-9 {
		t.Errorf("a machine on its time has spread %g", l.Spread())
	}
}
