package evidence

import (
	"math"
	"slices"

	"leat/calc"
	"leat/calc/water"
)

// States of a flow of free air, beside [OK].
const (
	MissingCondition = "missing_condition" // flow, pressure or temperature lacks
	HumidityAssumed  = "humidity_assumed"  // half saturated, and uncertain by as much
)

// AirState is a state of air: absolute pressure in Pa, temperature in °C and
// relative humidity, 0 to 1.
type AirState struct{ P, T, RH float64 }

// ISO1217 is the reference state of compressors, dry. From memory.
var ISO1217 = AirState{P: 1e5, T: 20}

// dry is the pressure of the dry air alone, in Pa.
func (s AirState) dry() float64 { return s.P - s.RH*water.Magnus(s.T) }

// FreeAirFactor returns by how much the volume of the same dry air is larger at
// one state than at another, where it is measured:
//
//	(p − φ·p_s(T))/(p_ref − φ_ref·p_s(T_ref))·T_ref/T
//
// with T in kelvin. Air that was bubbled through water is saturated.
//
// Valid where dry air is left at both states, from −40 to 100 °C.
//
// Source: balance of dry air; vapour by the Magnus form of WMO-No. 8.
func FreeAirFactor(at, ref AirState) float64 {
	return at.dry() / ref.dry() * (ref.T + calc.Kelvin) / (at.T + calc.Kelvin)
}

// FreeAir is a flow of air as free air.
type FreeAir struct {
	Flow, Factor, U float64 // U is the standard uncertainty of Flow
	Missing         []string
	Status          string
}

// ToFreeAir brings a flow at one state, in m³/s, to another. The uncertainties are
// those of flow and state. NaN is missing; without a humidity it is taken as
// half saturated, rectangular from dry to saturated.
//
//	u² = Σ((f(x + u) − f(x − u))/2)²
//
// Source: JCGM 100:2008, 5.1.3, note 2 (differences for slopes), from memory.
func ToFreeAir(q, uq float64, at, u, ref AirState) FreeAir {
	x, d := [4]float64{q, at.P, at.T, at.RH}, [4]float64{uq, u.P, u.T, u.RH}
	f := FreeAir{math.NaN(), math.NaN(), math.NaN(), []string{}, OK}
	for i, name := range []string{"q", "p", "t", "rh"} {
		if math.IsNaN(x[i]) {
			f.Missing = append(f.Missing, name)
		}
	}
	if slices.ContainsFunc(f.Missing, func(name string) bool { return name != "rh" }) {
		f.Status = MissingCondition
		return f
	}
	if math.IsNaN(x[3]) {
		f.Status, x[3], d[3] = HumidityAssumed, 0.5, Limits(0.5, RectangularShape, 0)
	}
	flow := func(x [4]float64) float64 { return x[0] * FreeAirFactor(AirState{x[1], x[2], x[3]}, ref) }
	f.Factor = FreeAirFactor(AirState{x[1], x[2], x[3]}, ref)
	f.Flow = flow(x)
	f.U = 0
	for i := range x {
		up, down := x, x
		up[i], down[i] = x[i]+d[i], x[i]-d[i]
		f.U = math.Hypot(f.U, (flow(up)-flow(down))/2)
	}
	return f
}
