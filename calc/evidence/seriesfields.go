package evidence

import (
	"fmt"

	"leat/calc"
)

// series are the calculations about what a logger recorded, and about trials.
var series = []calc.Calculation{seriesMean, steady, hampel, pressureDecay, summarise, adaptive}

const (
	zhang    = "N. F. Zhang, Metrologia 43, S276 (2006), from memory"
	geyer    = "C. J. Geyer, Statistical Science 7, 473 (1992), from memory"
	mser     = "K. P. White, Simulation 69, 323 (1997) (MSER-5), from memory"
	leastSq  = "least squares; residuals that follow one another as in Santer et al., J. Geophys. Res. 105, 7337 (2000), from memory"
	pearson  = "R. K. Pearson, IEEE Trans. Control Syst. Technol. 10, 55 (2002) (Hampel identifier), from memory"
	practice = "common practice, no source"
)

// samples are the values of a channel, some of which may be missing.
var samples = calc.ListOf(calc.Signed("/values", "", "the samples in their order, at even steps, in one unit")).Gappy().Need().MayBeEmpty()

// counted is how many of the samples are missing.
var counted = calc.Gives("/missing", "", "samples that are missing; the others close up", "count", gum4, "/values").As(calc.Count)

type seriesMeanIn struct {
	Values  calc.Readings `json:"values"`
	Batches calc.Int      `json:"batches"`
}

type seriesMeanOut struct {
	Mean    *float64 `json:"mean"`
	S       *float64 `json:"s"`
	N       int      `json:"n"`
	Missing int      `json:"missing"`
	Lag1    *float64 `json:"lag1"`
	Tau     *float64 `json:"tau"`
	NEff    *float64 `json:"n_eff"`
	U       *float64 `json:"u"`
	UNaive  *float64 `json:"u_naive"`
	UBatch  *float64 `json:"u_batch"`
	Nu      float64  `json:"nu"`
	Status  string   `json:"status"`
}

var seriesMean = calc.New(calc.Description{
	Name: "evidence/series_mean", Answers: "the mean of a logger's samples, and how well it is known when samples hang together",
	Words:  []string{"logger", "time series", "autocorrelation", "mean", "average", "uncertainty", "effective number"},
	Inputs: []calc.Field{samples, calc.Counted("/batches", 2, 1000, "batches for the cross-check").Preset("20")},
	Outputs: []calc.Field{
		calc.Gives("/mean", "", "mean, in the unit of the samples; none without samples", "x̄ = Σx/n", gum4, "/values"),
		calc.Gives("/s", "", "standard deviation of one sample; none below two", "s = √(Σ(x − x̄)²/(n − 1))", gum4, "/values", "/mean"),
		calc.Gives("/n", "", "samples that are there", "count", gum4, "/values").As(calc.Count),
		counted,
		calc.Gives("/lag1", "", "correlation of a sample with the next; none where all are equal", "ρ₁ = Σ(x_i − x̄)(x_{i+1} − x̄)/Σ(x_i − x̄)²", "NIST/SEMATECH e-Handbook, 1.3.5.12, from memory", "/values", "/mean"),
		calc.Gives("/tau", "", "samples that bring as much as one independent sample; none below ten samples", "τ = max(1, −1 + 2·ΣΓ_m), Γ_m = ρ_{2m} + ρ_{2m+1} while positive, each at most the one before", geyer, "/values"),
		calc.Gives("/n_eff", "", "independent samples that would say as much", "n_eff = n/τ", zhang, "/n", "/tau"),
		calc.Gives("/u", "", "standard uncertainty of the mean: the larger of that by the correlation and that by batches; none below two samples", "u² = s²/n_eff·(n − 1)/(n − τ); u = s for τ ≥ n/2", zhang, "/s", "/n_eff", "/n", "/tau", "/u_batch"),
		calc.Gives("/u_naive", "", "what it would be if every sample were news: the most common self-deception of loggers", "s/√n", gum4, "/s", "/n"),
		calc.Gives("/u_batch", "", "the same by the means of batches; none where a batch has fewer than two samples", "s of the means/√batches", practice, "/values", "/batches"),
		calc.Gives("/nu", "", "degrees of freedom", "ν = max(1, n_eff − 1)", zhang, "/n_eff"),
		calc.Gives("/status", "", "ok, zero_spread or run_too_short, below ten samples short_ and what repeats say", "run_too_short where n_eff < 10", practice, "/n_eff", "/n").As(calc.Text),
	},
	Equation: "u² = s²/n_eff·(n − 1)/(n − τ), n_eff = n/τ",
	Validity: "A steady part of a run at even steps, cut free of its start. A run of fewer than ten independent samples decides nothing: run longer. What the instrument does wrong in all samples alike is not in it.",
	Sources:  []string{zhang, geyer, gum4},
	Example:  []byte(`{"values": [5.01, 5.03, 5.02, 4.99, 4.97, 4.98, 5.00, 5.04, 5.02, 4.99, 4.98, null, 5.01]}`),
}, seriesMeanIn{Batches: Batches}, func(in seriesMeanIn) (seriesMeanOut, []calc.Warning, *calc.Fault) {
	values := Measured(in.Values)
	m := SeriesMean(values, int(in.Batches))
	some, two, long, spread := m.N > 0, m.N > 1, m.N >= fewSamples, !allEqual(values)
	out := seriesMeanOut{
		Mean: number(some, m.Mean), S: number(two, m.S), N: m.N, Missing: len(in.Values) - m.N, Lag1: number(two && spread, m.Lag1),
		Tau: number(long, m.Tau), NEff: number(long, m.NEff), U: number(two, m.U), UNaive: number(long, m.UNaive),
		UBatch: number(long && spread && m.N/int(in.Batches) >= 2, m.UBatch), Nu: m.Nu, Status: m.Status,
	}
	if !long || m.NEff >= float64(m.N)/2 {
		return out, nil, nil
	}
	return out, []calc.Warning{{Code: "W_CORRELATED", At: "/values", Value: &m.NEff, Message: fmt.Sprintf(
		"Samples hang together: %d of them say as much as %.0f independent ones. More samples a second do not help; a longer run does.", m.N, m.NEff)}}, nil
})

type steadyIn struct {
	Values calc.Readings `json:"values"`
	Dt     float64       `json:"dt"`      // s
	TolAbs *float64      `json:"tol_abs"` // unit of the values
	TolRel float64       `json:"tol_rel"`
	M      calc.Int      `json:"m"`
}

type steadyOut struct {
	Status    string   `json:"status"`
	Reason    *string  `json:"reason"`
	Cut       *int     `json:"cut"`
	Kept      *int     `json:"kept"`
	Mean      *float64 `json:"mean"`
	Drift     *float64 `json:"drift"`
	UEstimate *float64 `json:"u_drift_estimate"`
	UDrift    *float64 `json:"u_drift"`
	Tol       *float64 `json:"tol"`
	Missing   int      `json:"missing"`
}

var steady = calc.New(calc.Description{
	Name: "evidence/steady", Answers: "whether a run has settled and no longer drifts, and what to cut from its start",
	Words: []string{"logger", "steady state", "settling", "drift", "warm-up", "MSER", "time series"},
	Inputs: []calc.Field{
		samples,
		calc.Positive("/dt", "s", "time from one sample to the next").Preset("1"),
		calc.AtLeast("/tol_abs", "", 0, "how far it may drift over the run, in the unit of the samples, declared before the run; otherwise a share of the mean"),
		calc.AtLeast("/tol_rel", "", 0, "how far it may drift over the run, as a share of the mean").Preset("0.01"),
		calc.Counted("/m", 1, 1000, "samples in a block by which the start is found").Preset("5"),
	},
	Outputs: []calc.Field{
		calc.Gives("/status", "", "steady, not_steady or undecided", "D + 2·u_D ≤ tol: steady; D − 2·u_D > tol: not_steady; else undecided", practice, "/drift", "/u_drift_estimate", "/tol").As(calc.Text),
		calc.Gives("/reason", "", "too_short, still_settling, drifting or run_longer; none where it is steady", "too_short: fewer than 20 samples or 4 blocks; still_settling: the least error is at the last place that may be cut", mser, "/values", "/m").As(calc.Text),
		calc.Gives("/cut", "", "samples at the start that belong to settling; none where it is too short", "m·argmin_d Σ_{i>d}(z_i − z̄_d)²/(B − d)², 0 ≤ d ≤ B/2, of B block means z", mser, "/values", "/m").As(calc.Count),
		calc.Gives("/kept", "", "samples that are left", "n − cut", mser, "/values", "/cut").As(calc.Count),
		calc.Gives("/mean", "", "mean of what is left, in the unit of the samples", "x̄ = Σx/n", gum4, "/values", "/cut"),
		calc.Gives("/drift", "", "drift from the first to the last sample that is left, in the unit of the samples", "D = |slope|·(n − 1)·dt", leastSq, "/values", "/cut", "/dt"),
		calc.Gives("/u_drift_estimate", "", "standard uncertainty of that drift", "u_D = span·√(s²/Σ(t − t̄)²·(1 + φ)/(1 − φ)), φ the correlation of neighbouring residuals, 0 to 0.99", leastSq, "/values", "/cut", "/dt"),
		calc.Gives("/u_drift", "", "the line of the budget for the drift", "D/√12", "JCGM 100:2008, 4.3.7 (rectangular limits), from memory", "/drift"),
		calc.Gives("/tol", "", "what the drift was held against, in the unit of the samples", "tol_abs, without it tol_rel·|mean|", practice, "/tol_abs", "/tol_rel", "/mean"),
		counted,
	},
	Equation: "start: least Σ(z − z̄)²/(B − d)²; then D + 2·u_D ≤ tol, D = |slope|·span",
	Validity: "One channel at even steps and without long gaps. Every channel that enters a result must be steady over one common window. A tolerance chosen after the run proves nothing. A swing longer than the run looks like a drift or like nothing.",
	Sources:  []string{mser, leastSq, practice},
	Example:  []byte(`{"values": [4.1, 4.6, 4.8, 4.9, 5.0, 5.01, 4.99, 5.02, 5.0, 4.98, 5.01, 5.0, 4.99, 5.0, 5.02, 4.98, 5.0, 5.01, 4.99, 5.0, 5.01, 5.0, 4.99, 5.0, 5.01, 5.0, 5.0, 4.99, 5.01, 5.0], "dt": 10, "tol_abs": 0.1}`),
}, steadyIn{Dt: 1, TolRel: OnePercent.Rel, M: SettleBlock}, func(in steadyIn) (steadyOut, []calc.Warning, *calc.Fault) {
	values := Measured(in.Values)
	tol := Tolerance{Abs: OnePercent.Abs, Rel: in.TolRel}
	if in.TolAbs != nil {
		tol.Abs = *in.TolAbs
	}
	s := Steady(values, in.Dt, int(in.M), tol)
	told := s.Kept >= 0
	out := steadyOut{
		Status: s.Status, Mean: number(told, s.Mean), Drift: number(told, s.Drift), UEstimate: number(told, s.UDrift),
		UDrift: number(told, s.BudgetLine), Tol: number(told, s.Tol), Missing: len(in.Values) - len(values),
	}
	if s.Reason != "" {
		out.Reason = &s.Reason
	}
	if s.Cut >= 0 {
		out.Cut = &s.Cut
	}
	if told {
		out.Kept = &s.Kept
	}
	return out, nil, nil
})

type hampelIn struct {
	Values calc.Readings `json:"values"`
	Half   calc.Int      `json:"half"`
	K      float64       `json:"k"`
	Floor  float64       `json:"floor"`
}

type hampelOut struct {
	Flags       []int    `json:"flags"`
	MeanAll     *float64 `json:"mean_all"`
	MeanWithout *float64 `json:"mean_without"`
	Missing     int      `json:"missing"`
}

var hampel = calc.New(calc.Description{
	Name: "evidence/hampel", Answers: "which samples stand out of those beside them, and what the mean is with and without them",
	Words: []string{"logger", "outlier", "spike", "Hampel", "median", "time series"},
	Inputs: []calc.Field{
		samples,
		calc.Counted("/half", 1, 1000, "samples before and after that one is compared with").Preset("5"),
		calc.Positive("/k", "", "how many standard deviations a sample may be off").Preset("3"),
		calc.AtLeast("/floor", "", 0, "resolution of the instrument, in the unit of the samples").Preset("0"),
	},
	Outputs: []calc.Field{
		calc.Gives("/flags", "", "places of samples that stand out, counted from 0 in the list as given", "|x − median| > k·max(1.4826·MAD, floor)", pearson, "/values", "/half", "/k", "/floor").As(calc.List),
		calc.Gives("/mean_all", "", "mean of all that are there; none without samples", "x̄ = Σx/n", gum4, "/values"),
		calc.Gives("/mean_without", "", "mean without those that stand out", "x̄ = Σx/n", gum4, "/values", "/flags"),
		counted,
	},
	Equation: "|x − median| > k·max(1.4826·MAD, floor)",
	Validity: "A flag asks a question and takes nothing out: a person decides, with name and reason, and results are shown with and without. Where the two means differ by more than the standard uncertainty, nothing is confirmed until then.",
	Sources:  []string{pearson},
	Example:  []byte(`{"values": [5.0, 5.1, 4.9, 5.0, 9.7, 5.1, null, 5.0, 4.9], "floor": 0.05}`),
}, hampelIn{Half: 5, K: 3}, func(in hampelIn) (hampelOut, []calc.Warning, *calc.Fault) {
	values := Measured(in.Values)
	out := hampelOut{Flags: []int{}, Missing: len(in.Values) - len(values)}
	flagged := map[int]bool{}
	for _, place := range Outliers(values, int(in.Half), in.K, in.Floor) {
		flagged[place] = true
	}
	var rest []float64
	place := 0 // among those that are there
	for i, x := range in.Values {
		switch {
		case len(Measured(in.Values[i:i+1])) == 0:
			continue
		case flagged[place]:
			out.Flags = append(out.Flags, i)
		default:
			rest = append(rest, x)
		}
		place++
	}
	out.MeanAll, out.MeanWithout = meanOrNone(values), meanOrNone(rest)
	return out, nil, nil
})

func meanOrNone(x []float64) *float64 {
	if len(x) == 0 {
		return nil
	}
	mean, _ := meanAndDeviation(x)
	return &mean
}
