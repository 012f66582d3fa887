package evidence

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Candidate is one measurement that could be made on a build: one quantity at one
// operating point with one instrument.
type Candidate struct {
	Name string
	J    []float64 // change of the quantity with each coefficient, per standard deviation of set 0
	U    float64   // standard uncertainty of the measurement
	Cost float64   // in any unit
	G    float64   // predicted quantity, of which the model lacks a share
}

// Chosen is a measurement of a plan, with what is reached by it and all before it.
type Chosen struct {
	Candidate    int
	VarianceLeft float64 // of the target: share of the variance without any
	Information  float64 // ½·ln(det P/det P⁺)
}

// Plan chooses measurements on one build, one after the other, each the one that
// makes the variance of a target fall most per cost with those already chosen:
//
//	P⁺ = (P⁻¹ + Jᵀ·(diag(u² + (δ·g)²) + J·Ω·Jᵀ)⁻¹·J)⁻¹, variance cᵀP⁺c
//
// target is how the target changes with each coefficient. ok is false where a
// covariance has no inverse.
//
// Source: derived from the equations of [Learn]; choosing greedily is common
// practice.
func Plan(p [][]float64, candidates []Candidate, target, omega []float64, disc float64, steps int) (order []Chosen, ok bool) {
	w := wish{candidates: candidates, c: mat.NewVecDense(len(target), target), omega: omega, disc: disc, inverse: mat.NewSymDense(len(target), nil)}
	var chol mat.Cholesky
	if !chol.Factorize(symmetricOf(p)) || !usable(chol.InverseTo(w.inverse)) {
		return nil, false
	}
	w.logDet = chol.LogDet()
	before := mat.Inner(w.c, symmetricOf(p), w.c)
	left := before
	var chosen []int
	for len(order) < min(steps, len(candidates)) {
		next, ok := w.next(chosen, left)
		if !ok {
			return nil, false
		}
		chosen, left = append(chosen, next.Candidate), next.VarianceLeft
		next.VarianceLeft /= before
		order = append(order, next)
	}
	return order, true
}

// equal is the share by which two gains may differ and are the same.
const equal = 1e-12

// wish is what a plan is made for.
type wish struct {
	candidates []Candidate
	c          *mat.VecDense // the target
	omega      []float64
	disc       float64
	inverse    *mat.SymDense // of P
	logDet     float64       // of P
}

// next finds the best measurement beside those chosen, the first of equals. Its
// VarianceLeft is not yet a share.
func (w *wish) next(chosen []int, left float64) (best Chosen, ok bool) {
	best.Candidate = -1
	var most float64
	for i, candidate := range w.candidates {
		if slices.Contains(chosen, i) {
			continue
		}
		after, ok := w.reached(append(slices.Clone(chosen), i))
		if !ok {
			return best, false
		}
		fall := left - after.VarianceLeft
		if math.Abs(fall) <= equal*left {
			fall = 0
		}
		if gain := fall / candidate.Cost; best.Candidate < 0 || gain > most*(1+equal) {
			best, most = after, gain
		}
	}
	return best, true
}

// reached is what these measurements come to, the last of them the new one.
func (w *wish) reached(some []int) (after Chosen, ok bool) {
	n, d := len(some), w.c.Len()
	t := tangent{j: mat.NewDense(n, d, nil), r: mat.NewSymDense(n, nil), e: mat.NewVecDense(n, nil)}
	for i, c := range some {
		candidate := w.candidates[c]
		t.j.SetRow(i, candidate.J)
		lack := w.disc * candidate.G
		t.r.SetSym(i, i, candidate.U*candidate.U+lack*lack)
	}
	p, ok := t.pull(w.omega, 1)
	if !ok {
		return after, false
	}
	h := mat.NewSymDense(d, nil)
	h.AddSym(w.inverse, p.told)
	var chol mat.Cholesky
	var solved mat.VecDense
	if !chol.Factorize(h) || !usable(chol.SolveVecTo(&solved, w.c)) {
		return after, false
	}
	return Chosen{some[n-1], mat.Dot(w.c, &solved), (w.logDet + chol.LogDet()) / 2}, true
}
