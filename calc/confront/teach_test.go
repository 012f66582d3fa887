package confront_test

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/confront"
	"leat/calc/evidence"
	"leat/calc/trompe"
)

func lessons(t *testing.T, builds ...confront.Shown) *confront.Lessons {
	t.Helper()
	l, err := confront.NewLessons(builds, []string{"k_c0", "k_v"})
	require.NoError(t, err)
	return l
}

// The pressure in the chamber is that of the water up to the outlet of the riser
// (hydrostatics; 998 kg/m³ · 9.81 m/s²), so that a level known to u makes ρ·g·u of
// pressure. A level that was measured at each point is an error of its own there,
// a size is one of the build, and a gauge that was read twice is one too.
func TestCovarianceOfWhatABuildShows(t *testing.T) {
	t.Parallel()
	const outlet, perMetre = "/riser/outlet_m", 998 * 9.81
	in, faults := trompe.Decode(hose(t))
	require.Empty(t, faults)
	pressure := func(source string) confront.Quantity {
		q := read(confront.DeliveryPressure, 9500, 50)
		q.Lines[0].Source = source
		return q
	}
	at := func(level bool, source string) confront.Point {
		p := confront.Point{Name: "1", Setting: confront.AsDrawn, Measured: []confront.Quantity{pressure(source), read(confront.Efficiency, 0.1, 0.01), {Name: confront.FreeAir}}}
		if level {
			p.Conditions = []confront.Quantity{read(outlet, in.Riser.OutletM, 0.004)}
		}
		return p
	}
	measured := lessons(t, confront.Shown{Build: "a", Runs: []confront.Case{run(t, at(true, "gauge"), at(true, "gauge"))}}).Records[0]
	require.Equal(t, []float64{9500, 9500}, measured.Y, "what is worked out of others, or has no value, is left out")
	require.InEpsilon(t, 2500+math.Pow(0.004*perMetre, 2), measured.R[0][0], 0.02)
	require.InEpsilon(t, 2500, measured.R[0][1], 0.001, "the gauge alone")

	c := run(t, at(false, ""), at(false, ""))
	var whole map[string]any
	require.NoError(t, json.Unmarshal(c.Machine, &whole))
	whole["tolerances"] = map[string]float64{outlet: 0.01}
	text, err := json.Marshal(whole)
	require.NoError(t, err)
	c.Machine = text
	size := lessons(t, confront.Shown{Build: "a", Runs: []confront.Case{c}}).Records[0]
	require.InEpsilon(t, math.Pow(0.01*perMetre, 2)/3, size.R[0][1], 0.02, "the level of the outlet alone")
	require.InEpsilon(t, 2500+math.Pow(0.01*perMetre, 2)/3, size.R[0][0], 0.02)
}

// What is learned from builds is what they were made with, as far as they show
// it: here by our own model, the way there and back.
func TestLearningFromRuns(t *testing.T) {
	t.Parallel()
	in, faults := trompe.Decode(hose(t))
	require.Empty(t, faults)
	truth := []float64{1.5, 0}
	n := trompe.Trial(in.At([]string{"k_c0", "k_v"}, truth))
	require.NotNil(t, n)
	point := confront.Point{Name: "1", Setting: confront.AsDrawn, Measured: []confront.Quantity{
		read(confront.FreeAir, n.FreeAirM3S, 0.01*n.FreeAirM3S), read(confront.WaterFlow, n.WaterFlowM3S, 0.01*n.WaterFlowM3S),
	}}
	silent := confront.Shown{Build: "silent", Runs: []confront.Case{run(t, confront.Point{Name: "1", Setting: confront.AsDrawn})}}
	builds := []confront.Shown{{Build: "a", Runs: []confront.Case{run(t, point)}}, silent, {Build: "b", Runs: []confront.Case{run(t, point)}}, {Build: "c", Runs: []confront.Case{run(t, point)}}}
	l := lessons(t, builds...)
	prior := evidence.PriorOf(2)
	lesson, err := evidence.Learn(prior, l.Records, evidence.Differences(l.Gives), evidence.TheRules)
	require.NoError(t, err)
	require.Equal(t, []int{1}, lesson.Skipped, "a build that shows nothing")
	before, after := l.Gives(0, []float64{0, 0}), l.Gives(0, lesson.M)
	require.Less(t, math.Abs(after[0]-n.FreeAirM3S), 0.4*math.Abs(before[0]-n.FreeAirM3S))

	a, err := evidence.LeaveOneOut(prior, prior, l.Records, evidence.Differences(l.Gives), evidence.TheRules, 3)
	require.NoError(t, err)
	require.Empty(t, a.Reasons, "three builds that agree")
	size, err := evidence.Effective(evidence.SeedOf("lesson"), lesson, prior, l.Records, l.Gives, evidence.TheRules)
	require.NoError(t, err)
	require.Greater(t, size, float64(evidence.EffectiveLeast))

	set, err := trompe.NewSet("1", "from three builds", trompe.Learned{
		Parent: "0", CalcVersion: calc.Version, Names: l.Names, M: lesson.M, P: lesson.P, Omega: lesson.Omega(prior), Delta: evidence.ModelLack,
	})
	require.NoError(t, err)
	c := run(t, point)
	c.Set, c.SetName = set, set.Name
	judged := judge(t, c)
	require.Less(t, *judged.Items[0].UPred, *judge(t, run(t, point)).Items[0].UPred, "the next prediction is surer")
}

func TestLessonsRefuseWhatIsNoMachine(t *testing.T) {
	t.Parallel()
	c := run(t, confront.Point{Name: "1", Setting: confront.AsDrawn, Measured: []confront.Quantity{read(confront.FreeAir, 1, 1)}, Conditions: []confront.Quantity{read("/riser/outlet_m", math.MaxFloat64, 1)}})
	_, err := confront.NewLessons([]confront.Shown{{Build: "a", Runs: []confront.Case{c}}}, []string{"k_v"})
	require.ErrorContains(t, err, "build a")
}
