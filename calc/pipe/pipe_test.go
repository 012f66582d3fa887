package pipe_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/calctest"
	"leat/calc/pipe"
)

const seed = 7

func chance() func(low, high float64) float64 {
	rng := rand.New(rand.NewPCG(seed, 0))
	return func(low, high float64) float64 { return low * math.Pow(high/low, rng.Float64()) }
}

// The first is an example in the documentation of an open fluid-mechanics
// library, from memory; the others are points of Moody's chart, read to its
// width of a line, from memory.
func TestColebrookAgainstOthers(t *testing.T) {
	for _, c := range []struct{ re, relative, f, share float64 }{
		{1e5, 1e-4, 0.018513866077471648, 1e-12}, {1e5, 0, 0.0180, 0.01}, {1e7, 0, 0.0081, 0.01}, {1e6, 0.001, 0.0199, 0.01}, {1e8, 0.01, 0.0379, 0.01},
	} {
		require.InEpsilon(t, c.f, pipe.Colebrook(c.re, c.relative), c.share, "%v", c)
	}
}

// The factor fulfils the equation, whose both sides are worked out apart.
func TestColebrookFulfilsItsEquation(t *testing.T) {
	between := chance()
	for range 100_000 {
		re, relative := between(4000, 1e12), between(1e-9, 0.499)
		x := 1 / math.Sqrt(pipe.Colebrook(re, relative))
		if right := -2 * math.Log10(relative/3.7+2.51*x/re); math.Abs(x-right) > 1e-12*x {
			t.Fatalf("seed %d: Re %g, ε/D %g: %g and %g", seed, re, relative, x, right)
		}
	}
}

// In the limit of a rough wall the film is gone: 1/√f = 2·log10(3.7·D/ε), by Nikuradse.
func TestRoughLimit(t *testing.T) {
	for _, relative := range []float64{0.001, 0.05, 0.4} {
		require.InEpsilon(t, math.Pow(2*math.Log10(3.7/relative), -2), pipe.Colebrook(1e14, relative), 1e-9)
	}
}

func TestFrictionIsContinuous(t *testing.T) {
	for _, relative := range []float64{0, 0.001, 0.3} {
		for _, re := range []float64{2300, 4000} {
			require.InEpsilon(t, pipe.Friction(re, relative), pipe.Friction(re*(1-1e-12), relative), 1e-9)
		}
	}
	require.Equal(t, []string{"laminar", "transitional", "transitional", "turbulent"}, []string{pipe.Regime(2299), pipe.Regime(2300), pipe.Regime(3999), pipe.Regime(4000)})
}

// Slow flow loses what Hagen and Poiseuille say: 128·ν·ρ·L·Q/(π·D⁴).
func TestSlowFlow(t *testing.T) {
	const d, l, q = 0.02, 7.0, 1e-6
	out, _, fault := pipe.Loss(pipe.LossIn{D: d, L: l, Q: q, Nu: 1e-6, Rho: 1000})
	require.Nil(t, fault)
	require.InEpsilon(t, 128*1e-6*1000*l*q/(math.Pi*math.Pow(d, 4)), out.DpPa, 1e-12)
}

// More water loses more head, and the head that is lost drives the flow back.
func TestFlowIsTheInverseOfLoss(t *testing.T) {
	between := chance()
	for range 5000 {
		in := pipe.LossIn{D: between(0.005, 1), L: between(0.1, 1e4), Q: between(1e-7, 1), K: between(1e-3, 50), Nu: between(3e-7, 2e-6), Rho: 998.2}
		in.Eps = in.D * between(1e-7, 0.4)
		lost, _, fault := pipe.Loss(in)
		require.Nil(t, fault)
		flow, _, fault := pipe.Flow(pipe.FlowIn{D: in.D, L: in.L, H: lost.HLoss, Eps: in.Eps, K: in.K, Nu: in.Nu, Rho: in.Rho})
		require.Nil(t, fault, "seed %d: %+v", seed, in)
		require.InEpsilon(t, in.Q, flow.Q, 1e-11, "seed %d: %+v", seed, in)
		in.Q *= between(1.0001, 3)
		more, _, _ := pipe.Loss(in)
		require.Greater(t, more.HLoss, lost.HLoss, "seed %d: %+v", seed, in)
	}
}

// A hard wall leaves the wave of open water, √(K/ρ) = 1481 m/s at 20 °C
// (handbook value, from memory); every real wall slows it.
func TestWaveInAHardPipe(t *testing.T) {
	require.InEpsilon(t, 1481, pipe.WaveSpeed(2.19e9, 998.2, 1, 1e30, 0.05, 0.003), 0.001)
	between := chance()
	for range 1000 {
		a := pipe.WaveSpeed(2.19e9, 998.2, 1, between(1e8, 1e12), between(0.01, 1), between(0.001, 0.1))
		require.Less(t, a, math.Sqrt(2.19e9/998.2))
	}
}

// Codes and places are those that the specification of systems, sections 0, 1.9,
// 2.2 and 8, states.
func TestFaults(t *testing.T) {
	calctest.Faults(t, pipe.Calculations(), [][4]string{
		{"system/pipe_loss", `{}`, "missing", "/D"},
		{"system/pipe_loss", `{"D": 0.1, "L": 0, "Q": "1"}`, "range", "/L"},
		{"system/pipe_loss", `{"D": 0.1, "L": 1, "Q": 0}`, "range", "/Q"},
		{"system/pipe_loss", `{"D": 0.1, "L": 1, "Q": [1]}`, "not_a_number", "/Q"},
		{"system/pipe_loss", `{"D": 0.1, "L": 1, "Q": 1e999}`, "not_a_number", "/Q"},
		{"system/pipe_loss", `{"D": 0.1, "L": 1, "Q": 0.01, "eps": -1, "K": -1}`, "range", "/eps"},
		{"system/pipe_loss", `{"D": 0.1, "L": 1, "Q": 0.01, "eps": 0.05}`, "range", "/eps"},
		{"system/pipe_loss", `{"D": 0.1, "L": 1, "Q": 0.01, "eps": 0.05, "nu": 0}`, "range", "/nu"},
		{"system/pipe_loss", `{"D": -0.1, "L": 1, "Q": 0.01, "roughness": 1}`, "unknown_field", "/roughness"},
		{"system/pipe_loss", `{"D": 1e-300, "L": 1, "Q": 1, "eps": 0}`, "range", ""},
		{"system/pipe_flow", `{"D": 0.1, "L": 1, "H": null}`, "missing", "/H"},
		{"system/pipe_flow", `{"D": 0.1, "L": 1, "H": 0}`, "infeasible", "/H"},
		{"system/pipe_flow", `{"D": 0.1, "L": 1, "H": -2, "eps": 0.06}`, "range", "/eps"},
		{"system/pipe_flow", `{"D": 0.1, "L": 1, "H": 1e12}`, "range", "/H"},
		{"system/pipe_flow", `{"D": 0.1, "L": 1, "H": 1e-20}`, "range", "/H"},
		{"system/pipe_flow", `{"D": 0.1, "L": 1, "H": 2, "Q": 1}`, "unknown_field", "/Q"},
		{"system/wave_speed", `{"D": 0.05, "E_wall": 3e9}`, "missing", "/wall"},
		{"system/wave_speed", `{"D": 0.05, "wall": 0.003, "E_wall": true}`, "not_a_number", "/E_wall"},
		{"system/wave_speed", `{"D": 0.05, "wall": 0.003, "E_wall": 3e9, "c1": 0}`, "range", "/c1"},
	})
}

// Conditions are those of section 8.1 of the specification.
func TestWarnings(t *testing.T) {
	for in, want := range map[string][]string{
		`{"D": 0.1, "L": 1, "Q": 0.0003}`:   {"W_TRANSITION "}, // Re 3800
		`{"D": 0.1, "L": 1, "Q": 0.0236}`:   {"W_FAST "},       // 3.005 m/s
		`{"D": 0.1, "L": 1, "Q": 0.0235}`:   {},                // 2.992 m/s
		`{"D": 0.001, "L": 1, "Q": 2.4e-6}`: {"W_TRANSITION ", "W_FAST "},
	} {
		require.Equal(t, want, calctest.WarningsOf(calctest.Ask(t, pipe.Calculations(), "system/pipe_loss", in)), in)
	}
}

// The answer is of level A, as section 8 of the specification says.
func TestEvidence(t *testing.T) {
	for _, c := range pipe.Calculations() {
		require.Equal(t, calc.OftenMeasured, calctest.Ask(t, pipe.Calculations(), c.Name, string(c.Example)).Evidence)
	}
}

func FuzzPipe(f *testing.F) { calctest.Fuzz(f, pipe.Calculations()) }

func BenchmarkFlow(b *testing.B) {
	for b.Loop() {
		_, _, _ = pipe.Flow(pipe.FlowIn{D: 0.1, L: 30, H: 2, Nu: 1e-6, Rho: 998.2})
	}
}
