package confront_test

import (
	"context"
	"encoding/json"
	"math"
	"os"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/confront"
	"leat/calc/evidence"
	"leat/calc/interval"
	"leat/calc/trompe"
)

func hose(t testing.TB) json.RawMessage {
	t.Helper()
	text, err := os.ReadFile("../../cmd/leat/testdata/hose.json")
	require.NoError(t, err)
	return text
}

// few are as many draws as a test can wait for.
var few = confront.Draws{Batch: 400, Most: 2}

func read(name string, value, u float64) confront.Quantity {
	return confront.Quantity{Name: name, Value: &value, U: &u, Nu: calc.Freedom(math.Inf(1)), Lines: []confront.Line{{Name: "all", Signed: &u, Nu: calc.Freedom(math.Inf(1)), Instrument: true}}}
}

func run(t testing.TB, points ...confront.Point) confront.Case {
	return confront.Case{
		Machine: hose(t), SetName: "0", Points: points, Draws: few,
		Required: []string{confront.DeliveryPressure, confront.FreeAir, confront.WaterFlow},
	}
}

func judge(t testing.TB, c confront.Case) confront.Verdict {
	t.Helper()
	v, err := confront.Judge(t.Context(), c, nil)
	require.NoError(t, err)
	return v
}

// The promise is the symmetric interval that the calculation "trompe" gives the
// same machine: with other draws, so within their scatter, 0.09 of the standard
// uncertainty at 512 and 0.07 at 800 draws (section 3.4 of the specification of
// evidence, three of these).
func TestThePromiseIsTheIntervalOfThePrediction(t *testing.T) {
	t.Parallel()
	in, faults := trompe.Decode(hose(t))
	require.Empty(t, faults)
	res, err := interval.Predict(hose(t), in, interval.Asked{})
	require.NoError(t, err)
	v := judge(t, run(t, confront.Point{Name: "1", Setting: confront.AsDrawn, Measured: []confront.Quantity{
		read(confront.DeliveryPressure, 9500, 50), read(confront.FreeAir, 3.6e-5, 5e-7), read(confront.WaterFlow, 2.66e-4, 2e-6),
	}}))
	for i, name := range []string{"chamber_gauge_pa", "free_air_delivered_m3s", "water_flow_m3s"} {
		o := res.Uncertainty.Outputs[name]
		item := v.Items[i]
		require.InDelta(t, *o.Low, *item.Low, 0.35*o.U, name)
		require.InDelta(t, *o.High, *item.High, 0.35*o.U, name)
		require.InDelta(t, o.U, *item.UPred, 0.15*o.U, name)
	}
}

// The verdict on each quantity is that of the calculation evidence/verdict for
// the same numbers, and their joint one that of evidence/joint.
func TestAVerdictIsThatOfTheNamedCalculations(t *testing.T) {
	t.Parallel()
	v := judge(t, run(t, confront.Point{Name: "1", Setting: confront.AsDrawn, Measured: []confront.Quantity{
		read(confront.DeliveryPressure, 9500, 150), read(confront.FreeAir, 9e-5, 1e-6), read(confront.WaterFlow, 2.66e-4, 1e-3),
	}}))
	for _, item := range v.Items {
		want, _, fault := evidence.Verdict(evidence.VerdictIn{
			Y: calc.Reading(*item.Y), U: calc.Reading(*item.U), Nu: item.Nu, Lower: item.Low, Upper: item.High, Pred: item.Predicted, UPred: item.UPred, PMet: 0.95, PMiss: 0.975, RepeatabilityKnown: true,
		})
		require.Nil(t, fault)
		require.Equal(t, want, item.VerdictOut, item.Name)
	}
	require.Equal(t, evidence.MissedHigh, v.Items[1].VerdictOut.Outcome, "twice the air")
	require.Equal(t, evidence.TooCoarse, v.Items[2].Reason)
	require.NotEmpty(t, v.Items[2].Decides)
	require.Equal(t, evidence.Missed, v.Outcome.BuildVerdictOut.Outcome)
	require.Equal(t, []string{"free air"}, v.Outcome.Which)
	require.NotEmpty(t, v.Why, "a miss is explained, or said to be beyond explaining")
	require.Less(t, *v.Joint.P, 0.05)
	require.Equal(t, 3, *v.Joint.Rank)
}

// One instrument read twice is one error: a second reading of the same quantity
// by the same gauge says nothing more. Section 7 of the specification of evidence.
func TestAQuantityThatStandsTwiceLeavesTheJointVerdict(t *testing.T) {
	t.Parallel()
	shared := func(name string, value, u float64) confront.Quantity {
		q := read(name, value, u)
		q.Lines[0].Source = "gauge 7"
		return q
	}
	once := judge(t, run(t, confront.Point{Name: "1", Setting: confront.AsDrawn, Measured: []confront.Quantity{shared(confront.DeliveryPressure, 9500, 60), read(confront.FreeAir, 3.6e-5, 5e-7)}}))
	twice := judge(t, run(t, confront.Point{Name: "1", Setting: confront.AsDrawn, Measured: []confront.Quantity{
		shared(confront.DeliveryPressure, 9500, 60), shared(confront.DeliveryPressure, 9500, 60), read(confront.FreeAir, 3.6e-5, 5e-7),
	}}))
	require.Equal(t, 2, *twice.Joint.Rank)
	// The seed follows from the case, so the draws differ: within their scatter.
	require.InEpsilon(t, *once.Joint.Chi2, *twice.Joint.Chi2, 0.2)
}

func TestAFrozenVerdictComesOutInTheSameBytes(t *testing.T) {
	c := run(t,
		confront.Point{Name: "low", Setting: confront.Held, Conditions: []confront.Quantity{read("/takeoff/receiver_gauge_pa", 2000, 30), read("/site/t_water_c", 11, 0.3)}, Measured: []confront.Quantity{read(confront.FreeAir, 5e-5, 2e-6)}},
		confront.Point{Name: "shut", Setting: confront.Shut, Measured: []confront.Quantity{read(confront.HighestPressure, 9800, 90)}})
	one, err := json.Marshal(judge(t, c))
	require.NoError(t, err)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	two, err := json.Marshal(judge(t, c))
	require.NoError(t, err)
	require.Equal(t, string(one), string(two))
}

// What was measured of the conditions moves the prediction, and is uncertain in
// it: colder water, or a head that is hardly known.
func TestConditionsOfTheHourMoveThePromise(t *testing.T) {
	t.Parallel()
	at := func(conditions ...confront.Quantity) confront.Item {
		return judge(t, run(t, confront.Point{Name: "1", Setting: confront.AsDrawn, Conditions: conditions, Measured: []confront.Quantity{read(confront.FreeAir, 3.6e-5, 5e-7)}})).Items[0]
	}
	drawn, lower, vague := at(), at(read("/riser/outlet_m", 1.1, 1e-6)), at(read("/riser/outlet_m", 1.0, 0.1))
	require.Less(t, *lower.Predicted, *drawn.Predicted-*drawn.UPred/2, "less fall, less air")
	require.Greater(t, *vague.UPred, *drawn.UPred*1.2, "a fall that is hardly known")
}

func TestWhatCannotBePredictedIsSaid(t *testing.T) {
	t.Parallel()
	v := judge(t, run(t, confront.Point{Name: "1", Setting: confront.Held, Measured: []confront.Quantity{read(confront.FreeAir, 3.6e-5, 5e-7)}}))
	require.Equal(t, "/takeoff/receiver_gauge_pa", v.Faults[0].At)
	require.Equal(t, evidence.NoPromise, v.Items[0].Reason)

	v = judge(t, run(t, confront.Point{Name: "1", Setting: confront.AsDrawn, Conditions: []confront.Quantity{read("/site/rh", 1.4, 0.1)}, Measured: []confront.Quantity{read(confront.FreeAir, 3.6e-5, 5e-7)}}))
	require.Equal(t, "/site/rh", v.Faults[0].At)

	ram := confront.Case{SetName: "0", Required: []string{"delivery_flow_m3s"}, Draws: few, Points: []confront.Point{{Name: "1", Setting: confront.AsDrawn, Measured: []confront.Quantity{read("delivery_flow_m3s", 1e-5, 1e-6)}}}}
	v = judge(t, ram)
	require.Equal(t, evidence.NoPromise, v.Items[0].Reason)
	require.Equal(t, evidence.Undecided, v.Outcome.BuildVerdictOut.Outcome)

	v = judge(t, run(t))
	require.Equal(t, evidence.NothingMeasured, v.Outcome.Reason)
}

// A quantity that was required and is missing, incomplete or unsteady leaves the
// run open; it is never passed over.
func TestARequiredQuantityIsNeverPassedOver(t *testing.T) {
	t.Parallel()
	unsteady := read(confront.FreeAir, 3.6e-5, 5e-7)
	unsteady.Reason = evidence.NotSteady
	vague := confront.Quantity{Name: confront.DeliveryPressure, Value: new(9500.0), Nu: 1}
	v := judge(t, run(t, confront.Point{Name: "1", Setting: confront.AsDrawn, Measured: []confront.Quantity{unsteady, vague}}))
	require.Equal(t, evidence.NotSteady, v.Items[0].Reason)
	require.Equal(t, evidence.IncompleteRecord, v.Items[1].Reason)
	require.Equal(t, evidence.SomeUndecided, v.Outcome.Reason)
	require.Equal(t, []string{"free air", "delivery pressure", "water flow"}, v.Outcome.Which)
	require.Nil(t, v.Joint)
}

func TestADeclaredLimitTakesThePlaceOfTheInterval(t *testing.T) {
	t.Parallel()
	c := run(t, confront.Point{Name: "1", Setting: confront.AsDrawn, Measured: []confront.Quantity{read(confront.FreeAir, 3.6e-5, 1e-7)}})
	c.Limits = []confront.Limit{{Name: confront.FreeAir, Lower: new(5e-5)}}
	v := judge(t, c)
	require.True(t, v.Items[0].Declared)
	require.Equal(t, evidence.MissedLow, v.Items[0].VerdictOut.Outcome)
}

// What would decide follows from the errors, not from the lines: of one error in
// two lines that cancel, JCGM 100:2008, 5.2.2, nothing is left to be known better.
// Of the mean of a logger's window it is the record that is too short.
func TestWhatWouldDecideIsToldOfTheErrors(t *testing.T) {
	t.Parallel()
	free := calc.Freedom(math.Inf(1))
	decides := func(lines ...confront.Line) string {
		q := confront.Quantity{Name: confront.DeliveryPressure, Value: new(9020.0), U: new(20.0), Nu: free, N: 3, Lines: lines}
		c := run(t, confront.Point{Name: "1", Setting: confront.AsDrawn, Measured: []confront.Quantity{q}})
		c.Limits = []confront.Limit{{Name: confront.DeliveryPressure, Lower: new(9000.0)}}
		v := judge(t, c)
		require.Equal(t, evidence.Borderline, v.Items[0].Reason)
		return v.Items[0].Decides
	}
	gauge := func(u float64) confront.Line {
		return confront.Line{Name: "gauge", Signed: &u, Nu: free, Instrument: true}
	}
	weather := func(u float64) confront.Line {
		return confront.Line{Name: "weather", Source: "weather", Signed: &u, Nu: free}
	}
	require.Contains(t, decides(gauge(20), weather(500), weather(-500)), "the instrument that was read can't")
	window := confront.Line{Name: confront.OfWindow + "mean of tank", Signed: new(19.9), Nu: free}
	require.Contains(t, decides(gauge(2), window), "Record for longer")
}

func TestAVerdictCanBeStopped(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(t.Context())
	c := run(t, confront.Point{Name: "1", Setting: confront.AsDrawn, Measured: []confront.Quantity{read(confront.FreeAir, 3.6e-5, 5e-7)}})
	var steps int
	_, err := confront.Judge(ctx, c, func(done, of int) {
		require.LessOrEqual(t, done, of)
		if steps++; steps == 3 {
			cancel()
		}
	})
	require.ErrorIs(t, err, context.Canceled)
}

// BenchmarkVerdict is the usual verdict at one point: 10 000 draws.
func BenchmarkVerdict(b *testing.B) {
	c := run(b, confront.Point{Name: "1", Setting: confront.AsDrawn, Measured: []confront.Quantity{read(confront.DeliveryPressure, 9500, 60), read(confront.FreeAir, 3.6e-5, 5e-7), read(confront.WaterFlow, 2.66e-4, 2e-6)}})
	c.Draws = confront.Draws{Batch: interval.Batch, Most: 2}
	for b.Loop() {
		_, err := confront.Judge(b.Context(), c, nil)
		require.NoError(b, err)
	}
}
