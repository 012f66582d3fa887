package evidence

import "math"

// Least numbers from which it can be told whether a series is steady.
const (
	leastSteady = 20 // samples
	leastBlocks = 4
)

// SettleBlock is how many samples a block of [SettledFrom] has where nothing
// else is asked for.
const SettleBlock = 5

// IsSteady is the status of a steady series. Others are [NotSteady], where it is
// too_short, still_settling or drifting, and [Undecided]: run_longer.
const IsSteady = "steady"

const (
	tooShort      = "too_short"
	stillSettling = "still_settling"
)

// SettledFrom returns how many samples to cut from the start of a series, by the
// means z of blocks of m samples:
//
//	d* = argmin over 0 ≤ d ≤ B/2 of Σ_{i>d}(z_i − z̄_d)²/(B − d)²
//
// m·d* samples are cut. reason is empty, or says why no start can be told:
// too_short below 20 samples or 4 blocks, still_settling where d* is the largest
// that may be, as it is when the series goes on changing.
//
// Source: K. P. White, Simulation 69, 323 (1997) (MSER-5), from memory.
func SettledFrom(series []float64, m int) (cut int, reason string) {
	z := blockMeans(series, m)
	if len(series) < leastSteady || len(z) < leastBlocks {
		return 0, tooShort
	}
	var mean, squares float64 // of the blocks from d on, taken in from the end
	best, least := 0, math.Inf(1)
	for d := len(z) - 1; d >= 0; d-- {
		kept := float64(len(z) - d)
		off := z[d] - mean
		mean += off / kept
		squares += off * (z[d] - mean)
		if e := squares / (kept * kept); d <= len(z)/2 && e <= least {
			best, least = d, e
		}
	}
	if best == len(z)/2 {
		return m * best, stillSettling
	}
	return m * best, ""
}

// Steadiness says whether a series is steady, and how far it drifts. What does
// not exist is NaN.
type Steadiness struct {
	Status, Reason  string // Reason is empty where it is steady
	Cut, Kept       int    // samples at the start that belong to settling, and the others; −1: not told
	Mean            float64
	Drift, UDrift   float64 // over the kept samples, in the unit of the series, and its standard uncertainty
	BudgetLine, Tol float64 // Drift/√12, the line of the budget; what the drift was held against
}

// Tolerance is how far a series may drift: Abs in its unit, or where that is NaN
// the share Rel of its mean.
type Tolerance struct{ Abs, Rel float64 }

// OnePercent is the tolerance where nothing was declared. Common practice, no
// source.
var OnePercent = Tolerance{Abs: math.NaN(), Rel: 0.01}

// Steady tells whether a series of samples every dt s is steady once its start
// is cut off: see [SettledFrom] with blocks of m samples and [Drifting].
//
// Valid for a series without NaN and a tolerance declared before.
//
// Source: as those two.
func Steady(series []float64, dt float64, m int, tol Tolerance) Steadiness {
	cut, reason := SettledFrom(series, m)
	if reason != "" {
		s := untold(reason)
		if reason == stillSettling {
			s.Cut = cut
		}
		return s
	}
	s := Drifting(series[cut:], dt, tol)
	s.Cut = cut
	return s
}

// untold is the answer to a series that is not looked at for its drift.
func untold(reason string) Steadiness {
	nan := math.NaN()
	return Steadiness{string(NotSteady), reason, -1, -1, nan, nan, nan, nan, nan}
}

// Drifting tells whether the drift of a settled series of samples every dt s
// over its whole length is small enough, with D = |slope|·span and u_D that of
// the slope (see [SlopeOf]) times the span:
//
//	D + 2·u_D ≤ tol: steady
//	D − 2·u_D > tol: not_steady, drifting
//	else: undecided, run_longer
//
// Valid for three samples or more without NaN.
//
// Source: least squares; D/√12 is a rectangular limit, JCGM 100:2008, 4.3.7. The
// rule with two standard uncertainties is common practice, no source.
func Drifting(series []float64, dt float64, tol Tolerance) Steadiness {
	return evenSlope(dt, series).steadiness(len(series), tol)
}

// DriftingAt is [Drifting] with samples at the times t in s. Fewer than three are
// too_short.
func DriftingAt(t, series []float64, tol Tolerance) Steadiness {
	if len(series) < 3 {
		return untold(tooShort)
	}
	return SlopeOf(t, series).steadiness(len(series), tol)
}

func (f Slope) steadiness(n int, tol Tolerance) Steadiness {
	s := Steadiness{Status: IsSteady, Kept: n, Mean: f.Mean, Drift: math.Abs(f.Slope) * f.Span, UDrift: f.U * f.Span, Tol: tol.Abs}
	if math.IsNaN(tol.Abs) {
		s.Tol = tol.Rel * math.Abs(f.Mean)
	}
	s.BudgetLine = s.Drift / math.Sqrt(12)
	switch {
	case s.Drift+2*s.UDrift <= s.Tol:
	case s.Drift-2*s.UDrift > s.Tol:
		s.Status, s.Reason = string(NotSteady), "drifting"
	default:
		s.Status, s.Reason = string(Undecided), "run_longer"
	}
	return s
}
