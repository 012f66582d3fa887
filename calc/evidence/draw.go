package evidence

import (
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"
)

// least keeps a draw off 0 and 1, where a quantile is infinite.
const least = 1e-12

// Draw returns n draws of each column, between 0 and 1, row by row: the rows
// are what one calculation is run with. They are drawn in independent batches,
// each a Latin hypercube: of the k draws of a column in a batch exactly one lies
// in each k-th part of the way from 0 to 1.
//
// Valid for n ≥ 2·batches ≥ 2.
//
// Source: M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21, 239
// (1979), from memory.
func Draw(seed Seed, n, batches int, columns []string) (rows [][]float64) {
	for b := range batches {
		rows = append(rows, DrawBatch(seed, BatchStart(n, batches, b+1)-BatchStart(n, batches, b), b, columns)...)
	}
	return rows
}

// DrawBatch returns one batch of n draws of each column, as [Draw] makes them.
//
// Valid for n ≥ 1 and batch ≥ 0.
//
// Source: as [Draw].
func DrawBatch(seed Seed, n, batch int, columns []string) [][]float64 {
	rows := make([][]float64, n)
	for i := range rows {
		rows[i] = make([]float64, len(columns))
	}
	for c, name := range columns {
		fill(rows, c, seed.stream(batch, name))
	}
	return rows
}

// BatchStart returns the first row of a batch, of n rows in all.
func BatchStart(n, batches, batch int) int { return n * batch / batches }

func fill(rows [][]float64, column int, r *rand.Rand) {
	k := float64(len(rows))
	for i, part := range r.Perm(len(rows)) {
		u := (float64(part) + r.Float64()) / k
		rows[i][column] = min(max(u, least), 1-least)
	}
}

// Correlate turns rows of draws between 0 and 1 into draws from the normal
// distribution with these means and this covariance, in place:
//
//	z = m + L·g, g = Φ⁻¹(u), LLᵀ = P
//
// A column keeps its draws where nothing is correlated with it. ok is false where
// P is no covariance of as many numbers that are all uncertain.
func Correlate(rows [][]float64, m []float64, p [][]float64) (ok bool) {
	var chol mat.Cholesky
	if len(m) == 0 || !chol.Factorize(symmetricOf(p)) {
		return false
	}
	var lower mat.TriDense
	chol.LTo(&lower)
	g := mat.NewVecDense(len(m), nil)
	var z mat.VecDense
	for _, row := range rows {
		for i, u := range row {
			g.SetVec(i, PhiInverse(u))
		}
		z.MulVec(&lower, g)
		for i := range row {
			row[i] = m[i] + z.AtVec(i)
		}
	}
	return true
}
