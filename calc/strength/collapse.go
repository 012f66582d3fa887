package strength

import (
	"slices"

	"leat/calc"
)

// CollapseIn is a pipe pressed from outside, or sucked empty.
type CollapseIn struct {
	ODM   float64 `json:"od_m"`
	WallM float64 `json:"wall_m"`
	EPa   float64 `json:"e_pa"`
	Nu    float64 `json:"nu"`
	PExt  float64 `json:"p_ext_pa"`
	SF    float64 `json:"sf"`
}

// CollapseOut says what it stands.
type CollapseOut struct {
	PcrPa           float64 `json:"pcr_pa"`
	PcrF480Pa       float64 `json:"pcr_f480_pa"`
	AllowPa         float64 `json:"allow_pa"`
	OK              bool    `json:"ok"`
	FullVacuumOK    bool    `json:"full_vacuum_ok"`
	RingStiffnessPa float64 `json:"ring_stiffness_pa"`
}

// CollapsePressure returns the pressure from outside in Pa that flattens a
// long round pipe, with its modulus e in Pa and Poisson's ratio nu:
//
//	p_cr = 2·E/((1 − ν²)·(SDR − 1)³)
//
// Valid for round thin pipe, neither oval nor held by soil.
//
// Source: a pipe maker's technical note, read.
func CollapsePressure(e, nu, sdr float64) float64 { return 2 * e / (1 - nu*nu) / cube(sdr-1) }

// CasingCollapse returns the same by the form for well casing, in Pa, which is a
// little less:
//
//	p_cr = 2·E/((1 − ν²)·SDR·(SDR − 1)²)
//
// Valid as [CollapsePressure].
//
// Source: ASTM F480, read.
func CasingCollapse(e, nu, sdr float64) float64 {
	return 2 * e / (1 - nu*nu) / (sdr * (sdr - 1) * (sdr - 1))
}

// RingStiffness returns how hard a ring of pipe is to flatten, in Pa:
//
//	E/(12·(SDR − 1)³)
//
// Valid for round solid wall.
//
// Source: AS/NZS 1477, as a maker's table uses it, read.
func RingStiffness(e, sdr float64) float64 { return e / (12 * cube(sdr-1)) }

// Collapse answers whether a pipe stands a pressure from outside.
func Collapse(in CollapseIn) (CollapseOut, []calc.Warning, *calc.Fault) {
	sdr := SDR(in.ODM, in.WallM)
	out := CollapseOut{
		PcrPa:           CollapsePressure(in.EPa, in.Nu, sdr),
		PcrF480Pa:       CasingCollapse(in.EPa, in.Nu, sdr),
		RingStiffnessPa: RingStiffness(in.EPa, sdr),
	}
	out.AllowPa = min(out.PcrPa, out.PcrF480Pa) / in.SF
	out.OK = in.PExt <= out.AllowPa
	out.FullVacuumOK = calc.Atmosphere <= out.AllowPa
	return out, nil, nil
}

const (
	bucklingSource = "A pipe maker's technical note on buckling, read"
	casingSource   = "ASTM F480, read"
	factorSource   = "common practice, no source"
)

var collapse = calc.New(calc.Description{
	Name: "safety/collapse", Answers: "whether a pipe stands pressure from outside or a vacuum inside",
	Words: []string{"vacuum", "collapse", "buckling", "buried pipe", "flooded trench", "suction"},
	Inputs: slices.Concat(ring(), []calc.Field{
		modulus("modulus of the wall, short-term for surges"),
		poisson(),
		calc.AtLeast("/p_ext_pa", "Pa", 0, "pressure outside above that inside: water over an empty pipe, or 101325 Pa for a full vacuum").Need(),
		calc.AtLeast("/sf", "", 2, "factor against collapse").Preset("3"),
	}),
	Outputs: []calc.Field{
		calc.Gives("/pcr_pa", "Pa", "pressure that flattens the pipe", "p_cr = 2·E/((1 − ν²)·(SDR − 1)³)", bucklingSource, "/e_pa", "/nu", "/od_m", "/wall_m"),
		calc.Gives("/pcr_f480_pa", "Pa", "the same by the form for well casing", "p_cr = 2·E/((1 − ν²)·SDR·(SDR − 1)²)", casingSource, "/e_pa", "/nu", "/od_m", "/wall_m"),
		calc.Gives("/allow_pa", "Pa", "pressure from outside that is allowed", "the lesser p_cr over the factor", factorSource, "/pcr_pa", "/pcr_f480_pa", "/sf"),
		calc.Gives("/ok", "", "the pipe stands what is asked", "p_ext ≤ p_allow", factorSource, "/p_ext_pa", "/allow_pa").As(calc.Flag),
		calc.Gives("/full_vacuum_ok", "", "the pipe stands a full vacuum inside", "101325 Pa ≤ p_allow", factorSource, "/allow_pa").As(calc.Flag),
		calc.Gives("/ring_stiffness_pa", "Pa", "ring stiffness", "E/(12·(SDR − 1)³)", "AS/NZS 1477, as a maker's table uses it, read", "/e_pa", "/od_m", "/wall_m"),
	},
	Equation: "p_cr = 2·E/((1 − ν²)·SDR·(SDR − 1)²)",
	Validity: "Round pipe. For a load that stays take the long-term modulus: 1.5e9 Pa for PVC-U, 0.2e9 Pa for PE100. Oval pipe stands less. Soil is not counted, neither as a help nor as a load: ask a competent person about buried pressure pipe with less than 0.6 m of cover, under traffic or below the water table.",
	Sources:  []string{bucklingSource, casingSource, "Long-term modulus of PVC-U: BS EN 1401-1:2009, read; of PE100 from memory"},
	Example:  []byte(`{"od_m": 0.11, "wall_m": 0.0032, "e_pa": 1.5e9, "nu": 0.4, "p_ext_pa": 9800}`),
}, CollapseIn{SF: 3}, Collapse, hollow(func(in CollapseIn) (float64, float64) { return in.ODM, in.WallM }))
