package evidence

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// The rounds of a fit.
const (
	weightRounds = 200
	weightsSame  = 1e-10 // renewed weights that differ by less are the same
	widest       = 6     // the most by which the scatter between builds is widened
	halvings     = 40    // of the factor from 1 to widest: to 5e-12
)

// tangent is what one build says near a point m of the coefficients:
// g(m′) = g + J·(m′ − m).
type tangent struct {
	j *mat.Dense
	r *mat.SymDense // covariance of what is measured and of what the model lacks
	e *mat.VecDense // what remains at the start: y − g − J·(m₀ − m)
}

// solved is what the builds say with one factor on the scatter between them.
type solved struct {
	factor     float64
	step       *mat.VecDense // m − m₀
	told       *mat.SymDense // Σ w·JᵀS⁻¹J
	p          *mat.SymDense
	weight, d2 []float64
}

// pull is what one build adds to the equations, with one factor.
type pull struct {
	s    mat.Cholesky
	told *mat.SymDense // JᵀS⁻¹J
	aim  *mat.VecDense // JᵀS⁻¹e
}

// problem is a fit with everything but the factor.
type problem struct {
	inverse *mat.SymDense // of P₀
	omega   []float64
	nu      float64 // of the weights; 0: none
	builds  []tangent
}

// widened returns the fit with the least factor, 1 to 6, with which the builds
// scatter no more than they are said to:
//
//	Σ w·D² = Σ w·n − trace(I − P·P₀⁻¹)
func (q *problem) widened(widen bool) (*solved, bool) {
	plain, ok := q.at(1)
	if !ok || !widen || len(q.builds) == 0 || q.excess(plain) <= 0 {
		return plain, ok
	}
	most, ok := q.at(widest)
	if !ok || q.excess(most) > 0 {
		return most, ok
	}
	low, high := 1.0, float64(widest)
	for range halvings {
		middle, ok := q.at((low + high) / 2)
		if !ok {
			return nil, false
		}
		if q.excess(middle) > 0 {
			low = middle.factor
		} else {
			high, most = middle.factor, middle
		}
	}
	return most, true
}

// excess is by how much the builds scatter more than they are said to.
func (q *problem) excess(x *solved) float64 {
	var sum float64
	for b, t := range q.builds {
		n, _ := t.j.Dims()
		sum += x.weight[b] * (x.d2[b] - float64(n))
	}
	var kept mat.Dense
	kept.Mul(x.p, q.inverse)
	return sum + float64(len(q.omega)) - mat.Trace(&kept)
}

// at fits with one factor. The weights start at 1 and are renewed until they
// stay. ok is false where a covariance has no inverse.
func (q *problem) at(factor float64) (*solved, bool) {
	pulls := make([]pull, len(q.builds))
	x := &solved{factor: factor, weight: make([]float64, len(q.builds)), d2: make([]float64, len(q.builds))}
	for b := range q.builds {
		var ok bool
		if pulls[b], ok = q.builds[b].pull(q.omega, factor); !ok {
			return nil, false
		}
		x.weight[b] = 1
	}
	for range weightRounds {
		if !q.solve(x, pulls) {
			return nil, false
		}
		if q.renew(x, pulls) < weightsSame {
			break
		}
	}
	return x, true
}

func (t *tangent) pull(omega []float64, factor float64) (p pull, ok bool) {
	n, d := t.j.Dims()
	scatter := mat.NewDense(n, d, nil)
	scatter.Apply(func(_, c int, v float64) float64 { return v * factor * omega[c] }, t.j)
	s := mat.NewSymDense(n, nil)
	s.SymOuterK(1, scatter)
	s.AddSym(s, t.r)
	if !p.s.Factorize(s) {
		return p, false
	}
	var solved mat.Dense
	if !usable(p.s.SolveTo(&solved, t.j)) {
		return p, false
	}
	var told mat.Dense
	told.Mul(t.j.T(), &solved)
	p.told = symmetric(&told)
	p.aim = mat.NewVecDense(d, nil)
	p.aim.MulVec(solved.T(), t.e)
	return p, true
}

// solve finds m and P with the weights as they are: H = P₀⁻¹ + Σ w·JᵀS⁻¹J,
// m = m₀ + H⁻¹·Σ w·JᵀS⁻¹e, P = H⁻¹.
func (q *problem) solve(x *solved, pulls []pull) bool {
	d := len(q.omega)
	x.told = mat.NewSymDense(d, nil)
	aim := mat.NewVecDense(d, nil)
	for b, p := range pulls {
		var part mat.SymDense
		part.ScaleSym(x.weight[b], p.told)
		x.told.AddSym(x.told, &part)
		aim.AddScaledVec(aim, x.weight[b], p.aim)
	}
	h := mat.NewSymDense(d, nil)
	h.AddSym(q.inverse, x.told)
	var chol mat.Cholesky
	if !chol.Factorize(h) {
		return false
	}
	x.step, x.p = mat.NewVecDense(d, nil), mat.NewSymDense(d, nil)
	return usable(chol.SolveVecTo(x.step, aim)) && usable(chol.InverseTo(x.p))
}

// renew weighs the builds by how far they lie off, w = min(1, (ν + n)/(ν + D²))
// with D² = rᵀS⁻¹r, and returns the largest change.
func (q *problem) renew(x *solved, pulls []pull) (change float64) {
	for b, t := range q.builds {
		n, _ := t.j.Dims()
		rest := mat.NewVecDense(n, nil)
		rest.MulVec(t.j, x.step)
		rest.SubVec(t.e, rest)
		var scaled mat.VecDense
		if !usable(pulls[b].s.SolveVecTo(&scaled, rest)) {
			return math.NaN()
		}
		x.d2[b] = mat.Dot(rest, &scaled)
		w := 1.0
		if q.nu > 0 {
			w = min(1, (q.nu+float64(n))/(q.nu+x.d2[b]))
		}
		change = max(change, math.Abs(w-x.weight[b]))
		x.weight[b] = w
	}
	return change
}
