package evidence

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

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

// Triangular returns the quantile at u of a triangular distribution from low to
// high with this peak, in their unit.
//
// Valid for u within 0 and 1 and low ≤ peak ≤ high, low < high.
//
// Source: JCGM 101:2008, 6.4.5, from memory; by gonum.
func Triangular(u, low, peak, high float64) float64 {
	return distuv.NewTriangle(low, high, peak, nil).Quantile(u)
}

// Trapezoidal returns the quantile at u of a symmetric trapezoidal distribution
// with this half-width a around the mean; β is its top over its base:
//
//	x = m − a + a·√(2u(1 − β²))          where u ≤ (1 − β)/(2(1 + β))
//	x = m − a + a·((1 − β)/2 + u·(1 + β))  up to the middle, mirrored above
//
// Valid for u within 0 and 1, a ≥ 0 and 0 ≤ β ≤ 1; β = 1 is rectangular and 0
// triangular.
//
// Source: JCGM 101:2008, 6.4.4, from memory; inverted here.
func Trapezoidal(u, mean, half, beta float64) float64 {
	if u > 0.5 {
		return 2*mean - Trapezoidal(1-u, mean, half, beta)
	}
	if u <= (1-beta)/(2*(1+beta)) {
		return mean - half + half*math.Sqrt(2*u*(1-beta*beta))
	}
	return mean - half + half*((1-beta)/2+u*(1+beta))
}

// Arcsine returns the quantile at u of what swings to and fro like a sine,
// within this half-width around the mean:
//
//	x = m + a·sin(π·(u − ½))
//
// Valid for u within 0 and 1.
//
// Source: JCGM 101:2008, 6.4.6, from memory.
func Arcsine(u, mean, half float64) float64 { return mean + half*math.Sin(math.Pi*(u-0.5)) }

// Lognormal returns the quantile at u of a number above 0, in the unit of the
// median; the standard deviation is that of its natural logarithm.
//
// Valid for u within 0 and 1, median > 0 and s > 0.
//
// Source: the definition, by gonum.
func Lognormal(u, median, s float64) float64 {
	return distuv.LogNormal{Mu: math.Log(median), Sigma: s}.Quantile(u)
}

// ScaledT returns the quantile at u of a scaled and shifted t distribution: what
// is known of a mean from ν + 1 repeats, with s/√n as its scale.
//
// Valid for u within 0 and 1, scale > 0 and ν > 0.
//
// Source: JCGM 101:2008, 6.4.9, from memory; by gonum.
func ScaledT(u, mean, scale, nu float64) float64 {
	return distuv.StudentsT{Mu: mean, Sigma: scale, Nu: nu}.Quantile(u)
}

// Probability returns Φ(z), without unit, the distribution function of the
// standard normal distribution, kept as far off 0 and 1 as a draw.
//
// Valid for any z.
//
// Source: the definition, by the error function of the standard library.
func Probability(z float64) float64 { return min(max(phi(z), least), 1-least) }

// phi is the distribution function of the standard normal distribution.
func phi(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// PhiInverse returns the quantile at p of the standard normal distribution,
// without unit. Valid for 0 < p < 1; ±Inf at the ends.
//
// Source: the definition, by the inverse error function of the standard library.
func PhiInverse(p float64) float64 { return -math.Sqrt2 * math.Erfcinv(2*p) }
