package evidence

import (
	"fmt"

	"leat/calc"
)

const (
	guide77 = "JCGM 101:2008, 7.7, from memory"
	guide79 = "JCGM 101:2008, 7.9.2 to 7.9.4, from memory"
)

const (
	fewFailed  = 0.01 // share of trials without an output that is told; common practice, no source
	manyFailed = 0.2  // share beyond which an interval says nothing; common practice, no source
)

type summariseIn struct {
	Values calc.Readings `json:"sample_values"`
	P      float64       `json:"p"`
}

type summariseOut struct {
	N         int       `json:"n"`
	Failed    int       `json:"failed"`
	Mean      *float64  `json:"mean"`
	U         *float64  `json:"u"`
	Symmetric []float64 `json:"symmetric"` // low and high; nil: none
	Shortest  []float64 `json:"shortest"`
	Status    string    `json:"status"`
}

var summarise = calc.New(calc.Description{
	Name: "evidence/summarise", Answers: "what trials of a prediction say: mean, standard uncertainty and intervals",
	Words: []string{"Monte Carlo", "trials", "interval", "coverage", "uncertainty", "draws"},
	Inputs: []calc.Field{
		calc.ListOf(calc.Signed("/sample_values", "", "one output, a number a trial; missing where the trial failed")).Gappy().Need().MayBeEmpty(),
		calc.Inside("/p", "", 0, 1, "probability of the intervals").Preset("0.95"),
	},
	Outputs: []calc.Field{
		calc.Gives("/n", "", "trials with this output", "count", guide77, "/sample_values").As(calc.Count),
		calc.Gives("/failed", "", "trials without it: the machine did not run in them", "count", guide77, "/sample_values").As(calc.Count),
		calc.Gives("/mean", "", "mean, in the unit of the output; none below two trials", "ȳ = Σy/M", "JCGM 101:2008, 7.6, from memory", "/sample_values"),
		calc.Gives("/u", "", "standard uncertainty", "u² = Σ(y − ȳ)²/(M − 1)", "JCGM 101:2008, 7.6, from memory", "/sample_values", "/mean"),
		calc.Gives("/symmetric", "", "interval with as many trials below as above, low and high; none where too many failed", "y_r to y_{r+q}, q = min(⌊pM + ½⌋, M − 1), r = (M − q)/2 rounded up, at least 1", guide77, "/sample_values", "/p").As(calc.List),
		calc.Gives("/shortest", "", "shortest interval, low and high, for skewed outputs; its ends scatter more", "the first r with the least y_{r+q} − y_r", guide77, "/sample_values", "/p").As(calc.List),
		calc.Gives("/status", "", "no_valid_trial, too_many_failed or ok", "too_many_failed: more than a fifth", practice, "/n", "/failed").As(calc.Text),
	},
	Equation: "y_r to y_{r+q} of the sorted trials, q = ⌊pM + ½⌋",
	Validity: "Over the trials that gave this output. Those that failed are part of the result: where the machine does not run in some draws, it may not run.",
	Sources:  []string{"JCGM 101:2008, 7.6 and 7.7, from memory"},
	Example:  []byte(`{"sample_values": [12.1, 11.8, 12.4, 12.0, 13.9, 12.2, 11.9, 12.3, null, 12.6], "p": 0.8}`),
}, summariseIn{P: Level}, func(in summariseIn) (summariseOut, []calc.Warning, *calc.Fault) {
	valid := Measured(in.Values)
	all := len(in.Values)
	out := summariseOut{N: len(valid), Failed: all - len(valid), Status: OK}
	var warnings []calc.Warning
	if float64(out.Failed) > fewFailed*float64(all) {
		warnings = []calc.Warning{{Code: "W_FAILED_TRIALS", At: "/sample_values", Message: fmt.Sprintf(
			"In %d of %d trials there is no such output: the machine did not run. The other numbers hold only for the trials in which it did.", out.Failed, all)}}
	}
	s, ok := SummariseAt(valid, in.P)
	if !ok {
		out.Status = "no_valid_trial"
		return out, warnings, nil
	}
	out.Mean, out.U = &s.Mean, &s.U
	if float64(out.Failed) > manyFailed*float64(all) {
		out.Status = "too_many_failed"
		return out, warnings, nil
	}
	out.Symmetric, out.Shortest = []float64{s.Low, s.High}, []float64{s.ShortLow, s.ShortHigh}
	return out, warnings, nil
})

type batchIn struct {
	Y  float64 `json:"y"`
	U  float64 `json:"u"`
	Lo float64 `json:"lo"`
	Hi float64 `json:"hi"`
}

type adaptiveIn struct {
	Batches []batchIn `json:"batches"`
	UAll    float64   `json:"u_all"`
	Digits  calc.Int  `json:"ndig"`
}

type adaptiveOut struct {
	Stop  bool    `json:"stop"`
	Delta float64 `json:"delta"`
	TwoS  *twoS   `json:"two_s"`
}

type twoS struct {
	Y  float64 `json:"y"`
	U  float64 `json:"u"`
	Lo float64 `json:"lo"`
	Hi float64 `json:"hi"`
}

var adaptive = calc.New(calc.Description{
	Name: "evidence/adaptive", Answers: "whether batches of trials agree well enough to stop drawing",
	Words: []string{"Monte Carlo", "adaptive", "trials", "numerical tolerance", "how many draws"},
	Inputs: []calc.Field{
		calc.RecordsOf("/batches", "what each batch of trials gave",
			calc.Signed("/y", "", "mean of the batch").Need(), calc.AtLeast("/u", "", 0, "standard uncertainty by the batch").Need(),
			calc.Signed("/lo", "", "low end of its interval").Need(), calc.Signed("/hi", "", "high end of its interval").Need()).Filled().Need(),
		calc.AtLeast("/u_all", "", 0, "standard uncertainty by all batches together").Need(),
		calc.Counted("/ndig", 1, 6, "digits of the standard uncertainty that must stand").Preset("2"),
	},
	Outputs: []calc.Field{
		calc.Gives("/stop", "", "they agree: no more batches are needed", "each of two_s ≤ δ", guide79, "/two_s", "/delta").As(calc.Flag),
		calc.Gives("/delta", "", "numerical tolerance, in the unit of the output", "δ = ½·10^l, u = c·10^l with ndig digits in the whole number c", guide79, "/u_all", "/ndig"),
		calc.Gives("/two_s", "", "twice the standard deviation of the mean over the batches; none for a single batch", "2·s/√h over h batches", guide79, "/batches").As(calc.Group),
		calc.Gives("/two_s/y", "", "of the mean", "2·s/√h", guide79, "/batches"),
		calc.Gives("/two_s/u", "", "of the standard uncertainty", "2·s/√h", guide79, "/batches"),
		calc.Gives("/two_s/lo", "", "of the low end", "2·s/√h", guide79, "/batches"),
		calc.Gives("/two_s/hi", "", "of the high end", "2·s/√h", guide79, "/batches"),
	},
	Equation: "2·s/√h ≤ δ = ½·10^l",
	Validity: "Independent batches of one size. Two batches agree by chance now and then: a few more cost little.",
	Sources:  []string{guide79},
	Example:  []byte(`{"batches": [{"y": 12.31, "u": 0.52, "lo": 11.3, "hi": 13.3}, {"y": 12.29, "u": 0.53, "lo": 11.3, "hi": 13.4}], "u_all": 0.525, "ndig": 1}`),
}, adaptiveIn{Digits: 2}, func(in adaptiveIn) (out adaptiveOut, _ []calc.Warning, _ *calc.Fault) {
	batches := make([]Summary, len(in.Batches))
	for i, b := range in.Batches {
		batches[i] = Summary{Mean: b.Y, U: b.U, Low: b.Lo, High: b.Hi}
	}
	out.Delta = NumericalTolerance(in.UAll, int(in.Digits))
	if spread, ok := SpreadOf(batches); ok {
		out.Stop = spread.Within(out.Delta)
		out.TwoS = &twoS{spread.Mean, spread.U, spread.Low, spread.High}
	}
	return out, nil, nil
})
