package evidence

import (
	"math"
	"slices"
)

// What repeats of one reading say about themselves.
const (
	NoReading     = "no_reading"
	SingleReading = "single_reading" // the scatter is not known
	ZeroSpread    = "zero_spread"    // all equal: the resolution carries what is not known
	OK            = "ok"
)

// Repeats is what several readings of one quantity say, each in the unit of the
// readings. What does not exist is NaN.
type Repeats struct {
	N, Missing int
	Mean, S    float64 // S is the standard deviation of one reading
	U          float64 // standard uncertainty of the mean
	Nu         int     // degrees of freedom of U
	Lag1       float64 // correlation of one reading with the next
	Status     string
}

// TypeA evaluates repeated readings, of which NaN and ±Inf are missing.
//
//	x̄ = Σx/n, s² = Σ(x − x̄)²/(n − 1), u = s/√n, ν = n − 1
//
// It holds for readings that do not hang together; for those of a logger see
// the mean of a series.
//
// Source: JCGM 100:2008, 4.2, from memory.
func TypeA(readings []float64) Repeats {
	x := Measured(readings)
	r := Repeats{N: len(x), Missing: len(readings) - len(x), Mean: math.NaN(), S: math.NaN(), U: math.NaN(), Lag1: math.NaN(), Nu: max(0, len(x)-1)}
	switch {
	case r.N == 0:
		r.Status = NoReading
	case r.N == 1:
		r.Status, r.Mean = SingleReading, x[0]
	case allEqual(x):
		r.Status, r.Mean, r.S, r.U = ZeroSpread, x[0], 0, 0
	default:
		r.Status = OK
		r.Mean, r.S = meanAndDeviation(x)
		r.U = r.S / math.Sqrt(float64(r.N))
		r.Lag1 = autocorrelation(x, r.Mean, 1)
	}
	return r
}

// Measured returns the readings that are there, in their order.
func Measured(readings []float64) []float64 {
	return slices.DeleteFunc(slices.Clone(readings), func(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) })
}

func allEqual(x []float64) bool {
	return !slices.ContainsFunc(x, func(v float64) bool { return v != x[0] })
}

// autocorrelation is the correlation of a series with itself k values later:
// Σ(x_i − x̄)(x_{i+k} − x̄)/Σ(x_i − x̄)².
func autocorrelation(x []float64, mean float64, k int) float64 {
	var product, squares float64
	for i, v := range x {
		squares += (v - mean) * (v - mean)
		if i+k < len(x) {
			product += (v - mean) * (x[i+k] - mean)
		}
	}
	return product / squares
}
