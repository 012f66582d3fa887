package evidence

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Propagate returns the covariance of y = C·x: C·V·Cᵀ. sens is C, a row for each
// y; cov is V, as many rows and columns as C has columns.
//
// It is exact for straight relations, and good while the slopes hardly change
// within a standard uncertainty.
//
// Source: JCGM 100:2008, 5.2.2 and H.2.3, from memory.
func Propagate(sens, cov [][]float64) [][]float64 {
	c := dense(sens)
	var half, v mat.Dense
	half.Mul(c, dense(cov))
	v.Mul(&half, c.T())
	return rowsOf(&v)
}

// CovarianceOf returns the covariance of quantities with these standard
// uncertainties; corr nil: they have nothing to do with each other.
//
// Source: JCGM 100:2008, 5.2.2, from memory.
func CovarianceOf(u []float64, corr [][]float64) [][]float64 {
	v := make([][]float64, len(u))
	for i := range u {
		v[i] = make([]float64, len(u))
		for j := range u {
			switch {
			case corr != nil:
				v[i][j] = corr[i][j] * u[i] * u[j]
			case i == j:
				v[i][i] = u[i] * u[i]
			}
		}
	}
	return v
}

// CovarianceOfMeans returns the covariance of the means of quantities that were
// read together, each list of one quantity and all of one length, two at least:
//
//	v_ij = Σ(x_i − x̄_i)(x_j − x̄_j)/(n(n − 1))
//
// Source: JCGM 100:2008, 5.2.3, equation 17, from memory.
func CovarianceOfMeans(readings ...[]float64) [][]float64 {
	v := make([][]float64, len(readings))
	for i, x := range readings {
		v[i] = make([]float64, len(readings))
		mean, _ := meanAndDeviation(x)
		for j, y := range readings {
			other, _ := meanAndDeviation(y)
			var sum float64
			for k := range x {
				sum += (x[k] - mean) * (y[k] - other)
			}
			v[i][j] = sum / float64(len(x)*(len(x)-1))
		}
	}
	return v
}

// Deviations returns the standard uncertainties behind a covariance.
func Deviations(cov [][]float64) []float64 {
	u := make([]float64, len(cov))
	for i := range cov {
		u[i] = math.Sqrt(cov[i][i])
	}
	return u
}

// Correlations returns the correlations behind a covariance, NaN where one of
// the two is known for certain.
func Correlations(cov [][]float64) [][]float64 {
	u := Deviations(cov)
	r := make([][]float64, len(cov))
	for i := range cov {
		r[i] = make([]float64, len(cov))
		for j := range cov {
			r[i][j] = correlation(cov[i][j], u[i], u[j])
		}
	}
	return r
}

// correlation is kept within ±1 against rounding.
func correlation(cov, u, v float64) float64 {
	if u == 0 || v == 0 {
		return math.NaN()
	}
	r := cov / u / v
	if over := math.Abs(r) - 1; over > 0 && over < 1e-12 {
		return math.Copysign(1, r)
	}
	return r
}

func dense(rows [][]float64) *mat.Dense {
	m := mat.NewDense(len(rows), len(rows[0]), nil)
	for i, row := range rows {
		m.SetRow(i, row)
	}
	return m
}
