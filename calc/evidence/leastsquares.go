package evidence

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Fit is what a least-squares fit found.
type Fit struct {
	B   []float64   // parameters
	Cov [][]float64 // their covariance
	RSS float64     // sum of the squares of what is left
	S   float64     // standard deviation of what is left
	Nu  int         // degrees of freedom
}

// U returns the standard uncertainties of the parameters.
func (f Fit) U() []float64 { return Deviations(f.Cov) }

// LeastSquares fits y = X·b, with a row of X for each y, by the QR decomposition
// of X, never by the normal equations: those square what rounding does.
//
//	s² = Σ(y − X·b)²/(n − p), V = s²·(RᵀR)⁻¹
//
// ok is false where no degree of freedom is left or the columns do not part.
//
// Source: G. Golub, Numer. Math. 7, 206 (1965); checked by the NIST Statistical
// Reference Datasets.
func LeastSquares(x [][]float64, y []float64) (fit Fit, ok bool) {
	n, p := len(y), len(x[0])
	if n <= p {
		return Fit{}, false
	}
	a := dense(x)
	scale := unitColumns(a)
	var qr mat.QR
	qr.Factorize(a)
	b := make([]float64, p)
	left := y
	for range refinements {
		var step mat.VecDense
		if err := qr.SolveVecTo(&step, false, mat.NewVecDense(n, left)); err != nil && !isConditioned(err) {
			return Fit{}, false
		}
		for j := range b {
			b[j] += step.AtVec(j)
		}
		left = leftOver(a, b, y)
	}
	inverse, ok := inverseR(&qr, p)
	if !ok {
		return Fit{}, false
	}
	fit = Fit{B: b, Nu: n - p, Cov: make([][]float64, p)}
	for _, r := range left {
		fit.RSS += r * r
	}
	fit.S = math.Sqrt(fit.RSS / float64(fit.Nu))
	var v mat.Dense
	v.Mul(inverse, inverse.T())
	for i := range p {
		b[i] /= scale[i]
		fit.Cov[i] = make([]float64, p)
		for j := range p {
			fit.Cov[i][j] = fit.S * fit.S * v.At(i, j) / scale[i] / scale[j]
		}
	}
	return fit, true
}

// refinements is how often the solution is worked out: again of what is left,
// which brings back the digits that rounding took.
const refinements = 3

// leftOver is y − A·b, each to the last digit (Ogita, Rump and Oishi 2005, twice
// the working precision; from memory).
func leftOver(a *mat.Dense, b, y []float64) []float64 {
	left := make([]float64, len(y))
	for i := range y {
		sum, lost := y[i], 0.0
		for j := range b {
			product := float64(-a.At(i, j) * b[j]) // rounded here, never fused with the sum
			rest := math.FMA(-a.At(i, j), b[j], -product)
			next := sum + product
			part := next - sum
			lost += (sum - (next - part)) + (product - part) + rest
			sum = next
		}
		left[i] = sum + lost
	}
	return left
}

// unitColumns gives each column a length of about 1, by powers of two that cost
// no digit, and returns them.
func unitColumns(a *mat.Dense) []float64 {
	n, p := a.Dims()
	scale := make([]float64, p)
	for j := range p {
		_, power := math.Frexp(mat.Norm(a.ColView(j), 2))
		scale[j] = math.Ldexp(1, power)
		for i := range n {
			a.Set(i, j, a.At(i, j)/scale[j])
		}
	}
	return scale
}

// isConditioned tells whether gonum only warns of a nearly singular matrix.
func isConditioned(err error) bool {
	c, ok := err.(mat.Condition) //nolint:errorlint // gonum returns it bare
	return ok && !math.IsInf(float64(c), 1)
}

// inverseR is the inverse of the triangle R of a decomposition.
func inverseR(qr *mat.QR, p int) (*mat.TriDense, bool) {
	var r mat.Dense
	qr.RTo(&r)
	triangle := mat.NewTriDense(p, mat.Upper, nil)
	for i := range p {
		for j := i; j < p; j++ {
			triangle.SetTri(i, j, r.At(i, j))
		}
	}
	var inverse mat.TriDense
	if err := inverse.InverseTri(triangle); err != nil && !isConditioned(err) {
		return nil, false
	}
	return &inverse, true
}

// Polynomial returns the rows 1, x, x² … up to a degree.
func Polynomial(x []float64, degree int) [][]float64 {
	rows := make([][]float64, len(x))
	for i, v := range x {
		power := 1.0
		for range degree + 1 {
			rows[i] = append(rows[i], power)
			power *= v
		}
	}
	return rows
}

// StraightLine fits y = b₀ + b₁·x, or y = b₁·x through the origin.
//
// Source: as [LeastSquares].
func StraightLine(x, y []float64, origin bool) (fit Fit, ok bool) {
	rows := make([][]float64, len(x))
	for i, v := range x {
		rows[i] = []float64{1, v}
		if origin {
			rows[i] = []float64{v}
		}
	}
	return LeastSquares(rows, y)
}
