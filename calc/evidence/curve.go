package evidence

import "math"

// How a curve is sought.
const (
	curveSteps  = 2000  // tries, good or bad, before giving up
	curveAgrees = 1e-12 // step over parameter at which they have settled
	slopeStep   = 6e-6  // of a parameter: about the cube root of the rounding
)

// Curve is a model y of x with parameters b.
type Curve func(x float64, b []float64) float64

// FitCurve fits a curve to points by the method of Levenberg and Marquardt, from
// a first guess. ok is false where it does not settle, or no degree of freedom is left.
//
// Each step solves the straight problem at the parameters so far, held back along
// each by λ times the greatest length that its column had: less after a step that
// helped, more after one that did not. The covariance is that of the last straight
// problem.
//
// Source: D. Marquardt, J. SIAM 11, 431 (1963); steps of λ after H. B. Nielsen,
// IMM-REP-1999-05; lengths after J. Moré, Lect. Notes Math. 630, 105 (1978); all from memory; checked by the NIST Statistical Reference Datasets.
func FitCurve(curve Curve, x, y, guess []float64) (fit Fit, ok bool) {
	b := append([]float64(nil), guess...)
	left, rss := residuals(curve, x, y, b)
	lambda, grow, lengths := 1.0, 2.0, make([]float64, len(b))
	for range curveSteps {
		slopes := jacobian(curve, x, b)
		lengthen(lengths, slopes)
		step, ok := heldBack(slopes, left, lambda, lengths)
		if !ok {
			return Fit{}, false
		}
		next := make([]float64, len(b))
		settled := true
		for i := range b {
			next[i] = b[i] + step[i]
			settled = settled && math.Abs(step[i]) <= curveAgrees*math.Abs(b[i])
		}
		nextLeft, nextRSS := residuals(curve, x, y, next)
		if nextRSS <= rss && !tooFar(b, step) {
			b, left, rss = next, nextLeft, nextRSS
			lambda, grow = math.Max(lambda/3, 1e-14), 2
		} else {
			lambda, grow = lambda*grow, grow*2
		}
		if settled || math.IsInf(lambda, 1) {
			break
		}
	}
	straight, ok := LeastSquares(jacobian(curve, x, b), left)
	if !ok || !atRest(straight, b) {
		return Fit{}, false
	}
	nu := len(y) - len(b)
	return Fit{B: b, Cov: straight.Cov, RSS: rss, S: math.Sqrt(rss / float64(nu)), Nu: nu}, true
}

// atRest tells whether the straight problem has nothing more to say about the
// parameters: less than a thousandth of their uncertainty, or than can be told.
func atRest(straight Fit, b []float64) bool {
	u := straight.U()
	for i, step := range straight.B {
		if !(math.Abs(step) <= 1e-3*u[i]+1e-9*math.Abs(b[i])) { // false for NaN
			return false
		}
	}
	return true
}

// tooFar tells whether a step leads where the straight problem knows nothing: more
// than twice a parameter away.
func tooFar(b, step []float64) bool {
	for i := range b {
		if b[i] != 0 && math.Abs(step[i]) > 2*math.Abs(b[i]) {
			return true
		}
	}
	return false
}

func residuals(curve Curve, x, y, b []float64) (left []float64, rss float64) {
	left = make([]float64, len(x))
	for i := range x {
		left[i] = y[i] - curve(x[i], b)
		rss += left[i] * left[i]
	}
	if math.IsNaN(rss) {
		rss = math.Inf(1) // a curve that is not there fits worse than any
	}
	return left, rss
}

// jacobian is how much the curve at each x changes with each parameter, by
// central differences.
func jacobian(curve Curve, x, b []float64) [][]float64 {
	rows := make([][]float64, len(x))
	moved := append([]float64(nil), b...)
	for i := range x {
		rows[i] = make([]float64, len(b))
		for j := range b {
			h := slopeStep * math.Max(math.Abs(b[j]), 1e-30)
			moved[j] = b[j] + h
			up := curve(x[i], moved)
			moved[j] = b[j] - h
			rows[i][j] = (up - curve(x[i], moved)) / (2 * h)
			moved[j] = b[j]
		}
	}
	return rows
}

// lengthen keeps the greatest length of each column: where a curve hardly hangs on
// a parameter any more, it must not run away.
func lengthen(lengths []float64, slopes [][]float64) {
	for j := range lengths {
		var length float64
		for _, row := range slopes {
			length = math.Hypot(length, row[j])
		}
		lengths[j] = math.Max(lengths[j], length)
	}
}

// heldBack solves the straight problem with √λ times a length for each parameter
// as a further row, which asks that it stays.
func heldBack(slopes [][]float64, left []float64, lambda float64, lengths []float64) ([]float64, bool) {
	p := len(slopes[0])
	rows := append([][]float64(nil), slopes...)
	wanted := append([]float64(nil), left...)
	for j := range p {
		stays := make([]float64, p)
		stays[j] = math.Sqrt(lambda) * lengths[j]
		rows, wanted = append(rows, stays), append(wanted, 0)
	}
	fit, ok := LeastSquares(rows, wanted)
	return fit.B, ok
}
