package evidence_test

import (
	"math"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/evidence"
)

var seed = evidence.SeedOf("tests")

func numbered(d int) []string {
	names := make([]string, d)
	for i := range names {
		names[i] = strconv.Itoa(i)
	}
	return names
}

func columns(rows [][]float64) [][]float64 {
	all := make([][]float64, len(rows[0]))
	for c := range all {
		for _, row := range rows {
			all[c] = append(all[c], row[c])
		}
	}
	return all
}

// By definition of the Latin hypercube: of k draws one lies in each k-th part.
func TestDrawIsAHypercubeInEachBatch(t *testing.T) {
	rows := evidence.Draw(seed, 101, 2, []string{"a", "b"})
	for _, column := range columns(rows) {
		for _, batch := range [][]float64{column[:50], column[50:]} {
			slices.Sort(batch)
			for i, u := range batch {
				require.Equal(t, i, int(u*float64(len(batch))))
			}
		}
	}
}

func TestColumnsAreDrawnByTheirNames(t *testing.T) {
	one := columns(evidence.Draw(seed, 64, 2, []string{"a", "b"}))
	other := columns(evidence.Draw(seed, 64, 2, []string{"c", "a"}))
	require.Equal(t, one[0], other[1], "what two designs share is drawn alike")
	require.NotEqual(t, one[0], one[1])
	require.NotEqual(t, one[0][:32], one[0][32:], "batches are independent")
	again, err := evidence.ParseSeed(seed.String())
	require.NoError(t, err)
	require.Equal(t, one, columns(evidence.Draw(again, 64, 2, []string{"a", "b"})))
	_, err = evidence.ParseSeed("c0ffee")
	require.ErrorContains(t, err, "64 hexadecimal digits")
}

// Quantiles of the standard normal distribution: table in JCGM 100:2008, annex G
// (1.960 and 2.576), the others from any statistical table; from memory.
func TestNormalQuantiles(t *testing.T) {
	for p, z := range map[float64]float64{0.5: 0, 0.8413447461: 1, 0.975: 1.959963985, 0.995: 2.575829304, 0.025: -1.959963985} {
		require.InDelta(t, z, evidence.PhiInverse(p), 1e-8)
		require.InDelta(t, 3+2*z, evidence.Normal(p, 3, 2, math.Inf(-1), math.Inf(1)), 1e-7)
	}
	// Cut off at one standard deviation on both sides, the quartiles follow from
	// the table: Φ(z) = 0.5 + 0.25·(2·0.8413447461 − 1).
	require.InDelta(t, evidence.PhiInverse(0.5+0.25*0.6826894921), evidence.Normal(0.75, 0, 1, -1, 1), 1e-8)
	require.GreaterOrEqual(t, evidence.Normal(1e-12, 0.2, 1, 0.2, 0.3), 0.2)
	require.LessOrEqual(t, evidence.Normal(1-1e-12, 0.2, 1, 0.2, 0.3), 0.3)
	require.InDelta(t, 6.5, evidence.Rectangular(0.75, 6, 1), 1e-15)
}

// Which of the sorted trials are the ends: JCGM 101:2008, 7.7, worked by hand.
func TestEndsOfTheInterval(t *testing.T) {
	for _, c := range []struct {
		m         int
		low, high float64
	}{
		{2, 1, 2},           // q = min(⌊2.4⌋, 1) = 1, r = ⌈1/2⌉ = 1
		{20, 1, 20},         // q = ⌊19.5⌋ = 19, r = ⌈1/2⌉ = 1
		{100, 3, 98},        // q = ⌊95.5⌋ = 95, r = ⌈5/2⌉ = 3
		{512, 13, 499},      // q = ⌊486.9⌋ = 486, r = 26/2
		{1000, 25, 975},     // q = 950, r = 50/2
		{10_001, 250, 9751}, // q = ⌊9501.45⌋ = 9501, r = 500/2
	} {
		y := []float64{math.NaN()}
		for i := c.m; i > 0; i-- {
			y = append(y, float64(i))
		}
		got, ok := evidence.Summarise(y)
		require.True(t, ok)
		require.Equal(t, [3]float64{float64(c.m), c.low, c.high}, [3]float64{float64(got.Valid), got.Low, got.High})
	}
	_, ok := evidence.Summarise([]float64{1, math.NaN()})
	require.False(t, ok)
}

// JCGM 101:2008, 9.3.2 and 7.9.2: u = 0.0754 has δ = 0.0005 with two digits and
// 0.005 with one; from memory. The carry: 0.0996 rounds to 0.10.
func TestNumericalTolerance(t *testing.T) {
	for _, c := range []struct {
		u      float64
		digits int
		delta  float64
	}{{0.0754, 2, 0.0005}, {0.0754, 1, 0.005}, {0.0996, 2, 0.005}, {35, 2, 0.5}, {0, 2, 0}} {
		require.InDelta(t, c.delta, evidence.NumericalTolerance(c.u, c.digits), 1e-15, "%v", c)
	}
}

func TestSettled(t *testing.T) {
	at := func(x float64) evidence.Summary { return evidence.Summary{Mean: x, U: 1, Low: x - 2, High: x + 2} }
	require.True(t, evidence.Settled([]evidence.Summary{at(10), at(10.3)}, 1, 1), "2·0.212/√2 = 0.3 is below δ = 0.5")
	require.False(t, evidence.Settled([]evidence.Summary{at(10), at(10.6)}, 1, 1), "0.6 is not")
	require.False(t, evidence.Settled([]evidence.Summary{at(10)}, 1, 1), "one batch says nothing")
}

// The shares of a sum of independent inputs are their parts of the variance:
// for JCGM 101:2008, 9.2.4, 100/103 and 1/103 each; closed form.
func TestRankingOfASum(t *testing.T) {
	scale := []float64{1, 1, 1, 10}
	rows := evidence.Draw(seed, 512, 2, []string{"0", "1", "2", "3"})
	y := make([]float64, len(rows))
	all := make([]bool, len(rows))
	for i, row := range rows {
		for c, u := range row {
			y[i] += scale[c] * u
		}
		all[i] = i%7 > 0 // failed draws are left out
	}
	r, ok := evidence.Regress(rows, all)
	require.True(t, ok)
	got := r.Rank(y)
	require.False(t, got.Rough)
	for c, s := range scale {
		require.InDelta(t, s*s/103, got.Share[c], 0.01)
	}
	require.Nil(t, r.Rank(make([]float64, len(y))).Share, "what does not vary has no ranking")
	_, ok = evidence.Regress(rows[:9], all[:9])
	require.False(t, ok, "too few draws for a plane")
}

// The Ishigami function, a = 7, b = 0.1, is far from a plane: squared
// correlations are given. In closed form cov(x₁, y) = 1 + bπ⁴/5, var x₁ = π²/3,
// V = a²/8 + bπ⁴/5 + b²π⁸/18 + ½ (Ishigami and Homma 1990; V = 13.844587940719),
// and x₂, x₃ have none.
func TestRankingOfAFunctionThatIsNoPlane(t *testing.T) {
	rows := evidence.Draw(seed, 8192, 2, []string{"0", "1", "2"})
	y := make([]float64, len(rows))
	all := make([]bool, len(rows))
	for i, row := range rows {
		y[i], all[i] = ishigami(row), true
	}
	spread, _ := evidence.Summarise(y)
	require.InDelta(t, 13.844587940719, spread.U*spread.U, 0.3)
	r, ok := evidence.Regress(rows, all)
	require.True(t, ok)
	got := r.Rank(y)
	require.True(t, got.Rough)
	cov := 1 + 0.1*math.Pow(math.Pi, 4)/5
	require.InDelta(t, cov*cov/(math.Pi*math.Pi/3*13.844587940719), got.Share[0], 0.03)
	require.InDelta(t, 0, got.Share[1], 0.01)
	require.InDelta(t, 0, got.Share[2], 0.01)
}
