package evidence

import "leat/calc"

var judgedGroup = []calc.Calculation{
	proportion("evidence/wilson", "the interval of a share, after Wilson", wilsonSource,
		"(p + z²/2n ± z·√(p(1 − p)/n + z²/4n²))/(1 + z²/n), p = k/n",
		"Independent cases. It holds the true share with about this probability.", WilsonInterval),
	proportion("evidence/clopper_pearson", "the interval of a share, after Clopper and Pearson", clopperSource,
		"k or more, or k or fewer, of n cases with a probability of (1 − level)/2",
		"Independent cases. It holds the true share with at least this probability, so that it is longer.", ClopperPearsonInterval),
	crpsNormal, crpsEnsemble, calibration, randomEffects,
}

const (
	wilsonSource  = "E. B. Wilson, J. Am. Stat. Assoc. 22, 209 (1927); R. G. Newcombe, Stat. Med. 17, 857 (1998), method 3, from memory"
	clopperSource = "C. J. Clopper, E. S. Pearson, Biometrika 26, 404 (1934), from memory"
	scoring       = "T. Gneiting, A. E. Raftery, J. Am. Stat. Assoc. 102, 359 (2007), from memory"
	transform     = "probability integral transform; any text on forecasting, from memory"
	evenness      = "G. Marsaglia, W. W. Tsang, J. Wang, J. Stat. Softw. 8(18) (2003), from memory"
	pauleMandel   = "R. C. Paule, J. Mandel, J. Res. NBS 87, 377 (1982), from memory"
	hartungKnapp  = "J. Hartung, G. Knapp, Stat. Med. 20, 3875 (2001), from memory"
	higgins       = "J. P. T. Higgins, S. G. Thompson, D. J. Spiegelhalter, J. R. Stat. Soc. A 172, 137 (2009), from memory"
	derSimonian   = "R. DerSimonian, N. Laird, Control. Clin. Trials 7, 177 (1986), from memory"
)

func proportion(name, answers, source, equation, validity string, interval func(k, n int, level float64) (lower, upper float64)) calc.Calculation {
	return calc.New(calc.Description{
		Name: name, Answers: answers, Words: []string{"share", "proportion", "interval", "coverage"},
		Inputs: []calc.Field{
			calc.Counted("/k", 0, mostCases, "how many had it").Need(),
			calc.Counted("/n", 0, mostCases, "of how many").Need(),
			level,
		},
		Outputs: []calc.Field{
			calc.Gives("/lower", "", "lower end", equation, source, "/k", "/n", "/level"),
			calc.Gives("/upper", "", "upper end", equation, source, "/k", "/n", "/level"),
		},
		Equation: equation, Validity: validity, Sources: []string{source},
		Example: []byte(`{"k": 8, "n": 8}`),
	}, ShareIn{Level: Level}, func(in ShareIn) (out ShareOut, _ []calc.Warning, _ *calc.Fault) {
		out.Lower, out.Upper = interval(int(in.K), int(in.N), in.Level)
		return out, nil, nil
	}, calc.Relation[ShareIn]{At: "/k", Code: calc.Range, Of: []string{"/k", "/n"}, Broken: func(in ShareIn) string {
		if in.K <= in.N {
			return ""
		}
		return "More had it than there were cases. Look whether the two were exchanged."
	}})
}

// mostCases are counted without loss of digits.
const mostCases = 1e15

var crpsNormal = calc.New(calc.Description{
	Name: "evidence/crps_normal", Answers: "how good a normal prediction was: less is better",
	Words: []string{"score", "CRPS", "prediction", "compare"},
	Inputs: []calc.Field{
		calc.Signed("/mean", "", "the predicted value; all values in one unit").Need(),
		calc.AtLeast("/sd", "", 0, "its standard uncertainty, that of the measurement included").Need(),
		calc.Signed("/y", "", "the measured value").Need(),
	},
	Outputs:  []calc.Field{calc.Gives("/crps", "", "score, in the unit of the values", "s·(z·(2Φ(z) − 1) + 2φ(z) − 1/√π)", scoring, "/mean", "/sd", "/y")},
	Equation: "s·(z·(2Φ(z) − 1) + 2φ(z) − 1/√π), z = (y − mean)/s",
	Validity: "To compare predictions of the same measured values; over the predicted value where scores are averaged.",
	Sources:  []string{scoring},
	Example:  []byte(`{"mean": 1.0, "sd": 0.15, "y": 1.2}`),
}, CRPSNormalIn{}, CRPSNormal)

var crpsEnsemble = calc.New(calc.Description{
	Name: "evidence/crps_ensemble", Answers: "how good a prediction was that is given as a sample: less is better",
	Words: []string{"score", "CRPS", "prediction", "ensemble", "compare"},
	Inputs: []calc.Field{
		calc.ListOf(calc.Signed("/sample_values", "", "sample of predictions, blurred by the measurement; all values in one unit").Gappy()).Need().MayBeEmpty(),
		calc.Signed("/y", "", "the measured value").Need(),
	},
	Outputs:  []calc.Field{calc.Gives("/crps", "", "score, in the unit of the values; none without a prediction", "mean|xᵢ − y| − ½·mean|xᵢ − xⱼ|", scoring, "/sample_values", "/y")},
	Equation: "mean|xᵢ − y| − ½·mean|xᵢ − xⱼ|",
	Validity: "To compare predictions of the same measured values. The second mean is over all pairs, those of a value with itself too.",
	Sources:  []string{scoring},
	Example:  []byte(`{"sample_values": [0.9, 1.0, 1.1, 1.3], "y": 1.2}`),
}, CRPSEnsembleIn{}, CRPSEnsemble)

var calibration = calc.New(calc.Description{
	Name: "evidence/calibration", Answers: "whether predictions are as uncertain as they say",
	Words: []string{"calibration", "coverage", "bias", "group", "builds", "prediction"},
	Inputs: []calc.Field{calc.RecordsOf("/records", "one quantity, build by build; of one build the first counts",
		calc.Words("/build", "name of the build").Need(),
		calc.Between("/pit", "", 0, 1, "probability of less than was measured, within the prediction blurred by the measurement").Gappy(),
	).Need().Filled()},
	Outputs: append(append([]calc.Field{
		calc.Gives("/n", "", "builds that count", "first of each build", transform, "/records").As(calc.Count),
		calc.Gives("/duplicates", "", "further records of builds that count already", "those left", transform, "/records").As(calc.Count),
		calc.Gives("/coverage", "", "how often intervals held the measured value", "|2·PIT − 1| ≤ level", transform, "/records").As(calc.Group),
	}, coverageFields("0.5", "0.8", "0.95")...),
		calc.Gives("/z_mean", "", "bias, in standard deviations of the prediction", "mean of z = Φ⁻¹(PIT)", transform, "/records"),
		calc.Gives("/z_mean_ci", "", "its interval, 95 %", "mean ± t·s/√n", transform, "/z_mean", "/z_sd", "/n").As(calc.Numbers),
		calc.Gives("/z_sd", "", "spread: above 1 the intervals are too narrow, below 1 too wide, or the builds err alike", "standard deviation s of z", transform, "/records"),
		calc.Gives("/z_sd_ci", "", "its interval, 95 %", "s·√((n − 1)/χ²)", transform, "/z_sd", "/n").As(calc.Numbers),
		calc.Gives("/ks", "", "largest distance from an even spread, from ten builds", "D", evenness, "/records"),
		calc.Gives("/ks_p", "", "probability of such a distance or more, if predictions are as uncertain as they say", "exact, two-sided", evenness, "/ks", "/n"),
		calc.Gives("/status", "", "ok, or too_few_builds", "n ≥ 3", transform, "/n").As(calc.Text),
	),
	Equation: "z = Φ⁻¹(PIT); coverage: |2·PIT − 1| ≤ level",
	Validity: "Confirmed runs that were predicted before, one record a build. Runs that were set aside are counted beside it.",
	Sources:  []string{transform, wilsonSource, evenness},
	Example:  []byte(`{"records": [{"build": "mill race", "pit": 0.31}, {"build": "quarry", "pit": 0.62}, {"build": "weir", "pit": 0.88}, {"build": "weir", "pit": 0.91}]}`),
}, CalibrationIn{}, Calibration)

// coverageFields are those of [Coverages].
func coverageFields(levels ...string) (all []calc.Field) {
	for _, l := range levels {
		at := "/coverage/" + l
		all = append(all,
			calc.Gives(at, "", "intervals of this level", "|2·PIT − 1| ≤ level", transform, "/records").As(calc.Group),
			calc.Gives(at+"/k", "", "builds within", "|2·PIT − 1| ≤ level", transform, "/records").As(calc.Count),
			calc.Gives(at+"/n", "", "of how many", "n", transform, "/n").As(calc.Count),
			calc.Gives(at+"/fraction", "", "share within", "k/n", transform, at+"/k", at+"/n"),
			calc.Gives(at+"/lower", "", "lower end of that share, 95 %", "after Wilson", wilsonSource, at+"/k", at+"/n"),
			calc.Gives(at+"/upper", "", "upper end of that share, 95 %", "after Wilson", wilsonSource, at+"/k", at+"/n"),
			calc.Gives(at+"/consistent", "", "the level can be right", "lower ≤ level ≤ upper", wilsonSource, at+"/lower", at+"/upper").As(calc.Flag),
		)
	}
	return all
}

var randomEffects = calc.New(calc.Description{
	Name: "evidence/random_effects", Answers: "by how much builds are off their predictions on average, and how far they scatter",
	Words: []string{"bias", "scatter", "builds", "group", "random effects", "next build"},
	Inputs: []calc.Field{
		calc.ListOf(calc.Signed("/e", "", "one value a build, such as ln(measured/predicted)")).Need(),
		calc.ListOf(calc.Positive("/u", "", "standard uncertainty of each, from the measurement only")).Need(),
		level,
	},
	Outputs: []calc.Field{
		calc.Gives("/k", "", "builds", "count", pauleMandel, "/e").As(calc.Count),
		calc.Gives("/mean", "", "mean of all builds", "μ = Σw·e/Σw, w = 1/(u² + τ²)", pauleMandel, "/e", "/u", "/tau2"),
		calc.Gives("/se", "", "its standard error", "1/√Σw", pauleMandel, "/u", "/tau2"),
		calc.Gives("/se_hk", "", "the standard error that is used", "the larger of 1/√Σw and √(Σw(e − μ)²/((k − 1)Σw))", hartungKnapp, "/e", "/u", "/mean", "/tau2", "/se"),
		calc.Gives("/interval", "", "interval of the mean", "μ ± t·se, k − 1 degrees of freedom", hartungKnapp, "/mean", "/se_hk", "/level").As(calc.Numbers),
		calc.Gives("/tau", "", "scatter from build to build", "τ", pauleMandel, "/tau2"),
		calc.Gives("/tau2", "", "its square", "Σ(e − μ)²/(u² + τ²) = k − 1; 0 where the sum is already below", pauleMandel, "/e", "/u"),
		calc.Gives("/Q", "", "distance of the builds from each other", "Q = Σ(e − fixed)²/u²", derSimonian, "/e", "/u", "/fixed"),
		calc.Gives("/p_Q", "", "probability of such a distance or more, if builds do not differ", "χ², k − 1 degrees of freedom", derSimonian, "/Q", "/k"),
		calc.Gives("/next_build", "", "interval of the next build; none for two builds", "μ ± t·√(τ² + se²), k − 2 degrees of freedom", higgins, "/mean", "/tau2", "/se_hk", "/level").As(calc.Numbers),
		calc.Gives("/fixed", "", "mean, if builds do not differ", "Σ(e/u²)/Σ(1/u²)", derSimonian, "/e", "/u"),
		calc.Gives("/tau2_dl", "", "another estimate of τ²", "(Q − (k − 1))/(Σw₀ − Σw₀²/Σw₀), w₀ = 1/u², at least 0", derSimonian, "/Q", "/k", "/u"),
		calc.Gives("/mean_dl", "", "mean with that", "Σw·e/Σw", derSimonian, "/e", "/u", "/tau2_dl"),
		calc.Gives("/se_dl", "", "its standard error", "1/√Σw", derSimonian, "/u", "/tau2_dl"),
	},
	Equation: "Σ(e − μ)²/(u² + τ²) = k − 1",
	Validity: "Builds of one kind, one value each. With three or four of them the scatter itself is hardly known; the wide intervals say so.",
	Sources:  []string{pauleMandel, hartungKnapp, higgins, derSimonian},
	Example:  []byte(`{"e": [0.02, 0.09, -0.01, 0.05], "u": [0.02, 0.03, 0.02, 0.025]}`),
}, RandomEffectsIn{Level: Level}, RandomEffects,
	calc.Relation[RandomEffectsIn]{At: "/e", Code: calc.Range, Of: []string{"/e"}, Broken: func(in RandomEffectsIn) string {
		if len(in.E) > 1 {
			return ""
		}
		return "One value has no scatter. Give two builds or more; from three on the next build is predicted too."
	}},
	fits("/u", []string{"/e"}, "%d values", func(in RandomEffectsIn) int { return len(in.U) }, func(in RandomEffectsIn) int { return len(in.E) }))
