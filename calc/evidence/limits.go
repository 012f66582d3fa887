package evidence

import "math"

// The shapes of what may lie between two limits.
const (
	RectangularShape = "rectangular" // nothing more is known
	TriangularShape  = "triangular"  // the middle is likelier
	ArcsineShape     = "arcsine"     // it swings to and fro between the limits
	TrapezoidalShape = "trapezoidal" // a flat top, β times as wide as the base
)

// Limits returns the standard uncertainty of an error that is known to lie
// within ±a, in the unit of a. beta is the width of the top of a trapezoid over
// that of its base, from 0 to 1, and read for that shape only.
//
//	rectangular a/√3, triangular a/√6, arcsine a/√2, trapezoidal a·√((1 + β²)/6)
//
// Valid for a ≥ 0; NaN for another shape.
//
// Source: JCGM 100:2008, 4.3.7, 4.3.9 and H.1.3.4, from memory.
func Limits(a float64, shape string, beta float64) float64 {
	switch shape {
	case RectangularShape:
		return a / math.Sqrt(3)
	case TriangularShape:
		return a / math.Sqrt(6)
	case ArcsineShape:
		return a / math.Sqrt2
	case TrapezoidalShape:
		return a * math.Sqrt((1+beta*beta)/6)
	}
	return math.NaN()
}

// Resolution returns the standard uncertainty that a step of a display, or the
// smallest step that is read on a scale, leaves: δ/√12, in the unit of the step.
//
// Valid for a step ≥ 0.
//
// Source: JCGM 100:2008, F.2.2.1, from memory.
func Resolution(step float64) float64 { return step / math.Sqrt(12) }

// ClassLimit returns the standard uncertainty of an instrument of an accuracy
// class, in % of its span, in the unit of the span: c/100·span/√3.
//
// Valid for percent ≥ 0 and span > 0. The limit is of the span, not of the reading.
//
// Source: EN 837-1:1996, table 11 (read); rectangular by JCGM 100:2008, 4.3.7.
func ClassLimit(percent, span float64) float64 { return percent / 100 * span / math.Sqrt(3) }

// Accuracy is what a data sheet promises: ±(r % of the reading + f % of the full
// scale + b). NaN is missing; FullScale is not asked where PercentFull is 0.
type Accuracy struct{ PercentReading, PercentFull, FullScale, Absolute float64 }

// U returns the standard uncertainty at a reading, in the unit of the reading:
//
//	((r·|x| + f·FS)/100 + b)/√3
//
// Valid for parts ≥ 0; NaN where a part that counts is missing.
//
// Source: common practice, no source.
func (a Accuracy) U(reading float64) float64 {
	part := func(percent, of float64) float64 {
		if percent == 0 {
			return 0
		}
		return percent / 100 * of
	}
	return (part(a.PercentReading, math.Abs(reading)) + part(a.PercentFull, a.FullScale) + a.Absolute) / math.Sqrt(3)
}

// VariableArea returns the standard uncertainty of a variable-area meter, in the
// unit of its full scale: the limit is G % of the reading from qG % of the full
// scale up, and stays the same flow below.
//
//	G/100·max(|x|, qG/100·FS)/√3
//
// Valid for G ≥ 0, qG and full scale above 0.
//
// Source: VDI/VDE 3513-2, as a maker's page quotes it (read).
func VariableArea(reading, fullScale, g, qg float64) float64 {
	return g / 100 * math.Max(math.Abs(reading), qg/100*fullScale) / math.Sqrt(3)
}

// Drift returns the standard uncertainty from a drift per year, years after the
// calibration: |d|·t/√3, in the unit of the drift.
//
// Valid for years ≥ 0.
//
// Source: common practice, no source.
func Drift(perYear, years float64) float64 { return math.Abs(perYear) * years / math.Sqrt(3) }

// CoverageFactor returns the factor k by which a standard uncertainty with these
// degrees of freedom is multiplied for a level p: the quantile of Student's t at
// (1 + p)/2, of the normal distribution where they are infinite.
//
// Valid for p within 0 and 1 and degrees of freedom above 0.
//
// Source: JCGM 100:2008, G.3 and table G.2, from memory.
func CoverageFactor(p, nu float64) float64 { return StudentQuantile((1+p)/2, nu) }

// FreedomOfGuess returns the degrees of freedom of a standard uncertainty that is
// itself only known to this share: ½·(Δu/u)⁻².
//
// Valid for a share above 0: 0.25 for what is judged by eye, which gives 8.
//
// Source: JCGM 100:2008, G.4.2, equation G.3, from memory.
func FreedomOfGuess(share float64) float64 { return 1 / (2 * share * share) }
