package evidence_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/evidence"
)

// vessel is 100 L at 20 °C, told at 1 bar and 20 °C, sampled n times every dt s.
func vessel(n int, dt float64, pressure, temp func(t float64) float64) evidence.LeakWatch {
	w := evidence.LeakWatch{Corrected: true, V: 0.1, PRef: 1e5, TRef: 293.15, UChange: math.NaN()}
	for i := range n {
		t := float64(i) * dt
		w.T, w.Temp, w.P = append(w.T, t), append(w.Temp, temp(t)), append(w.P, pressure(t))
	}
	return w
}

func room(float64) float64 { return 293.15 }

// Ideal gas, worked by hand: a vessel of V loses Q·p_ref/V of pressure in a
// second, whatever its gas does with temperature.
func TestLeakOfAnIdealGas(t *testing.T) {
	const q = 2e-6 // m³/s at 1 bar and 20 °C
	warming := func(t float64) float64 { return 293.15 + 3*math.Sin(t/500) }
	w := vessel(200, 10, func(t float64) float64 { return (9e5 - q*1e5/0.1*t) * warming(t) / 293.15 }, warming)
	got := evidence.PressureDecay(w)
	require.InEpsilon(t, -q*1e5/0.1, got.Slope, 1e-9)
	require.InEpsilon(t, q, got.Leak, 1e-9)
	require.True(t, got.Linear)
	// 0.5 K of unknown change: p̄·0.5/(T₀·span), p̄ half way down, and nothing else.
	require.InEpsilon(t, (9e5-2*995)*0.5/(293.15*1990), got.USlope, 1e-6)
	require.InEpsilon(t, got.USlope*0.1/1e5, got.U, 1e-9)
	require.InEpsilon(t, got.Leak+1.6448536*got.U, got.Upper95, 1e-7)
	require.Equal(t, "leak", got.Status)

	w.UChange, w.UV = 0, 0.02
	require.InEpsilon(t, 0.2*q, evidence.PressureDecay(w).U, 1e-6, "a volume known to 20 %% leaves the leak known to 20 %%")
}

// A choked leak is as large as the pressure: p = p₀·exp(−t/θ), and at the start
// Q = p₀·V/(θ·p_ref); closed form.
func TestChokedLeakFallsByItsLogarithm(t *testing.T) {
	w := vessel(100, 60, func(t float64) float64 { return 8e5 * math.Exp(-t/20_000) }, room)
	got := evidence.PressureDecay(w)
	require.False(t, got.Linear)
	require.InEpsilon(t, 1-math.Exp(-5940.0/20_000), got.Fall, 1e-12)
	require.InEpsilon(t, -8e5/20_000, got.Slope, 1e-9)
	require.InEpsilon(t, 8e5*0.1/(20_000*1e5), got.Leak, 1e-9)
}

// 1 K is 0.34 % of the absolute pressure: specification of evidence, section 2.7.
// A fall of half a percent is no leak where nobody read the temperature.
func TestTemperatureIsTheWholeUncertaintyOfAShortTest(t *testing.T) {
	w := vessel(60, 10, func(t float64) float64 { return 8e5 * (1 - 0.005*t/590) }, room)
	require.Equal(t, "none_found", evidence.PressureDecay(vessel(60, 10, func(float64) float64 { return 8e5 }, room)).Status)
	require.Equal(t, "leak", evidence.PressureDecay(w).Status, "twice 0.5 K are less than what fell")
	w.Corrected = false
	got := evidence.PressureDecay(w)
	require.Equal(t, "none_found", got.Status)
	require.InEpsilon(t, 8e5*(1-0.0025)*2/math.Sqrt(3)/(293.15*590), got.USlope, 1e-6)
	require.Greater(t, got.Upper95, got.Leak)
	require.Equal(t, "too_short", evidence.PressureDecay(vessel(4, 10, func(float64) float64 { return 8e5 }, room)).Status)
}

// Specification of evidence, section 2.7 [sim]: an interval of ±2u held the true
// leak in 94.5 % of 200 tests. Here too 200, with a thermometer that is 0.3 K
// off by the end, noise that follows itself, and a quiet gauge.
func TestIntervalHoldsTheTrueLeak(t *testing.T) {
	next := noise(8)
	held := 0
	const tests, q = 200, 1e-6
	for range tests {
		off := 0.3 * next()
		shaking := following(120, 0.5, next)
		i := 0
		w := vessel(120, 30, func(t float64) float64 {
			i++
			return (8e5-q*1e5/0.1*t)*(293.15+off*t/3570)/293.15 + 100*shaking[i-1]
		}, room)
		w.UChange = 0.3
		got := evidence.PressureDecay(w)
		if math.Abs(got.Leak-q) <= 2*got.U {
			held++
		}
	}
	require.InDelta(t, 0.945, float64(held)/tests, 0.04)
}
