package evidence

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"leat/calc"
)

// Scatter says what builds of one kind have in common, and how far they differ
// from one to the next. All numbers are in the unit of the values.
type Scatter struct {
	Fixed float64 // mean, if builds did not differ
	Q, PQ float64 // whether they do: χ² about Fixed, and its probability

	Tau2, Mean, SE float64 // Paule and Mandel: variance between builds, mean, its plain standard error
	SEHK           float64 // the larger of SE and that of Hartung and Knapp

	Tau2DL, MeanDL, SEDL float64 // DerSimonian and Laird
}

// ScatterOf returns the scatter of values e with standard uncertainties u.
//
// The variance τ² between builds solves Σ(e − μ)²/(u² + τ²) = k − 1; it is 0
// where the sum is already below.
//
// Valid for two or more values and u > 0.
//
// Source: R. C. Paule, J. Mandel, J. Res. NBS 87, 377 (1982); R. DerSimonian,
// N. Laird, Control. Clin. Trials 7, 177 (1986); J. Hartung, G. Knapp, Stat. Med.
// 20, 3875 (2001); from memory.
func ScatterOf(e, u []float64) (s Scatter) {
	free := float64(len(e) - 1)
	var sum float64
	s.Fixed, s.Q, sum = weighted(e, u, 0)
	s.PQ = distuv.ChiSquared{K: free}.Survival(s.Q)
	var squares, most float64
	for i, v := range u {
		squares += 1 / (v * v * v * v)
		most += (e[i] - s.Fixed) * (e[i] - s.Fixed) / free // where Q is k − 1 or less, whatever u
	}
	s.Tau2DL = max(0, (s.Q-free)/(sum-squares/sum))
	s.MeanDL, _, sum = weighted(e, u, s.Tau2DL)
	s.SEDL = 1 / math.Sqrt(sum)
	if s.Q > free {
		s.Tau2 = root(0, most, func(t float64) float64 { _, q, _ := weighted(e, u, t); return q - free })
	}
	mean, q, sum := weighted(e, u, s.Tau2)
	s.Mean, s.SE = mean, 1/math.Sqrt(sum)
	s.SEHK = max(s.SE, math.Sqrt(q/free/sum))
	return s
}

// Interval returns the interval of the mean of all builds at this level:
// mean ± t·se with k − 1 degrees of freedom.
//
// Valid for the k values that s was made of, at least 2.
//
// Source: J. Hartung, G. Knapp, Stat. Med. 20, 3875 (2001), from memory.
func (s Scatter) Interval(k int, level float64) (low, high float64) {
	half := StudentQuantile((1+level)/2, float64(k-1)) * s.SEHK
	return s.Mean - half, s.Mean + half
}

// NextBuild returns the interval that the next build is in at this level:
// mean ± t·√(τ² + se²) with k − 2 degrees of freedom.
//
// Valid for the k values that s was made of, at least 3.
//
// Source: J. P. T. Higgins, S. G. Thompson, D. J. Spiegelhalter, J. R. Stat. Soc. A
// 172, 137 (2009), from memory.
func (s Scatter) NextBuild(k int, level float64) (low, high float64) {
	half := StudentQuantile((1+level)/2, float64(k-2)) * math.Hypot(math.Sqrt(s.Tau2), s.SEHK)
	return s.Mean - half, s.Mean + half
}

// weighted returns the mean with weights 1/(u² + t), the weighted squares about
// it, and the sum of the weights.
func weighted(e, u []float64, t float64) (mean, q, sum float64) {
	for i, v := range e {
		w := 1 / (u[i]*u[i] + t)
		sum += w
		mean += w * v
	}
	mean /= sum
	for i, v := range e {
		q += (v - mean) * (v - mean) / (u[i]*u[i] + t)
	}
	return mean, q, sum
}

// RandomEffectsIn is one value a build with its standard uncertainty.
type RandomEffectsIn struct {
	E     []float64 `json:"e"`
	U     []float64 `json:"u"`
	Level float64   `json:"level"`
}

// RandomEffectsOut is what builds have in common, and how far they differ.
type RandomEffectsOut struct {
	K         int       `json:"k"`
	Mean      float64   `json:"mean"`
	SE        float64   `json:"se"`
	SEHK      float64   `json:"se_hk"`
	Interval  []float64 `json:"interval"`
	Tau       float64   `json:"tau"`
	Tau2      float64   `json:"tau2"`
	Q         float64   `json:"Q"`
	PQ        float64   `json:"p_Q"`
	NextBuild []float64 `json:"next_build"` // nil: of two builds nothing is known of a third
	Fixed     float64   `json:"fixed"`
	Tau2DL    float64   `json:"tau2_dl"`
	MeanDL    float64   `json:"mean_dl"`
	SEDL      float64   `json:"se_dl"`
}

// RandomEffects says what builds have in common, and how far they differ.
func RandomEffects(in RandomEffectsIn) (RandomEffectsOut, []calc.Warning, *calc.Fault) {
	s, k := ScatterOf(in.E, in.U), len(in.E)
	out := RandomEffectsOut{K: k, Mean: s.Mean, SE: s.SE, SEHK: s.SEHK, Tau: math.Sqrt(s.Tau2), Tau2: s.Tau2, Q: s.Q, PQ: s.PQ,
		Fixed: s.Fixed, Tau2DL: s.Tau2DL, MeanDL: s.MeanDL, SEDL: s.SEDL}
	low, high := s.Interval(k, in.Level)
	out.Interval = []float64{low, high}
	if k > 2 {
		low, high = s.NextBuild(k, in.Level)
		out.NextBuild = []float64{low, high}
	}
	return out, nil, nil
}
