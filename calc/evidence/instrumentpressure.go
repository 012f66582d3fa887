package evidence

import (
	"math"

	"leat/calc"
	"leat/calc/air"
	"leat/calc/water"
)

// What the parts of a shed's budget are, where nobody knows better.
const (
	gaugePerKelvin = 0.04   // % of the span of a Bourdon gauge per kelvin off 20 °C: EN 837-1, 9.3, from memory
	gaugeReference = 20.0   // °C
	limbReads      = 0.5e-3 // m, either way: common practice, no source
	phoneReads     = 100.0  // Pa, either way: common practice, no source
	weatherSwings  = 3000.0 // Pa, either way, about the standard atmosphere: common practice, no source
)

// BourdonGauge is a pressure gauge with a pointer, read several times.
type BourdonGauge struct {
	MeasuringInstrument
	Readings []float64 // Pa, gauge
	Height   Value     // m of the gauge above its tap, with a line full of water
	Water    Value     // °C, in that line
	Ambient  float64   // °C, where it hangs; NaN: not known
}

// Evaluate returns the pressure at the tap in Pa, gauge:
//
//	reading − mean zero + ρ·g·z
//
// Source: EN 837-1 for class (read) and temperature (from memory); the rest by
// JCGM 100:2008, 4.3, from memory.
func (g BourdonGauge) Evaluate() Value {
	shown := g.zeroed(g.Reads(g.Readings...))
	off := math.Abs(g.Ambient - gaugeReference)
	shown.Lines = append(shown.Lines, known(g.Name+": not at 20 °C", rectangular(gaugePerKelvin/100*g.span()*off), 1))
	return Through(func(x []float64) float64 { return x[0] + water.Density(x[2])*calc.Gravity*x[1] }, shown, g.Height, g.Water)
}

// WaterManometer is a U-tube with water, of which both limbs are read.
type WaterManometer struct {
	MeasuringInstrument           // its name, and the scatter of earlier repeats
	Difference          []float64 // m, along the limbs
	Swing               float64   // m, from the lowest to the highest that the meniscus went
	Tilt                Value     // rad from the vertical
	Water               Value     // °C
}

// Evaluate returns the difference of pressure in Pa:
//
//	ρ(T)·g·Δh·cos α
//
// Source: hydrostatics; limbs read to half a millimetre are common practice, no source.
func (m WaterManometer) Evaluate() Value {
	r := TypeA(m.Difference).WithPool(m.PooledS, m.PooledNu)
	height := Value{X: r.Mean, Lines: []Line{
		m.repeats(r),
		known(m.Name+": reading of one limb", rectangular(limbReads), 1),
		known(m.Name+": reading of the other limb", rectangular(limbReads), 1),
		known(m.Name+": swing of the meniscus", Limits(m.Swing/2, ArcsineShape, 0), 1),
	}}
	return Through(func(x []float64) float64 { return water.Density(x[2]) * calc.Gravity * x[0] * math.Cos(x[1]) }, height, m.Tilt, m.Water)
}

// Window is the mean of a steady window of a logger's channel.
type Window struct {
	Mean, U, Nu float64 // with the standard uncertainty of the mean of a correlated series
	UDrift      float64 // what the drift within the window adds
}

// PressureLogger is a sensor that writes by itself.
type PressureLogger struct {
	MeasuringInstrument
	Window    Window  // Pa
	PerKelvin float64 // % of the span per kelvin off its reference
	OffBy     float64 // K from there; NaN: not known
}

// Evaluate returns the mean pressure of the window in Pa, as the sensor gives it.
//
// Source: JCGM 100:2008, 4.3, from memory; limits of data sheets as rectangular
// are common practice, no source.
func (l PressureLogger) Evaluate() Value {
	v := l.zeroed(l.Shows(l.Window.Mean))
	v.Lines = append([]Line{
		{Name: l.Name + ": mean of the window", U: l.Window.U, Sens: 1, Nu: l.Window.Nu},
		known(l.Name+": drift within the window", l.Window.UDrift, 1),
	}, v.Lines...)
	off := 0.0
	if l.PerKelvin > 0 {
		off = l.PerKelvin / 100 * l.span() * math.Abs(l.OffBy)
	}
	v.Lines = append(v.Lines, known(l.Name+": temperature of the sensor", rectangular(off), 1))
	return v
}

// Barometer returns the pressure of the air where the machine stands, in Pa: a
// station pressure, never one brought to sea level. Of a phone nothing but
// ±100 Pa is known.
//
// Source: common practice, no source.
func Barometer(i MeasuringInstrument, readings ...float64) Value {
	if !i.stated() {
		i.Absolute = phoneReads
	}
	return i.Reads(readings...)
}

// WithoutBarometer returns the pressure of the standard atmosphere at an altitude
// in m, in Pa, ±3 kPa. Without an altitude it is missing.
//
// Source: ISO 2533, from memory; what the weather does to it is common practice, no source.
func WithoutBarometer(altitude float64) Value {
	if math.IsNaN(altitude) {
		return Estimated("barometer", math.NaN(), math.NaN())
	}
	v := Value{X: air.Atmosphere(altitude), Flags: []string{StandardAtmosphere}}
	v.Lines = []Line{shared("weather", "no barometer: the weather", rectangular(weatherSwings))}
	return v
}

// Sensor is what a thermometer has for a sensor.
type Sensor string

// The sensors of which a standard says how far they may be off.
const (
	Pt100       Sensor = "Pt100 class B"
	TypeK       Sensor = "thermocouple K class 2"
	Glass       Sensor = "glass"
	OtherSensor Sensor = ""
)

// Thermometer returns a temperature in °C. What a certificate, a class or a data
// sheet says comes before what the standard allows its sensor.
//
// Source: IEC 60751, ±(0.30 + 0.005·|t|) K, and IEC 60584, ±2.5 K, from memory;
// one division of a glass thermometer is common practice, no source.
func Thermometer(i MeasuringInstrument, sensor Sensor, readings ...float64) Value {
	mean := TypeA(readings).Mean
	if !i.stated() {
		i.Absolute = map[Sensor]float64{Pt100: 0.30 + 0.005*math.Abs(mean), TypeK: 2.5, Glass: i.Division}[sensor]
	}
	return i.Reads(readings...)
}
