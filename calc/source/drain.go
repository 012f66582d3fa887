package source

import (
	"math"

	"leat/calc"
)

// DrainIn is an upright tank with a hole.
type DrainIn struct {
	TankArea    float64 `json:"tank_area"`    // m²
	OrificeArea float64 `json:"orifice_area"` // m²
	H1          float64 `json:"h1"`           // m
	Cd          float64 `json:"Cd"`
	H2          float64 `json:"h2"` // m
}

// DrainOut is how long a tank takes to drain.
type DrainOut struct {
	TS        float64 `json:"t_s"`
	QStartM3s float64 `json:"Q_start_m3s"`
}

// DrainTime returns how long an upright tank takes to sink from one level to
// another, in s:
//
//	t = 2·A_t/(C_d·a·√(2g))·(√h₁ − √h₂)
//
// tank area A_t and hole a are in m², heads h1 and h2 over the hole in m, g in m/s².
//
// Valid for a hole small against the tank, without inflow.
//
// Source: Torricelli's law, integrated.
func DrainTime(g, cd, hole, tank, h1, h2 float64) float64 {
	return 2 * tank / (cd * hole * math.Sqrt(2*g)) * (math.Sqrt(h1) - math.Sqrt(h2))
}

// Drain answers how long a tank takes to drain through a hole.
func Drain(in DrainIn) (DrainOut, []calc.Warning, *calc.Fault) {
	if in.H2 >= in.H1 {
		return DrainOut{}, nil, &calc.Fault{Code: calc.Range, At: "/h2",
			Message: "The level at the end is not below the level at the start. Give h2 lower than h1, both over the middle of the hole."}
	}
	return DrainOut{
		TS:        DrainTime(calc.Gravity, in.Cd, in.OrificeArea, in.TankArea, in.H1, in.H2),
		QStartM3s: OrificeFlow(calc.Gravity, in.Cd, in.OrificeArea, in.H1),
	}, nil, nil
}

var tankDrain = calc.New(calc.Description{
	Name: "system/tank_drain", Answers: "how long a tank takes to drain through a hole", Evidence: calc.OftenMeasured,
	Words: []string{"tank", "drain", "empty", "orifice", "hole"},
	Inputs: []calc.Field{
		calc.Positive("/tank_area", "m²", "area of the water in the tank").Need(),
		calc.Positive("/orifice_area", "m²", "area of the hole").Need(),
		calc.Positive("/h1", "m", "level over the middle of the hole at the start").Need(),
		dischargeCoefficient,
		calc.AtLeast("/h2", "m", 0, "level over the middle of the hole at the end").Preset("0"),
	},
	Outputs: []calc.Field{
		calc.Gives("/t_s", "s", "time", "t = 2·A_t/(C_d·a·√(2g))·(√h₁ − √h₂)", torricelli, "/tank_area", "/Cd", "/orifice_area", "/h1", "/h2"),
		calc.Gives("/Q_start_m3s", "m³/s", "flow at the start", "Q = C_d·a·√(2·g·h₁)", torricelli, "/Cd", "/orifice_area", "/h1"),
	},
	Equation: "t = 2·A_t/(C_d·a·√(2g))·(√h₁ − √h₂)",
	Validity: "Upright walls, no inflow, hole small against the tank and well under water.",
	Sources:  []string{torricelli},
	Example:  []byte(`{"tank_area": 1, "orifice_area": 0.0005, "h1": 1.2}`),
}, DrainIn{Cd: sharp}, Drain)
