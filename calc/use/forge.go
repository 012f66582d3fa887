package use

import (
	"math"

	"leat/calc"
)

// ForgeIn is the blast of a forge.
type ForgeIn struct {
	MmH2O  float64 `json:"mm_H2O"`      // mm of water
	Area   float64 `json:"tuyere_area"` // m²
	Cd     float64 `json:"Cd"`
	RhoAir float64 `json:"rho_air"` // kg/m³
}

// ForgeOut is what the blast brings to the fire.
type ForgeOut struct {
	DpPa   float64 `json:"dp_Pa"`
	V      float64 `json:"v"`
	QM3s   float64 `json:"Q_m3s"`
	QLmin  float64 `json:"Q_Lmin"`
	QM3h   float64 `json:"Q_m3h"`
	PW     float64 `json:"P_W"`
	Carbon float64 `json:"carbon_kg_h_max"`
	Heat   float64 `json:"heat_kW_max"`
}

// What carbon takes and gives: kg of air for a kg, and MJ/kg. From memory.
const airPerCarbon, heatOfCarbon = 11.5, 32.8

// JetSpeed returns the speed in m/s of a jet of air that a small pressure in Pa
// drives, of a density in kg/m³:
//
//	v = √(2·Δp/ρ)
//
// Valid for pressures of a few kPa, where air hardly thins.
//
// Source: Bernoulli.
func JetSpeed(dp, rho float64) float64 { return math.Sqrt(2 * dp / rho) }

// Forge answers what a blast brings to the fire.
func Forge(in ForgeIn) (ForgeOut, []calc.Warning, *calc.Fault) {
	dp := in.MmH2O * calc.Gravity
	v := JetSpeed(dp, in.RhoAir)
	q := in.Cd * in.Area * v
	carbon := q * in.RhoAir / airPerCarbon
	return ForgeOut{DpPa: dp, V: v, QM3s: q, QLmin: 60_000 * q, QM3h: 3600 * q, PW: q * dp, Carbon: 3600 * carbon, Heat: 1000 * heatOfCarbon * carbon}, nil, nil
}

const (
	blast = "Bernoulli; blast of small forges: common practice, no source"
	burns = "11.5 kg of air and 32.8 MJ for 1 kg of carbon, from memory"
)

var forge = calc.New(calc.Description{
	Name: "system/forge", Answers: "air, power and heat of a forge blast", Evidence: calc.BuiltMeasured,
	Words: []string{"forge", "blast", "tuyere", "smithy", "fire", "charcoal"},
	Inputs: []calc.Field{
		calc.Positive("/mm_H2O", "mmH2O", "pressure of the blast, in mm of water").Need().Usually("25 to 150"),
		calc.Positive("/tuyere_area", "m²", "area of the opening into the fire").Need(),
		coefficient("0.8", "discharge coefficient of the opening"),
		calc.Positive("/rho_air", "kg/m³", "density of the air").Preset("1.204"),
	},
	Outputs: []calc.Field{
		calc.Gives("/dp_Pa", "Pa", "pressure of the blast, gauge", "9.80665·mm of water", "unit", "/mm_H2O"),
		calc.Gives("/v", "m/s", "speed of the blast", "v = √(2·Δp/ρ)", blast, "/dp_Pa", "/rho_air"),
		calc.Gives("/Q_m3s", "m³/s", "flow of air", "Q = C_d·A·v", blast, "/Cd", "/tuyere_area", "/v"),
		calc.Gives("/Q_Lmin", "L/min", "flow of air", "60000·Q", "unit", "/Q_m3s"),
		calc.Gives("/Q_m3h", "m³/h", "flow of air", "3600·Q", "unit", "/Q_m3s"),
		calc.Gives("/P_W", "W", "power in the blast", "P = Q·Δp", blast, "/Q_m3s", "/dp_Pa"),
		calc.Gives("/carbon_kg_h_max", "kg/h", "carbon that this air burns at most", "Q·ρ/11.5", burns, "/Q_m3s", "/rho_air"),
		calc.Gives("/heat_kW_max", "kW", "heat of that carbon", "32.8 MJ/kg", burns, "/carbon_kg_h_max"),
	},
	Equation: "v = √(2·Δp/ρ), Q = C_d·A·v, P = Q·Δp",
	Validity: "A small forge takes 300 to 2000 L/min at 25 to 150 mm of water: much air at almost no pressure. Air of 1 bar let down through a nozzle wastes nearly all of it; a jet pump that draws room air along is only an idea, by the model alone. Burning charcoal gives carbon monoxide: air the room, and follow local rules.",
	Sources:  []string{blast, burns},
	Example:  []byte(`{"mm_H2O": 60, "tuyere_area": 0.0003}`),
}, ForgeIn{Cd: 0.8, RhoAir: 1.204}, Forge)
