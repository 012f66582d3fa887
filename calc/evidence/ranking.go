package evidence

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// enough is the share of the variance that a plane through the trials must
// explain before its slopes are taken for shares: R².
const enough = 0.9

// Ranking says which inputs make the spread of the outputs.
type Ranking struct {
	Share []float64 // of the variance, one an input; nil when nothing varies
	Rough bool      // a squared correlation: the plane explains too little
}

// Regression holds the trials' inputs, taken apart once for all outputs.
type Regression struct {
	rows []int // the trials that count
	x    *mat.Dense
	qr   mat.QR
}

// Regress prepares the ranking of the inputs x, a row a trial. A trial for
// which counts is false is left out. ok is false when there are too few left,
// or an input is the same in all.
func Regress(x [][]float64, counts []bool) (r *Regression, ok bool) {
	r = &Regression{}
	for i := range x {
		if counts[i] {
			r.rows = append(r.rows, i)
		}
	}
	if len(r.rows) == 0 || len(x[0]) == 0 || len(r.rows) < 2*len(x[0])+2 {
		return nil, false
	}
	r.x = mat.NewDense(len(r.rows), len(x[0]), nil)
	column := make([]float64, len(r.rows))
	for c := range x[0] {
		for i, row := range r.rows {
			column[i] = x[row][c]
		}
		if !standardise(column) {
			return nil, false
		}
		r.x.SetCol(c, column)
	}
	r.qr.Factorize(r.x)
	return r, true
}

// Rank returns the share of each input in the variance of an output, one value
// a trial: the square of its slope in the plane of least squares through the
// standardised trials where that plane explains enough of the variance, R² ≥
// 0.9; else the square of its correlation, marked as rough.
//
// Valid for independent inputs. The plane is found by QR factorisation.
//
// Source: A. Saltelli et al., Global Sensitivity Analysis (2008), 1.2.5
// (standardised regression coefficients), from memory.
func (r *Regression) Rank(output []float64) Ranking {
	y, varies := r.standardised(output)
	if !varies {
		return Ranking{}
	}
	var slopes mat.VecDense
	if err := r.qr.SolveVecTo(&slopes, false, mat.NewVecDense(len(y), y)); err == nil && r.explains(y, &slopes) >= enough {
		return Ranking{Share: squares(&slopes)}
	}
	return r.correlations(y)
}

// Correlations returns the squared correlation of each input with an output: the
// share of its variance that would go if this one were known. It is what is said
// of inputs that hang together, whose shares need not add up.
func (r *Regression) Correlations(output []float64) Ranking {
	y, varies := r.standardised(output)
	if !varies {
		return Ranking{}
	}
	return r.correlations(y)
}

// standardised returns the output of the trials that count.
func (r *Regression) standardised(output []float64) (y []float64, varies bool) {
	y = make([]float64, len(r.rows))
	for i, row := range r.rows {
		y[i] = output[row]
	}
	return y, standardise(y)
}

func (r *Regression) correlations(y []float64) Ranking {
	var products mat.VecDense
	products.MulVec(r.x.T(), mat.NewVecDense(len(y), y))
	products.ScaleVec(1/float64(len(y)-1), &products)
	return Ranking{Share: squares(&products), Rough: true}
}

// explains is R², the share of the variance of y that lies in the plane.
func (r *Regression) explains(y []float64, slopes *mat.VecDense) float64 {
	var plane mat.VecDense
	plane.MulVec(r.x, slopes)
	var rest, all float64
	for i, v := range y {
		d := v - plane.AtVec(i)
		rest, all = rest+d*d, all+v*v
	}
	return 1 - rest/all
}

func squares(v *mat.VecDense) []float64 {
	s := make([]float64, v.Len())
	for i := range s {
		s[i] = v.AtVec(i) * v.AtVec(i)
	}
	return s
}

// standardise takes the mean off and divides by the standard deviation. It
// returns false where that is nothing.
func standardise(y []float64) bool {
	mean, s := meanAndDeviation(y)
	if !(s > 1e-12*math.Abs(mean)) { // NaN too
		return false
	}
	for i := range y {
		y[i] = (y[i] - mean) / s
	}
	return true
}
