// Package water holds the properties of fresh water and what pipes do to it.
// Start with [Density] and [FrictionFactor].
package water

import "math"

// Kelvin is the temperature of melting ice, in K.
const Kelvin = 273.15

// Density returns the density of air-free water at one atmosphere, in kg/m³:
//
//	ρ = (999.83952 + 16.945176 t − 7.9870401e-3 t² − 46.170461e-6 t³ + 105.56302e-9 t⁴ − 280.54253e-12 t⁵)/(1 + 16.879850e-3 t)
//
// t is in °C.
//
// Valid for 0 to 100 °C; agrees with IAPWS-IF97 to 1e-5 from 1 to 40 °C.
//
// Source: G. S. Kell, J. Chem. Eng. Data 20, 97 (1975), from memory; checked
// against IAPWS-IF97.
func Density(t float64) float64 {
	return (999.83952 + t*(16.945176+t*(-7.9870401e-3+t*(-46.170461e-6+t*(105.56302e-9-t*280.54253e-12))))) / (1 + 16.879850e-3*t)
}

// Viscosity returns the dynamic viscosity of water in Pa·s:
//
//	μ = 2.414e-5·10^(247.8/(T − 140))
//
// t is in °C, T in K.
//
// Valid for 0 to 370 °C; within 2 % of IAPWS-IF97 from 1 to 40 °C.
//
// Source: common engineering fit, from memory; checked against IAPWS-IF97.
func Viscosity(t float64) float64 { return 2.414e-5 * math.Pow(10, 247.8/(t+Kelvin-140)) }

// SurfaceTension returns the surface tension of water against air in N/m:
//
//	σ = 0.2358·x^1.256·(1 − 0.625 x),  x = 1 − T/647.096
//
// t is in °C, T in K.
//
// Valid from 0.01 °C to the critical point.
//
// Source: IAPWS R1-76, from memory.
func SurfaceTension(t float64) float64 {
	x := 1 - (t+Kelvin)/647.096
	return 0.2358 * math.Pow(x, 1.256) * (1 - 0.625*x)
}

// SaturationPressure returns the pressure of water vapour over water in Pa:
//
//	p_s = 611.21·exp((18.678 − t/234.5)·t/(257.14 + t))
//
// t is in °C.
//
// Valid for 0 to 100 °C; within 0.1 % of IAPWS-IF97.
//
// Source: A. L. Buck, 1996 form of J. Appl. Meteorol. 20, 1527 (1981), from
// memory; checked against IAPWS-IF97.
func SaturationPressure(t float64) float64 {
	return 611.21 * math.Exp((18.678-t/234.5)*t/(257.14+t))
}

// Magnus returns the pressure of water vapour over water in Pa, by the formula
// of meteorologists:
//
//	p = 611.2·exp(17.62·t/(243.12 + t))
//
// t is in °C.
//
// Valid for −45 to 60 °C.
//
// Source: WMO-No. 8, as the specification gives it.
func Magnus(t float64) float64 { return 611.2 * math.Exp(17.62*t/(243.12+t)) }

// DewPoint returns the temperature in °C at which water vapour of pressure p in
// Pa would condense: the inverse of [SaturationPressure], which is a quadratic
// in t once the logarithm is taken:
//
//	t²/234.5 + (y − 18.678)·t + 257.14·y = 0,  y = ln(p/611.21)
//
// Valid for p from 10 Pa to 100 kPa.
//
// Source: algebra on Buck's equation.
func DewPoint(p float64) float64 {
	y := math.Log(p / 611.21)
	b := 18.678 - y
	return 2 * 257.14 * y / (b + math.Sqrt(b*b-4*257.14*y/234.5))
}

// Roughness returns the part of Haaland's equation that depends on the wall
// alone, so that it is worked out once for a pipe:
//
//	(ε/D/3.7)^1.11
//
// relative is the relative roughness ε/D.
//
// Valid for ε/D from 0 to 0.05.
//
// Source: S. E. Haaland, J. Fluids Eng. 105, 89 (1983), from memory.
func Roughness(relative float64) float64 { return math.Pow(relative/3.7, 1.11) }

const (
	laminarTo     = 2300
	turbulentFrom = 4000
)

// FrictionFactor returns Darcy's friction factor f of a full pipe:
//
//	f = 64/Re                                       Re < 2300
//	f = (−1.8·log10((ε/D/3.7)^1.11 + 6.9/Re))^−2    Re > 4000
//
// and linear in Re between the two; 0 without flow. re is the Reynolds number,
// wall is [Roughness] of ε/D.
//
// Valid for ε/D up to 0.05; within 2 % of Colebrook's equation above Re 4000.
// Between 2300 and 4000 the flow itself is unsteady.
//
// Source: S. E. Haaland, J. Fluids Eng. 105, 89 (1983), from memory; laminar by
// Hagen and Poiseuille.
func FrictionFactor(re, wall float64) float64 {
	switch {
	case re <= 0:
		return 0
	case re < laminarTo:
		return 64 / re
	case re > turbulentFrom:
		return haaland(re, wall)
	}
	low := 64.0 / laminarTo
	return low + (re-laminarTo)/(turbulentFrom-laminarTo)*(haaland(turbulentFrom, wall)-low)
}

func haaland(re, wall float64) float64 {
	const perLn = 1.8 / math.Ln10
	y := perLn * math.Log(wall+6.9/re)
	return 1 / (y * y)
}

// BubbleRiseSpeed returns the terminal speed in m/s of an air bubble of
// diameter d in m, in still ordinary (not distilled) water: the lesser of a
// rigid sphere's, found by iteration,
//
//	v² = 4 g d/(3 C_D),  C_D = 24/Re·(1 + 0.15 Re^0.687) for Re < 1000, else 0.44
//
// and Mendelson's wave analogy
//
//	v = √(2 σ/(ρ d) + g d/2)
//
// rho, mu, sigma are the water's density in kg/m³, viscosity in Pa·s and
// surface tension in N/m; g is in m/s².
//
// Valid for single bubbles of 0.1 to 20 mm.
//
// Source: L. Schiller and A. Naumann 1933; H. D. Mendelson, AIChE J. 13, 250
// (1967); both from memory.
func BubbleRiseSpeed(d, rho, mu, sigma, g float64) float64 {
	wave := math.Sqrt(2*sigma/(rho*d) + g*d/2)
	drag := func(v float64) float64 {
		re := rho * v * d / mu
		c := 0.44
		if re < 1000 {
			c = 24 / re * (1 + 0.15*math.Pow(re, 0.687))
		}
		return math.Sqrt(4 * g * d / (3 * c))
	}
	if drag(wave) > wave { // drag·v² grows with v, so the sphere would be faster still
		return wave
	}
	v := 0.1
	for range 60 { // Steffensen's method: a handful of rounds where averaging takes sixty
		once := drag(v)
		twice := drag(once)
		next := v - (once-v)*(once-v)/(twice-2*once+v)
		if !(next > 0 && next <= wave) {
			next = (v + once) / 2
		}
		if math.Abs(next-v) < 1e-13 {
			return next
		}
		v = next
	}
	return v
}
