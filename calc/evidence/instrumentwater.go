package evidence

import (
	"math"

	"leat/calc"
	"leat/calc/source"
	"leat/calc/water"
)

const (
	handStarts  = 0.1    // s, from person to person, at the start and at the stop: NIST SP 960-12, from memory
	quartzReads = 0.01   // % of the time, either way: common practice, no source
	inAir       = 1.0011 // what air bears of water that is weighed in it: ISO 4185, from memory
	headZero    = 0.001  // m, at least: common practice, no source
	notchPlate  = 0.005  // of C_e, a plate to the standard: ISO 1438, from memory
	notchOfOurs = 0.02   // of C_e, home-made: common practice, no source
)

// WeighedVolume returns the volume in m³ of water that weighs so many kg in air,
// at a temperature in °C:
//
//	V = 1.0011·m/ρ(T)
//
// Valid for fresh water of 0 to 40 °C.
//
// Source: form of ISO 4185, from memory.
func WeighedVolume(mass, t float64) float64 { return inAir * mass / water.Density(t) }

// Timing returns the mean of times in s that a person took with a stopwatch. Who
// presses has a habit, which repeats do not show: it becomes less only where the
// person changes.
//
// Source: NIST SP 960-12, from memory.
func Timing(watch MeasuringInstrument, people int, times ...float64) Value {
	if !watch.stated() {
		watch.PercentReading = quartzReads
	}
	v := watch.Reads(times...)
	v.Lines = append(v.Lines, known("hand on the stopwatch", math.Sqrt2*handStarts/math.Sqrt(float64(max(1, people))), 1))
	return v
}

// Vessel is a bucket or barrel up to its mark, in m³.
type Vessel struct {
	Name   string
	Volume float64
	U      float64 // standard uncertainty of a weighing; 0: see Mark
	Mark   float64 // ± that the mark may be off, where it was not weighed
	Splash float64 // ± that is lost or gained at the rim
}

// value is the volume; a vessel of whose mark nothing is known cannot be evaluated.
func (b Vessel) value() Value {
	u := b.U
	if u == 0 {
		u = rectangular(b.Mark)
	}
	if u == 0 {
		u = math.NaN()
	}
	return Value{X: b.Volume, Lines: []Line{
		shared(b.Name+" mark", b.Name+": volume up to the mark", u),
		known(b.Name+": splash", rectangular(b.Splash), 1),
	}}
}

// BucketAndStopwatch returns the flow in m³/s that fills a vessel: Q = V/t̄.
// Times of 20 s and more keep the hand out of it.
//
// Source: definition; lines by JCGM 100:2008, 4.3, from memory.
func BucketAndStopwatch(vessel Vessel, time Value) Value {
	return Through(func(x []float64) float64 { return x[0] / x[1] }, vessel.value(), time)
}

// Notch is a V-notch weir and how its head is read.
type Notch struct {
	Gauge    MeasuringInstrument // of the head, m
	Heads    []float64           // m
	UZero    float64             // m, standard uncertainty of the zero of the head; at least 1 mm counts
	Angle    float64             // rad
	UTan     float64             // relative standard uncertainty of tan(θ/2)
	Ce, Kh   float64             // coefficient, and what is added to the head in m
	HomeMade bool                // not to the standard
}

// Evaluate returns the flow over the notch in m³/s.
//
//	Q = (8/15)·C_e·√(2g)·tan(θ/2)·(h + k_h)^2.5
//
// Source: ISO 1438, from memory; 2 % of a home-made plate and 1 mm of zero are
// common practice, no source.
func (n Notch) Evaluate() Value {
	head := n.Gauge.Reads(n.Heads...)
	head.Lines = append(head.Lines, shared(n.Gauge.Name+" zero", n.Gauge.Name+": zero of the head", math.Max(n.UZero, headZero)))
	share := notchPlate
	if n.HomeMade {
		share = notchOfOurs
	}
	ce := Value{X: n.Ce, Lines: []Line{shared(n.Gauge.Name+" notch", n.Gauge.Name+": coefficient of the notch", share*n.Ce)}}
	tan := Value{X: 1, Lines: []Line{shared(n.Gauge.Name+" angle", n.Gauge.Name+": angle of the notch", n.UTan)}}
	return Through(func(x []float64) float64 {
		return x[2] * source.VNotchFlow(calc.Gravity, n.Angle, x[1], x[0], n.Kh)
	}, head, ce, tan)
}
