package evidence

import (
	"math"
	"slices"

	"leat/calc"
)

// NormalCRPS returns the continuous ranked probability score of a normal
// prediction for a measured y, in the unit of y; less is better:
//
//	s·(z·(2Φ(z) − 1) + 2φ(z) − 1/√π),  z = (y − mean)/s
//
// With s = 0 it is |y − mean|.
//
// Valid for s ≥ 0.
//
// Source: T. Gneiting, A. E. Raftery, J. Am. Stat. Assoc. 102, 359 (2007),
// equation 21, from memory.
func NormalCRPS(mean, s, y float64) float64 {
	if s == 0 {
		return math.Abs(y - mean)
	}
	z := (y - mean) / s
	density := math.Exp(-z*z/2) / math.Sqrt(2*math.Pi)
	return s * (z*(2*phi(z)-1) + 2*density - 1/math.Sqrt(math.Pi))
}

// EnsembleCRPS returns the continuous ranked probability score of a sample of
// predictions for a measured y, in the unit of y; less is better:
//
//	mean|xᵢ − y| − ½·mean|xᵢ − xⱼ|
//
// the second mean over all pairs, those of a value with itself too. Missing
// values are left out; without any the score is NaN.
//
// Valid for a sample in the unit of y.
//
// Source: T. Gneiting, A. E. Raftery, J. Am. Stat. Assoc. 102, 359 (2007), from
// memory; the sum over pairs by sorting.
func EnsembleCRPS(sample []float64, y float64) float64 {
	x := Measured(sample)
	slices.Sort(x)
	m := float64(len(x))
	var away, apart float64
	for i, v := range x {
		away += math.Abs(v - y)
		apart += (2*float64(i) + 1 - m) * (v - y) // Σ over i < j of x_j − x_i
	}
	return (away - apart/m) / m
}

// CRPSNormalIn is a normal prediction and what was measured, in one unit.
type CRPSNormalIn struct {
	Mean float64 `json:"mean"`
	SD   float64 `json:"sd"`
	Y    float64 `json:"y"`
}

// CRPSOut is a score; nil without a prediction.
type CRPSOut struct {
	CRPS *float64 `json:"crps"`
}

// CRPSEnsembleIn is a sample of predictions and what was measured, in one unit.
type CRPSEnsembleIn struct {
	SampleValues calc.Readings `json:"sample_values"`
	Y            float64       `json:"y"`
}

// CRPSNormal scores a normal prediction.
func CRPSNormal(in CRPSNormalIn) (CRPSOut, []calc.Warning, *calc.Fault) {
	return CRPSOut{new(NormalCRPS(in.Mean, in.SD, in.Y))}, nil, nil
}

// CRPSEnsemble scores a prediction that is given as a sample.
func CRPSEnsemble(in CRPSEnsembleIn) (CRPSOut, []calc.Warning, *calc.Fault) {
	x := Measured(in.SampleValues)
	if len(x) == 0 {
		return CRPSOut{}, nil, nil
	}
	return CRPSOut{new(EnsembleCRPS(x, in.Y))}, nil, nil
}
