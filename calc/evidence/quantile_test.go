package evidence_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/evidence"
)

// The standard deviations of JCGM 101:2008, 6.4 (and JCGM 100:2008, 4.3), and
// those of the lognormal and t distributions in any handbook; from memory. Here
// by integration of the quantiles.
func TestDeviationsOfDistributions(t *testing.T) {
	const mean, a, beta = 5, 2, 0.3
	for name, c := range map[string]struct {
		quantile func(u float64) float64
		mean, s  float64
	}{
		"rectangular": {func(u float64) float64 { return evidence.Rectangular(u, mean, a) }, mean, a / math.Sqrt(3)},
		"triangular":  {func(u float64) float64 { return evidence.Triangular(u, mean-a, mean, mean+a) }, mean, a / math.Sqrt(6)},
		"skewed":      {func(u float64) float64 { return evidence.Triangular(u, 3, 6, 15) }, 8, math.Sqrt((9.0 + 36 + 225 - 18 - 45 - 90) / 18)},
		"trapezoidal": {func(u float64) float64 { return evidence.Trapezoidal(u, mean, a, beta) }, mean, a * math.Sqrt((1+beta*beta)/6)},
		"arcsine":     {func(u float64) float64 { return evidence.Arcsine(u, mean, a) }, mean, a / math.Sqrt2},
		"lognormal": {
			func(u float64) float64 { return evidence.Lognormal(u, mean, 0.3) },
			mean * math.Exp(0.045), mean * math.Exp(0.045) * math.Sqrt(math.Exp(0.09)-1),
		},
		"scaled t": {func(u float64) float64 { return evidence.ScaledT(u, mean, a, 10) }, mean, a * math.Sqrt(10.0/8)},
	} {
		const n = 100_000
		var sum, squares float64
		for i := range n {
			x := c.quantile((float64(i) + 0.5) / n)
			sum, squares = sum+x-c.mean, squares+(x-c.mean)*(x-c.mean)
		}
		require.InDelta(t, 0, sum/n, 1e-3, name)
		require.InEpsilon(t, c.s, math.Sqrt(squares/n), 1e-3, name)
	}
}

// Single values: 2.228 is the t factor of 10 degrees of freedom at 97.5 % (JCGM
// 100:2008, table G.2, 2.23), from memory.
func TestQuantilesOfDistributions(t *testing.T) {
	require.InDelta(t, 2.228, evidence.ScaledT(0.975, 0, 1, 10), 0.0005)
	require.InDelta(t, 7*math.Exp(0.2*1.959964), evidence.Lognormal(0.975, 7, 0.2), 1e-5)
	require.InDelta(t, 1, evidence.Arcsine(1, 0, 1), 1e-15)
	for _, u := range []float64{0, 0.1, 0.4, 0.5, 0.8, 1} { // the ends of the family
		require.InDelta(t, evidence.Rectangular(u, 3, 2), evidence.Trapezoidal(u, 3, 2, 1), 1e-12)
		require.InDelta(t, evidence.Triangular(u, 1, 3, 5), evidence.Trapezoidal(u, 3, 2, 0), 1e-12)
	}
	require.Equal(t, 1-1e-12, evidence.Probability(50), "a quantile there is finite")
	require.InDelta(t, 0.975, evidence.Probability(1.959963985), 1e-9)
}

// Drawn together, two numbers have the means, deviations and correlation that
// were asked for.
func TestCorrelate(t *testing.T) {
	rows := evidence.Draw(seed, 20_000, 2, numbered(2))
	require.True(t, evidence.Correlate(rows, []float64{1, -2}, [][]float64{{4, 1.8}, {1.8, 1}}))
	var mean [2]float64
	var square [3]float64
	for _, z := range rows {
		a, b := z[0]-1, z[1]+2
		mean[0], mean[1] = mean[0]+a/20_000, mean[1]+b/20_000
		square[0], square[1], square[2] = square[0]+a*a/20_000, square[1]+b*b/20_000, square[2]+a*b/20_000
	}
	require.InDeltaSlice(t, []float64{0, 0}, mean[:], 0.001)
	require.InDeltaSlice(t, []float64{4, 1, 1.8}, square[:], 0.02)
	require.False(t, evidence.Correlate(rows, []float64{0, 0}, [][]float64{{1, 2}, {2, 1}}))
}
