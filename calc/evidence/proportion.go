package evidence

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"leat/calc"
)

// WilsonInterval returns the interval that a share is in, at this level, when k
// of n cases had it:
//
//	(p + z²/2n ± z·√(p(1 − p)/n + z²/4n²)) / (1 + z²/n),  p = k/n, z = Φ⁻¹((1 + level)/2)
//
// Without any case it is 0 to 1.
//
// Valid for 0 ≤ k ≤ n and a level within 0 and 1.
//
// Source: E. B. Wilson, J. Am. Stat. Assoc. 22, 209 (1927); R. G. Newcombe, Stat.
// Med. 17, 857 (1998), method 3; from memory.
func WilsonInterval(k, n int, level float64) (lower, upper float64) {
	if n == 0 {
		return 0, 1
	}
	z := PhiInverse((1 + level) / 2)
	p, a := float64(k)/float64(n), z*z/float64(n)
	top := p + a/2 + math.Sqrt(a*(p*(1-p)+a/4))
	if k > 0 {
		lower = p * p / top // the product of both ends is p²/(1 + a): a small one keeps its digits
	}
	return lower, min(1, top/(1+a))
}

// ClopperPearsonInterval returns the interval that a share is in at this level or
// above it, when k of n cases had it: shares below lower would give k or more,
// shares above upper k or fewer, with a probability of less than (1 − level)/2.
//
// Valid for 0 ≤ k ≤ n and a level within 0 and 1. Without any case it is 0 to 1.
//
// Source: C. J. Clopper, E. S. Pearson, Biometrika 26, 404 (1934), by the
// incomplete beta function; from memory.
func ClopperPearsonInterval(k, n int, level float64) (lower, upper float64) {
	tail := (1 - level) / 2
	return clopperUnder(k, n, tail), 1 - clopperUnder(n-k, n, tail)
}

func clopperUnder(k, n int, tail float64) float64 {
	if k == 0 {
		return 0
	}
	return root(0, 1, func(p float64) float64 {
		return tail - distuv.Beta{Alpha: float64(k), Beta: float64(n-k) + 1}.CDF(p)
	})
}

// ShareIn is how many of how many cases had something.
type ShareIn struct {
	K     calc.Int `json:"k"`
	N     calc.Int `json:"n"`
	Level float64  `json:"level"`
}

// ShareOut is the interval that the share is in.
type ShareOut struct {
	Lower float64 `json:"lower"`
	Upper float64 `json:"upper"`
}
