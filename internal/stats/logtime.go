package stats

import (
	"fmt"
	"math"
	"time"
)

// LogTime is what is known about the time one step takes: its logarithm (of
// seconds) is normal with unknown mean and variance, and the knowledge about the
// two is a normal–inverse-gamma distribution,
//
//	σ² ~ InvGamma(Alpha, Beta),   mean | σ² ~ Normal(Mu, σ²/Kappa),
//
// which stays in that family as times are seen (Gelman et al., Bayesian Data
// Analysis, section 3.3; Murphy, "Conjugate Bayesian analysis of the Gaussian
// distribution", 2007, section 6; both from memory). One time with logarithm x:
//
//	Mu'    = (Kappa·Mu + x)/(Kappa + 1)
//	Kappa' = Kappa + 1
//	Alpha' = Alpha + 1/2
//	Beta'  = Beta + Kappa·(x − Mu)²/(2(Kappa + 1))
//
// The plan's figure is the start, worth as many seen times as its weight w:
//
//	Kappa = w,  Alpha = 1 + w/2,  Beta = w/2 · spread²
//
// so that the expected variance, Beta/(Alpha − 1), begins at spread² and moves
// to the day's own as an average weighted w to the number seen. The order in
// which times are seen does not matter.
type LogTime struct {
	Mu    float64 // mean of ln(seconds)
	Kappa float64 // times' worth of knowledge about the mean
	Alpha float64 // shape of the variance
	Beta  float64 // scale of the variance
	Seen  int     // times observed so far
}

// NewLogTime starts from the plan: the median time, the spread (standard
// deviation of the logarithm: 0.2 is about ±20 %), and a weight in seen times.
// It refuses a median or weight that is not above 0 and a spread below 0.
func NewLogTime(median time.Duration, spread, weight float64) (LogTime, error) {
	switch {
	case median <= 0:
		return LogTime{}, fmt.Errorf("step time: median is %v; it must be above 0", median)
	case !(spread >= 0) || math.IsInf(spread, 0):
		return LogTime{}, fmt.Errorf("step time: spread is %g; it must be 0 or more", spread)
	case !(weight > 0) || math.IsInf(weight, 0):
		return LogTime{}, fmt.Errorf("step time: prior weight is %g; it must be above 0", weight)
	}
	return LogTime{
		Mu:    math.Log(median.Seconds()),
		Kappa: weight,
		Alpha: 1 + weight/2,
		Beta:  weight / 2 * spread * spread,
	}, nil
}

// Observe takes in one timed step. A time of 0 or less cannot have been measured:
// it is left out, and ok is false.
func (l *LogTime) Observe(d time.Duration) (ok bool) {
	if d <= 0 {
		return false
	}
	x := math.Log(d.Seconds())
	off := x - l.Mu
	l.Beta += l.Kappa * off * off / (2 * (l.Kappa + 1))
	l.Mu = (l.Kappa*l.Mu + x) / (l.Kappa + 1)
	l.Kappa++
	l.Alpha += 0.5
	l.Seen++
	return true
}

// Median is the best guess at the step's median time, exp(Mu).
func (l LogTime) Median() time.Duration {
	return time.Duration(math.Round(math.Exp(l.Mu) * float64(time.Second)))
}

// Spread is the standard deviation of the logarithm from one time to the next,
// √(Beta/(Alpha−1)): the crew's own scatter, the median taken as known.
func (l LogTime) Spread() float64 { return math.Sqrt(l.Beta / (l.Alpha - 1)) }

// NextSpread is the standard deviation of the logarithm of the next time, doubt
// about the median included: √(Beta(Kappa+1)/(Kappa(Alpha−1))). Forecasts draw
// with it; it comes down to [LogTime.Spread] as times are seen.
func (l LogTime) NextSpread() float64 { return l.Spread() * math.Sqrt((l.Kappa+1)/l.Kappa) }

// N is how many times were seen, the plan's own weight not counted.
func (l LogTime) N() int { return l.Seen }
