package pressuretest

import "leat/calc"

// GaugeIn is a dial gauge for a test.
type GaugeIn struct {
	TestPa      float64 `json:"p_test_pa"`
	FullPa      float64 `json:"fs_pa"`
	ClassPct    float64 `json:"class_pct"`
	AgeDays     float64 `json:"cal_age_days"`
	MaxAgeDays  float64 `json:"max_age_days"`
	Fluctuating bool    `json:"fluctuating"`
}

// GaugeOut says whether it will do.
type GaugeOut struct {
	MPEPa    float64 `json:"mpe_pa"`
	TargetPa float64 `json:"target_indicated_pa"`
	OK       bool    `json:"ok"`
	Reasons  reasons `json:"reasons"`
}

// LargestError returns the largest error in Pa that a dial gauge may have:
//
//	mpe = class/100·span
//
// classPct is its class in %, span in Pa.
//
// Valid for gauges of EN 837-1 within a year of their calibration.
//
// Source: EN 837-1 Table 11, read.
func LargestError(classPct, span float64) float64 { return classPct / 100 * span }

// SteadyShare is how much of its scale a gauge may show while the pressure stands
// still.
//
// Source: EN 837-2, from memory.
const SteadyShare = 0.75

// Gauge answers whether a gauge will do for a test.
func Gauge(in GaugeIn) (GaugeOut, []calc.Warning, *calc.Fault) {
	mpe := LargestError(in.ClassPct, in.FullPa)
	part := SteadyShare
	if in.Fluctuating {
		part = 0.65
	}
	out := GaugeOut{MPEPa: mpe, TargetPa: in.TestPa + mpe, Reasons: reasons{}}
	out.Reasons.add("over_working_range", in.TestPa > part*in.FullPa)
	out.Reasons.add("range_below_1_5", in.FullPa < 1.5*in.TestPa)
	out.Reasons.add("range_over_4", in.FullPa > 4*in.TestPa)
	out.Reasons.add("too_coarse", mpe > 0.05*in.TestPa)
	out.Reasons.add("calibration_expired", in.AgeDays > in.MaxAgeDays)
	out.OK = len(out.Reasons) == 0
	return out, nil, nil
}

const gaugeSource = "EN 837-1 Table 11 and ASME UG-102, read; EN 837-2 from memory; 5 % and a year: common practice, no source"

var gauge = calc.New(calc.Description{
	Name: "safety/gauge", Answers: "whether a dial gauge will do for a test, and what it must show",
	Words: []string{"gauge", "manometer", "class", "calibration"},
	Inputs: []calc.Field{
		calc.Positive("/p_test_pa", "Pa", "test pressure at the gauge").Need(),
		calc.Positive("/fs_pa", "Pa", "full scale").Need(),
		calc.Above("/class_pct", "", 0, "accuracy class, % of full scale").Most(10).Need(),
		calc.AtLeast("/cal_age_days", "", 0, "days since it was calibrated").Need(),
		calc.Above("/max_age_days", "", 0, "days that a calibration counts").Most(365).Preset("365"),
		calc.YesNo("/fluctuating", "the pressure beats, as in a ram"),
	},
	Outputs: []calc.Field{
		calc.Gives("/mpe_pa", "Pa", "largest error that it may have", "class/100·full scale", gaugeSource, "/class_pct", "/fs_pa"),
		calc.Gives("/target_indicated_pa", "Pa", "what it must show for the test pressure to be there in truth", "p + mpe", gaugeSource, "/p_test_pa", "/mpe_pa"),
		calc.Gives("/ok", "", "it will do", "no reasons", gaugeSource, "/reasons").As(calc.Flag),
		calc.Gives("/reasons", "", "why not", "p above 0.75 of the scale (0.65 beating); scale below 1.5·p or above 4·p; mpe above 5 % of p; calibration too old", gaugeSource, "/p_test_pa", "/fs_pa", "/mpe_pa", "/cal_age_days").As(calc.List),
	},
	Equation: "mpe = class/100·full scale ≤ 0.05·p, 1.5·p ≤ full scale ≤ 4·p",
	Validity: "Below half a bar a water manometer is better: ρ·g·h needs no class. A gauge that was dropped or overloaded counts as not calibrated.",
	Sources:  []string{gaugeSource},
	Example:  []byte(`{"p_test_pa": 300000, "fs_pa": 600000, "class_pct": 1.6, "cal_age_days": 90}`),
}, GaugeIn{MaxAgeDays: 365}, Gauge)
