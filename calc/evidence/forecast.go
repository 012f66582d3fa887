package evidence

import "math"

// PIT returns where a measured y with standard uncertainty u lies within a sample
// of predictions: the probability of less, the sample blurred by the measurement:
//
//	mean over the sample of Φ((y − xᵢ)/u)
//
// Valid for u > 0, all in one unit. Missing values of the sample are left out;
// NaN without any.
//
// Source: probability integral transform; any text on forecasting, from memory.
func PIT(sample []float64, y, u float64) float64 {
	x := Measured(sample)
	sum := 0.0
	for _, v := range x {
		sum += phi((y - v) / u)
	}
	return sum / float64(len(x))
}

// Blurred returns a sample of predictions with the error of a measurement of
// standard uncertainty u added to each, in the unit of both: what a measured
// value is compared with by [EnsembleCRPS]. The errors are drawn by the seed of
// the sample, so that every later comparison uses the same.
//
// It holds for u ≥ 0 and a sample of two or more. Missing values are left out.
func Blurred(sample []float64, u float64, seed Seed) []float64 {
	x := Measured(sample)
	for i, draw := range Draw(seed, len(x), 1, []string{"measurement"}) {
		x[i] += u * PhiInverse(draw[0])
	}
	return x
}

// DawidSebastiani returns the logarithmic score of a prediction of which mean and
// standard deviation s are kept, without unit but for that in the logarithm; less
// is better:
//
//	z² + 2·ln s,  z = (y − mean)/s
//
// Valid for s > 0, to compare predictions of the same measured values.
//
// Source: A. P. Dawid, P. Sebastiani, Ann. Stat. 27, 65 (1999), from memory.
func DawidSebastiani(mean, s, y float64) float64 {
	z := (y - mean) / s
	return z*z + 2*math.Log(s)
}

// PairedDifference returns by how much the scores of one set are above those of
// another on the same builds, and the half width of the 95 % interval of that:
// Student's t of the differences, n − 1 degrees of freedom.
//
// Valid for two lists of the same builds in the same order, two builds or more.
//
// Source: JCGM 100:2008, 4.2 and table G.2, from memory.
func PairedDifference(scores, others []float64) (mean, half float64) {
	differences := make([]float64, len(scores))
	for i, s := range scores {
		differences[i] = s - others[i]
	}
	mean, s := meanAndDeviation(differences)
	n := float64(len(scores))
	return mean, StudentQuantile(0.975, n-1) * s / math.Sqrt(n)
}

// HeavyTailed returns the standard uncertainty, in the unit of u, of a normal
// distribution with the 95 % interval that u has with nu degrees of freedom: a
// covariance knows no degrees of freedom.
//
//	u·t(0.975, ν)/1.96
//
// Valid for u ≥ 0 and nu above 0 or +Inf.
//
// Source: section 4.5 of the specification of evidence; derived here.
func HeavyTailed(u, nu float64) float64 {
	return u * StudentQuantile(0.975, nu) / PhiInverse(0.975)
}

// Tail returns the probability that a miss would be called wrongly, 1 less the
// larger of P_low and P_high: what the verdict on a run adjusts. 1 where the
// verdict has no numbers.
//
// Valid for any verdict.
//
// Source: section 4.6 of the specification of evidence; JCGM 106:2012, clause 7,
// from memory.
func (v VerdictOut) Tail() float64 {
	if v.PLow == nil || v.PHigh == nil {
		return 1
	}
	return 1 - max(*v.PLow, *v.PHigh)
}
