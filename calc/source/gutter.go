package source

import (
	"math"

	"leat/calc"
)

// GutterIn is an eaves gutter.
type GutterIn struct {
	AMm2          float64  `json:"A_mm2"`
	Shape         string   `json:"shape"`
	Fd            *float64 `json:"F_d"`
	Fs            *float64 `json:"F_s"`
	LengthToDepth float64  `json:"length_to_depth"`
	Corner        bool     `json:"corner"`
}

// GutterOut is what a gutter carries.
type GutterOut struct {
	QNominalLs float64 `json:"Q_nominal_Ls"`
	FL         float64 `json:"F_L"`
	QDesignLs  float64 `json:"Q_design_Ls"`
}

// The shapes of a gutter.
const (
	halfRound   = "half_round"
	rectangular = "rectangular"
)

// GutterFlow returns what a short level gutter carries, in L/s:
//
//	Q = k·A^1.25
//
// area is the section at full depth in mm², k is 2.78e-5 for a half round and
// 3.48e-5 for a rectangle.
//
// Valid for eaves gutters with free outlets; 0.8 of what [FreeFall] allows.
//
// Source: EN 12056-3, from memory.
func GutterFlow(k, area float64) float64 { return k * math.Pow(area, 1.25) }

// Gutter answers what an eaves gutter carries.
func Gutter(in GutterIn) (GutterOut, []calc.Warning, *calc.Fault) {
	nominal := GutterFlow(2.78e-5, in.AMm2)
	if in.Shape == rectangular {
		nominal = GutterFlow(3.48e-5, in.AMm2) * orOne(in.Fd) * orOne(in.Fs)
	}
	long := calc.Interpolate(in.LengthToDepth, []float64{50, 100, 150, 200}, []float64{1, 0.93, 0.86, 0.80})
	design := 0.9 * nominal * long
	if in.Corner {
		design *= 0.85
	}
	return GutterOut{QNominalLs: nominal, FL: long, QDesignLs: design}, in.warnings(), nil
}

func orOne(x *float64) float64 {
	if x == nil {
		return 1
	}
	return *x
}

func (in GutterIn) warnings() (warnings []calc.Warning) {
	factor := func(given *float64, at, of string) {
		if given == nil && in.Shape == rectangular {
			warnings = append(warnings, calc.Warning{Code: "W_FACTOR", At: at,
				Message: "The factor for the " + of + " stands in a figure of the standard and was taken as 1. Look it up, or ask the maker of the gutter what it carries."})
		}
	}
	factor(in.Fd, "/F_d", "depth")
	factor(in.Fs, "/F_s", "shape")
	if in.LengthToDepth > 200 {
		warnings = append(warnings, calc.Warning{Code: "W_LENGTH", At: "/length_to_depth",
			Message: "The gutter is longer than 200 times its depth, beyond the table. It carries less than shown: add an outlet."})
	}
	return warnings
}

const (
	en12056Memory = "EN 12056-3, from memory"
	lengthFactor  = "length factor of EN 12056-3, as a maker of gutters gives it, read"
)

var gutter = calc.New(calc.Description{
	Name: "system/gutter", Answers: "flow that an eaves gutter carries", Evidence: calc.OftenMeasured,
	Words: []string{"gutter", "eaves", "rain", "roof"},
	Inputs: []calc.Field{
		calc.Positive("/A_mm2", "mm²", "section of the gutter at full depth").Need(),
		calc.OneOf("/shape", "shape of the section", halfRound, rectangular).Preset(halfRound),
		calc.Positive("/F_d", "", "factor of depth of a rectangular gutter, from the standard").Preset("1"),
		calc.Positive("/F_s", "", "factor of shape of a rectangular gutter, from the standard").Preset("1"),
		calc.Positive("/length_to_depth", "", "length from end to outlet over depth").Preset("50"),
		calc.YesNo("/corner", "the gutter turns a corner"),
	},
	Outputs: []calc.Field{
		calc.Gives("/Q_nominal_Ls", "L/s", "what a short gutter carries, brim-full", "2.78e-5·A^1.25 (half round); 3.48e-5·A^1.25·F_d·F_s (rectangular)", en12056Memory, "/A_mm2", "/shape", "/F_d", "/F_s"),
		calc.Gives("/F_L", "", "what is left of that in a long gutter", "table over length/depth", lengthFactor, "/length_to_depth"),
		calc.Gives("/Q_design_Ls", "L/s", "what to count on", "0.9·Q_N·F_L, with a corner 0.85 of it", en12056Memory+"; corner read", "/Q_nominal_Ls", "/F_L", "/corner"),
	},
	Equation: "Q = 0.9·Q_N·F_L",
	Validity: "Level eaves gutter with a free outlet.",
	Sources:  []string{en12056Memory, lengthFactor},
	Example:  []byte(`{"A_mm2": 8836, "length_to_depth": 80}`),
}, GutterIn{Shape: halfRound, LengthToDepth: 50}, Gutter)
