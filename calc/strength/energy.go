package strength

import (
	"math"

	"leat/calc"
)

// EnergyIn is what a part holds under pressure. The wall is counted where all of
// od, wall, modulus and Poisson's ratio are given.
type EnergyIn struct {
	PPa    float64  `json:"p_pa"`
	VGasM3 float64  `json:"v_gas_m3"`
	VLiqM3 float64  `json:"v_liq_m3"`
	Gamma  float64  `json:"gamma"`
	PAtmPa float64  `json:"p_atm_pa"`
	KPa    float64  `json:"k_pa"`
	ODM    *float64 `json:"od_m"`
	WallM  *float64 `json:"wall_m"`
	EPa    *float64 `json:"e_pa"`
	Nu     *float64 `json:"nu"`
}

// EnergyOut is what would be let go.
type EnergyOut struct {
	IsentropicJ   float64 `json:"e_isentropic_j"`
	BrodeJ        float64 `json:"e_brode_j"`
	IsothermalJ   float64 `json:"e_isothermal_j"`
	AvailabilityJ float64 `json:"e_availability_j"`
	LiquidJ       float64 `json:"e_liquid_j"`
	WallJ         float64 `json:"e_wall_j"`
	TotalJ        float64 `json:"e_total_j"`
	TNTKg         float64 `json:"tnt_kg"`
	PVBarL        float64 `json:"pv_bar_l"`
}

// TNTEnergy is what a kilogram of TNT stands for, in J, by ASME PCC-2, read.
const TNTEnergy = 4266920.0

// barLitre is a bar litre in J.
const barLitre = 100.0

// IsentropicEnergy returns the energy in J that a gas lets go when it expands
// without heat, with gauge pressure and that of the open air in Pa, and its
// volume in m³. Decisions rest on it.
//
//	E = P·V/(γ − 1)·(1 − (p_a/P)^((γ − 1)/γ)), P = p + p_a
//
// Valid for air as an ideal gas, to some 100 bar.
//
// Source: ASME PCC-2 Article 501, Appendix II, read.
func IsentropicEnergy(p, volume, gamma, open float64) float64 {
	return (p + open) * volume / (gamma - 1) * -math.Expm1(-(gamma-1)/gamma*math.Log1p(p/open))
}

// BrodeEnergy returns the energy in J that it took to heat the gas to its
// pressure at constant volume:
//
//	E = p·V/(γ − 1)
//
// Valid as an upper estimate of blast.
//
// Source: Brode (1959), as Crowl and Louvar give it, from memory.
func BrodeEnergy(p, volume, gamma float64) float64 { return p * volume / (gamma - 1) }

// IsothermalEnergy returns the energy in J of an expansion at one temperature:
//
//	E = P·V·ln(P/p_a)
//
// Valid for an ideal gas; heat from around is counted.
//
// Source: Crowl and Louvar, Chemical Process Safety, from memory.
func IsothermalEnergy(p, volume, open float64) float64 {
	return (p + open) * volume * math.Log1p(p/open)
}

// AvailableEnergy returns the isothermal energy in J less what pushes the open
// air away:
//
//	E = P·V·(ln(P/p_a) − (1 − p_a/P))
//
// Valid for an ideal gas.
//
// Source: Crowl (1992), from memory.
func AvailableEnergy(p, volume, open float64) float64 {
	return (p + open) * volume * logRest(p/(p+open))
}

// logRest returns −ln(1 − y) − y, by its series where the terms would cancel.
func logRest(y float64) float64 {
	if y > 0.05 {
		return -math.Log1p(-y) - y
	}
	sum, power := 0.0, y
	for n := 2.0; n <= 14; n++ {
		power *= y
		sum += power / n
	}
	return sum
}

// WaterEnergy returns what pressed water lets go, in J:
//
//	E = p²·V/(2·K)
//
// Valid for water without bubbles.
//
// Source: definition of the bulk modulus.
func WaterEnergy(p, volume, k float64) float64 { return p * p * volume / (2 * k) }

// WallEnergy returns what the stretched wall of a closed pipe lets go, in J:
//
//	E = V·p²·(D − t)·(5 − 4·ν)/(8·t·E)
//
// Valid for thin round pipe with closed ends.
//
// Source: strain energy of a thin cylinder, a textbook formula.
func WallEnergy(p, volume, od, wall, e, nu float64) float64 {
	return volume * p * p * (od - wall) * (5 - 4*nu) / (8 * wall * e)
}

// Energy answers what energy a part under pressure holds.
func Energy(in EnergyIn) (EnergyOut, []calc.Warning, *calc.Fault) {
	out := EnergyOut{
		IsentropicJ:   IsentropicEnergy(in.PPa, in.VGasM3, in.Gamma, in.PAtmPa),
		BrodeJ:        BrodeEnergy(in.PPa, in.VGasM3, in.Gamma),
		IsothermalJ:   IsothermalEnergy(in.PPa, in.VGasM3, in.PAtmPa),
		AvailabilityJ: AvailableEnergy(in.PPa, in.VGasM3, in.PAtmPa),
		LiquidJ:       WaterEnergy(in.PPa, in.VLiqM3, in.KPa),
		PVBarL:        in.PPa * in.VGasM3 / barLitre,
	}
	if in.ODM != nil && in.WallM != nil && in.EPa != nil && in.Nu != nil {
		out.WallJ = WallEnergy(in.PPa, in.VGasM3+in.VLiqM3, *in.ODM, *in.WallM, *in.EPa, *in.Nu)
	}
	out.TotalJ = out.IsentropicJ + out.LiquidJ + out.WallJ
	out.TNTKg = out.TotalJ / TNTEnergy
	return out, nil, nil
}
