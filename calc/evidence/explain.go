package evidence

import (
	"math"
	"strconv"

	"gonum.org/v1/gonum/mat"

	"leat/calc"
)

// ExplainMissIn is how far quantities are off their predictions, the covariance of
// what was measured, and how the predictions move with each coefficient.
type ExplainMissIn struct {
	D     []float64   `json:"d"`
	R     calc.Matrix `json:"R"`
	J     calc.Matrix `json:"J"` // a row a quantity, a column a coefficient, per standard deviation of it
	Names []string    `json:"names"`
}

// ExplainMissOut is what each coefficient would explain.
type ExplainMissOut struct {
	Chi2       float64       `json:"chi2"`
	Single     []Explanation `json:"single"`
	JointShift []float64     `json:"joint_shift"` // of all coefficients together, in standard deviations
}

// Explanation is what one coefficient would explain alone.
type Explanation struct {
	Name    string  `json:"name"`
	Shift   float64 `json:"shift"`        // in standard deviations of what was believed
	Removed float64 `json:"chi2_removed"` // share of χ²
	Cosine  float64 `json:"cosine"`       // between its pattern and that of the miss
}

// ExplainMiss says which coefficients, if they were other than believed, would
// explain what was measured. It is a pointer, not a finding.
func ExplainMiss(in ExplainMissIn) (ExplainMissOut, []calc.Warning, *calc.Fault) {
	miss, a, ok := in.inUnitsOfMeasurement()
	if !ok {
		return ExplainMissOut{}, nil, &calc.Fault{Code: calc.Range, At: "/R", Message: notPositive}
	}
	chi2 := mat.Dot(miss, miss)
	out := ExplainMissOut{Chi2: chi2, JointShift: jointShift(a, miss)}
	for c := range in.J[0] {
		column := a.ColView(c)
		square, along := mat.Dot(column, column), mat.Dot(column, miss)
		e := Explanation{Name: in.name(c), Shift: along / (1 + square)}
		if chi2 > 0 && square > 0 {
			e.Removed = along / (1 + square) * along / chi2
			e.Cosine = along / math.Sqrt(square) / math.Sqrt(chi2)
		}
		out.Single = append(out.Single, e)
	}
	return out, nil, nil
}

// inUnitsOfMeasurement returns L⁻¹d and L⁻¹J, where LLᵀ = R.
func (in ExplainMissIn) inUnitsOfMeasurement() (miss *mat.VecDense, a *mat.Dense, ok bool) {
	l, ok := lowerRoot(in.R)
	if !ok {
		return nil, nil, false
	}
	a = mat.NewDense(len(in.D), len(in.J[0]), nil)
	for c := range in.J[0] {
		a.SetCol(c, forward(l, in.column(c)))
	}
	return mat.NewVecDense(len(in.D), forward(l, in.D)), a, true
}

const notPositive = "This is no covariance of measurements: it is not symmetric and positive definite. Each value on the diagonal is the square of a " +
	"standard uncertainty, above 0, and two quantities that hang together fully count once."

func (in ExplainMissIn) column(c int) []float64 {
	column := make([]float64, len(in.J))
	for i := range in.J {
		column[i] = in.J[i][c]
	}
	return column
}

func (in ExplainMissIn) name(c int) string {
	if in.Names == nil {
		return strconv.Itoa(c)
	}
	return in.Names[c]
}

// lowerRoot returns L with L·Lᵀ = s; ok is false where s is no [Covariance].
func lowerRoot(s [][]float64) (l [][]float64, ok bool) {
	if !Covariance(s) {
		return nil, false
	}
	var root mat.Cholesky
	root.Factorize(symmetricOf(s))
	var lower mat.TriDense
	root.LTo(&lower)
	return rowsOf(&lower), true
}

// forward returns L⁻¹d. By hand: a check of the condition would refuse
// quantities whose units differ much.
func forward(l [][]float64, d []float64) []float64 {
	r := make([]float64, len(d))
	for i := range d {
		rest := d[i]
		for j := range i {
			rest -= l[i][j] * r[j]
		}
		r[i] = rest / l[i][i]
	}
	return r
}

// jointShift is (I + AᵀA)⁻¹Aᵀr.
func jointShift(a *mat.Dense, r mat.Vector) []float64 {
	_, k := a.Dims()
	var normal mat.SymDense
	normal.SymOuterK(1, a.T())
	for i := range k {
		normal.SetSym(i, i, normal.At(i, i)+1)
	}
	var right, shift mat.VecDense
	right.MulVec(a.T(), r)
	var root mat.Cholesky
	if !root.Factorize(&normal) {
		return []float64{math.NaN()} // numbers beyond those that can be held
	}
	_ = root.SolveVecTo(&shift, &right) // a large condition is no error: every direction has its 1
	return mat.Col(nil, 0, &shift)
}
