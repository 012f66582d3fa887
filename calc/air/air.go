// Package air holds the properties of moist air and of its gases in water.
// Start with [Moist].
package air

import (
	"math"

	"leat/calc/water"
)

// Constants of the gases. R is the molar gas constant in J/(mol·K), exact in
// the SI to the digits shown; molar masses in kg/mol; OxygenShare is the mole
// fraction of oxygen in dry air. Argon counts with nitrogen, hence MolarRest.
const (
	R           = 8.314462618
	MolarOxygen = 31.998e-3
	MolarRest   = 28.161e-3
	MolarDry    = 28.9647e-3
	MolarWater  = 18.015e-3
	OxygenShare = 0.2095
)

// Atmosphere returns the pressure of the standard atmosphere in Pa at altitude
// h in m:
//
//	p = 101325·(1 − 2.25577e-5 h)^5.25588
//
// Valid for −1000 to 11 000 m.
//
// Source: ISO 2533, from memory.
func Atmosphere(h float64) float64 { return 101325 * math.Pow(1-2.25577e-5*h, 5.25588) }

// Viscosity returns the dynamic viscosity of air in Pa·s:
//
//	μ = 1.716e-5·(T/273.15)^1.5·383.55/(T + 110.4)
//
// t is in °C, T in K.
//
// Valid for −50 to 500 °C.
//
// Source: Sutherland's law with the usual constants of air, from memory.
func Viscosity(t float64) float64 {
	T := t + water.Kelvin
	return 1.716e-5 * math.Pow(T/273.15, 1.5) * 383.55 / (T + 110.4)
}

// Moist returns the density in kg/m³ of ambient air, and the pressure of the
// water vapour in it in Pa:
//
//	p_v = φ·p_s(t),  ρ = ((p − p_v)·M_dry + p_v·M_water)/(R·T)
//
// p is the pressure in Pa, t the temperature in °C, humidity φ is 0 to 1.
//
// Valid for pressures below 1 MPa.
//
// Source: ideal gas mixture.
func Moist(p, t, humidity float64) (rho, vapour float64) {
	vapour = humidity * water.SaturationPressure(t)
	return ((p-vapour)*MolarDry + vapour*MolarWater) / (R * (t + water.Kelvin)), vapour
}

// Henry returns the solubilities of oxygen and of nitrogen in water, in
// mol/(m³·Pa):
//
//	H_O2 = 1.3e-5·exp(1500 k),  H_N2 = 6.4e-6·exp(1300 k),  k = 1/T − 1/298.15
//
// t is in °C, T in K.
//
// Valid for 0 to 50 °C; the tabulated values scatter by about 3 %.
//
// Source: R. Sander, Atmos. Chem. Phys. 23, 10901 (2023), tables O2 and N2.
func Henry(t float64) (oxygen, nitrogen float64) {
	k := 1/(t+water.Kelvin) - 1/298.15
	return 1.3e-5 * math.Exp(1500*k), 6.4e-6 * math.Exp(1300*k)
}

// Diffusivity returns the diffusivities of oxygen and of nitrogen in water in
// m²/s:
//
//	D = D_25·(T/298.15)·μ(25 °C)/μ(t),  D_25 = 2.10e-9 (O2), 1.88e-9 (N2)
//
// t is in °C, T in K.
//
// Valid for 0 to 50 °C, within 10 %.
//
// Source: handbook values at 25 °C and the Stokes-Einstein rule, from memory.
func Diffusivity(t float64) (oxygen, nitrogen float64) {
	scale := (t + water.Kelvin) / 298.15 * water.Viscosity(25) / water.Viscosity(t)
	return 2.10e-9 * scale, 1.88e-9 * scale
}
