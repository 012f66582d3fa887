package source

import (
	"math"

	"leat/calc"
)

// RectWeirIn is what a rectangular weir is judged by.
type RectWeirIn struct {
	Width   float64 `json:"b"` // m
	Channel float64 `json:"B"` // m
	P       float64 `json:"p"` // m
	H       float64 `json:"h"` // m
	UH      float64 `json:"u_h"`
	UB      float64 `json:"u_b"`
	UCeRel  float64 `json:"u_Ce_rel"`
}

// RectWeirOut is the flow over a rectangular weir.
type RectWeirOut struct {
	Ce    float64 `json:"Ce"`
	KbM   float64 `json:"kb_m"`
	QM3S  float64 `json:"Q_m3s"`
	QLS   float64 `json:"Q_Ls"`
	URel  float64 `json:"u_rel"`
	U95LS float64 `json:"U95_Ls"`
}

// headAdded is what viscosity and surface tension add to the head, in m.
const headAdded = 0.001

// RectWeirFlow returns the flow in m³/s over a sharp-crested rectangular weir:
//
//	Q = (2/3)·C_e·√(2g)·(b + k_b)·(h + 0.001)^1.5
//
// g is in m/s², width b of the crest, its correction kb and head h in m.
//
// Valid for h from 0.03 m, h/p up to 2, b from 0.15 m, p from 0.10 m, aired
// below, with the water behind at least 0.06 m under the crest.
//
// Source: Kindsvater and Carter 1957, as the US Bureau of Reclamation's Water
// Measurement Manual, 3rd edition, chapter 7, section 6 gives it.
func RectWeirFlow(g, ce, b, kb, h float64) float64 {
	return 2.0 / 3 * ce * math.Sqrt(2*g) * (b + kb) * math.Pow(h+headAdded, 1.5)
}

// RectWeirCoefficient returns the coefficient C_e, a pure number:
//
//	C_e = (C₁·h/p + C₂)/((2/3)·√(2·32.17405))
//
// narrow is width of the crest over width of the channel, b/B; high is head over
// height of the crest, h/p. C₁ and C₂ are for feet and seconds.
//
// Valid for h/p up to 2; held constant for b/B below 0.2.
//
// Source: Kindsvater and Carter 1957, as the US Bureau of Reclamation's Water
// Measurement Manual, 3rd edition, chapter 7, section 6 gives it.
func RectWeirCoefficient(narrow, high float64) float64 {
	c1 := calc.Interpolate(narrow, contractions, []float64{-.0087, .0317, .0612, .0995, .1602, .2376, .3447, .4000})
	c2 := calc.Interpolate(narrow, contractions, []float64{3.152, 3.164, 3.173, 3.178, 3.182, 3.189, 3.205, 3.220})
	return (c1*high + c2) / (2.0 / 3 * math.Sqrt(2*32.17405))
}

var contractions = []float64{.2, .4, .5, .6, .7, .8, .9, 1}

// RectWeirWidening returns what is added to the width of the crest, k_b in m;
// narrow is b/B.
//
// Valid for b/B from 0 to 1.
//
// Source: Kindsvater and Carter 1957, from memory; the ends read.
func RectWeirWidening(narrow float64) float64 {
	return calc.Interpolate(narrow, []float64{0, .2, .4, .6, .8, .9, 1}, []float64{2.4, 2.4, 2.7, 3.6, 4.2, 3.3, -0.9}) / 1000
}

// RectWeir answers what flows over a rectangular weir.
func RectWeir(in RectWeirIn) (RectWeirOut, []calc.Warning, *calc.Fault) {
	if in.Width > in.Channel {
		return RectWeirOut{}, nil, &calc.Fault{Code: calc.Range, At: "/b",
			Message: "The crest is wider than the channel. b is the width of the crest, B that of the channel before it; the crest is at most as wide."}
	}
	narrow := in.Width / in.Channel
	ce, kb := RectWeirCoefficient(narrow, in.H/in.P), RectWeirWidening(narrow)
	if in.Width+kb <= 0 || ce <= 0 {
		return RectWeirOut{}, nil, &calc.Fault{Code: calc.Range, At: "/b",
			Message: "A crest this narrow or a head this high over so low a crest is far outside what was ever measured. Look for a slipped unit: all lengths are in metres."}
	}
	q := RectWeirFlow(calc.Gravity, ce, in.Width, kb, in.H)
	byWidth, byHead := in.UB/(in.Width+kb), 1.5*in.UH/(in.H+headAdded)
	u := math.Sqrt(in.UCeRel*in.UCeRel + byWidth*byWidth + byHead*byHead)
	return RectWeirOut{Ce: ce, KbM: kb, QM3S: q, QLS: 1000 * q, URel: u, U95LS: 2000 * u * q}, in.warnings(), nil
}

func (in RectWeirIn) warnings() (warnings []calc.Warning) {
	if in.H < 0.03 {
		warnings = append(warnings, calc.Warning{Code: "W_HEAD", At: "/h",
			Message: "Below a head of 0.03 m the water clings to the plate. Make the crest narrower, take a V-notch, or measure with a bucket."})
	}
	if in.H/in.P > 2 || in.P < 0.10 {
		warnings = append(warnings, calc.Warning{Code: "W_CREST", At: "/p",
			Message: "The crest stands too low over the bed: it should be 0.10 m high and at least half the head. Raise it, or dig out the pool before it."})
	}
	if in.Width < 0.15 {
		warnings = append(warnings, calc.Warning{Code: "W_WIDTH", At: "/b",
			Message: "The crest is narrower than 0.15 m, where nobody measured. Take a V-notch for so little water."})
	}
	return warnings
}

const carter = "Kindsvater and Carter 1957, as the US Bureau of Reclamation's Water Measurement Manual, 3rd edition, chapter 7, section 6 gives it, read"

var rectWeir = calc.New(calc.Description{
	Name: "system/rect_weir", Answers: "flow of a stream over a rectangular weir", Evidence: calc.OftenMeasured,
	Words: []string{"weir", "rectangular", "gauging", "stream", "flow", "crest"},
	Inputs: []calc.Field{
		calc.Positive("/b", "m", "width of the crest").Need(),
		calc.Positive("/B", "m", "width of the channel before the weir").Need(),
		calc.Positive("/p", "m", "height of the crest over the bed").Need(),
		calc.Positive("/h", "m", "head: water level over the crest, read upstream where the surface is still level").Need(),
		calc.AtLeast("/u_h", "m", 0, "standard uncertainty of the head").Preset("0.001"),
		calc.AtLeast("/u_b", "m", 0, "standard uncertainty of the width").Preset("0.001"),
		calc.AtLeast("/u_Ce_rel", "", 0, "relative standard uncertainty of the coefficient").Preset("0.0075"),
	},
	Outputs: []calc.Field{
		calc.Gives("/Ce", "", "discharge coefficient", "C_e = (C₁·h/p + C₂)/((2/3)·√(2·32.17405)), C₁ and C₂ from a table over b/B", carter, "/b", "/B", "/h", "/p"),
		calc.Gives("/kb_m", "m", "what is added to the width of the crest", "k_b = table over b/B", "Kindsvater and Carter 1957, from memory; the ends read", "/b", "/B"),
		calc.Gives("/Q_m3s", "m³/s", "flow", "Q = (2/3)·C_e·√(2g)·(b + k_b)·(h + 0.001 m)^1.5", carter, "/Ce", "/b", "/kb_m", "/h"),
		calc.Gives("/Q_Ls", "L/s", "flow", "1000·Q", "unit", "/Q_m3s"),
		calc.Gives("/u_rel", "", "relative standard uncertainty of the flow", "√(u_C² + (u_b/(b + k_b))² + (1.5·u_h/(h + 0.001 m))²)", "GUM, JCGM 100", "/u_Ce_rel", "/u_b", "/b", "/kb_m", "/u_h", "/h"),
		calc.Gives("/U95_Ls", "L/s", "how far the flow may be off either way, 95 %", "2·u_rel·Q", "GUM, JCGM 100", "/u_rel", "/Q_Ls"),
	},
	Equation: "Q = (2/3)·C_e·√(2g)·(b + k_b)·(h + 0.001 m)^1.5",
	Validity: "Sharp crest, the water springing clear and aired below, level behind the weir 0.06 m or more under the crest. Head from 0.03 m, head over height of the crest up to 2, " +
		"width from 0.15 m, crest from 0.10 m. Another formula for the same weir, Rehbock's, gives about 1 % more: so far the models differ.",
	Sources: []string{carter},
	Example: []byte(`{"b": 0.5, "B": 1.2, "p": 0.3, "h": 0.12}`),
}, RectWeirIn{UH: 0.001, UB: 0.001, UCeRel: 0.0075}, RectWeir)
