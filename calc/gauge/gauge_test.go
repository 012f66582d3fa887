package gauge_test

import (
	"encoding/json"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/confront"
	"leat/calc/evidence"
	"leat/calc/gauge"
)

func take(quantity, method string, values []float64, extra map[string]float64) gauge.Reading {
	return gauge.Reading{Quantity: quantity, Method: method, Values: values, Extra: extra}
}

func (h hand) by(r gauge.Reading) gauge.Reading { r.Instrument = (*gauge.Instrument)(&h); return r }

type hand gauge.Instrument

func air() []gauge.Reading {
	return []gauge.Reading{
		hand{Name: "barometer", Low: 9e4, High: 1.1e5, Resolution: new(10.0), Accuracy: new(100.0)}.by(take(gauge.AirPressure, "barometer", []float64{101325, 101325}, nil)),
		hand{Name: "thermometer", Low: -20, High: 50, Resolution: new(1.0)}.by(take(gauge.AirWarmth, "thermometer", []float64{20, 20}, nil)),
		hand{Name: "thermometer", Low: -20, High: 50, Resolution: new(1.0)}.by(take(gauge.WaterWarmth, "thermometer", []float64{15, 15}, nil)),
		take(gauge.Humidity, "judged", []float64{0.5}, map[string]float64{"half_width": 0.2}),
	}
}

func one(t *testing.T, name string, readings ...gauge.Reading) confront.Quantity {
	t.Helper()
	conditions, measured := gauge.Evaluate(readings, gauge.Site{})
	all := append(conditions, measured...)
	i := slices.IndexFunc(all, func(q confront.Quantity) bool { return q.Name == name })
	require.GreaterOrEqual(t, i, 0, name)
	return all[i]
}

// Source: computed from the formula of ISO 1438 (Kindsvater and Shen):
// checks-evidence, 90°, h 0.120 m, u_h 1 mm, C_e 0.578, k_h 0.85 mm, 0.5 %.
func TestNotchGivesTheWorkedFlow(t *testing.T) {
	t.Parallel()
	// Nothing but the zero of the head is uncertain, besides the plate.
	rule := hand{Name: "rule", Low: 0, High: 1, Resolution: new(1e-9), Accuracy: new(1e-9)}
	q := one(t, confront.WaterFlow, rule.by(take(confront.WaterFlow, "notch", []float64{0.120, 0.120, 0.120}, map[string]float64{"angle_deg": 90, "angle_off_pct": 0, "home_made": 0})))
	require.InEpsilon(t, 0.00693136, *q.Value, 1e-6)
	require.InEpsilon(t, 0.021282, *q.U / *q.Value, 1e-3) // of a slope by differences
}

// Source: V/t, and JCGM 100:2008 4.2 and 4.3 by hand: five times of 25 s with
// s = 0.1581 s, a watch of 0.01 s, hands of 0.1 s twice, a mark of ±0.1 L in 10 L.
func TestBucketGivesVolumeOverTime(t *testing.T) {
	t.Parallel()
	q := one(t, confront.WaterFlow, take(confront.WaterFlow, "bucket", []float64{24.8, 24.9, 25, 25.1, 25.2}, map[string]float64{"volume_m3": 0.010, "mark_m3": 0.0001}))
	require.InEpsilon(t, 0.010/25, *q.Value, 1e-12)
	times := math.Sqrt(0.15811388*0.15811388/5 + 2*0.1*0.1)
	want := math.Hypot(times/25, 0.0001/math.Sqrt(3)/0.010) * 0.010 / 25
	require.InEpsilon(t, want, *q.U, 2e-3) // the watch itself adds a little
	require.Equal(t, 5, q.N)
	require.InEpsilon(t, 0.15811388/25*0.010/25, *q.S, 1e-3)
	require.Equal(t, "ok", q.Status)
}

// Source: EN 837-1, table 11: class 1.6 is 1.6 % of the span; rectangular by JCGM
// 100:2008, 4.3.7. A zero that stood at 1 kPa before and after is taken off.
func TestPressureGaugeHasItsClassInItsBudget(t *testing.T) {
	t.Parallel()
	g := hand{Name: "gauge 7", Low: 0, High: 1e5, Resolution: new(2000.0), ClassPct: new(1.6)}
	reading := g.by(take(confront.DeliveryPressure, "pressure_gauge", []float64{31000, 31000, 31000}, map[string]float64{"zero_before_pa": 1000, "zero_after_pa": 1000}))
	q := one(t, confront.DeliveryPressure, append(air(), reading)...)
	require.InDelta(t, 30000, *q.Value, 1e-6)
	i := slices.IndexFunc(q.Lines, func(l confront.Line) bool { return l.Source == "gauge 7 accuracy" })
	require.InEpsilon(t, 1600/math.Sqrt(3), *q.Lines[i].Signed, 1e-9)
	require.True(t, q.Lines[i].Instrument)
	// The rest: the smallest step read, half of the division of 2 kPa.
	require.InEpsilon(t, math.Hypot(1600/math.Sqrt(3), 1000/math.Sqrt(12)), *q.U, 1e-6)

	without := g.by(take(confront.DeliveryPressure, "pressure_gauge", []float64{31000, 31000}, nil))
	q = one(t, confront.DeliveryPressure, append(air(), without)...)
	require.Equal(t, "incomplete", q.Status, "no zero, no uncertainty")
	require.Nil(t, q.U)
	require.Contains(t, q.Missing, "gauge 7: zero before and after")
}

// Source: the dry-air mass balance, ISO 1217 reference state: air of a vessel is
// saturated. At the barometer's own pressure and 20 °C, drawn dry, the dry air in
// a saturated litre at 15 °C is (p − p_s)/p · 293.15/288.15.
func TestFreeAirIsGivenForWhatTheMachineDraws(t *testing.T) {
	t.Parallel()
	dry := air()
	dry[3] = take(gauge.Humidity, "judged", []float64{0}, map[string]float64{"half_width": 0.01})
	vessel := take(confront.FreeAir, "inverted_vessel", []float64{20, 20.2, 19.8}, map[string]float64{"volume_m3": 0.005, "mark_m3": 0.00005})
	q := one(t, confront.FreeAir, append(dry, vessel)...)
	saturation := 611.2 * math.Exp(17.62*15/(243.12+15))
	require.InEpsilon(t, 0.005/20*(101325-saturation)/101325*293.15/288.15, *q.Value, 1e-6)

	// Without a barometer and an altitude the pressure is missing: no number is made up.
	q = one(t, confront.FreeAir, dry[1], dry[2], vessel)
	require.Nil(t, q.Value)
	require.Equal(t, "incomplete", q.Status)
	require.Contains(t, q.Missing, "barometer")
	// With the altitude it is there, and flagged.
	_, measured := gauge.Evaluate([]gauge.Reading{dry[1], dry[2], vessel}, gauge.Site{AltitudeM: new(0.0)})
	require.NotNil(t, measured[0].U)
	require.Contains(t, measured[0].Flags, evidence.StandardAtmosphere)
	require.Contains(t, measured[0].Flags, evidence.HumidityAssumed)
	// The weather changes air and reference alike: 3 kPa of it is not 1.7 % of the flow.
	weather := 0.0
	for _, l := range measured[0].Lines {
		if l.Source == "weather" {
			weather += *l.Signed
		}
	}
	require.Less(t, math.Abs(weather) / *measured[0].Value, 0.001)
}

// A barometer that was read once is one error, in the vessel and in what the
// machine draws: dq/q of it is dp/(p − p_s(15 °C)) − dp/(p − φ·p_s(20 °C)), JCGM
// 100:2008, 5.2.2, and the scatter of the flow is that of its times: s/t·q, by hand.
func TestAConditionIsOneErrorWhereverItCounts(t *testing.T) {
	t.Parallel()
	readings := air()
	readings[0].Values = []float64{101025, 101625} // half their difference is the uncertainty of the mean
	vessel := take(confront.FreeAir, "inverted_vessel", []float64{20, 20.2, 19.8}, map[string]float64{"volume_m3": 0.005, "mark_m3": 0.00005})
	q := one(t, confront.FreeAir, append(readings, vessel)...)
	saturation := func(t float64) float64 { return 611.2 * math.Exp(17.62*t/(243.12+t)) }
	var repeats []float64
	for _, l := range q.Lines {
		if l.Name == "barometer: repeats" {
			repeats = append(repeats, *l.Signed)
		}
	}
	require.Len(t, repeats, 1)
	require.InEpsilon(t, 300*(1/(101325-saturation(15))-1/(101325-0.5*saturation(20))), repeats[0] / *q.Value, 0.01)
	require.InEpsilon(t, 0.2/20**q.Value, *q.S, 1e-3)
}

// Source: η = p_b·q·ln(1 + p/p_b)/(ρ·g·Q·H), by hand with ρ(15 °C) = 999.1 kg/m³
// (Kell 1975, from memory).
func TestEfficiencyIsWorkedOutOfWhatWasMeasured(t *testing.T) {
	t.Parallel()
	g := hand{Name: "gauge 7", Low: 0, High: 1e5, Resolution: new(2000.0), ClassPct: new(1.6)}
	readings := append(air(),
		g.by(take(confront.DeliveryPressure, "pressure_gauge", []float64{30000, 30000}, map[string]float64{"zero_before_pa": 0, "zero_after_pa": 0})),
		take(confront.FreeAir, "inverted_vessel", []float64{20, 20}, map[string]float64{"volume_m3": 0.005, "mark_m3": 0.00005}),
		take(confront.WaterFlow, "bucket", []float64{25, 25}, map[string]float64{"volume_m3": 0.010, "mark_m3": 0.0001}))
	_, measured := gauge.Evaluate(readings, gauge.Site{HeadM: new(2.0)})
	q := measured[len(measured)-1]
	require.Equal(t, confront.Efficiency, q.Name)
	want := 101325 * *measured[1].Value * math.Log1p(30000/101325.0) / (999.1 * 9.80665 * 0.0004 * 2)
	require.InEpsilon(t, want, *q.Value, 1e-4)
	require.Greater(t, *q.U / *q.Value, 0.005)
}

func TestWhatIsMissingIsSaid(t *testing.T) {
	t.Parallel()
	one := func(values ...float64) confront.Quantity {
		_, measured := gauge.Evaluate([]gauge.Reading{take(confront.WaterFlow, "bucket", values, map[string]float64{"volume_m3": 0.010, "mark_m3": 0.0001})}, gauge.Site{})
		return measured[0]
	}
	single := one(25)
	require.Equal(t, "incomplete", single.Status)
	require.Equal(t, []string{"watch: repeats"}, single.Missing)
	require.Equal(t, "incomplete", one(25, math.NaN()).Status, "one of two is one")
	require.Equal(t, "ok", one(25, 25).Status, "equal readings: the resolution carries it")
	require.Nil(t, one(math.NaN()).Value)
	require.Nil(t, one(0, 0).Value, "no flow is infinite")
}

// Every method has words for all it asks, and reads what nothing else is named for.
func TestMethodsAreDeclared(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, m := range gauge.Methods() {
		require.False(t, seen[m.Name], m.Name)
		seen[m.Name] = true
		require.NotEmpty(t, m.About)
		require.NotEmpty(t, m.Values)
		for _, f := range m.Extra {
			require.NotEmpty(t, f.About, "%s %s", m.Name, f.At)
		}
	}
	for _, quantity := range []string{confront.DeliveryPressure, confront.HighestPressure, confront.FreeAir, confront.WaterFlow, gauge.AirPressure, gauge.LevelOut} {
		require.True(t, slices.ContainsFunc(gauge.Methods(), func(m gauge.Method) bool { return len(m.Of) > 0 && m.Reads(quantity) }), quantity)
	}
}

func TestAQuantityKeepsItsBytes(t *testing.T) {
	t.Parallel()
	q := one(t, confront.WaterFlow, take(confront.WaterFlow, "bucket", []float64{25, 25.2}, map[string]float64{"volume_m3": 0.010, "mark_m3": 0.0001}))
	text, err := json.Marshal(q)
	require.NoError(t, err)
	var again confront.Quantity
	require.NoError(t, json.Unmarshal(text, &again))
	require.Equal(t, q, again)
	require.Equal(t, calc.Freedom(q.Nu), again.Nu)
}
