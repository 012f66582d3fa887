package evidence_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/calctest"
	"leat/calc/evidence"
)

// normalSample is evenly spread over the probabilities of a normal distribution.
func normalSample(mean, s float64, n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = mean + s*evidence.PhiInverse((float64(i)+0.5)/float64(n))
	}
	return x
}

// A normal sample that is blurred is a normal distribution with the sum of the
// variances: closed forms.
func TestBlurredPredictions(t *testing.T) {
	sample := append(normalSample(2, 3, 2000), math.NaN())
	blurred := evidence.Blurred(sample, 4, seed)
	require.Len(t, blurred, 2000)
	require.Equal(t, blurred, evidence.Blurred(sample, 4, seed), "the same again")
	require.Equal(t, sample[:2000], evidence.Blurred(sample, 0, seed))
	for _, y := range []float64{-6, 0, 2, 9} {
		require.InDelta(t, 0.5*math.Erfc(-(y-2)/5/math.Sqrt2), evidence.PIT(sample, y, 4), 1e-3)
		require.InDelta(t, evidence.NormalCRPS(2, 5, y), evidence.EnsembleCRPS(blurred, y), 0.1, "5/√2000 is 0.11")
	}
}

// A score is proper: on average over what is measured it is least for the
// distribution that is true.
func TestScoresAreLeastForTheTruth(t *testing.T) {
	mean := func(score func(m, s, y float64) float64, m, s float64) (sum float64) {
		for _, y := range normalSample(0, 1, 2000) {
			sum += score(m, s, y) / 2000
		}
		return sum
	}
	for _, score := range []func(m, s, y float64) float64{evidence.NormalCRPS, evidence.DawidSebastiani} {
		best := mean(score, 0, 1)
		for _, other := range [][2]float64{{0.2, 1}, {-0.2, 1}, {0, 0.8}, {0, 1.25}} {
			require.Greater(t, mean(score, other[0], other[1]), best)
		}
	}
}

// The mean of 20 temperatures and its standard uncertainty, JCGM 100 4.4.3, with
// t for 19 degrees of freedom, 2.09, table G.2.
func TestPairedDifferences(t *testing.T) {
	calctest.Rows(t, "102", calctest.Near(func(t *testing.T, row calctest.Value) []float64 {
		temperatures := row.Figures(t, "inputs")
		mean, half := evidence.PairedDifference(temperatures, make([]float64, len(temperatures)))
		require.InDelta(t, 2.09*0.333, half, 0.003)
		return []float64{mean}
	}))
}

// Line and standard deviation of the slope: NIST StRD, Norris. With u far below
// the scatter about the line, that is what counts.
func TestTrendOfNorris(t *testing.T) {
	data := strd(t).Linear["Norris"]
	u := make([]float64, len(data.X))
	for i := range u {
		u[i] = 0.01
	}
	trend, ok := evidence.TrendOf(data.X, data.Y, u, 0)
	require.True(t, ok)
	free := float64(len(data.X) - 2)
	for lines, got := range map[string]float64{"28": trend.Slope, "29": trend.Half / evidence.StudentQuantile(0.975, free)} {
		calctest.Rows(t, lines, calctest.Near(func(*testing.T, calctest.Value) []float64 { return []float64{got} }))
	}
	_, ok = evidence.TrendOf(data.X[:7], data.Y[:7], u[:7], 0)
	require.False(t, ok, "seven builds are too few")
	// With u far above the scatter the weights count: u/√Σ(x − x̄)².
	var mean, squares float64
	for _, x := range data.X {
		mean += x / float64(len(data.X))
	}
	for i, x := range data.X {
		squares += (x - mean) * (x - mean)
		u[i] = 40
	}
	trend, _ = evidence.TrendOf(data.X, data.Y, u, 900)
	require.InEpsilon(t, 50/math.Sqrt(squares)*evidence.StudentQuantile(0.975, free), trend.Half, 1e-9)
	require.Equal(t, "No trend of pressures with size can be told.", evidence.Trend{Slope: 0.1, Half: 0.2}.Words("pressures", "size"))
	require.Equal(t, "Do pressures depend on size? From one to twice the size, measured over predicted changes by −7 % (−10 to −3 %).",
		evidence.Trend{Slope: -0.1, Half: 0.06}.Words("pressures", "size"))
}

// A covariance has the 95 % interval of few repeats: t of table G.2.
func TestHeavyTails(t *testing.T) {
	require.InDelta(t, 2*4.303/1.96, evidence.HeavyTailed(2, 2), 1e-3)
	require.InDelta(t, 2, evidence.HeavyTailed(2, math.Inf(1)), 1e-15)
	require.InDelta(t, 0.1, evidence.VerdictOut{PLow: new(0.9), PHigh: new(0.05)}.Tail(), 1e-15)
	require.InDelta(t, 1, evidence.VerdictOut{}.Tail(), 0)
}
