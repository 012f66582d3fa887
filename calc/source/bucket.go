package source

import (
	"math"

	"leat/calc"
)

// BucketIn is a bucket filled several times.
type BucketIn struct {
	Volume float64   `json:"volume"` // m³
	Times  []float64 `json:"times"`  // s
	UVRel  float64   `json:"u_V_rel"`
	UT     float64   `json:"u_t"` // s
}

// BucketOut is the flow that filled it.
type BucketOut struct {
	QM3s  float64 `json:"Q_m3s"`
	QLs   float64 `json:"Q_Ls"`
	ST    float64 `json:"s_t"` // s
	URel  float64 `json:"u_rel"`
	U95Ls float64 `json:"U95_Ls"`
}

// MeanAndSpread returns the mean and the standard deviation of a sample, with
// n − 1, both in the unit of the sample; the spread of a single one is 0.
//
// Valid for at least one value.
//
// Source: definition.
func MeanAndSpread(sample []float64) (mean, spread float64) {
	n := float64(len(sample))
	for _, x := range sample {
		mean += x / n
	}
	if len(sample) < 2 {
		return mean, 0
	}
	for _, x := range sample {
		spread += (x - mean) * (x - mean) / (n - 1)
	}
	return mean, math.Sqrt(spread)
}

// Bucket answers what flow fills a bucket in the times that were taken.
func Bucket(in BucketIn) (BucketOut, []calc.Warning, *calc.Fault) {
	mean, spread := MeanAndSpread(in.Times)
	n := float64(len(in.Times))
	q := in.Volume / mean
	u := math.Sqrt(in.UVRel*in.UVRel + math.Pow(in.UT/mean, 2) + math.Pow(spread/mean, 2)/n)
	return BucketOut{QM3s: q, QLs: 1000 * q, ST: spread, URel: u, U95Ls: 2000 * u * q}, bucketWarnings(mean, len(in.Times)), nil
}

func bucketWarnings(mean float64, n int) (warnings []calc.Warning) {
	if mean < 5 {
		warnings = append(warnings, calc.Warning{Code: "W_SHORT_TIME", At: "/times",
			Message: "The bucket fills in less than 5 s, too short to time by hand. Take a larger bucket or barrel, or a weir."})
	}
	if n < 3 {
		warnings = append(warnings, calc.Warning{Code: "W_FEW_TIMES", At: "/times",
			Message: "One or two times do not show how much they scatter. Fill the bucket at least three times."})
	}
	return warnings
}

const guide = "GUM, JCGM 100; bucket 2 % and stopwatch 0.2 s are common practice, no source"

var bucket = calc.New(calc.Description{
	Name: "system/bucket", Answers: "flow by bucket and stopwatch", Evidence: calc.OftenMeasured,
	Words: []string{"bucket", "stopwatch", "gauging", "stream", "flow", "barrel"},
	Inputs: []calc.Field{
		calc.Positive("/volume", "m³", "what the bucket holds up to its mark").Need(),
		calc.ListOf(calc.Positive("/times", "s", "time of each filling")).Need(),
		calc.AtLeast("/u_V_rel", "", 0, "relative standard uncertainty of the bucket").Preset("0.02"),
		calc.AtLeast("/u_t", "s", 0, "standard uncertainty of one time").Preset("0.2"),
	},
	Outputs: []calc.Field{
		calc.Gives("/Q_m3s", "m³/s", "flow", "Q = V/t̄", "definition", "/volume", "/times"),
		calc.Gives("/Q_Ls", "L/s", "flow", "1000·Q", "unit", "/Q_m3s"),
		calc.Gives("/s_t", "s", "how the times scatter: standard deviation", "s = √(Σ(t − t̄)²/(n − 1))", "definition", "/times"),
		calc.Gives("/u_rel", "", "relative standard uncertainty of the flow", "√(u_V² + (u_t/t̄)² + (s/t̄)²/n)", guide, "/u_V_rel", "/u_t", "/s_t", "/times"),
		calc.Gives("/U95_Ls", "L/s", "how far the flow may be off either way, 95 %", "2·u_rel·Q", guide, "/u_rel", "/Q_Ls"),
	},
	Equation: "Q = V/t̄",
	Validity: "All the water caught, filling times above 5 s, three fillings or more.",
	Sources:  []string{guide},
	Example:  []byte(`{"volume": 0.012, "times": [8.1, 7.9, 8.4]}`),
}, BucketIn{UVRel: 0.02, UT: 0.2}, Bucket)
