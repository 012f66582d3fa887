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
		r.Lag1 = lagsOf(x, r.Mean).correlation(1)
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

// PooledFrom is how many degrees of freedom a group needs before the scatter of
// its earlier repeats may stand for that of a single reading.
const PooledFrom = 10

// Pool returns the scatter of one reading from several sets of repeats, in their
// unit, and its degrees of freedom:
//
//	s² = Σν·s²/Σν
//
// Valid for sets of the same quantity and kind of instrument; a set without
// degrees of freedom says nothing; NaN where none says anything.
//
// Source: JCGM 100:2008, 4.2.4, from memory.
func Pool(sets []Repeats) (s float64, nu int) {
	var squares float64
	for _, r := range sets {
		if r.Nu > 0 {
			squares += float64(r.Nu) * r.S * r.S
			nu += r.Nu
		}
	}
	return math.Sqrt(squares / float64(nu)), nu
}

// WithPool gives a single reading the scatter of earlier repeats, if there are
// enough of them.
//
// Source: JCGM 100:2008, 4.2.4, from memory; [PooledFrom] is common practice, no source.
func (r Repeats) WithPool(s float64, nu int) Repeats {
	if r.Status == SingleReading && nu >= PooledFrom {
		r.S, r.U, r.Nu, r.Status = s, s, nu, OK
	}
	return r
}

// Doubtful returns the places of readings that look unlike the others, five
// readings and more. A flag asks a question: it changes no number.
//
//	|x − median| / max(1.4826·MAD, resolution) > 3.5
//
// Source: B. Iglewicz and D. C. Hoaglin, How to Detect and Handle Outliers (1993), from memory.
func Doubtful(readings []float64, resolution float64) (places []int) {
	x := Measured(readings)
	if len(x) < 5 {
		return nil
	}
	slices.Sort(x)
	middle := medianOfSorted(x)
	scale := math.Max(perMAD*deviationMedian(x, middle), resolution)
	for i, v := range readings {
		if math.Abs(v-middle) > 3.5*scale && !math.IsInf(v, 0) {
			places = append(places, i)
		}
	}
	return places
}
