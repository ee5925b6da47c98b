package record

import "math"

// studentT is the quantile at p of Student's t with df degrees of freedom (df at
// least 1), by halving on the distribution
//
//	F(t) = 1 − ½ I_{df/(df+t²)}(df/2, ½),  t ≥ 0
//
// with the regularised incomplete beta function as a continued fraction
// (Abramowitz and Stegun 26.5.8, 26.7.1; from memory). Good to 1e-9.
func studentT(p, df float64) float64 {
	if !(df >= 1) || !(p > 0 && p < 1) {
		return math.NaN()
	}
	if p < 0.5 {
		return -studentT(1-p, df)
	}
	lo, hi := 0.0, 2.0
	for studentF(hi, df) < p {
		hi *= 2
	}
	for hi-lo > 1e-12*hi {
		mid := (lo + hi) / 2
		if mid == lo || mid == hi {
			break
		}
		if studentF(mid, df) < p {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

func studentF(t, df float64) float64 { return 1 - 0.5*betaI(df/(df+t*t), df/2, 0.5) }

// betaI is the regularised incomplete beta function I_x(a, b).
func betaI(x, a, b float64) float64 {
	if x <= 0 {
		return 0
	}
	if x >= 1 {
		return 1
	}
	la, _ := math.Lgamma(a)
	lb, _ := math.Lgamma(b)
	lab, _ := math.Lgamma(a + b)
	front := math.Exp(lab - la - lb + a*math.Log(x) + b*math.Log1p(-x))
	if x > (a+1)/(a+b+2) { // the fraction converges fast on this side only
		return 1 - front*betaFraction(1-x, b, a)/b
	}
	return front * betaFraction(x, a, b) / a
}

// betaFraction is the continued fraction, by Lentz's method.
func betaFraction(x, a, b float64) float64 {
	const tiny = 1e-300 // stands for zero in a divisor
	c, d := 1.0, 1-(a+b)*x/(a+1)
	if math.Abs(d) < tiny {
		d = tiny
	}
	d = 1 / d
	h := d
	for k := 1; k < 500; k++ {
		m := float64(k)
		for _, num := range []float64{
			m * (b - m) * x / ((a + 2*m - 1) * (a + 2*m)),
			-(a + m) * (a + b + m) * x / ((a + 2*m) * (a + 2*m + 1)),
		} {
			d = 1 + num*d
			if math.Abs(d) < tiny {
				d = tiny
			}
			c = 1 + num/c
			if math.Abs(c) < tiny {
				c = tiny
			}
			d = 1 / d
			h *= d * c
		}
		if math.Abs(d*c-1) < 1e-15 {
			break
		}
	}
	return h
}
