package evidence

import (
	"math"
	"slices"
)

// Summary is what a set of trials says about one output.
type Summary struct {
	Valid     int
	Mean, U   float64 // U is the standard deviation, with Valid − 1
	Low, High float64 // the symmetric interval: as many trials below as above

	ShortLow, ShortHigh float64 // the shortest interval, for a skewed output; its ends scatter more
}

// Level is the probability that every interval of leat is given for.
const Level = 0.95

// Summarise is [SummariseAt] for [Level].
func Summarise(trials []float64) (s Summary, ok bool) { return SummariseAt(trials, Level) }

// SummariseAt returns the mean, the standard deviation and the symmetric and
// the shortest interval with probability p, within 0 and 1, of the trials. NaN
// marks a trial without this output: it is left out. ok is false when fewer than
// two are left.
//
// Of M sorted values the interval is y_r to y_(r+q), with q = ⌊pM + ½⌋, at most
// M − 1. The symmetric one has r = (M − q)/2, rounded up, at least 1; the
// shortest the first r with the least y_(r+q) − y_r.
//
// Source: JCGM 101:2008, 7.6 and 7.7, from memory.
func SummariseAt(trials []float64, p float64) (s Summary, ok bool) {
	y := slices.DeleteFunc(slices.Clone(trials), math.IsNaN)
	if len(y) < 2 {
		return Summary{Valid: len(y)}, false
	}
	slices.Sort(y)
	m := len(y)
	q := min(int(p*float64(m)+0.5), m-1)
	r := max((m-q+1)/2, 1)
	s = Summary{Valid: m, Low: y[r-1], High: y[r+q-1]}
	s.Mean, s.U = meanAndDeviation(y)
	r = shortest(y, q)
	s.ShortLow, s.ShortHigh = y[r], y[r+q]
	return s, true
}

// shortest returns the first place from which q steps span least.
func shortest(sorted []float64, q int) (best int) {
	for r := range len(sorted) - q {
		if sorted[r+q]-sorted[r] < sorted[best+q]-sorted[best] {
			best = r
		}
	}
	return best
}

// meanAndDeviation takes two passes, so that a large mean costs no digits.
func meanAndDeviation(y []float64) (mean, s float64) {
	n := float64(len(y))
	for _, v := range y {
		mean += v
	}
	mean /= n
	var squares, rest float64
	for _, v := range y {
		squares += (v - mean) * (v - mean)
		rest += v - mean
	}
	return mean + rest/n, math.Sqrt(max(0, squares-rest*rest/n) / (n - 1))
}

// NumericalTolerance returns the largest error δ that leaves digits significant
// digits of a standard uncertainty as they are: written as c·10^l with as many
// digits in the whole number c, δ = ½·10^l, in the unit of u; 0 for u = 0.
//
// Valid for u ≥ 0 and digits ≥ 1.
//
// Source: JCGM 101:2008, 7.9.2, from memory.
func NumericalTolerance(u float64, digits int) float64 {
	if u == 0 {
		return 0
	}
	l := int(math.Floor(math.Log10(u))) - digits + 1
	if math.Round(u/math.Pow10(l)) >= math.Pow10(digits) {
		l++
	}
	return 0.5 * math.Pow10(l)
}

// Spread is how far independent batches lie apart: twice the standard deviation
// of the mean of each figure over the batches, in the unit of the output.
type Spread struct{ Mean, U, Low, High float64 }

// SpreadOf returns 2·s/√h of each figure over h batches, with h − 1. ok is false
// for fewer than two: one says nothing.
//
// Source: JCGM 101:2008, 7.9.4, from memory.
func SpreadOf(batches []Summary) (s Spread, ok bool) {
	h := len(batches)
	if h < 2 {
		return s, false
	}
	values := make([]float64, h)
	twice := func(of func(Summary) float64) float64 {
		for i, b := range batches {
			values[i] = of(b)
		}
		_, s := meanAndDeviation(values)
		return 2 * s / math.Sqrt(float64(h))
	}
	return Spread{
		Mean: twice(func(b Summary) float64 { return b.Mean }), U: twice(func(b Summary) float64 { return b.U }),
		Low: twice(func(b Summary) float64 { return b.Low }), High: twice(func(b Summary) float64 { return b.High }),
	}, true
}

// Within tells whether no figure of the batches lies farther apart than delta.
func (s Spread) Within(delta float64) bool {
	return s.Mean <= delta && s.U <= delta && s.Low <= delta && s.High <= delta
}

// Settled tells whether independent batches agree on mean, standard deviation
// and both ends of the interval to the digits of the standard uncertainty: their
// [Spread] is within δ of [NumericalTolerance].
//
// Source: JCGM 101:2008, 7.9.4, from memory.
func Settled(batches []Summary, u float64, digits int) bool {
	spread, ok := SpreadOf(batches)
	return ok && spread.Within(NumericalTolerance(u, digits))
}
