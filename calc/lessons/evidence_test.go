package lessons_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/confront"
	"leat/calc/evidence"
	"leat/calc/lessons"
)

// judged is a run with one quantity, measured at so much of its prediction.
func judged(build int, ratio, pit float64) lessons.Run {
	return lessons.Run{
		Build: fmt.Sprint(build), Kind: "trompe", Size: 0.03, Settings: []string{confront.AsDrawn},
		Verdict: confront.Verdict{Items: []confront.Item{item(ratio, pit)}},
	}
}

func item(ratio, pit float64) confront.Item {
	predicted, low, high, y, u, crps := 9000.0, 8000.0, 10000.0, 9000*ratio, 9.0, 0.02
	return confront.Item{
		Name: confront.DeliveryPressure, Y: &y, U: &u, Nu: calc.Freedom(math.Inf(1)), Predicted: &predicted, Low: &low, High: &high,
		PIT: &pit, CRPS: &crps, VerdictOut: evidence.VerdictOut{Outcome: evidence.Met},
	}
}

// Section 5.2 of the specification of evidence: with n = 8 and all inside, 95 %
// coverage is known only to be 68 % or more (Wilson). Of values that all lie 4 %
// above their prediction no scatter can be told.
func TestEightBuildsThatAllLieInside(t *testing.T) {
	var runs []lessons.Run
	for i := range 8 {
		runs = append(runs, judged(i, 1.04, 0.3+0.05*float64(i)))
	}
	aside := judged(9, 0.5, 0.01)
	aside.Aside = true
	s := lessons.Sum(append(runs, aside))
	require.Equal(t, 8, s.Builds)
	require.Equal(t, 8, s.Runs)
	require.Equal(t, 1, s.Aside)
	require.Len(t, s.Quantities, 1)
	all := s.Quantities[0].All
	require.Equal(t, []int{8, 1}, []int{all.Kept, all.Aside})
	require.Contains(t, all.Words, "8 kept, 1 set aside.")
	require.Contains(t, all.Words, "With n = 8 and all inside, 95 % coverage is known only to be ≥ 68 %.")
	require.InDelta(t, math.Log(1.04), all.Scatter.Mean, 1e-12)
	require.Zero(t, all.Scatter.Tau)
	require.InDelta(t, 0.02, *all.CRPS, 1e-12)
	require.Equal(t, 8, all.Calibration.Coverage.At50.K, "|2·PIT − 1| is 0.4 at most")
	require.Empty(t, s.Quantities[0].Kinds, "all are of one kind")
	require.Len(t, s.Quantities[0].Points, 9, "what was set aside is shown")
	require.InDelta(t, 1.959964*9, *s.Quantities[0].Points[0].Expanded, 1e-4, "95 % of the normal distribution")
}

func TestTwoBuildsAreListedOnly(t *testing.T) {
	s := lessons.Sum([]lessons.Run{judged(1, 1, 0.5), judged(2, 1.1, 0.9)})
	require.Nil(t, s.Quantities[0].All.Scatter)
	require.Equal(t, "too_few_builds", s.Quantities[0].All.Calibration.Status)
	require.Equal(t, lessons.Summary{Quantities: []lessons.Quantity{}}, lessons.Sum(nil))
}

// Section 5.1: one record of a build and quantity counts, that at the design
// point, or else the first that was confirmed. The others are shown.
func TestOneRecordOfABuildCounts(t *testing.T) {
	held, design, again := judged(1, 1, 0.2), judged(1, 1, 0.4), judged(1, 1, 0.6)
	held.Settings = []string{confront.Held}
	s := lessons.Sum([]lessons.Run{held, design, again})
	points := s.Quantities[0].Points
	require.Equal(t, 1, s.Quantities[0].All.Kept)
	require.Equal(t, []bool{false, true, false}, []bool{points[0].Counted, points[1].Counted, points[2].Counted})
	require.Equal(t, []string{lessons.AnotherRecord}, points[0].Why)

	s = lessons.Sum([]lessons.Run{held})
	require.True(t, s.Quantities[0].Points[0].Counted, "nothing was measured at the design point")
}

func TestWhatIsNotCountedSaysWhy(t *testing.T) {
	late := judged(1, 1, 0.5)
	late.Against = []string{"hindsight"}
	restless := judged(2, 1, 0.5)
	restless.Verdict.Items[0].Reason = evidence.NotSteady
	silent := judged(3, 1, 0.5)
	silent.Verdict.Items[0].PIT = nil
	dropped := judged(4, 1, 0.5)
	dropped.Aside, dropped.Against = true, []string{"hindsight"}
	s := lessons.Sum([]lessons.Run{late, restless, silent, dropped})
	var why [][]string
	for _, p := range s.Quantities[0].Points {
		require.False(t, p.Counted)
		why = append(why, p.Why)
	}
	require.Equal(t, [][]string{{"hindsight"}, {lessons.Unsteady}, {lessons.Incomplete}, {"hindsight", lessons.SetAside}}, why)
	require.Zero(t, s.Builds)
}

func TestMachinesOfTwoKindsStandByThemselvesToo(t *testing.T) {
	boosted := judged(2, 1.2, 0.97)
	boosted.Kind = "pulse"
	s := lessons.Sum([]lessons.Run{judged(1, 1, 0.5), boosted, judged(3, 1, 0.4)})
	require.Len(t, s.Quantities[0].Kinds, 2)
	require.Equal(t, "pulse", s.Quantities[0].Kinds[0].Kind)
	require.Equal(t, 1, s.Quantities[0].Kinds[0].Kept)
	require.Equal(t, 2, s.Quantities[0].Kinds[1].Kept)
}
