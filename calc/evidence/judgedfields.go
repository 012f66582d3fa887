package evidence

import (
	"math"
	"slices"

	"leat/calc"
)

var judged = slices.Concat([]calc.Calculation{verdict, instrumentNeeded, pDecide}, judgedTogether, judgedGroup)

const (
	conformity = "JCGM 106:2012, clause 7, from memory"
	uncertain  = "JCGM 100:2008, 5.1"
	compared   = "ISO 13528:2015, 9.6 and 9.7, from memory"
)

var (
	pMet  = levelOfVerdict("/p_met", "probability that the true value is within the limits, from which it is called met").Preset("0.95")
	pMiss = levelOfVerdict("/p_miss", "probability that it is beyond one limit, from which it is called missed").Preset("0.975")
	alpha = calc.Inside("/alpha", "", 0, 1, "probability of a wrong alarm that is accepted").Preset("0.05")
	level = calc.Inside("/level", "", 0, 1, "probability that the interval holds the true value").Preset("0.95")
)

func levelOfVerdict(at, about string) calc.Field {
	f := calc.Between(at, "", 0.9, 1, about)
	f.BelowTop = true
	return f
}

var verdict = calc.New(calc.Description{
	Name: "evidence/verdict", Answers: "whether a measured quantity met its promise, missed it, or cannot be told",
	Words: []string{"verdict", "met", "missed", "promise", "limit", "conformity", "uncertainty"},
	Inputs: []calc.Field{
		calc.Signed("/y", "", "the measured value; all values in one unit").Gappy().Need(),
		calc.AtLeast("/u", "", 0, "standard uncertainty of the measured value").Gappy().Need(),
		calc.Positive("/nu", "", "degrees of freedom of that uncertainty").OrInfinite().Preset("inf"),
		calc.Signed("/lower", "", "least value that was promised"),
		calc.Signed("/upper", "", "greatest value that was promised"),
		calc.Signed("/pred", "", "the predicted value"),
		calc.AtLeast("/u_pred", "", 0, "standard uncertainty of the prediction"),
		pMet, pMiss,
		calc.YesNo("/repeatability_known", "the scatter of repeats is in the uncertainty").Preset("true"),
	},
	Outputs: []calc.Field{
		calc.Gives("/outcome", "", "verdict", "met: P ≥ p_met; missed: P_low or P_high ≥ p_miss; else undecided", conformity, "/p_conform", "/p_low", "/p_high", "/p_met", "/p_miss").As(calc.Text),
		calc.Gives("/reason", "", "why it is undecided; none where it is decided", "too_coarse: 2F((H − L)/2u) − 1 < p_met; else borderline", conformity, "/u", "/nu", "/lower", "/upper", "/p_met", "/repeatability_known").As(calc.Text),
		calc.Gives("/p_conform", "", "probability that the true value is within the limits", "P = 1 − P_low − P_high", conformity, "/p_low", "/p_high"),
		calc.Gives("/p_low", "", "probability that the true value is below the lower limit", "P_low = F_ν((L − y)/u)", conformity, "/y", "/u", "/nu", "/lower"),
		calc.Gives("/p_high", "", "probability that the true value is above the upper limit", "P_high = F_ν((y − H)/u)", conformity, "/y", "/u", "/nu", "/upper"),
		calc.Gives("/u_needed", "", "largest standard uncertainty with which the same value would decide; 0: none would", "outside: distance/Φ⁻¹(p_miss); inside: Φ((H − y)/u) − Φ((L − y)/u) = p_met", conformity, "/y", "/lower", "/upper", "/p_met", "/p_miss"),
		calc.Gives("/E_n", "", "difference from the prediction in expanded uncertainties; within 1 they agree", "E_n = (y − ŷ)/√(U² + Û²)", compared, "/y", "/u", "/nu", "/pred", "/u_pred", "/lower", "/upper"),
		calc.Gives("/zeta", "", "difference from the prediction in standard uncertainties; above 3 they do not agree", "ζ = (y − ŷ)/√(u² + û²)", compared, "/y", "/u", "/pred", "/u_pred"),
	},
	Equation: "P = 1 − F_ν((L − y)/u) − F_ν((y − H)/u)",
	Validity: "The limits were declared and frozen before the run. The uncertainty is complete, and nothing is assumed about the true value before. " +
		"Met is not proof that the physics is right: several errors can cancel. A promise that was met says nothing about safety: that is proven by its own tests.",
	Sources: []string{conformity, compared},
	Example: []byte(`{"y": 1.28, "u": 0.05, "lower": 0.7, "upper": 1.3, "pred": 1.0, "u_pred": 0.15}`),
}, VerdictIn{Y: calc.Reading(math.NaN()), U: calc.Reading(math.NaN()), Nu: calc.Freedom(math.Inf(1)), PMet: 0.95, PMiss: 0.975, RepeatabilityKnown: true}, Verdict)

var instrumentNeeded = calc.New(calc.Description{
	Name: "evidence/instrument_needed", Answers: "which instrument would decide, and how many repeats",
	Words: []string{"instrument", "gauge", "class", "repeats", "uncertainty", "verdict"},
	Inputs: []calc.Field{
		calc.AtLeast("/u_needed", "", 0, "standard uncertainty that would decide; all values in one unit").Need(),
		calc.AtLeast("/u_other", "", 0, "standard uncertainty of all but the instrument").Preset("0"),
		calc.AtLeast("/s", "", 0, "standard deviation of one repeat"),
		calc.AtLeast("/u_b", "", 0, "standard uncertainty of all but the repeats"),
	},
	Outputs: []calc.Field{
		calc.Gives("/u_instrument", "", "largest standard uncertainty of the instrument; none: no instrument would do", "√(u_needed² − u_other²)", uncertain, "/u_needed", "/u_other"),
		calc.Gives("/rectangular_limit", "", "the same as a limit of error, ±", "√3·u_instrument", "JCGM 100:2008, 4.3.7, from memory", "/u_instrument"),
		calc.Gives("/repeats", "", "number of repeats; none: repeats do not help", "⌈s²/(u_needed² − u_b²)⌉", uncertain, "/u_needed", "/s", "/u_b"),
	},
	Equation: "u_instrument = √(u_needed² − u_other²)",
	Validity: "The parts of the uncertainty do not hang together. Repeats do not shrink the error of a class.",
	Sources:  []string{uncertain},
	Example:  []byte(`{"u_needed": 0.02, "u_other": 0.012, "s": 0.03, "u_b": 0.01}`),
}, InstrumentNeededIn{}, InstrumentNeeded)

var pDecide = calc.New(calc.Description{
	Name: "evidence/p_decide", Answers: "how probable it is that a planned run decides anything",
	Words: []string{"plan", "decide", "instrument", "verdict", "probability"},
	Inputs: []calc.Field{
		calc.Signed("/pred", "", "the predicted value; all values in one unit").Need(),
		calc.Positive("/u_pred", "", "standard uncertainty of the prediction").Need(),
		calc.Positive("/u", "", "standard uncertainty that the measured value will have").Need(),
		calc.Signed("/lower", "", "least value that is promised").Need(),
		calc.Signed("/upper", "", "greatest value that is promised").Need(),
		pMet, pMiss,
	},
	Outputs: []calc.Field{
		calc.Gives("/met", "", "probability of the verdict met", "of the y with P ≥ p_met, y normal about ŷ with √(u² + û²)", conformity, "/pred", "/u_pred", "/u", "/lower", "/upper", "/p_met"),
		calc.Gives("/missed", "", "probability of the verdict missed", "Φ((L − z·u − ŷ)/t) + 1 − Φ((H + z·u − ŷ)/t), t = √(u² + û²), z = Φ⁻¹(p_miss)", conformity, "/pred", "/u_pred", "/u", "/lower", "/upper", "/p_miss"),
		calc.Gives("/decided", "", "probability of either", "met + missed", conformity, "/met", "/missed"),
	},
	Equation: "P(decided) = P(met) + P(missed)",
	Validity: "A normal prediction that is as uncertain as it says, and limits that the run is judged by. As a rule, an instrument with up to 0.3 of the prediction's " +
		"uncertainty decides; above 0.6 it is hardly worth the run, and with as much as the prediction's it can decide nothing.",
	Sources: []string{conformity},
	Example: []byte(`{"pred": 1.0, "u_pred": 0.15, "u": 0.045, "lower": 0.706, "upper": 1.294}`),
}, PDecideIn{PMet: 0.95, PMiss: 0.975}, PDecide, calc.Relation[PDecideIn]{
	At: "/upper", Of: []string{"/lower", "/upper"},
	Broken: func(in PDecideIn) string {
		if in.Lower < in.Upper {
			return ""
		}
		return "The greatest value promised must be above the least. Look whether the two were exchanged."
	},
})
