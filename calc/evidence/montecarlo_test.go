package evidence_test

import (
	"cmp"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/calctest"
	"leat/calc/evidence"
)

// trials is how many draws the checks of JCGM 101 take.
const trials = 200_000

func normal(u, mean, s float64) float64 {
	return evidence.Normal(u, mean, s, math.Inf(-1), math.Inf(1))
}

// propagate runs a model with draws of d inputs.
func propagate(d int, model func(u []float64) float64) []float64 {
	y := make([]float64, trials)
	for i, u := range evidence.Draw(seed, trials, 2, numbered(d)) {
		y[i] = model(u)
	}
	return y
}

// The additive models of JCGM 101: four inputs of mean 0.
func TestAdditiveModels(t *testing.T) {
	calctest.Rows(t, "109-111", func(t *testing.T, row calctest.Value) {
		scale := []float64{1, 1, 1, 1}
		if strings.Contains(row["quantity"], "10 times") {
			scale[3] = 10
		}
		got, ok := evidence.Summarise(propagate(4, func(u []float64) (y float64) {
			for i, s := range scale {
				if strings.Contains(row["quantity"], "normal") {
					y += normal(u[i], 0, s)
				} else {
					y += evidence.Rectangular(u[i], 0, s*math.Sqrt(3))
				}
			}
			return y
		}))
		require.True(t, ok)
		want, tolerance := row.Figures(t, "expected"), row.Figures(t, "tolerance")[0]
		require.InDelta(t, 0, got.Mean, tolerance)
		require.InDelta(t, want[0], got.U, tolerance)
		require.InDelta(t, want[2], got.Low, tolerance) // want[1] is 95 %
		require.InDelta(t, want[3], got.High, tolerance)
	})
}

// massCalibration is the difference in mg of a weight from 100 g, weighed in air:
// density of the air a, of the weight w and of the reference r, in kg/m³.
func massCalibration(u []float64) float64 {
	const nominal = 1e5
	a, w, r := evidence.Rectangular(u[2], 1.2, 0.1), evidence.Rectangular(u[3], 8000, 1000), evidence.Rectangular(u[4], 8000, 50)
	return (normal(u[0], nominal, 0.050)+normal(u[1], 1.234, 0.020))*(1+(a-1.2)*(1/w-1/r)) - nominal
}

func TestMassCalibration(t *testing.T) {
	y := propagate(5, massCalibration)
	got, ok := evidence.Summarise(y)
	require.True(t, ok)
	calctest.Rows(t, "112", func(t *testing.T, row calctest.Value) {
		want, tolerance := row.Figures(t, "expected"), row.Figures(t, "tolerance")
		require.InDelta(t, want[0], got.Mean, tolerance[0])
		require.InDelta(t, want[1], got.U, tolerance[1])
	})
	calctest.Rows(t, "113", func(t *testing.T, row calctest.Value) {
		want, tolerance := row.Figures(t, "expected"), row.Figures(t, "tolerance")[0]
		low, high := got.ShortLow, got.ShortHigh
		require.InDelta(t, want[0], low, tolerance)
		require.InDelta(t, want[1], high, tolerance)
	})
	calctest.Rows(t, "114", func(t *testing.T, row calctest.Value) {
		want := row.Figures(t, "expected")
		require.InDelta(t, want[0], evidence.NumericalTolerance(0.0754, 2), 1e-15)
		require.InDelta(t, want[2], evidence.NumericalTolerance(0.0754, 1), 1e-15)
	})
}

// The comparison loss of a microwave calibration, X₁² + X₂². The rows give it in
// millionths. An end of 0 is held to one percent of the other end.
func TestComparisonLoss(t *testing.T) {
	for line, c := range map[string]struct{ x1, mean, u, low, high float64 }{
		"115": {0, 50, 50, 0, 149.79},
		"116": {0.010, 150, 112, 0, 367},
		"117": {0.050, 2551, 503, 1590, 3543},
	} {
		calctest.Rows(t, line, func(t *testing.T, _ calctest.Value) {
			y := propagate(2, func(u []float64) float64 {
				return 1e6 * (math.Pow(normal(u[0], c.x1, 0.005), 2) + math.Pow(normal(u[1], 0, 0.005), 2))
			})
			got, ok := evidence.Summarise(y)
			require.True(t, ok)
			low, high := got.ShortLow, got.ShortHigh
			require.InEpsilon(t, c.mean, got.Mean, 0.01)
			require.InEpsilon(t, c.u, got.U, 0.01)
			require.InDelta(t, c.low, low, 0.01*cmp.Or(c.low, c.high))
			require.InEpsilon(t, c.high, high, 0.01)
		})
	}
}

// ishigami is the function of Ishigami and Homma with a = 7 and b = 0.1, of three
// angles within ±π.
func ishigami(u []float64) float64 {
	x := func(i int) float64 { return evidence.Rectangular(u[i], 0, math.Pi) }
	return math.Sin(x(0)) + 7*math.Pow(math.Sin(x(1)), 2) + 0.1*math.Pow(x(2), 4)*math.Sin(x(0))
}

// Lines 118 and 119 in closed form: V₁ = ½(1 + bπ⁴/5)², V₂ = a²/8, V₁₃ =
// 8b²π⁸/225, V their sum; and found by draws.
func TestSharesOfTheIshigamiFunction(t *testing.T) {
	const n, a, b = 8192, 7, 0.1
	pi4 := math.Pow(math.Pi, 4)
	v1, v2, v13 := math.Pow(1+b*pi4/5, 2)/2, a*a/8.0, 8*b*b*pi4*pi4/225
	v := v1 + v2 + v13
	got, ok := evidence.SobolIndices(seed, n, numbered(3), ishigami)
	require.True(t, ok)
	require.Zero(t, got.Failed)
	calctest.Rows(t, "118", func(t *testing.T, row calctest.Value) {
		want := row.Figures(t, "expected")
		require.InDeltaSlice(t, want, []float64{v, v1 / v, v2 / v, 0}, 1e-12)
		require.InDeltaSlice(t, want[1:], got.First, 0.05)
	})
	calctest.Rows(t, "119", func(t *testing.T, row calctest.Value) {
		want := row.Figures(t, "expected")
		require.InDeltaSlice(t, want, []float64{(v1 + v13) / v, v2 / v, v13 / v}, 1e-12)
		require.InDeltaSlice(t, want, got.Total, 0.05)
	})
	require.InEpsilon(t, v, got.Variance, 0.03)
	for i := range got.First {
		require.Less(t, got.FirstError[i], 0.03)
		require.Less(t, math.Abs(got.First[i]-[]float64{v1 / v, v2 / v, 0}[i]), 4*got.FirstError[i]+0.002, "the error says how far it may be off")
	}
}

func TestSharesOfTooLittle(t *testing.T) {
	_, ok := evidence.SobolIndices(seed, 64, numbered(2), func([]float64) float64 { return 3 })
	require.False(t, ok, "nothing varies")

	// A sum has its shares alone; an answer in seven is missing.
	i := 0
	got, ok := evidence.SobolIndices(seed, 4096, numbered(2), func(u []float64) float64 {
		if i++; i%28 == 0 {
			return math.NaN()
		}
		return u[0] + 2*u[1]
	})
	require.True(t, ok)
	require.Equal(t, 4096/7, got.Failed)
	require.InDeltaSlice(t, []float64{0.2, 0.8}, got.First, 0.05)
	require.InDeltaSlice(t, []float64{0.2, 0.8}, got.Total, 0.05)
}
