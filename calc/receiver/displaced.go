package receiver

import (
	"math"

	"leat/calc"
)

// DisplacedIn is a vessel of air under a column of water.
type DisplacedIn struct {
	V     float64 `json:"V"`     // m³
	Depth float64 `json:"depth"` // m
	PAtm  float64 `json:"p_atm"` // Pa
	Rho   float64 `json:"rho"`   // kg/m³
}

// DisplacedOut is what such a vessel keeps, at one pressure until it is empty.
type DisplacedOut struct {
	PGauge      float64 `json:"p_gauge"` // Pa
	EAirJ       float64 `json:"E_air_J"`
	EAirWh      float64 `json:"E_air_Wh"`
	EDisplaceWh float64 `json:"E_displace_Wh"`
	FreeAirM3   float64 `json:"free_air_m3"`
	BuoyancyN   float64 `json:"buoyancy_N"`
}

// IsothermalWork returns the work in J that air gives while it expands from the
// absolute pressure p to pa, both in Pa, at one temperature, the feed of the
// compressed air at p included:
//
//	E = p·V·ln(p/p_a)
//
// v is its volume at p, in m³.
//
// Valid for an ideal gas as warm as the surroundings.
//
// Source: Couper, Penney and Fair, Chemical Process Equipment, 2nd edition (2009), as quoted.
func IsothermalWork(p, pa, v float64) float64 { return p * v * math.Log(p/pa) }

// Displaced answers what a vessel keeps under a column of water.
func Displaced(in DisplacedIn) (DisplacedOut, []calc.Warning, *calc.Fault) {
	gauge := in.Rho * calc.Gravity * in.Depth
	p := in.PAtm + gauge
	e := IsothermalWork(p, in.PAtm, in.V)
	return DisplacedOut{PGauge: gauge, EAirJ: e, EAirWh: e / 3600, EDisplaceWh: gauge * in.V / 3600,
			FreeAirM3: p * in.V / in.PAtm, BuoyancyN: in.Rho * calc.Gravity * in.V}, []calc.Warning{{Code: "W_BUOYANCY",
			Message: "Full of air the vessel pulls upwards with a tonne for each cubic metre. Anchor or load it for more than that before the first air goes in."}}, nil
}

const (
	hydrostatics = "hydrostatics"
	mont         = "Revue des Deux Mondes 1865, t. 55: at Bardonecchia a column of 50 m kept 6 atm, read"
)

var constPressure = calc.New(calc.Description{
	Name: "system/const_pressure", Answers: "what a vessel holds in which water keeps the pressure", Evidence: calc.OftenMeasured,
	Words: []string{"receiver", "bell", "under water", "constant pressure", "buoyancy", "store"},
	Inputs: []calc.Field{
		calc.Positive("/V", "m³", "air in the vessel when full").Need(),
		calc.Positive("/depth", "m", "height of the water column over the water in the vessel").Need(),
		atmosphere, density,
	},
	Outputs: []calc.Field{
		calc.Gives("/p_gauge", "Pa", "pressure of the air, above that around", "ρ·g·depth", hydrostatics, "/rho", "/depth"),
		calc.Gives("/E_air_J", "J", "most work that the air gives when used", "E = p·V·ln(p/p_a)", "isothermal work of an ideal gas, as in Couper, Penney and Fair (2009), as quoted", "/p_gauge", "/V", "/p_atm"),
		calc.Gives("/E_air_Wh", "Wh", "most work that the air gives when used", "E/3600", "unit", "/E_air_J"),
		calc.Gives("/E_displace_Wh", "Wh", "part of it that the falling water column gives", "(p − p_a)·V", hydrostatics, "/p_gauge", "/V"),
		calc.Gives("/free_air_m3", "m³", "free air in it", "p·V/p_a", idealGas, "/p_gauge", "/V", "/p_atm"),
		calc.Gives("/buoyancy_N", "N", "pull upwards that must be anchored", "ρ·g·V", "Archimedes", "/rho", "/V"),
	},
	Equation: "p = p_a + ρ·g·depth, E = p·V·ln(p/p_a)",
	Validity: "The level of the water outside stays as it is. The weight of the vessel itself is not counted.",
	Sources:  []string{mont, idealGas},
	Example:  []byte(`{"V": 1, "depth": 10}`),
}, DisplacedIn{PAtm: calc.Atmosphere, Rho: calc.WaterDensity}, Displaced)
