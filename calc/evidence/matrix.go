package evidence

import (
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// symmetricOf returns the symmetric part of rows, as many as each is long.
func symmetricOf(rows [][]float64) *mat.SymDense {
	return symmetric(dense(rows))
}

// symmetric returns the symmetric part of a square matrix.
func symmetric(a mat.Matrix) *mat.SymDense {
	n, _ := a.Dims()
	s := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			s.SetSym(i, j, (a.At(i, j)+a.At(j, i))/2)
		}
	}
	return s
}

// rowsOf returns a matrix as rows.
func rowsOf(a mat.Matrix) [][]float64 {
	n, m := a.Dims()
	rows := make([][]float64, n)
	for i := range rows {
		rows[i] = make([]float64, m)
		for j := range rows[i] {
			rows[i][j] = a.At(i, j)
		}
	}
	return rows
}

// Covariance tells whether rows are the covariance of numbers of which each is
// uncertain by itself: symmetric and positive definite.
func Covariance(rows [][]float64) bool {
	for i, row := range rows {
		for j := range i {
			if math.Abs(row[j]-rows[j][i]) > 1e-9*math.Sqrt(rows[i][i]*rows[j][j]) {
				return false
			}
		}
	}
	var chol mat.Cholesky
	return len(rows) > 0 && chol.Factorize(symmetricOf(rows))
}

// usable tells whether a solution by a Cholesky factor holds. That its condition
// is bad says nothing against it: quantities whose units differ much have that,
// and it costs them no digits.
func usable(err error) bool {
	_, condition := errors.AsType[mat.Condition](err)
	return err == nil || condition
}

func anyNaN(x []float64) bool { return slices.ContainsFunc(x, math.IsNaN) }
