package evidence

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// symmetricOf returns the symmetric part of rows, as many as each is long.
func symmetricOf(rows [][]float64) *mat.SymDense {
	s := mat.NewSymDense(len(rows), nil)
	for i, row := range rows {
		for j := i; j < len(row); j++ {
			s.SetSym(i, j, (row[j]+rows[j][i])/2)
		}
	}
	return s
}

func anyNaN(x []float64) bool { return slices.ContainsFunc(x, math.IsNaN) }
