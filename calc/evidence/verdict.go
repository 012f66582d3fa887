package evidence

import (
	"math"

	"leat/calc"
)

// VerdictIn is one quantity at one operating point: what was measured, and what
// was promised before the run. All are in one unit.
type VerdictIn struct {
	Y                  calc.Reading `json:"y"`
	U                  calc.Reading `json:"u"`
	Nu                 calc.Freedom `json:"nu"`
	Lower              *float64     `json:"lower"`
	Upper              *float64     `json:"upper"`
	Pred               *float64     `json:"pred"`
	UPred              *float64     `json:"u_pred"`
	PMet               float64      `json:"p_met"`
	PMiss              float64      `json:"p_miss"`
	RepeatabilityKnown bool         `json:"repeatability_known"`
}

// VerdictOut is what can be said of it. The numbers are nil where nothing can.
type VerdictOut struct {
	Outcome  Outcome  `json:"outcome"`
	Reason   Reason   `json:"reason"`
	PConform *float64 `json:"p_conform"` // that the true value is within the limits
	PLow     *float64 `json:"p_low"`     // that it is below
	PHigh    *float64 `json:"p_high"`    // that it is above
	UNeeded  *float64 `json:"u_needed"`  // with which the same y would decide
	EN       *float64 `json:"E_n"`
	Zeta     *float64 `json:"zeta"`
}

// Conformance returns the probabilities that a true value, measured as y with
// standard uncertainty u and nu degrees of freedom, is below low, above high, and
// within both:
//
//	P_low = F((low − y)/u), P_high = F((y − high)/u), P = 1 − P_low − P_high
//
// F is the distribution function of Student's t. A limit that is -Inf or +Inf
// does not bind. Nothing is assumed about the true value before: a poor
// measurement gives middling probabilities.
//
// Valid for u > 0 and low < high, all in one unit; nu above 0 or +Inf.
//
// Source: JCGM 106:2012, clause 7, from memory.
func Conformance(y, u, nu, low, high float64) (within, below, above float64) {
	below, above = StudentP((low-y)/u, nu), StudentP((y-high)/u, nu)
	switch { // a small difference keeps its digits where both tails are small
	case y > high:
		within = StudentP((high-y)/u, nu) - below
	case y < low:
		within = StudentP((y-low)/u, nu) - above
	default:
		within = 1 - below - above
	}
	return max(0, within), below, above
}

// Verdict says whether a promise was met. By the measurement alone: with the
// prediction for prior knowledge, every poor measurement would be drawn towards
// "met". A miss is called only outside a guard band around the promise.
func Verdict(in VerdictIn) (VerdictOut, []calc.Warning, *calc.Fault) {
	y, u, low, high := float64(in.Y), float64(in.U), math.Inf(-1), math.Inf(1)
	if in.Lower != nil {
		low = *in.Lower
	}
	if in.Upper != nil {
		high = *in.Upper
	}
	switch {
	case math.IsNaN(y), math.IsNaN(u), u == 0:
		return VerdictOut{Outcome: Undecided, Reason: IncompleteRecord}, nil, nil
	case in.Lower == nil && in.Upper == nil, low >= high:
		return VerdictOut{Outcome: Undecided, Reason: NoPromise}, nil, nil
	}
	within, below, above := Conformance(y, u, float64(in.Nu), low, high)
	out := VerdictOut{PConform: &within, PLow: &below, PHigh: &above}
	out.Outcome, out.Reason = in.outcome(within, below, above, low, high)
	if out.Reason == TooCoarse || out.Reason == Borderline {
		out.UNeeded = new(DecidingUncertainty(y, low, high, in.PMet, in.PMiss))
	}
	if in.Pred != nil && in.UPred != nil {
		out.EN = new(EnNumber(y, StudentQuantile(0.975, float64(in.Nu))*u, *in.Pred, in.expanded(y)))
		out.Zeta = new(ZetaScore(y, u, *in.Pred, *in.UPred))
	}
	return out, in.promisedLittle(out.Outcome), nil
}

// outcome is the first that applies.
func (in VerdictIn) outcome(within, below, above, low, high float64) (Outcome, Reason) {
	middle := 1 - 2*StudentP((low-high)/2/float64(in.U), float64(in.Nu)) // the best that any y could give
	switch {
	case !in.RepeatabilityKnown:
		return Undecided, RepeatabilityUnknown
	case within >= in.PMet:
		return Met, ""
	case below >= in.PMiss:
		return MissedLow, ""
	case above >= in.PMiss:
		return MissedHigh, ""
	case middle < in.PMet:
		return Undecided, TooCoarse
	}
	return Undecided, Borderline
}

// expanded is the half width of the prediction's 95 % interval on the side of y.
func (in VerdictIn) expanded(y float64) float64 {
	switch {
	case y >= *in.Pred && in.Upper != nil:
		return *in.Upper - *in.Pred
	case y < *in.Pred && in.Lower != nil:
		return *in.Pred - *in.Lower
	}
	return PhiInverse(0.975) * *in.UPred
}

// littleShare of the predicted value: a promise that is wider says little.
// Common practice, no source.
const littleShare = 0.5

func (in VerdictIn) promisedLittle(o Outcome) []calc.Warning {
	if o != Met || in.Lower == nil || in.Upper == nil || in.Pred == nil {
		return nil
	}
	width, most := *in.Upper-*in.Lower, littleShare*math.Abs(*in.Pred)
	if width <= most {
		return nil
	}
	return []calc.Warning{{Code: "W_PROMISED_LITTLE", Message: PromisedLittle, Value: &width, Limit: &most}}
}

// EnNumber returns what two results differ by, in units of their expanded
// uncertainties at 95 %; they agree within 1:
//
//	E_n = (y − ŷ)/√(U² + Û²)
//
// Valid for expanded uncertainties of which one is above 0, in the unit of y and
// ŷ, which do not hang together.
//
// Source: ISO 13528:2015, 9.7; ISO/IEC 17043; from memory.
func EnNumber(y, expanded, pred, expandedPred float64) float64 {
	return (y - pred) / math.Hypot(expanded, expandedPred)
}

// ZetaScore returns what two results differ by, in units of their standard
// uncertainties: up to 2 they agree, 2 to 3 is doubtful, above 3 they do not:
//
//	ζ = (y − ŷ)/√(u² + û²)
//
// Valid for standard uncertainties of which one is above 0, in the unit of y and
// ŷ, which do not hang together.
//
// Source: ISO 13528:2015, 9.6, from memory.
func ZetaScore(y, u, pred, uPred float64) float64 { return (y - pred) / math.Hypot(u, uPred) }
