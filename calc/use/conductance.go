package use

import (
	"math"

	"leat/calc"
)

// AreaIn is a hole of known area.
type AreaIn struct {
	Area float64 `json:"area"` // m²
	Cd   float64 `json:"Cd"`
}

// AreaOut is the conductance of a hole.
type AreaOut struct {
	C        float64 `json:"C"`           // m³/(s·Pa)
	CDm3SBar float64 `json:"C_dm3_s_bar"` // dm³/(s·bar)
}

// Conductance returns the sonic conductance in m³/(s·Pa) of a hole of an area in
// m²:
//
//	C = C_d·A·√(γ/(R·T₀))·(2/(γ + 1))³/ρ₀
//
// Valid for air, whose γ of 1.4 makes the exponent 3.
//
// Source: isentropic nozzle, written as ISO 6358 does.
func Conductance(cd, area float64) float64 {
	return cd * area * math.Sqrt(calc.AirGamma/(calc.AirR*anrK)) * math.Pow(2/(calc.AirGamma+1), 3) / anrDensity
}

// FromArea answers what conductance a hole has.
func FromArea(in AreaIn) (AreaOut, []calc.Warning, *calc.Fault) {
	c := Conductance(in.Cd, in.Area)
	return AreaOut{C: c, CDm3SBar: 1e8 * c}, nil, nil
}

const conductanceSource = "Isentropic nozzle, written as ISO 6358 does (symbols from memory)"

var fromArea = calc.New(calc.Description{
	Name: "system/conductance_from_area", Answers: "conductance of a hole for air, to hold against a maker's", Evidence: calc.OftenMeasured,
	Words: []string{"conductance", "C value", "hole", "valve", "effective area"},
	Inputs: []calc.Field{
		calc.Positive("/area", "m²", "area of the hole").Need(),
		coefficient("0.62", "discharge coefficient: 0.62 sharp, 0.97 rounded, 1 for an effective area"),
	},
	Outputs: []calc.Field{
		calc.Gives("/C", "m³/(s·Pa)", "sonic conductance", "C = C_d·A·√(γ/(R·T₀))·(2/(γ + 1))³/ρ₀", conductanceSource, "/Cd", "/area"),
		calc.Gives("/C_dm3_s_bar", "dm³/(s·bar)", "sonic conductance", "1e8·C", "unit", "/C"),
	},
	Equation: "C = C_d·A·√(γ/(R·T₀))·(2/(γ + 1))³/ρ₀",
	Validity: "Air of 20 °C; ρ₀ = 1.185 kg/m³. Of 1 mm² of effective area: 0.1992 dm³/(s·bar).",
	Sources:  []string{conductanceSource},
	Example:  []byte(`{"area": 0.00002}`),
}, AreaIn{Cd: 0.62}, FromArea)
