package evidence

import (
	"math"

	"leat/calc"
)

// DecidingUncertainty returns the largest standard uncertainty, in the unit of y,
// with which y would decide whether the true value is from low to high. Outside,
// it is the distance to the limit over Φ⁻¹(pMiss); inside, u solves
//
//	Φ((high − y)/u) − Φ((low − y)/u) = pMet
//
// On a limit it is 0: no instrument decides that.
//
// Valid for low < high, of which one may be infinite, and 0.9 ≤ pMet, pMiss < 1.
//
// Source: JCGM 106:2012, clause 7, turned round; derived here.
func DecidingUncertainty(y, low, high, pMet, pMiss float64) float64 {
	switch {
	case y < low:
		return (low - y) / PhiInverse(pMiss)
	case y > high:
		return (y - high) / PhiInverse(pMiss)
	}
	near := min(y-low, high-y)
	if near == 0 {
		return 0
	}
	return root(near/10, near, func(u float64) float64 { return 1 - pMet - phi((low-y)/u) - phi((y-high)/u) })
}

// InstrumentNeededIn is how well a quantity must be known, and by what else it is
// uncertain. All are standard uncertainties in one unit.
type InstrumentNeededIn struct {
	UNeeded float64  `json:"u_needed"`
	UOther  float64  `json:"u_other"` // all of the budget but the instrument
	S       *float64 `json:"s"`       // standard deviation of one repeat
	UB      *float64 `json:"u_b"`     // all of the budget but the repeats
}

// InstrumentNeededOut is what would do. Nil: no instrument, or no number of repeats.
type InstrumentNeededOut struct {
	UInstrument      *float64 `json:"u_instrument"`
	RectangularLimit *float64 `json:"rectangular_limit"`
	Repeats          *float64 `json:"repeats"` // a whole number
}

// InstrumentNeeded says which instrument would do, and how many repeats.
func InstrumentNeeded(in InstrumentNeededIn) (out InstrumentNeededOut, _ []calc.Warning, _ *calc.Fault) {
	if in.UNeeded > in.UOther {
		u := math.Sqrt(in.UNeeded*in.UNeeded - in.UOther*in.UOther)
		out.UInstrument, out.RectangularLimit = &u, new(math.Sqrt(3)*u)
	}
	if in.S != nil && in.UB != nil && in.UNeeded > *in.UB {
		out.Repeats = new(math.Ceil(*in.S * *in.S / (in.UNeeded*in.UNeeded - *in.UB**in.UB)))
	}
	return out, nil, nil
}

// PDecideIn is a run that is planned: what is predicted of a quantity, how well
// it will be measured, and what is promised. All are in one unit.
type PDecideIn struct {
	Pred  float64 `json:"pred"`
	UPred float64 `json:"u_pred"`
	U     float64 `json:"u"`
	Lower float64 `json:"lower"`
	Upper float64 `json:"upper"`
	PMet  float64 `json:"p_met"`
	PMiss float64 `json:"p_miss"`
}

// PDecideOut is how probable each verdict is.
type PDecideOut struct {
	Met     float64 `json:"met"`
	Missed  float64 `json:"missed"`
	Decided float64 `json:"decided"`
}

// PDecide says how probable it is that a planned run decides anything.
func PDecide(in PDecideIn) (out PDecideOut, _ []calc.Warning, _ *calc.Fault) {
	spread := math.Hypot(in.UPred, in.U)
	guard := PhiInverse(in.PMiss) * in.U
	out.Missed = phi((in.Lower-guard-in.Pred)/spread) + phi((in.Pred-in.Upper-guard)/spread)
	half := (in.Upper - in.Lower) / 2
	if lack := func(off float64) float64 { // of what is needed for "met", so far off the middle
		return 1 - in.PMet - phi((-half-off)/in.U) - phi((off-half)/in.U)
	}; lack(0) >= 0 {
		off, middle := root(0, half, lack), (in.Lower-in.Pred+half)/spread
		out.Met = between(middle-off/spread, middle+off/spread)
	}
	out.Decided = out.Met + out.Missed
	return out, nil, nil
}

// between is the probability of a standard normal value from a to b.
func between(a, b float64) float64 {
	if a > 0 {
		return phi(-a) - phi(-b)
	}
	return phi(b) - phi(a)
}
