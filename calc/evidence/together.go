package evidence

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"leat/calc"
)

// JointIn is how far several quantities are off their predictions, with the
// covariance of that, in one piece or in two.
type JointIn struct {
	D     calc.Readings `json:"d"`
	S     calc.Matrix   `json:"S"`
	CMeas calc.Matrix   `json:"C_meas"`
	CPred calc.Matrix   `json:"C_pred"`
}

// JointOut is whether they agree with the predictions together. All but the
// status is nil where nothing can be said.
type JointOut struct {
	Chi2       *float64 `json:"chi2"`
	Rank       *int     `json:"rank"`
	P          *float64 `json:"p"`
	Consistent *bool    `json:"consistent"`
	Status     string   `json:"status"`
}

// jointLevel is the probability below which quantities together disagree with
// their predictions.
const jointLevel = 0.05

// Joint says whether several quantities agree with their predictions together.
func Joint(in JointIn) (JointOut, []calc.Warning, *calc.Fault) {
	s := in.S
	if s == nil {
		s = added(in.CMeas, in.CPred)
	}
	for _, d := range in.D {
		if math.IsNaN(d) {
			return JointOut{Status: "incomplete_record"}, nil, nil
		}
	}
	for i := range s {
		if s[i][i] <= 0 {
			return JointOut{Status: "bad_covariance"}, nil, nil
		}
	}
	chi2, rank := MahalanobisSquare(in.D, s)
	p := distuv.ChiSquared{K: float64(rank)}.Survival(chi2)
	return JointOut{&chi2, &rank, &p, new(p >= jointLevel), "ok"}, nil, nil
}

// notZero is the smallest eigenvalue, in parts of the largest, that is not taken
// for rounding.
const notZero = 1e-8

// MahalanobisSquare returns dᵀS⁻¹d, without unit, and the rank of S, the
// covariance of d. Where quantities say the same, the rank is lower than their
// number: S is inverted on the eigenvectors of its correlation form whose
// eigenvalues are above 1e-8 of the largest.
//
// Valid for a covariance with a positive diagonal. NaN where it has no eigenvalues.
//
// Source: P. C. Mahalanobis (1936); distribution χ² with the rank for degrees of
// freedom: any text on multivariate statistics, from memory.
func MahalanobisSquare(d []float64, s [][]float64) (chi2 float64, rank int) {
	n := len(d)
	scaled := mat.NewVecDense(n, nil)
	form := mat.NewSymDense(n, nil)
	for i := range n {
		ui := math.Sqrt(s[i][i])
		scaled.SetVec(i, d[i]/ui)
		for j := i; j < n; j++ {
			form.SetSym(i, j, (s[i][j]+s[j][i])/2/ui/math.Sqrt(s[j][j]))
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(form, true) {
		return math.NaN(), 0
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	values := eigen.Values(nil) // rising
	for i, v := range values {
		if v > notZero*values[n-1] {
			along := mat.Dot(vectors.ColView(i), scaled)
			chi2 += along * along / v
			rank++
		}
	}
	return chi2, rank
}

func added(a, b [][]float64) [][]float64 {
	sum := make([][]float64, len(a))
	for i := range a {
		for j := range a[i] {
			sum[i] = append(sum[i], a[i][j]+b[i][j])
		}
	}
	return sum
}
