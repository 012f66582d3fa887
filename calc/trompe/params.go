package trompe

import (
	"math"

	"leat/calc"
)

// param is one coefficient of the model: its best value, its standard
// uncertainty, and where both come from.
type param struct {
	name      string
	best      float64
	u         float64 // standard uncertainty
	low, high float64 // what a builder may put in its place
	about     string
}

// params is coefficient set 0. No value was fitted to a machine; "judgement"
// marks a value that has no source.
var params = []param{
	{"k_in", 0.20, 0.10, 0, mostParams, "contraction loss on the throat velocity head (Idelchik; Crane TP-410: rounded 0.05, sharp 0.5; from memory)"},
	{"k_rec", 0.85, 0.10, 0, 1, "share of the momentum rise recovered in mixing (judgement from jet-pump practice)"},
	{"k_c0", 1.00, 0.08, 0, mostParams, "factor on the distribution parameter of Goda et al. 2003 (half of the paper's mean deviation: judgement)"},
	{"k_v", 1.00, 0.15, 0, mostParams, "factor on the drift velocity (bore, purity: judgement)"},
	{"k_f", 1.10, 0.15, 0, mostParams, "factor on homogeneous wall friction (judgement)"},
	{"k_b", 0.62, 0.15, 0, mostParams, "Sauter diameter over largest stable bubble diameter (Hesketh et al. 1987, from memory)"},
	{"k_abs", 0.50, 0.20, 0, mostParams, "factor on penetration-theory transfer, interface partly rigid (judgement)"},
	{"k_air", 1.5, 0.3, 0, mostLoss, "loss of an air tube: entry 0.5 and velocity head 1.0"},
	{"k_dif", 0.50, 0.20, 0, 1, "recovery of a flared outlet (judgement; Idelchik, diffusers 0.3 to 0.7, from memory)"},
	{"sig_g", 1.6, 0.2, 1, mostParams, "geometric standard deviation of bubble volume (judgement)"},
	{"alpha_sat", math.NaN(), 0.08, 0, 1, "void at which the top of the full bore is saturated, held within 0.20 and 0.52 (evidence C)"},
}

// AlphaSat returns the saturation void at the top of the full-bore section of a
// downcomer of this bore in m:
//
//	α_sat = 0.32 + 0.18·clamp(log10(D/0.1 m), 0, 1)
//
// Valid for bores of 16 mm to 3.5 m; standard uncertainty 0.08; evidence C.
//
// Source: judgement from the air-to-water ratio of built small machines
// (Leavitt and Danehy 2013) and from bubbly-to-slug transition in downflow
// (Usui 1989, J. Nucl. Sci. Technol. 26, 1013); the rise with bore after
// Kataoka and Ishii 1987, from memory.
func AlphaSat(boreM float64) float64 {
	return 0.32 + 0.18*min(max(math.Log10(boreM/0.1), 0), 1)
}

// The limits within which α_sat is held, from the spread of the literature.
const (
	alphaSatLeast = 0.20
	alphaSatMost  = 0.52 // closest packing of bubbles, Taitel et al. 1980, from memory
)

func paramFields() []calc.Field {
	fields := []calc.Field{group("/params", "coefficients of the model that you have measured yourself", false)}
	for _, p := range params {
		f := number("/params/"+p.name, "", p.low, p.high, p.about)
		f.AboveLow = p.name != "k_in" && p.low == 0
		f.Uncertainty = lim(p.u)
		fields = append(fields, preset(f, p.words()))
	}
	return fields
}

func (p param) words() string {
	if math.IsNaN(p.best) {
		return "0.32 to 0.50, by bore"
	}
	return trim(p.best)
}

// coefficients are the values in force for one machine.
type coefficients struct {
	kIn, kRec, kC0, kV, kF, kB, kAbs, kAir, kDif, sigG, alphaSat float64
}

func (in Input) coefficients() coefficients {
	value := func(name string) float64 {
		if v, ok := in.Params[name]; ok {
			return v
		}
		for _, p := range params {
			if p.name == name {
				return p.best
			}
		}
		return math.NaN()
	}
	c := coefficients{
		kIn: value("k_in"), kRec: value("k_rec"), kC0: value("k_c0"), kV: value("k_v"), kF: value("k_f"), kB: value("k_b"),
		kAbs: value("k_abs"), kAir: value("k_air"), kDif: value("k_dif"), sigG: value("sig_g"), alphaSat: value("alpha_sat"),
	}
	if in.Intake.KIn != nil {
		c.kIn = *in.Intake.KIn
	}
	if math.IsNaN(c.alphaSat) {
		c.alphaSat = AlphaSat(in.Downcomer.BoreM)
	}
	c.alphaSat = min(max(c.alphaSat, alphaSatLeast), alphaSatMost)
	return c
}
