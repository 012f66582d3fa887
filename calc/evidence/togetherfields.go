package evidence

import (
	"fmt"

	"leat/calc"
)

var judgedTogether = []calc.Calculation{joint, holm, buildVerdict, explainMiss}

const (
	multivariate = "any text on multivariate statistics, from memory"
	stepDown     = "S. Holm, Scand. J. Stat. 6, 65 (1979), from memory"
	bayesLine    = "linear model with normal prior, as in JCGM 107 or any text on regression; derived here"
)

// fits faults a list or matrix that has not as many entries as it should.
func fits[I any](at string, of []string, what string, has, wants func(I) int) calc.Relation[I] {
	return calc.Relation[I]{At: at, Of: append([]string{at}, of...), Broken: func(in I) string {
		if has(in) == wants(in) {
			return ""
		}
		return fmt.Sprintf("There are %d here, and %s: they must be as many.", has(in), fmt.Sprintf(what, wants(in)))
	}}
}

// square faults a covariance that is not one of n quantities; of none, nothing.
func square[I any](at string, of func(I) (calc.Matrix, int)) calc.Relation[I] {
	return calc.Relation[I]{At: at, Of: []string{"/d", at}, Broken: func(in I) string {
		if m, n := of(in); m != nil && !m.Is(n, n) {
			return fmt.Sprintf("A covariance of %d quantities has %d rows of %d numbers.", n, n, n)
		}
		return ""
	}}
}

var joint = calc.New(calc.Description{
	Name: "evidence/joint", Answers: "whether several quantities or points agree with their predictions together",
	Words: []string{"verdict", "pattern", "chi square", "covariance", "curve"},
	Inputs: []calc.Field{
		calc.ListOf(calc.Signed("/d", "", "measured less predicted, of each independent quantity and point").Gappy()).Need(),
		calc.RowsOf(calc.Signed("/S", "", "covariance of d")).NeedUnless("/C_meas"),
		calc.RowsOf(calc.Signed("/C_meas", "", "its part from the measurement")).Unread("/S"),
		calc.RowsOf(calc.Signed("/C_pred", "", "its part from the prediction")).NeedWith("/C_meas").Unread("/S"),
	},
	Outputs: []calc.Field{
		calc.Gives("/chi2", "", "distance from the predictions", "χ² = dᵀS⁻¹d", multivariate, "/d", "/S", "/C_meas", "/C_pred"),
		calc.Gives("/rank", "", "how many different things were measured", "eigenvalues of the correlations above 1e-8 of the largest", multivariate, "/S", "/C_meas", "/C_pred").As(calc.Count),
		calc.Gives("/p", "", "probability of such a distance or more, if the predictions are as good as they say", "χ² with the rank for degrees of freedom", multivariate, "/chi2", "/rank"),
		calc.Gives("/consistent", "", "they agree", "p ≥ 0.05", multivariate, "/p").As(calc.Flag),
		calc.Gives("/status", "", "ok; incomplete_record where a number lacks; bad_covariance where a variance is not above 0", "the first that applies", multivariate, "/d", "/S", "/C_meas", "/C_pred").As(calc.Text),
	},
	Equation: "χ² = dᵀS⁻¹d, S = C_meas + C_pred",
	Validity: "Quantities that follow from others, as the efficiency, are left out. Points of one curve share their errors: that must be in the covariance.",
	Sources:  []string{multivariate},
	Example:  []byte(`{"d": [900, -0.0004], "C_meas": [[250000, 0], [0, 1e-7]], "C_pred": [[1000000, 0.1], [0.1, 1e-7]]}`),
}, JointIn{}, Joint,
	square("/S", func(in JointIn) (calc.Matrix, int) { return in.S, len(in.D) }),
	square("/C_meas", func(in JointIn) (calc.Matrix, int) { return in.CMeas, len(in.D) }),
	square("/C_pred", func(in JointIn) (calc.Matrix, int) { return in.CPred, len(in.D) }))

var holm = calc.New(calc.Description{
	Name: "evidence/holm", Answers: "which of several tests made together stand out",
	Words: []string{"several tests", "probability", "adjust"},
	Inputs: []calc.Field{
		calc.ListOf(calc.Between("/p", "", 0, 1, "probability of each test")).Need(),
		alpha,
	},
	Outputs: []calc.Field{
		calc.Gives("/adjusted", "", "adjusted probabilities, in the same order", "sorted from the smallest, p·(m − j + 1), at most 1, never below the one before", stepDown, "/p").As(calc.Numbers),
		calc.Gives("/reject", "", "which stand out", "adjusted ≤ α", stepDown, "/adjusted", "/alpha").As(calc.List),
	},
	Equation: "p_(j)·(m − j + 1)",
	Validity: "Whatever hangs together among the tests.",
	Sources:  []string{stepDown},
	Example:  []byte(`{"p": [0.01, 0.04, 0.03, 0.005]}`),
}, HolmIn{Alpha: 0.05}, Holm)

var buildVerdict = calc.New(calc.Description{
	Name: "evidence/build_verdict", Answers: "whether a run as a whole met its promises",
	Words: []string{"verdict", "run", "build", "met", "missed", "promise"},
	Inputs: []calc.Field{
		calc.RecordsOf("/items", "the verdict on each quantity",
			calc.Words("/name", "name of the quantity").Need(),
			calc.OneOf("/outcome", "verdict on it", string(Met), string(MissedLow), string(MissedHigh), string(Undecided)).Need(),
			calc.Between("/p_tail", "", 0, 1, "1 less the larger probability of being beyond a limit; missing: 1").Gappy(),
			calc.YesNo("/required", "it was promised").Preset("true"),
		).Need().MayBeEmpty().Filled(),
		calc.Between("/chi2_p", "", 0, 1, "probability of all quantities together"),
		alpha,
	},
	Outputs: []calc.Field{
		calc.Gives("/outcome", "", "verdict on the run", "missed: any missed that stands at α/2; met: all met and together p ≥ α; else undecided", stepDown, "/items", "/chi2_p", "/alpha").As(calc.Text),
		calc.Gives("/reason", "", "why it is undecided; none where it is decided", "nothing_measured, pattern_disagrees or some_undecided", stepDown, "/items", "/chi2_p", "/alpha").As(calc.Text),
		calc.Gives("/which", "", "the quantities that were missed, or are open", "those of the verdict", stepDown, "/items", "/alpha").As(calc.Texts),
	},
	Equation: "p_tail adjusted after Holm ≤ α/2",
	Validity: "Which quantities are promised was declared before the run. Met is not proof that the physics is right: several errors can cancel.",
	Sources:  []string{stepDown},
	Example:  []byte(`{"items": [{"name": "delivery pressure", "outcome": "met", "p_tail": 0.98}, {"name": "free air", "outcome": "missed_low", "p_tail": 0.003}], "chi2_p": 0.01}`),
}, BuildVerdictIn{Alpha: 0.05}, BuildVerdict)

var explainMiss = calc.New(calc.Description{
	Name: "evidence/explain_miss", Answers: "which coefficients would explain why a run missed",
	Words: []string{"missed", "why", "coefficient", "explain", "shift"},
	Inputs: []calc.Field{
		calc.ListOf(calc.Signed("/d", "", "measured less predicted, of each quantity and point")).Need(),
		calc.RowsOf(calc.Signed("/R", "", "covariance of the measurement")).Need(),
		calc.RowsOf(calc.Signed("/J", "", "what one standard deviation of each coefficient does to each prediction, a row a quantity")).Need(),
		calc.Words("/names", "names of the coefficients").As(calc.Texts),
	},
	Outputs: []calc.Field{
		calc.Gives("/chi2", "", "size of the miss in units of the measurement", "χ² = rᵀr, r = L⁻¹d, LLᵀ = R", bayesLine, "/d", "/R"),
		calc.Gives("/single", "", "of each coefficient alone: shift in standard deviations, share of χ² that it removes, cosine between the patterns", "aᵀr/(1 + aᵀa); (aᵀr)²/((1 + aᵀa)·rᵀr); aᵀr/√(aᵀa·rᵀr), a a column of L⁻¹J", bayesLine, "/d", "/R", "/J", "/names").As(calc.List),
		calc.Gives("/joint_shift", "", "shifts of all coefficients together, in standard deviations", "(I + AᵀA)⁻¹Aᵀr", bayesLine, "/d", "/R", "/J").As(calc.Numbers),
	},
	Equation: "shift = aᵀr/(1 + aᵀa)",
	Validity: "Predictions that follow the coefficients in straight lines over a few standard deviations. A pointer, not a finding: one run cannot tell two coefficients " +
		"apart whose patterns are alike, and a leak or a wrong zero is no coefficient.",
	Sources: []string{bayesLine},
	Example: []byte(`{"d": [-900, -0.0004], "R": [[250000, 0], [0, 1e-7]], "J": [[-600, 10], [-0.0002, 0.0003]], "names": ["intake loss", "drift velocity"]}`),
}, ExplainMissIn{}, ExplainMiss,
	square("/R", func(in ExplainMissIn) (calc.Matrix, int) { return in.R, len(in.D) }),
	calc.Relation[ExplainMissIn]{At: "/R", Code: calc.Range, Of: []string{"/d", "/R"}, Broken: func(in ExplainMissIn) string {
		if !Covariance(in.R) {
			return notPositive
		}
		return ""
	}},
	fits("/J", []string{"/d"}, "%d quantities", func(in ExplainMissIn) int { return len(in.J) }, func(in ExplainMissIn) int { return len(in.D) }),
	fits("/names", []string{"/J"}, "%d coefficients", func(in ExplainMissIn) int { return len(in.Names) }, func(in ExplainMissIn) int {
		if in.Names == nil {
			return 0
		}
		return len(in.J[0])
	}))
