package source

import (
	"math"

	"leat/calc"
)

// VNotchIn is what a V-notch weir is judged by.
type VNotchIn struct {
	AngleDeg float64  `json:"angle_deg"`
	H        float64  `json:"h"` // m
	P        *float64 `json:"p"` // m, for the warnings only
	B        *float64 `json:"B"` // m, for the warnings only
	UH       float64  `json:"u_h"`
	UCeRel   float64  `json:"u_Ce_rel"`
	UTanRel  float64  `json:"u_tan_rel"`
}

// VNotchOut is the flow over a V-notch.
type VNotchOut struct {
	Ce    float64 `json:"Ce"`
	KhM   float64 `json:"kh_m"`
	QM3S  float64 `json:"Q_m3s"`
	QLS   float64 `json:"Q_Ls"`
	URel  float64 `json:"u_rel"`
	U95LS float64 `json:"U95_Ls"`
}

// VNotchFlow returns the flow in m³/s over a sharp-crested V-notch, fully
// contracted:
//
//	Q = (8/15)·C_e·√(2g)·tan(θ/2)·(h + k_h)^2.5
//
// g is in m/s², angle θ in rad, h and kh in m.
//
// Valid for θ from 20° to 100°, h from 0.05 to 0.38 m, h/p up to 0.4, h/B up to 0.2.
//
// Source: Kindsvater and Shen, as R. D. Blevins gives it after Shen (1981), read.
func VNotchFlow(g, angle, ce, h, kh float64) float64 {
	return 8.0 / 15 * ce * math.Sqrt(2*g) * math.Tan(angle/2) * math.Pow(h+kh, 2.5)
}

var vnotchAngles = []float64{20, 40, 60, 80, 90, 100}

// VNotch answers what flows over a V-notch weir.
func VNotch(in VNotchIn) (VNotchOut, []calc.Warning, *calc.Fault) {
	ce := calc.Interpolate(in.AngleDeg, vnotchAngles, []float64{.59, .58, .575, .575, .578, .58})
	kh := calc.Interpolate(in.AngleDeg, vnotchAngles, []float64{.0028, .0017, .0012, .0010, .00085, .00085})
	q := VNotchFlow(calc.Gravity, in.AngleDeg*math.Pi/180, ce, in.H, kh)
	byHead := 2.5 * in.UH / (in.H + kh)
	u := math.Sqrt(in.UCeRel*in.UCeRel + in.UTanRel*in.UTanRel + byHead*byHead)
	return VNotchOut{Ce: ce, KhM: kh, QM3S: q, QLS: 1000 * q, URel: u, U95LS: 2000 * u * q}, vnotchWarnings(in), nil
}

func vnotchWarnings(in VNotchIn) (warnings []calc.Warning) {
	if in.H < 0.05 || in.H > 0.38 {
		warnings = append(warnings, calc.Warning{Code: "W_HEAD", At: "/h",
			Message: "The weir is calibrated for heads of 0.05 to 0.38 m. Below, the water clings to the plate; above, the notch is too small. Use another notch, or measure with a bucket."})
	}
	if p := in.P; p != nil && (in.H / *p > 0.4 || *p < 0.45) {
		warnings = append(warnings, calc.Warning{Code: "W_CONTRACTION", At: "/p",
			Message: "The bed is too close under the notch: its point should lie 0.45 m above the bed, and the head stay below 0.4 of that. The true flow is larger."})
	}
	if b := in.B; b != nil && (in.H / *b > 0.2 || *b < 0.9) {
		warnings = append(warnings, calc.Warning{Code: "W_CONTRACTION", At: "/B",
			Message: "The channel is too narrow: it should be 0.9 m wide and five times the head. The true flow is larger."})
	}
	return warnings
}

const shen = "Kindsvater and Shen; coefficients of 20 to 80° and 100° as R. D. Blevins gives them after Shen (1981), read; of 90° ISO 1438, from memory"

var vnotch = calc.New(calc.Description{
	Name: "system/vnotch", Answers: "flow of a stream over a V-notch weir", Evidence: calc.OftenMeasured,
	Words: []string{"weir", "notch", "gauging", "stream", "flow"},
	Inputs: []calc.Field{
		calc.Between("/angle_deg", "°", 20, 100, "opening angle of the notch").Need(),
		calc.Positive("/h", "m", "head: water level over the point of the notch, read upstream where the surface is still level").Need(),
		calc.Positive("/p", "m", "height of the point of the notch above the bed, for the warnings"),
		calc.Positive("/B", "m", "width of the channel, for the warnings"),
		calc.AtLeast("/u_h", "m", 0, "standard uncertainty of the head").Preset("0.001"),
		calc.AtLeast("/u_Ce_rel", "", 0, "relative standard uncertainty of the coefficient").Preset("0.01"),
		calc.AtLeast("/u_tan_rel", "", 0, "relative standard uncertainty of tan(θ/2)").Preset("0.005"),
	},
	Outputs: []calc.Field{
		calc.Gives("/Ce", "", "discharge coefficient", "C_e = table over θ", shen, "/angle_deg"),
		calc.Gives("/kh_m", "m", "what viscosity and surface tension add to the head", "k_h = table over θ", shen, "/angle_deg"),
		calc.Gives("/Q_m3s", "m³/s", "flow", "Q = (8/15)·C_e·√(2g)·tan(θ/2)·(h + k_h)^2.5", shen, "/Ce", "/kh_m", "/angle_deg", "/h"),
		calc.Gives("/Q_Ls", "L/s", "flow", "1000·Q", "unit", "/Q_m3s"),
		calc.Gives("/u_rel", "", "relative standard uncertainty of the flow", "√(u_C² + u_tan² + (2.5·u_h/(h + k_h))²)", "GUM, JCGM 100", "/u_Ce_rel", "/u_tan_rel", "/u_h", "/h", "/kh_m"),
		calc.Gives("/U95_Ls", "L/s", "how far the flow may be off either way, 95 %", "2·u_rel·Q", "GUM, JCGM 100", "/u_rel", "/Q_Ls"),
	},
	Equation: "Q = (8/15)·C_e·√(2g)·tan(θ/2)·(h + k_h)^2.5",
	Validity: "Sharp crest, notch aired below, fully contracted, 20° to 100°, head 0.05 to 0.38 m, head over height of the notch at most 0.4, head over width of the channel at most 0.2.",
	Sources:  []string{shen},
	Example:  []byte(`{"angle_deg": 90, "h": 0.18, "p": 0.5, "B": 1.2}`),
}, VNotchIn{UH: 0.001, UCeRel: 0.01, UTanRel: 0.005}, VNotch)
