package evidence

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// From where on something is said about a coefficient.
const (
	informedFrom = 0.1  // share of its variance that the builds remove
	farFrom      = 3    // standard deviations that it moved
	oneFrom      = 0.9  // correlation of two
	noDirection  = 1e-9 // an eigenvalue up to this is 0
)

// Heard is how much of each coefficient the builds tell, in the prior's standard
// deviations.
type Heard struct {
	SD       []float64 // √P
	Shift    []float64 // (m − m₀)/√P₀
	Removed  []float64 // share of its variance: 1 − P/P₀
	Singular []float64 // roots of the eigenvalues of P₀^½·(Σ w·JᵀS⁻¹J)·P₀^½, largest first
	Learned  int       // how many of these are above 1: directions that the builds know better than the prior

	NotInformed []int // coefficients of which the builds tell next to nothing
	MovedFar    []int // coefficients that came to lie more than 3 standard deviations off
	Together    []int // two of which only a combination is known; nil: none
}

// Hear says what a lesson can tell and what it can't.
func (p Prior) Hear(l *Lesson) Heard {
	var h Heard
	for i, m := range l.M {
		left, before := l.P[i][i], p.P[i][i]
		h.SD = append(h.SD, math.Sqrt(left))
		h.Shift = append(h.Shift, (m-p.M[i])/math.Sqrt(before))
		h.Removed = append(h.Removed, 1-left/before)
		if h.Removed[i] < informedFrom {
			h.NotInformed = append(h.NotInformed, i)
		}
		if math.Abs(h.Shift[i]) > farFrom {
			h.MovedFar = append(h.MovedFar, i)
		}
	}
	h.Singular = p.directions(l.Told)
	for _, s := range h.Singular {
		if s > 1 {
			h.Learned++
		}
	}
	h.Together = together(l.P)
	return h
}

// directions takes LᵀML with LLᵀ = P₀ in place of P₀^½·M·P₀^½: it has the same
// eigenvalues.
func (p Prior) directions(told [][]float64) []float64 {
	roots := make([]float64, len(told))
	var chol mat.Cholesky
	var eigen mat.EigenSym
	if !chol.Factorize(symmetricOf(p.P)) {
		return roots
	}
	var lower mat.TriDense
	chol.LTo(&lower)
	var product mat.Dense
	product.Product(lower.T(), symmetricOf(told), &lower)
	if !eigen.Factorize(symmetric(&product), false) {
		return roots
	}
	for i, v := range eigen.Values(nil) {
		if v > noDirection {
			roots[i] = math.Sqrt(v)
		}
	}
	slices.Reverse(roots)
	return roots
}

// together returns the two coefficients with the largest correlation, where it
// is above 0.9.
func together(p [][]float64) (pair []int) {
	most := oneFrom
	for i := range p {
		for j := i + 1; j < len(p); j++ {
			if r := math.Abs(p[i][j]) / math.Sqrt(p[i][i]*p[j][j]); r > most {
				most, pair = r, []int{i, j}
			}
		}
	}
	return pair
}
