package evidence

import (
	"math"

	"leat/calc"
	"leat/calc/air"
	"leat/calc/water"
)

const (
	plateToStandard = 0.005 / 2 // of C, k = 2, for β of 0.2 to 0.6 at high Re: ISO 5167-2, from memory
	plateOfOurs     = 0.02      // of C, either way: common practice, no source
)

// AirAt is the measured state of air: absolute pressure in Pa, temperature in °C
// and relative humidity, 0 to 1.
type AirAt struct{ P, T, RH Value }

// Saturated is air that was bubbled through water.
func Saturated(p, t Value) AirAt { return AirAt{p, t, Exactly(1)} }

// HumidityNotKnown is a relative humidity of which nothing is known.
//
// Source: section of the free air; JCGM 100:2008, 4.3.7, from memory.
func HumidityNotKnown() Value {
	return Value{X: 0.5, Lines: []Line{known("humidity not known", rectangular(0.5), 1)}, Flags: []string{HumidityAssumed}}
}

// InvertedBucket is a vessel held upside down in water, which the air fills.
type InvertedBucket struct {
	Vessel    Vessel
	Time      Value
	Barometer Value // Pa
	Level     Value // m, how much higher the water stands outside than inside
	Water     Value // °C
}

// Evaluate returns the flow of free air in m³/s. The air is saturated and as warm
// as the water.
//
// Source: definition; hydrostatics.
func (b InvertedBucket) Evaluate(ref AirState) Value {
	return Through(func(x []float64) float64 {
		p := x[2] + water.Density(x[4])*calc.Gravity*x[3]
		return x[0] / x[1] * FreeAirFactor(AirState{p, x[4], 1}, ref)
	}, b.Vessel.value(), b.Time, b.Barometer, b.Level, b.Water)
}

// VariableAreaMeter is a tube with a float, read in m³/s of air as it was
// calibrated with.
type VariableAreaMeter struct {
	MeasuringInstrument
	G, QG      float64 // error limit in % of the reading, and from where up in % of the full scale
	Calibrated AirState
	Readings   []float64
	At         AirAt // at the meter
}

// Evaluate returns the flow of free air in m³/s:
//
//	reading·√(ρ_cal/ρ_act), then as free air
//
// It holds where the float is much denser than air.
//
// Source: VDI/VDE 3513-2 for the limit, as a maker's page quotes it (read).
func (m VariableAreaMeter) Evaluate(ref AirState) Value {
	r := TypeA(m.Readings).WithPool(m.PooledS, m.PooledNu)
	limit := math.NaN()
	if m.G > 0 && m.QG > 0 && m.High > 0 {
		limit = VariableArea(r.Mean, m.High, m.G, m.QG)
	}
	reading := Value{X: r.Mean, Lines: []Line{
		m.repeats(r),
		shared(m.Name+" accuracy", m.Name+": error limit of the meter", limit),
		known(m.Name+": smallest step", Resolution(m.step()), 1),
	}}
	calibrated, _ := air.Moist(m.Calibrated.P, m.Calibrated.T, m.Calibrated.RH)
	return Through(func(x []float64) float64 {
		at := AirState{x[1], x[2], x[3]}
		actual, _ := air.Moist(at.P, at.T, at.RH)
		return x[0] * math.Sqrt(calibrated/actual) * FreeAirFactor(at, ref)
	}, reading, m.At.P, m.At.T, m.At.RH)
}

// ThermalMeter is a thermal mass meter that shows a flow at a state of its own.
type ThermalMeter struct {
	MeasuringInstrument
	Plate    AirState // reference state, as its plate says
	Readings []float64
	Dried    bool // the air went through a dryer
}

// Evaluate returns the flow of free air in m³/s. In wet air such a meter tells
// nothing: then its line cannot be evaluated.
//
// Source: common practice, no source.
func (m ThermalMeter) Evaluate(ref AirState) Value {
	reading := m.Reads(m.Readings...)
	if m.Dried {
		reading.Flags = append(reading.Flags, MoistureAndOil)
	} else {
		reading.Lines = append(reading.Lines, known(m.Name+": wet air, no dryer", math.NaN(), 1))
	}
	return Through(func(x []float64) float64 { return x[0] * FreeAirFactor(m.Plate, ref) }, reading)
}

// OrificePlate is a plate with a sharp hole in a pipe of air.
type OrificePlate struct {
	Name       string
	Bore, Pipe Value   // m, diameters
	C          float64 // discharge coefficient
	HomeMade   bool
	Difference Value // Pa, over the plate
	At         AirAt // before the plate
}

// Evaluate returns the flow of free air in m³/s.
//
//	q = C·ε·π/4·d²·√(2·Δp/ρ)/√(1 − β⁴), ε = 1 − (0.351 + 0.256·β⁴ + 0.93·β⁸)·(1 − (1 − Δp/p)^(1/κ))
//
// Source: ISO 5167-2, from memory; 2 % of a home-made plate is common practice, no source.
func (o OrificePlate) Evaluate(ref AirState) Value {
	share := rectangular(plateOfOurs)
	if beta := o.Bore.X / o.Pipe.X; !o.HomeMade && beta >= 0.2 && beta <= 0.6 {
		share = plateToStandard
	}
	if o.C == 0 {
		share = math.NaN()
	}
	c := Value{X: o.C, Lines: []Line{shared(o.Name+" coefficient", o.Name+": discharge coefficient", share*o.C)}}
	return Through(func(x []float64) float64 {
		at := AirState{x[4], x[5], x[6]}
		rho, _ := air.Moist(at.P, at.T, at.RH)
		return x[0] * throughPlate(x[1], x[2], x[3], at.P, rho) * FreeAirFactor(at, ref)
	}, c, o.Bore, o.Pipe, o.Difference, o.At.P, o.At.T, o.At.RH)
}

// throughPlate is the flow in m³/s before a plate, without its coefficient.
func throughPlate(bore, pipe, dp, p, rho float64) float64 {
	b4 := math.Pow(bore/pipe, 4)
	expansion := 1 - (0.351+0.256*b4+0.93*b4*b4)*(1-math.Pow(1-dp/p, 1/calc.AirGamma))
	return expansion * math.Pi / 4 * bore * bore * math.Sqrt(2*dp/rho) / math.Sqrt(1-b4)
}
