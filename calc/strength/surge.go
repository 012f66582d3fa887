package strength

import (
	"math"
	"slices"

	"leat/calc"
)

// SurgeIn is a full pipe whose flow is stopped.
type SurgeIn struct {
	ODM     float64 `json:"od_m"`
	WallM   float64 `json:"wall_m"`
	EPa     float64 `json:"e_pa"`
	DvMS    float64 `json:"dv_m_s"`
	PStatic float64 `json:"p_static_pa"`
	RhoKgM3 float64 `json:"rho_kg_m3"`
	KPa     float64 `json:"k_pa"`
	C1      float64 `json:"c1"`
	LengthM float64 `json:"length_m"`
	TCloseS float64 `json:"t_close_s"`
}

// SurgeOut is the blow.
type SurgeOut struct {
	WaveMS      float64 `json:"wave_m_s"`
	DpPa        float64 `json:"dp_pa"`
	PeakPa      float64 `json:"peak_pa"`
	TroughPa    float64 `json:"trough_pa"`
	ReflectionS float64 `json:"reflection_s"`
}

// WaveSpeed returns how fast a pressure wave runs through a full pipe, in m/s,
// with density rho in kg/m³, moduli k and e in Pa, outside diameter and wall in
// m and a factor c1 for how the pipe is held:
//
//	a = √((K/ρ)/(1 + c1·K·d/(E·t))), d = D − 2·t
//
// Valid for water without bubbles; gas slows the wave.
//
// Source: Korteweg, as in Wylie and Streeter, Fluid Transients, from memory.
func WaveSpeed(rho, k, e, od, wall, c1 float64) float64 {
	return math.Sqrt(k / rho / (1 + c1*k*(od-2*wall)/(e*wall)))
}

// SlowClosure returns by what factor a closing time in s lowers the surge of a
// pipe whose wave is back after reflection s.
//
// Valid for a flow that falls evenly with time.
//
// Source: Michaud's formula, from memory.
func SlowClosure(reflection, closing float64) float64 {
	if reflection > 0 && closing > reflection {
		return reflection / closing
	}
	return 1
}

// Surge answers what pressure a stopped flow sets up.
func Surge(in SurgeIn) (SurgeOut, []calc.Warning, *calc.Fault) {
	a := WaveSpeed(in.RhoKgM3, in.KPa, in.EPa, in.ODM, in.WallM, in.C1)
	back := 2 * in.LengthM / a
	dp := in.RhoKgM3 * a * in.DvMS * SlowClosure(back, in.TCloseS)
	return SurgeOut{WaveMS: a, DpPa: dp, PeakPa: in.PStatic + dp, TroughPa: in.PStatic - dp, ReflectionS: back}, nil, nil
}

const surgeSource = "Joukowsky and Korteweg, as in Wylie and Streeter, Fluid Transients, from memory"

var surge = calc.New(calc.Description{
	Name: "safety/surge", Answers: "pressure surge when a flow is stopped",
	Words: []string{"water hammer", "surge", "Joukowsky", "ram", "drive pipe", "valve"},
	Inputs: slices.Concat(ring(), []calc.Field{
		modulus("short-term modulus of the wall"),
		calc.AtLeast("/dv_m_s", "m/s", 0, "speed that is stopped; of a ram the full speed at which its impulse valve shuts").Need(),
		calc.AtLeast("/p_static_pa", "Pa", 0, "pressure at rest, gauge").Need(),
		density(),
		stiffness(),
		calc.Positive("/c1", "", "factor for how the pipe is held along its length").Preset("1"),
		calc.AtLeast("/length_m", "m", 0, "length of the pipe up to open water; 0: the valve shuts at once").Preset("0"),
		calc.AtLeast("/t_close_s", "s", 0, "time in which the valve shuts").Preset("0"),
	}),
	Outputs: []calc.Field{
		calc.Gives("/wave_m_s", "m/s", "speed of the pressure wave", "a = √((K/ρ)/(1 + c1·K·d/(E·t))), d = D − 2·t", surgeSource, "/k_pa", "/rho_kg_m3", "/c1", "/e_pa", "/od_m", "/wall_m"),
		calc.Gives("/dp_pa", "Pa", "rise by the surge", "Δp = ρ·a·Δv, times (2·L/a)/t_c where the valve shuts more slowly", surgeSource, "/rho_kg_m3", "/wave_m_s", "/dv_m_s", "/reflection_s", "/t_close_s"),
		calc.Gives("/peak_pa", "Pa", "highest pressure, gauge", "p + Δp", surgeSource, "/p_static_pa", "/dp_pa"),
		calc.Gives("/trough_pa", "Pa", "lowest pressure, gauge; below the open air's (−101325 Pa) the water column parts", "p − Δp", surgeSource, "/p_static_pa", "/dp_pa"),
		calc.Gives("/reflection_s", "s", "time until the wave is back", "2·L/a", surgeSource, "/length_m", "/wave_m_s"),
	},
	Equation: "Δp = ρ·a·Δv, a = √((K/ρ)/(1 + c1·K·d/(E·t)))",
	Validity: "One full pipe without bubbles. For a ram assume that the delivery is blocked and the air vessel full of water.",
	Sources:  []string{surgeSource},
	Example:  []byte(`{"od_m": 0.0337, "wall_m": 0.0032, "e_pa": 2.1e11, "dv_m_s": 1.5, "p_static_pa": 30000}`),
}, SurgeIn{RhoKgM3: calc.WaterDensity, KPa: waterModulus, C1: 1}, Surge, hollow(func(in SurgeIn) (float64, float64) { return in.ODM, in.WallM }))
