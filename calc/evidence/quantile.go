package evidence

import "math"

// Normal returns the quantile at u, within 0 and 1, of a normal distribution
// with this mean and standard deviation that is cut off at low and high.
//
//	x = m + s·Φ⁻¹(Φ(a) + u·(Φ(b) − Φ(a))), a = (low − m)/s, b = (high − m)/s
//
// An end that is ±Inf is not cut off. Valid for s > 0 and low < high.
//
// Source: JCGM 101:2008, 6.4.7 and annex C (inversion of the distribution
// function), from memory; the cutting off is derived here.
func Normal(u, mean, s, low, high float64) float64 {
	a, b := phi((low-mean)/s), phi((high-mean)/s)
	x := mean + s*PhiInverse(a+u*(b-a))
	return min(max(x, low), high)
}

// Rectangular returns the quantile at u of a rectangular distribution with this
// half-width around the mean:
//
//	x = m + a·(2u − 1)
//
// Valid for u within 0 and 1.
//
// Source: JCGM 101:2008, 6.4.2, from memory.
func Rectangular(u, mean, half float64) float64 { return mean + half*(2*u-1) }

// phi is the distribution function of the standard normal distribution.
func phi(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// PhiInverse returns the quantile at p of the standard normal distribution,
// without unit. Valid for 0 < p < 1; ±Inf at the ends.
//
// Source: the definition, by the inverse error function of the standard library.
func PhiInverse(p float64) float64 { return -math.Sqrt2 * math.Erfcinv(2*p) }
