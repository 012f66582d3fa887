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
}

// Level is the probability that every interval of leat is given for.
const Level = 0.95

// Summarise returns the mean, the standard deviation and the symmetric interval
// at [Level] of the trials. NaN marks a trial without this output: it is left
// out. ok is false when fewer than two are left.
//
// Of M sorted values the interval is y_r to y_(r+q), with q = ⌊pM + ½⌋, at most
// M − 1, and r = (M − q)/2, rounded up, at least 1.
//
// Source: JCGM 101:2008, 7.6 and 7.7, from memory.
func Summarise(trials []float64) (s Summary, ok bool) {
	y := slices.DeleteFunc(slices.Clone(trials), math.IsNaN)
	if len(y) < 2 {
		return Summary{Valid: len(y)}, false
	}
	slices.Sort(y)
	m := len(y)
	q := min(int(Level*float64(m)+0.5), m-1)
	r := max((m-q+1)/2, 1)
	s = Summary{Valid: m, Low: y[r-1], High: y[r+q-1]}
	s.Mean, s.U = meanAndDeviation(y)
	return s, true
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

// Settled tells whether independent batches agree on mean, standard deviation
// and both ends of the interval to the digits of the standard uncertainty: twice
// the standard deviation of their mean is at most δ for each.
//
// Source: JCGM 101:2008, 7.9.4, from memory.
func Settled(batches []Summary, u float64, digits int) bool {
	h := len(batches)
	if h < 2 {
		return false
	}
	delta := NumericalTolerance(u, digits)
	for _, of := range []func(Summary) float64{
		func(s Summary) float64 { return s.Mean }, func(s Summary) float64 { return s.U },
		func(s Summary) float64 { return s.Low }, func(s Summary) float64 { return s.High },
	} {
		values := make([]float64, h)
		for i, s := range batches {
			values[i] = of(s)
		}
		if _, s := meanAndDeviation(values); 2*s/math.Sqrt(float64(h)) > delta {
			return false
		}
	}
	return true
}
