package source

import (
	"math"

	"leat/calc"
)

// OrificeIn is a hole under water.
type OrificeIn struct {
	Area float64 `json:"area"` // m²
	H    float64 `json:"h"`    // m
	Cd   float64 `json:"Cd"`
}

// OrificeOut is the flow through a hole.
type OrificeOut struct {
	QM3s float64 `json:"Q_m3s"`
	QLs  float64 `json:"Q_Ls"`
}

// sharp is the discharge coefficient of a sharp-edged hole, ±0.02.
const sharp = 0.61

// OrificeFlow returns the flow through a hole, in m³/s:
//
//	Q = C_d·a·√(2·g·h)
//
// g is in m/s², area a in m², head h over the middle of the hole in m.
//
// Valid for h above five bores; C_d of a sharp edge is 0.61 ± 0.02.
//
// Source: Torricelli; coefficient from memory.
func OrificeFlow(g, cd, area, h float64) float64 { return cd * area * math.Sqrt(2*g*h) }

// Orifice answers what runs through a hole.
func Orifice(in OrificeIn) (OrificeOut, []calc.Warning, *calc.Fault) {
	q := OrificeFlow(calc.Gravity, in.Cd, in.Area, in.H)
	out := OrificeOut{QM3s: q, QLs: 1000 * q}
	if in.H < 5*math.Sqrt(4*in.Area/math.Pi) {
		return out, []calc.Warning{{Code: "W_HEAD", At: "/h",
			Message: "The water stands less than five bores over the hole: the coefficient no longer holds and air may be drawn in. Make the hole smaller or the water deeper."}}, nil
	}
	return out, nil, nil
}

const torricelli = "Torricelli; coefficient of a sharp edge from memory"

var dischargeCoefficient = calc.Share("/Cd", "discharge coefficient: 0.61 for a sharp edge").Preset("0.61")

var orifice = calc.New(calc.Description{
	Name: "system/orifice_water", Answers: "flow of water through a hole", Evidence: calc.OftenMeasured,
	Words: []string{"orifice", "hole", "tank", "flow", "gauging"},
	Inputs: []calc.Field{
		calc.Positive("/area", "m²", "area of the hole").Need(),
		calc.Positive("/h", "m", "water over the middle of the hole").Need(),
		dischargeCoefficient,
	},
	Outputs: []calc.Field{
		calc.Gives("/Q_m3s", "m³/s", "flow", "Q = C_d·a·√(2·g·h)", torricelli, "/Cd", "/area", "/h"),
		calc.Gives("/Q_Ls", "L/s", "flow", "1000·Q", "unit", "/Q_m3s"),
	},
	Equation: "Q = C_d·a·√(2·g·h)",
	Validity: "Sharp edge, free jet, water over the hole more than five bores.",
	Sources:  []string{torricelli},
	Example:  []byte(`{"area": 0.0005, "h": 0.8}`),
}, OrificeIn{Cd: sharp}, Orifice)
