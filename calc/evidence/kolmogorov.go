package evidence

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// KolmogorovDistance returns the largest distance D between the steps of a
// sample of values between 0 and 1 and the straight line of an even spread.
//
// Valid for values between 0 and 1, at least one.
//
// Source: the definition.
func KolmogorovDistance(values []float64) float64 {
	x := slices.Sorted(slices.Values(values))
	n, d := float64(len(x)), 0.0
	for i, v := range x {
		d = max(d, v-float64(i)/n, float64(i+1)/n-v)
	}
	return d
}

// KolmogorovP returns the probability that n values spread evenly between 0 and
// 1 have a distance of d or more, exactly. Far out, where the two sides exclude
// each other to 1e-10, it is twice that of one side, which keeps the digits of
// a small one.
//
// Valid for n ≥ 1 and 1/2n ≤ d ≤ 1.
//
// Source: G. Marsaglia, W. W. Tsang, J. Wang, J. Stat. Softw. 8(18) (2003); one
// side: Z. W. Birnbaum, F. H. Tingey, Ann. Math. Stat. 22, 592 (1951); from memory.
func KolmogorovP(n int, d float64) float64 {
	if float64(n)*d*d > 4 {
		return min(1, 2*smirnovP(n, d))
	}
	return max(0, 1-kolmogorovBelow(n, d))
}

// smirnovP is the probability of a distance of d or more to one side.
func smirnovP(n int, d float64) (sum float64) {
	all, _ := math.Lgamma(float64(n) + 1)
	for j := 0; j < n; j++ {
		up := d + float64(j)/float64(n)
		if up >= 1 {
			break
		}
		a, _ := math.Lgamma(float64(j) + 1)
		b, _ := math.Lgamma(float64(n-j) + 1)
		sum += d * math.Exp(all-a-b+float64(j-1)*math.Log(up)+float64(n-j)*math.Log1p(-up))
	}
	return sum
}

// kolmogorovBelow is n!/nⁿ times the middle element of the n-th power of a
// matrix.
func kolmogorovBelow(n int, d float64) float64 {
	k := int(float64(n)*d) + 1
	power, tens := raised(kolmogorovMatrix(k, float64(k)-float64(n)*d), n)
	p := power.At(k-1, k-1)
	for i := 1; i <= n; i++ {
		p *= float64(i) / float64(n)
		if p < 1e-140 {
			p, tens = p*1e140, tens-140
		}
	}
	return p * math.Pow10(tens)
}

func kolmogorovMatrix(k int, h float64) *mat.Dense {
	m := 2*k - 1
	a := mat.NewDense(m, m, nil)
	for i := range m {
		for j := 0; j <= min(i+1, m-1); j++ {
			v := 1.0
			if j == 0 {
				v -= math.Pow(h, float64(i+1))
			}
			if i == m-1 {
				v -= math.Pow(h, float64(m-j))
			}
			if j == 0 && i == m-1 {
				v += math.Pow(max(0, 2*h-1), float64(m))
			}
			a.Set(i, j, v/math.Gamma(float64(i-j)+2))
		}
	}
	return a
}

// raised returns the n-th power of a matrix as power·10^tens.
func raised(a *mat.Dense, n int) (power *mat.Dense, tens int) {
	if n == 1 {
		return a, 0
	}
	half, tens := raised(a, n/2)
	power = &mat.Dense{}
	power.Mul(half, half)
	tens *= 2
	if n%2 == 1 {
		odd := &mat.Dense{}
		odd.Mul(power, a)
		power = odd
	}
	if m, _ := a.Dims(); power.At(m/2, m/2) > 1e140 {
		power.Scale(1e-140, power)
		tens += 140
	}
	return power, tens
}
