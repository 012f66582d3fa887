package evidence

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// nearlyNormal is the number of degrees of freedom above which the distribution
// of t is found from the normal one: from there on the expansion is right to
// 1e-9 as far as twenty standard uncertainties, and the beta function begins to
// lose digits.
const nearlyNormal = 1000

// StudentP returns the probability that Student's t with nu degrees of freedom,
// above 0 or +Inf, is at most x. Tails keep their digits.
//
// Valid for nu > 0 and any x, ±Inf too.
//
// Source: definition by the incomplete beta function; above a thousand degrees
// of freedom G. W. Hill, Commun. ACM 13, 617 (1970), algorithm 395, from memory.
func StudentP(x, nu float64) float64 {
	if x > 0 {
		return 1 - StudentP(-x, nu)
	}
	switch square := x * x; {
	case math.IsInf(nu, 1), math.IsInf(square, 1):
		return phi(x)
	case nu > nearlyNormal:
		return phi(-normalised(min(square, 1e8), nu)) // there it is 0 already
	case square < min(1, nu): // near the middle, where the other way loses digits
		return 0.5 - 0.5*distuv.Beta{Alpha: 0.5, Beta: nu / 2}.CDF(square/(nu+square))
	default:
		return 0.5 * distuv.Beta{Alpha: nu / 2, Beta: 0.5}.CDF(nu/(nu+square))
	}
}

// normalised is the normal deviate that belongs to t² with nu degrees of freedom.
func normalised(square, nu float64) float64 {
	a := nu - 0.5
	b := 48 * a * a
	w2 := a * math.Log1p(square/nu)
	return math.Sqrt(w2) * (1 + (w2+3)/b - (((4*w2+33)*w2+240)*w2+855)/(10*b*(b+0.8*w2*w2+100)))
}

// StudentQuantile returns the value that Student's t with nu degrees of
// freedom stays below with probability p.
//
// Valid for 0 < p < 1 and nu > 0, +Inf for the normal distribution. +Inf or -Inf
// where the value is beyond 64-bit floating point.
//
// Source: the definition; JCGM 100:2008, table G.2, tabulates it.
func StudentQuantile(p, nu float64) float64 {
	switch {
	case p < 0.5:
		return -StudentQuantile(1-p, nu)
	case math.IsInf(nu, 1):
		return PhiInverse(p)
	}
	above := func(x float64) float64 { return StudentP(-x, nu) - (1 - p) }
	high := 1.0
	for above(high) > 0 && !math.IsInf(high, 1) {
		high *= 2
	}
	return root(0, high, above)
}

// root returns where a function that falls from low to high passes zero, as
// closely as numbers allow.
func root(low, high float64, falls func(float64) float64) float64 {
	for {
		middle := low + (high-low)/2
		if !(low < middle && middle < high) { // NaN too
			return high
		}
		if falls(middle) > 0 {
			low = middle
		} else {
			high = middle
		}
	}
}
