package evidence_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/evidence"
)

// JCGM 100:2008, table G.2, from memory.
func TestStudentQuantiles(t *testing.T) {
	for nu, k := range map[float64]float64{1: 12.71, 2: 4.30, 3: 3.18, 5: 2.57, 10: 2.23, 20: 2.09, 50: 2.01, 100: 1.984} {
		require.InDelta(t, k, evidence.StudentQuantile(0.975, nu), 0.005, "ν %v", nu)
	}
	require.InDelta(t, 1.959964, evidence.StudentQuantile(0.975, math.Inf(1)), 1e-6)
	require.InDelta(t, -6.31, evidence.StudentQuantile(0.05, 1), 0.005)
	// In closed form: ν = 1 is 1/2 + atan(x)/π, ν = 2 is 1/2 + x/(2√(2 + x²)).
	for _, x := range []float64{-1e6, -40, -3, -1e-3, 0, 1e-5, 0.7, 2, 300} {
		require.InDelta(t, 0.5+math.Atan(x)/math.Pi, evidence.StudentP(x, 1), 1e-14)
		require.InDelta(t, 0.5+x/(2*math.Sqrt(2+x*x)), evidence.StudentP(x, 2), 1e-14)
	}
	// Both sides of the change from one way to the other agree.
	for _, x := range []float64{-20, -8, -3, -1, -1e-3} {
		require.InEpsilon(t, evidence.StudentP(x, 1000), evidence.StudentP(x, math.Nextafter(1000, 2000)), 1e-9)
	}
}
