package ram

import "leat/calc"

// BandIn is where a ram is to work.
type BandIn struct {
	Fall float64  `json:"H"` // m
	Rise float64  `json:"h"` // m
	Q    *float64 `json:"Q"` // m³/s
}

// BandOut is what rams reach there.
type BandOut struct {
	Ratio     float64  `json:"ratio"`
	EtaLow    float64  `json:"eta_low"`
	EtaHigh   float64  `json:"eta_high"`
	QLowLmin  *float64 `json:"q_low_Lmin,omitempty"`
	QHighLmin *float64 `json:"q_high_Lmin,omitempty"`
}

var (
	lifts        = []float64{4, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 26}
	efficiencies = []float64{.72, .61, .52, .44, .37, .31, .25, .19, .14, .09, .04, 0}
)

// highEfficiency "would be high", says the encyclopedia.
const highEfficiency = 0.75

// TableEfficiency returns the efficiency of an old table for the ratio of lift
// to fall, by straight lines.
//
// Valid from 4 to 26; held constant outside.
//
// Source: The Building Trades Pocketbook, International Textbook Co., table of
// the hydraulic ram, read.
func TableEfficiency(ratio float64) float64 { return calc.Interpolate(ratio, lifts, efficiencies) }

// Band answers what rams reach at a lift, before any test.
func Band(in BandIn) (BandOut, []calc.Warning, *calc.Fault) {
	if fault := notAbove(in.Fall, in.Rise); fault != nil {
		return BandOut{}, nil, fault
	}
	ratio := in.Rise / in.Fall
	out := BandOut{Ratio: ratio, EtaLow: TableEfficiency(ratio), EtaHigh: highEfficiency}
	if in.Q != nil {
		out.QLowLmin = new(perMinute * Delivery(out.EtaLow, *in.Q, in.Fall, in.Rise))
		out.QHighLmin = new(perMinute * Delivery(out.EtaHigh, *in.Q, in.Fall, in.Rise))
	}
	var warnings []calc.Warning
	if ratio > 20 || ratio < 4 {
		warnings = []calc.Warning{liftRatio("Rams are known from four to twenty times the fall; outside, this table tells little. Find more fall, or less lift.")}
	}
	return out, warnings, nil
}

func liftRatio(message string) calc.Warning {
	return calc.Warning{Code: "W_LIFT_RATIO", At: "/h", Message: message}
}

const (
	pocketbook   = "The Building Trades Pocketbook, International Textbook Co., table of the hydraulic ram, read"
	encyclopedia = "New International Encyclopedia, Hydraulic ram, read"
)

var band = calc.New(calc.Description{
	Name: "system/ram_band", Answers: "what rams reach at a lift, before any test", Evidence: calc.OftenMeasured,
	Words: []string{"ram", "hydraulic ram", "efficiency", "lift", "how much water"},
	Inputs: []calc.Field{
		fall, rise,
		calc.AtLeast("/Q", "m³/s", 0, "flow into the ram, what is wasted included"),
	},
	Outputs: []calc.Field{
		calc.Gives("/ratio", "", "lift over fall", "h/H", defined, "/h", "/H"),
		calc.Gives("/eta_low", "", "efficiency of an old table, low for good modern valves", "table over h/H", pocketbook, "/ratio"),
		calc.Gives("/eta_high", "", "efficiency that would be high", "0.75", encyclopedia, "/ratio"),
		calc.Gives("/q_low_Lmin", "L/min", "flow lifted at the low efficiency", "60000·η·Q·H/h", jennings, "/eta_low", "/Q", "/ratio"),
		calc.Gives("/q_high_Lmin", "L/min", "flow lifted at the high efficiency", "60000·η·Q·H/h", jennings, "/eta_high", "/Q", "/ratio"),
	},
	Equation: "q = η·Q·H/h",
	Validity: "Lifts of 4 to 20 times the fall. The low figure is no floor: a home-made ram reckoned at 0.33 was measured at 0.07 (Caringal et al., Batangas State University, abstract).",
	Sources:  []string{pocketbook, encyclopedia},
	Example:  []byte(`{"H": 3, "h": 20, "Q": 0.001}`),
}, BandIn{}, Band)
