package evidence

import "math"

// mostCorrelated bounds the correlation of residuals from which the uncertainty
// of a drift is inflated.
const mostCorrelated = 0.99

// Slope is a line through a series in time: y = Mean + Slope·(t − MiddleTime).
type Slope struct {
	Mean, MiddleTime float64
	Slope, U         float64 // per s, and its standard uncertainty
	Phi              float64 // correlation of neighbouring residuals, 0 to 0.99
	Span             float64 // s, from the first to the last sample
}

// SlopeOf returns the line of least squares through y at the times t in s. The
// standard uncertainty of its slope allows for residuals that follow one
// another:
//
//	u = √(s²/Σ(t − t̄)²·(1 + φ)/(1 − φ)), s² = RSS/(n − 2)
//	φ = Σr_i·r_{i+1}/Σr_i², held within 0 and 0.99, 0 where all r are 0
//
// Valid for three samples or more at increasing times without NaN. Sums are
// taken about the means, so that a large time or value costs no digits.
//
// Source: least squares; the inflation is that of a first-order autoregressive
// process, D. A. Santer et al., J. Geophys. Res. 105, 7337 (2000), from memory.
func SlopeOf(t, y []float64) Slope {
	return fitSlope(len(y), func(i int) float64 { return t[i] }, y)
}

// evenSlope is [SlopeOf] with samples every dt.
func evenSlope(dt float64, y []float64) Slope {
	return fitSlope(len(y), func(i int) float64 { return float64(i) * dt }, y)
}

func fitSlope(n int, at func(i int) float64, y []float64) Slope {
	f := Slope{Span: at(n-1) - at(0)}
	f.Mean, _ = meanAndDeviation(y)
	for i := range n {
		f.MiddleTime += at(i) - at(0)
	}
	f.MiddleTime = at(0) + f.MiddleTime/float64(n)
	var xx, xy float64
	for i := range n {
		x := at(i) - f.MiddleTime
		xx, xy = xx+x*x, xy+x*(y[i]-f.Mean)
	}
	f.Slope = xy / xx
	var squares, products, before float64
	for i := range n {
		r := y[i] - f.Mean - f.Slope*(at(i)-f.MiddleTime)
		squares, products = squares+r*r, products+r*before
		before = r
	}
	if squares > 0 {
		f.Phi = min(max(products/squares, 0), mostCorrelated)
	}
	f.U = math.Sqrt(squares / float64(n-2) / xx * (1 + f.Phi) / (1 - f.Phi))
	return f
}

// at is the line at a time.
func (f Slope) at(t float64) float64 { return f.Mean + f.Slope*(t-f.MiddleTime) }
