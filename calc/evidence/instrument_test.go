package evidence_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/air"
	"leat/calc/evidence"
	"leat/calc/source"
	"leat/calc/water"
)

// bourdon is a gauge of 10 bar, class 1.6, divided by 0.2 bar.
func bourdon(readings ...float64) evidence.BourdonGauge {
	return evidence.BourdonGauge{
		MeasuringInstrument: evidence.MeasuringInstrument{Name: "Gauge 3", High: 10e5, Division: 0.2e5, ClassPercent: 1.6, Zeros: []float64{0, 0.02e5}},
		Readings:            readings, Height: evidence.Estimated("height of the gauge", 2, 0.01), Water: evidence.Estimated("water in the line", 12, 1), Ambient: 10,
	}
}

// size is the contribution of a named line.
func size(t *testing.T, v evidence.Value, name string) float64 {
	for _, l := range v.Lines {
		if l.Name == name {
			return l.Size()
		}
	}
	t.Fatalf("no line %s among %v", name, v.Lines)
	return 0
}

func missing(v evidence.Value) []string { return evidence.Combine(v.Lines, 0.95).Missing }

// Section 1.4 of the specification of evidence, line by line, by hand.
func TestBourdonGauge(t *testing.T) {
	v := bourdon(4.0e5, 4.1e5, 4.2e5).Evaluate()
	require.InDelta(t, 4.1e5-0.01e5+water.Density(12)*9.80665*2, v.X, 1e-6)
	require.InDelta(t, 0.1e5/math.Sqrt(3), size(t, v, "Gauge 3: repeats"), 1)
	require.InDelta(t, 0.16e5/math.Sqrt(3), size(t, v, "Gauge 3: class 1.6 % of the span"), 1e-3)
	require.InDelta(t, 0.1e5/math.Sqrt(12), size(t, v, "Gauge 3: smallest step"), 1e-3)
	require.InDelta(t, 0.02e5/math.Sqrt(12), size(t, v, "Gauge 3: zero before and after"), 1e-3)
	require.InDelta(t, 0.04e5/math.Sqrt(3), size(t, v, "Gauge 3: not at 20 °C"), 1e-3)
	require.InDelta(t, water.Density(12)*9.80665*0.01, size(t, v, "height of the gauge"), 1e-3)
	require.Empty(t, missing(v))
}

// What lacks is named, and the budget then has no uncertainty.
func TestWhatLacksIsNamed(t *testing.T) {
	g := bourdon(4e5)
	require.Equal(t, []string{"Gauge 3: repeats"}, missing(g.Evaluate()))
	g.PooledS, g.PooledNu = 0.05e5, 12
	require.Empty(t, missing(g.Evaluate()))
	g.Zeros, g.ClassPercent, g.Division, g.Ambient = []float64{0}, 0, 0, math.NaN()
	require.Equal(t, []string{"Gauge 3: accuracy", "Gauge 3: smallest step", "Gauge 3: zero before and after", "Gauge 3: not at 20 °C"}, missing(g.Evaluate()))
	require.Equal(t, []string{"barometer"}, missing(evidence.WithoutBarometer(math.NaN())))
	require.Equal(t, []string{"L: data sheet"}, missing(evidence.MeasuringInstrument{Name: "L", Step: 1, PercentFull: 0.5}.Shows(3)), "% of an end that is not known")
	nothing := bourdon()
	require.Contains(t, missing(nothing.Evaluate()), "Gauge 3: repeats")
}

// A certificate replaces the class while it counts or a drift is stated
// (section 1.3 of the specification of evidence).
func TestCertificateReplacesTheClass(t *testing.T) {
	i := evidence.MeasuringInstrument{Name: "G", High: 10, Step: 0.1, ClassPercent: 1, Certificate: &evidence.Certificate{Correction: -0.03, U: 0.04, K: 2, Years: 1, Interval: 2}}
	v := i.Shows(5)
	require.InDelta(t, 4.97, v.X, 1e-12)
	require.InDelta(t, 0.02, size(t, v, "G: certificate"), 1e-12)
	require.Empty(t, v.Flags)

	i.Certificate.Years = 3
	v = i.Shows(5)
	require.Equal(t, []string{evidence.OldCertificate}, v.Flags)
	require.Equal(t, 5.0, v.X)
	require.InDelta(t, 0.1/math.Sqrt(3), size(t, v, "G: class 1 % of the span"), 1e-12)

	i.DriftPerYear = 0.01
	v = i.Shows(5)
	require.InDelta(t, 4.97, v.X, 1e-12)
	require.InDelta(t, 0.03/math.Sqrt(3), size(t, v, "G: drift since its calibration"), 1e-12)

	i.Certificate.K, i.Certificate.Level, i.Certificate.Nu = 0, 0.95, 5 // 2.57: JCGM 100, table G.2
	require.InDelta(t, 0.04/2.57, size(t, i.Shows(5), "G: certificate"), 1e-5)
	require.Equal(t, 5.0, i.Shows(5).Lines[0].Nu)
	i.Certificate.Level = 0
	require.Equal(t, []string{"G: certificate"}, missing(i.Shows(5)))
}

func TestWaterManometer(t *testing.T) {
	m := evidence.WaterManometer{MeasuringInstrument: evidence.MeasuringInstrument{Name: "U"}, Difference: []float64{0.5, 0.502, 0.498}, Swing: 0.004,
		Tilt: evidence.Estimated("tilt", 0, 0.02), Water: evidence.Estimated("water", 15, 2)}
	v := m.Evaluate()
	rho := water.Density(15)
	require.InDelta(t, rho*9.80665*0.5, v.X, 1e-9)
	require.InDelta(t, rho*9.80665*0.0005/math.Sqrt(3), size(t, v, "U: reading of one limb"), 1e-6)
	require.InDelta(t, rho*9.80665*0.002/math.Sqrt2, size(t, v, "U: swing of the meniscus"), 1e-6)
	require.Zero(t, size(t, v, "tilt"), "upright, a little tilt does nothing")
	require.InDelta(t, 9.80665*0.5*(water.Density(13)-water.Density(17))/2, size(t, v, "water"), 1e-9)
}

// Start and stop of 0.1 s each make 0.14 s, whatever the number of fillings, and
// less where the person changes (section 1.4 of the specification of evidence).
func TestBucketAndStopwatch(t *testing.T) {
	watch := evidence.MeasuringInstrument{Name: "watch", Step: 0.01}
	vessel := evidence.Vessel{Name: "bucket", Volume: 0.012, U: 6e-5, Splash: 1e-4}
	v := evidence.BucketAndStopwatch(vessel, evidence.Timing(watch, 1, 24.0, 24.2, 23.8))
	require.InDelta(t, 0.0005, v.X, 1e-12)
	require.InEpsilon(t, 0.0005*0.14142/24, size(t, v, "hand on the stopwatch"), 1e-4)
	require.InEpsilon(t, 0.0005*0.005, size(t, v, "bucket: volume up to the mark"), 1e-6)
	require.InEpsilon(t, 0.0005*1e-4/math.Sqrt(3)/0.012, size(t, v, "bucket: splash"), 1e-6)
	require.Empty(t, missing(v))
	four := evidence.BucketAndStopwatch(vessel, evidence.Timing(watch, 4, 24.0, 24.2, 23.8))
	require.InEpsilon(t, size(t, v, "hand on the stopwatch")/2, size(t, four, "hand on the stopwatch"), 1e-4)
	vessel.U = 0
	require.Equal(t, []string{"bucket: volume up to the mark"}, missing(evidence.BucketAndStopwatch(vessel, evidence.Timing(watch, 1, 24, 25))))
	require.InEpsilon(t, 0.01*1.0011/water.Density(20), evidence.WeighedVolume(0.01, 20), 1e-12)
}

// A level of 10 cm that is forgotten is 1 % (section 1.4).
func TestInvertedBucket(t *testing.T) {
	at := func(level float64) evidence.Value {
		return evidence.InvertedBucket{
			Vessel: evidence.Vessel{Name: "bucket", Volume: 0.01, Mark: 1e-4}, Time: evidence.Timing(evidence.MeasuringInstrument{Name: "watch", Step: 0.01}, 1, 20, 20.1, 19.9),
			Barometer: evidence.Estimated("barometer", 1e5, 100), Level: evidence.Estimated("level", level, 0.005), Water: evidence.Estimated("water", 15, 0.5),
		}.Evaluate(evidence.ISO1217)
	}
	require.InDelta(t, 0.01, at(0.1).X/at(0).X-1, 0.0002)
	require.InEpsilon(t, 0.01/20*1.0186068*(100000-1702.4)/(101825-1702.4), at(0).X, 1e-5, "row of the free-air factor, at another pressure")
	require.InEpsilon(t, at(0).X*9.80665*999.1*0.005/(100000-1702.4), size(t, at(0), "level"), 1e-3)
}

// Half the relative weight for pressure and temperature; G 2.5 %, q_G 50 % at 30 %
// of the full scale is 4.17 % (VDI/VDE 3513-2, a maker's page).
func TestVariableAreaMeter(t *testing.T) {
	dry := func(p, t evidence.Value) evidence.AirAt { return evidence.AirAt{P: p, T: t, RH: evidence.Exactly(0)} }
	m := evidence.VariableAreaMeter{MeasuringInstrument: evidence.MeasuringInstrument{Name: "rota", High: 100, Step: 1}, G: 2.5, QG: 50, Calibrated: evidence.ISO1217, Readings: []float64{30, 30, 30},
		At: dry(evidence.Estimated("p", 1e5, 1e3), evidence.Estimated("t", 20, 1))}
	v := m.Evaluate(evidence.ISO1217)
	require.InDelta(t, 30, v.X, 1e-9)
	require.InDelta(t, 0.04167*30/math.Sqrt(3), size(t, v, "rota: error limit of the meter"), 1e-3)
	require.InDelta(t, 30*0.5*0.01, size(t, v, "p"), 1e-4)
	require.InDelta(t, 30*0.5/293.15, size(t, v, "t"), 1e-4)
	m.At = dry(evidence.Exactly(4e5), evidence.Exactly(20))
	require.InDelta(t, 60, m.Evaluate(evidence.ISO1217).X, 1e-9, "four times as dense: half the volume, four times the air")
	m.G = 0
	require.Equal(t, []string{"rota: error limit of the meter"}, missing(m.Evaluate(evidence.ISO1217)))
}

func TestThermalMeterNeedsDryAir(t *testing.T) {
	m := evidence.ThermalMeter{MeasuringInstrument: evidence.MeasuringInstrument{Name: "mass", High: 10, Step: 0.1, PercentReading: 1, PercentFull: 0.5}, Plate: evidence.AirState{P: 101325, T: 0}, Readings: []float64{4, 4.1}}
	require.Equal(t, []string{"mass: wet air, no dryer"}, missing(m.Evaluate(evidence.ISO1217)))
	m.Dried = true
	v := m.Evaluate(evidence.ISO1217)
	require.Equal(t, []string{evidence.MoistureAndOil}, v.Flags)
	require.InEpsilon(t, 4.05*1.01325*293.15/273.15, v.X, 1e-9, "from 0 °C and one atmosphere, by the gas law")
	require.InEpsilon(t, (0.0405+0.05)/math.Sqrt(3)*1.01325*293.15/273.15, size(t, v, "mass: data sheet"), 1e-9)
}

// At a small hole and difference the plate is Torricelli's; the relative weights
// are ½ for the difference and 2 for the bore (section 1.4).
func TestOrificePlate(t *testing.T) {
	o := evidence.OrificePlate{Name: "plate", Bore: evidence.Estimated("bore", 0.01, 1e-5), Pipe: evidence.Exactly(0.04), C: 0.6, Difference: evidence.Estimated("difference", 50, 0.5),
		At: evidence.AirAt{P: evidence.Exactly(1e5), T: evidence.Exactly(20), RH: evidence.Exactly(0)}}
	v := o.Evaluate(evidence.ISO1217)
	rho, _ := air.Moist(1e5, 20, 0)
	require.InEpsilon(t, source.OrificeFlow(9.80665, 0.6, math.Pi/4*1e-4, 50/(rho*9.80665)), v.X, 3e-3)
	require.InEpsilon(t, v.X*0.0025, size(t, v, "plate: discharge coefficient"), 1e-6)
	require.InEpsilon(t, v.X*0.5*0.01, size(t, v, "difference"), 1e-3)
	require.InEpsilon(t, v.X*2*0.001, size(t, v, "bore"), 5e-3)
	o.HomeMade = true
	require.InEpsilon(t, v.X*0.02/math.Sqrt(3), size(t, o.Evaluate(evidence.ISO1217), "plate: discharge coefficient"), 1e-6)
	o.C = 0
	require.Equal(t, []string{"plate: discharge coefficient"}, missing(o.Evaluate(evidence.ISO1217)))
}

// The row of the notch (computed from ISO 1438), with its millimetre as the zero.
func TestNotch(t *testing.T) {
	n := evidence.Notch{Gauge: evidence.MeasuringInstrument{Name: "hook", Step: 1e-9, Absolute: 1e-9}, Heads: []float64{0.12, 0.12}, Angle: math.Pi / 2, Ce: 0.578, Kh: 0.00085}
	v := n.Evaluate()
	require.InEpsilon(t, 0.00693136, v.X, 1e-6)
	require.InDelta(t, 0.021282, evidence.Combine(v.Lines, 0.95).U/v.X, 5e-6)
	n.HomeMade = true
	require.InEpsilon(t, 0.02*v.X, size(t, n.Evaluate(), "hook: coefficient of the notch"), 1e-6)
}

func TestLoggerThermometerBarometer(t *testing.T) {
	l := evidence.PressureLogger{MeasuringInstrument: evidence.MeasuringInstrument{Name: "log", High: 4e5, Step: 100, PercentFull: 0.5, Zeros: []float64{100, 100}}, Window: evidence.Window{Mean: 2e5, U: 50, Nu: 30, UDrift: 20}, PerKelvin: 0.02, OffBy: -10}
	v := l.Evaluate()
	require.InDelta(t, 199900, v.X, 1e-9)
	require.InDelta(t, 0.005*4e5/math.Sqrt(3), size(t, v, "log: data sheet"), 1e-9)
	require.InDelta(t, 0.0002*4e5*10/math.Sqrt(3), size(t, v, "log: temperature of the sensor"), 1e-9)
	require.InDelta(t, 50, size(t, v, "log: mean of the window"), 1e-12)
	require.Empty(t, missing(v))

	// IEC 60751 class B at 20 °C: ±0.40 K; IEC 60584 class 2: ±2.5 K; from memory.
	pt := evidence.Thermometer(evidence.MeasuringInstrument{Name: "T", Step: 0.1}, evidence.Pt100, 20, 20)
	require.InDelta(t, 0.40/math.Sqrt(3), size(t, pt, "T: data sheet"), 1e-12)
	require.InDelta(t, 2.5/math.Sqrt(3), size(t, evidence.Thermometer(evidence.MeasuringInstrument{Name: "T", Step: 0.1}, evidence.TypeK, 20, 21), "T: data sheet"), 1e-12)
	require.InDelta(t, 1/math.Sqrt(3), size(t, evidence.Thermometer(evidence.MeasuringInstrument{Name: "T", Division: 1}, evidence.Glass, 20, 21), "T: data sheet"), 1e-12)
	require.Equal(t, []string{"T: accuracy"}, missing(evidence.Thermometer(evidence.MeasuringInstrument{Name: "T", Step: 1}, evidence.OtherSensor, 20, 21)))

	require.InDelta(t, 100/math.Sqrt(3), size(t, evidence.Barometer(evidence.MeasuringInstrument{Name: "phone", Step: 10}, 99000, 99010), "phone: data sheet"), 1e-9)
	high := evidence.WithoutBarometer(1000)
	require.InDelta(t, 89876, high.X, 5, "ISO 2533, table, from memory")
	require.Equal(t, []string{evidence.StandardAtmosphere}, high.Flags)
	require.InDelta(t, 3000/math.Sqrt(3), evidence.Combine(high.Lines, 0.95).U, 1e-9)
}

// The class of one gauge cancels in a difference and does not shrink in a mean of
// points; repeats do (sections 1.5, 1.7 and 7 of the specification of evidence).
func TestOneGaugeTwice(t *testing.T) {
	first, second := bourdon(4.0e5, 4.1e5, 4.2e5).Evaluate(), bourdon(3.0e5, 3.1e5, 3.2e5).Evaluate()
	difference := evidence.Through(func(x []float64) float64 { return x[0] - x[1] }, first, second)
	both := evidence.Combine(difference.Lines, 0.95).U
	own := math.Hypot(math.Hypot(size(t, first, "Gauge 3: repeats"), size(t, first, "Gauge 3: smallest step")), size(t, first, "Gauge 3: not at 20 °C"))
	require.InDelta(t, math.Sqrt2*own, both, 1)

	class, zero := size(t, first, "Gauge 3: class 1.6 % of the span"), size(t, first, "Gauge 3: zero before and after")
	height, warm := size(t, first, "height of the gauge"), size(t, first, "water in the line")
	require.InEpsilon(t, class*class+zero*zero+height*height+warm*warm, evidence.Common(first, second), 1e-9)
}

// A set of readings that enters a result by two ways is one error; the next set is another.
func TestReadingsThatEnterTwice(t *testing.T) {
	minus := func(x []float64) float64 { return x[0] - x[1] }
	read := bourdon(4.0e5, 4.1e5, 4.2e5).Evaluate()
	first, next := read.Within("point 1"), read.Within("point 2")
	require.Zero(t, evidence.Combine(evidence.Through(minus, first, first).Lines, 0.95).U)
	require.NotZero(t, evidence.Combine(evidence.Through(minus, first, next).Lines, 0.95).U)
	require.Less(t, evidence.Common(first, next), evidence.Common(first, first))
}

// Quantities of one point share every error: the variances are those of the
// budgets, and of the same quantity twice the correlation is 1.
func TestQuantitiesOfOnePoint(t *testing.T) {
	all := evidence.ThroughAll(func(x []float64) []float64 { return []float64{x[0], 2 * x[0], x[0] * x[1]} }, bourdon(4.0e5, 4.1e5, 4.2e5).Evaluate(), evidence.Estimated("flow", 0.01, 0.001))
	cov := evidence.Together(all)
	for i, v := range all {
		u := evidence.Combine(v.Lines, 0.95).U
		require.InEpsilon(t, u*u, cov[i][i], 1e-9)
	}
	require.InEpsilon(t, 2*cov[0][0], cov[0][1], 1e-9)
	require.InEpsilon(t, 0.01*cov[0][0], cov[0][2], 1e-9)
}
