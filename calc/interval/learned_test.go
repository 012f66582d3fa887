package interval

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/evidence"
	"leat/calc/trompe"
)

// learnedSet is a set of these coefficients with this correlation of the first
// two; what builds have in common and what is their own is as set 0 has it.
func learnedSet(t *testing.T, correlation float64, m []float64, names ...string) *trompe.Set {
	t.Helper()
	prior := evidence.PriorOf(len(names))
	prior.P[0][1], prior.P[1][0] = correlation, correlation
	set, err := trompe.NewSet("1", "for a test", trompe.Learned{
		Parent: "0", CalcVersion: calc.Version, Names: names, M: m, P: prior.P, Omega: prior.Omega, Delta: evidence.ModelLack,
	})
	require.NoError(t, err)
	return set
}

func allNames() (names []string) {
	set, _ := trompe.SetZero()
	for _, c := range set.Coefficients {
		names = append(names, c.Name)
	}
	return names
}

// Who learned nothing has set 0: m = 0 and P + ω² = 1, by definition.
func TestSetOfWhichNothingWasLearnedSpreadsAsSetZero(t *testing.T) {
	in := surplusExample(t)
	raw, err := json.Marshal(in)
	require.NoError(t, err)
	names := allNames()
	set := learnedSet(t, 0, make([]float64, len(names)), names...)
	for _, seeds := range [][2]string{{"one", "one"}, {"one", "two"}} {
		a, b := evidence.SeedOf(seeds[0]), evidence.SeedOf(seeds[1])
		zero, err := Predict(raw, in, Asked{Draws: 256, Seed: &a})
		require.NoError(t, err)
		same, err := Predict(raw, in, Asked{Draws: 256, Seed: &b, Set: set})
		require.NoError(t, err)
		require.Equal(t, "1", same.Uncertainty.Set)
		slack := 1e-9 // the same draws
		if a != b {
			slack = 4 / math.Sqrt(2*256) // four standard errors of a standard deviation
		}
		for _, name := range []string{"free_air_delivered_m3s", "water_flow_m3s", "surplus_fall_m"} {
			require.InEpsilon(t, zero.Uncertainty.Outputs[name].U, same.Uncertainty.Outputs[name].U, slack, name)
			require.InDelta(t, zero.Uncertainty.Outputs[name].Mean, same.Uncertainty.Outputs[name].Mean, slack*zero.Uncertainty.Outputs[name].U, name)
		}
	}
}

// drawn returns z of one coefficient of every draw, found back from its value:
// k_v and k_f lie so far from their limits that they are normal.
func drawn(t *testing.T, s *sample, name string, best, u float64) (z []float64) {
	t.Helper()
	for i, unknown := range s.unknowns {
		if unknown.At == "/params/"+name {
			for _, row := range s.x {
				z = append(z, (row[i]-best)/u)
			}
		}
	}
	require.NotEmpty(t, z)
	return z
}

// Of a new build, var z = P + ω² and cov = P off the diagonal: with P = 0.75 and
// 0.6, 1 and 0.6.
func TestDrawsOfALearnedSetHangTogether(t *testing.T) {
	in := surplusExample(t).Under(learnedSet(t, 0.6, []float64{1, -0.5}, "k_v", "k_f"))
	s, err := newSample(in, evidence.SeedOf("together"), Draws)
	require.NoError(t, err)
	kv, kf := drawn(t, s, "k_v", 1, 0.15), drawn(t, s, "k_f", 1.1, 0.15)
	one, _ := evidence.Summarise(kv)
	two, _ := evidence.Summarise(kf)
	require.InDelta(t, 1, one.Mean, 0.02)
	require.InDelta(t, -0.5, two.Mean, 0.02)
	require.InDelta(t, 1, one.U, 0.1)
	require.InDelta(t, 1, two.U, 0.1)
	var product float64
	for i := range kv {
		product += (kv[i] - one.Mean) * (kf[i] - two.Mean) / Draws
	}
	require.InDelta(t, 0.6, product, 4*math.Sqrt((1+0.36)/Draws))
	require.True(t, s.together)
	for _, share := range s.uncertainty(trompe.Trial(in).Values()).Ranking {
		require.True(t, share.Rough, "shares of what hangs together need not add up")
	}

	// What the builder knows has no part in it.
	in.Params = map[string]float64{"k_v": 1.05}
	s, err = newSample(in, evidence.SeedOf("together"), Least)
	require.NoError(t, err)
	require.False(t, s.together)
	require.Len(t, s.x[0], len(allNames())-1)
}

// However far a coefficient moves, it stays within its limits.
func TestLearnedCoefficientsStayWithinTheirLimits(t *testing.T) {
	in := surplusExample(t)
	for _, far := range []float64{-40, -4, 4, 40} {
		names := allNames()
		m := make([]float64, len(names))
		for i := range m {
			m[i] = far
		}
		in := in.Under(learnedSet(t, 0.7, m, names...))
		s := &sample{unknowns: in.Unknowns(), batches: 2}
		s.x = evidence.Draw(evidence.SeedOf("far"), 64, 2, names)
		require.NoError(t, s.learned(in))
		for _, row := range s.x {
			for i, u := range s.unknowns {
				x := quantile(u, row[i])
				require.False(t, math.IsInf(x, 0) || math.IsNaN(x), u.At)
				require.GreaterOrEqual(t, x, u.Low, u.At)
				require.LessOrEqual(t, x, u.High, u.At)
			}
		}
	}
}

// The machine itself is solved where the builds say. k_v is so far from its
// limits that z = 2 is two standard deviations of 0.15 above 1.
func TestLearnedSetMovesTheMachine(t *testing.T) {
	in := surplusExample(t)
	moved, err := trompe.Solve(in.Under(learnedSet(t, 0, []float64{2, 0}, "k_v", "k_f")))
	require.NoError(t, err)
	in.Params = map[string]float64{"k_v": 1.3, "k_f": 1.1}
	named, err := trompe.Solve(in)
	require.NoError(t, err)
	require.InEpsilon(t, named.FreeAirM3S, moved.FreeAirM3S, 1e-6)
	require.InEpsilon(t, named.WaterFlowM3S, moved.WaterFlowM3S, 1e-6)
}

// Builds that were made with coefficients of their own teach them: solved with
// k_c0 and alpha_sat off their best, learned from air and water, and the machine
// found again. Measured without error, by our own solver; what is tested is that
// the way there and back is one.
func TestLearningFromMachines(t *testing.T) {
	in := surplusExample(t)
	names := []string{"alpha_sat", "k_c0"}
	model := func(_ int, z []float64) []float64 {
		n := trompe.Trial(in.At(names, z))
		if n == nil {
			return []float64{math.NaN(), math.NaN()}
		}
		return []float64{n.FreeAirM3S, n.WaterFlowM3S}
	}
	truth := []float64{1.2, -0.8}
	y := model(0, truth)
	r := [][]float64{{math.Pow(0.01*y[0], 2), 0}, {0, math.Pow(0.01*y[1], 2)}}
	builds := []evidence.Record{{Name: "a", Y: y, R: r}, {Name: "b", Y: y, R: r}, {Name: "c", Y: y, R: r}}
	lesson, err := evidence.Learn(evidence.PriorOf(2), builds, evidence.Differences(model), evidence.TheRules)
	require.NoError(t, err)
	require.InDelta(t, 1, lesson.Factor, 0)
	require.Equal(t, []float64{1, 1, 1}, lesson.Weights)
	learned := model(0, lesson.M)
	before := model(0, []float64{0, 0})
	require.Less(t, math.Abs(learned[0]-y[0]), 0.25*math.Abs(before[0]-y[0]), "most of the way")

	set, err := trompe.NewSet("2", "learned in a test", trompe.Learned{
		Parent: "0", CalcVersion: calc.Version, Names: names, M: lesson.M, P: lesson.P, Omega: evidence.PriorOf(2).Omega, Delta: evidence.ModelLack,
	})
	require.NoError(t, err)
	res, err := trompe.Solve(in.Under(set))
	require.NoError(t, err)
	require.InEpsilon(t, learned[0], res.FreeAirM3S, 1e-3)

	size, err := evidence.Effective(evidence.SeedOf("check"), lesson, evidence.PriorOf(2), builds, model, evidence.TheRules)
	require.NoError(t, err)
	require.Greater(t, size, float64(evidence.EffectiveLeast))
}

func TestLearnedSetIsReadBack(t *testing.T) {
	set := learnedSet(t, 0.1, []float64{1, 2}, "k_v", "k_f")
	text, err := set.Text()
	require.NoError(t, err)
	again, err := trompe.ParseSet(text)
	require.NoError(t, err)
	require.Equal(t, set, again)
	require.NoError(t, set.Usable())
	zero, _ := trompe.SetZero()
	require.NoError(t, zero.Usable())
	set.Learned.CalcVersion = "0"
	require.ErrorContains(t, set.Usable(), "learn it again")
}

func TestLearnedSetRefuses(t *testing.T) {
	text, err := learnedSet(t, 0.1, []float64{1, 2}, "k_v", "k_f").Text()
	require.NoError(t, err)
	for part, in := range map[string]string{
		`"set": "1"`:                       `"set": "0"`,
		`"parent": "0"`:                    `"parent": "1"`,
		`"calc_version": "` + calc.Version: `"calc_version": "`,
		`"best": 0.85`:                     `"best": 0.8`,
		"\"k_v\",\n      \"k_f\"":          "\"k_v\",\n      \"k_v\"",
		"\"k_v\",\n      \"k_f\"\n    ]":   "\"k_v\",\n      \"k_x\"\n    ]",
		"\"m\": [\n      1,":               "\"m\": [\n      1, 2,",
		"\"omega\": [\n      0.5,":         "\"omega\": [\n      -0.5,",
		"[\n        0.75,\n        0.1\n":  "[\n        0.75,\n        0.2\n",
		"[\n        0.1,\n        0.75\n":  "[\n        0.1,\n        -0.75\n",
		"[\n        0.1,\n        0.75\n ": "[\n        0.1\n ",
		`"delta": 0.02`:                    `"delta": -0.02`,
	} {
		broken := strings.Replace(string(text), part, in, 1)
		require.NotEqual(t, string(text), broken, part)
		_, err := trompe.ParseSet([]byte(broken))
		require.Error(t, err, part)
	}
}
