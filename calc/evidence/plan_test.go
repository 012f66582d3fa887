package evidence_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/evidence"
)

// By hand: of one coefficient of variance 1, the variance left after values of
// variance s₁, s₂ ... is 1/(1 + Σ1/s), and the information ½·ln of its inverse.
func TestPlanOfOneCoefficient(t *testing.T) {
	candidates := []evidence.Candidate{
		{Name: "coarse", J: []float64{1}, U: 1, Cost: 1},
		{Name: "fine and dear", J: []float64{1}, U: 0.1, Cost: 10},
		{Name: "good", J: []float64{2}, U: 1, Cost: 1},
		{Name: "good again", J: []float64{2}, U: 1, Cost: 1},
	}
	order, ok := evidence.Plan([][]float64{{1}}, candidates, []float64{3}, []float64{0}, 0, 9)
	require.True(t, ok)
	require.Len(t, order, 4)
	known := 1.0
	for i, want := range []struct {
		candidate int
		adds      float64
	}{{2, 4}, {3, 4}, {0, 1}, {1, 100}} {
		known += want.adds
		require.Equal(t, want.candidate, order[i].Candidate, "the first of equals, the most for its cost")
		require.InDelta(t, 1/known, order[i].VarianceLeft, 1e-12)
		require.InDelta(t, math.Log(known)/2, order[i].Information, 1e-12)
	}
	order, ok = evidence.Plan([][]float64{{1}}, candidates, []float64{3}, []float64{0}, 0, 1)
	require.True(t, ok)
	require.Len(t, order, 1)
}

// What a build has of its own is the same in all its values: no number of them
// tells the group more than 1/ω².
func TestPlanOnOneBuildIsHeldBackByWhatIsItsOwn(t *testing.T) {
	var candidates []evidence.Candidate
	for range 20 {
		candidates = append(candidates, evidence.Candidate{J: []float64{1}, U: 0.01, Cost: 1, G: 1})
	}
	order, ok := evidence.Plan([][]float64{{1}}, candidates, []float64{1}, []float64{0.5}, 0.02, 20)
	require.True(t, ok)
	require.Greater(t, order[19].VarianceLeft, 1/(1+1/0.25))
	s := 0.25 + (0.01*0.01+0.02*0.02)/20 // of the mean of 20
	require.InDelta(t, 1/(1+1/s), order[19].VarianceLeft, 1e-9)
}

// Two points far apart on a curve beat ten at one: what one point shows is one
// combination of the coefficients only.
func TestPlanTakesAnotherPoint(t *testing.T) {
	var candidates []evidence.Candidate
	for range 10 {
		candidates = append(candidates, evidence.Candidate{J: []float64{1, 0.2}, U: 0.1, Cost: 1})
	}
	candidates = append(candidates, evidence.Candidate{J: []float64{0.2, 1}, U: 0.1, Cost: 1})
	order, ok := evidence.Plan([][]float64{{1, 0}, {0, 1}}, candidates, []float64{1, 1}, []float64{0, 0}, 0, 2)
	require.True(t, ok)
	require.Equal(t, []int{0, 10}, []int{order[0].Candidate, order[1].Candidate})
}
