package interval

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/evidence"
	"leat/calc/trompe"
)

// surplusExample is worked case 26 without its intake.k_in, which would make
// that coefficient known; it has the best value of set 0.
func surplusExample(t *testing.T) trompe.Input {
	t.Helper()
	in, faults := trompe.Decode(WorkedInput(t, "26"))
	require.Empty(t, faults)
	in.Intake.KIn = nil
	return in
}

// The interval of the surplus example as the specification of the calculation
// states it, from 150 plain draws by another hand: free air 44 to 101 L/min
// (68 %) and 32 to 143 (95 %), fall wasted 1.34 to 1.67 m (68 %), no draw
// without an operating point, pressure within 0.1 % and water within 4 % (taken
// as 68 %).
//
// An end at probability p of M draws has the standard error √(p(1−p)/M)/f, f the
// density there (M. G. Kendall and A. Stuart, The Advanced Theory of Statistics,
// vol. 1, 10.10, from memory). For M = 150 and a density near the lognormal that
// the 68 % interval has, that is 5 % of an end at 68 % and 9 % at 95 %; three of
// them, and what rounding to whole litres adds, are allowed.
func TestSurplusExampleHasTheIntervalOfItsSpecification(t *testing.T) {
	s, err := newSample(surplusExample(t), evidence.SeedOf("surplus example"), Draws)
	require.NoError(t, err)
	for _, trial := range s.trials {
		require.NotNil(t, trial)
	}
	column := func(name string) []float64 {
		i := slices.IndexFunc(s.trials[0], func(v trompe.Value) bool { return v.Name == name })
		y := s.output(i)
		slices.Sort(y)
		return y
	}
	at := func(y []float64, p float64) float64 { return y[int(p*float64(len(y)))] }

	const perMinute = 60_000 // L/min in a m³/s
	air := column("free_air_delivered_m3s")
	require.InEpsilon(t, 44, at(air, 0.16)*perMinute, 0.16)
	require.InEpsilon(t, 101, at(air, 0.84)*perMinute, 0.16)
	require.InEpsilon(t, 32, at(air, 0.025)*perMinute, 0.28)
	require.InEpsilon(t, 143, at(air, 0.975)*perMinute, 0.28)
	fall := column("surplus_fall_m")
	width := (1.67 - 1.34) / 2
	require.InDelta(t, 1.34, at(fall, 0.16), 3*0.13*width+0.005) // 0.13: the same error, in standard deviations
	require.InDelta(t, 1.67, at(fall, 0.84), 3*0.13*width+0.005)
	pressure, water := column("chamber_gauge_pa"), column("water_flow_m3s")
	for _, p := range []float64{0.16, 0.84} {
		require.InEpsilon(t, 9921, at(pressure, p), 0.001)
		require.InEpsilon(t, 5.397e-3, at(water, p), 0.04)
	}
}

// Of the unknowns of a machine that holds only so much air, the void at which it
// is full matters most: the specification has −32 to +39 % of the air from
// alpha_sat, −17 to +18 % from k_c0, 12 % from k_v and 7 % from k_in.
func TestSurplusExampleRanksItsUnknowns(t *testing.T) {
	in := surplusExample(t)
	s, err := newSample(in, evidence.SeedOf("surplus example"), Draws)
	require.NoError(t, err)
	ranking := s.uncertainty(trompe.Trial(in).Values()).Ranking
	var inputs []string
	for _, share := range ranking {
		if share.Output == "free_air_delivered_m3s" {
			inputs = append(inputs, share.Input)
		}
	}
	require.Equal(t, []string{"/params/alpha_sat", "/params/k_c0", "/params/k_v", "/params/k_in"}, inputs[:4])
}
