package draw

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// tightest holds the smallest circle, in radii of the small ones, that takes so
// many equal circles. The cases are proven; from memory of the literature on
// packings of circles (Kravitz 1967, Melissen 1994), each also follows from the
// triangle or polygon that the middles form.
var tightest = map[int]float64{
	1: 1, 2: 2, 3: 1 + 2/math.Sqrt(3), 4: 1 + math.Sqrt2, 5: 1 + 1/math.Sin(math.Pi/5), 6: 3, 7: 3,
	8: 1 + 1/math.Sin(math.Pi/7), 9: 1 + math.Sqrt(2*(2+math.Sqrt2)),
}

func TestFewTubesFindTheTightestCircle(t *testing.T) {
	for n, ratio := range tightest {
		require.Len(t, pack(n, ratio*(1+1e-6), 1), n, "%d tubes", n)
		require.Less(t, len(pack(n, ratio*(1-1e-3), 1)), n, "no packing of %d can be tighter", n)
	}
}

func TestTubesNeitherOverlapNorLeaveTheBore(t *testing.T) {
	r := rand.New(rand.NewPCG(20261125, 2))
	for range 300 {
		n, big := 1+r.IntN(mostDrawn), math.Exp(3.2*r.Float64())
		at := pack(n, big, 1)
		require.LessOrEqual(t, len(at), n)
		require.Less(t, float64(len(at)), 1+big*big*math.Pi/math.Sqrt(12), "denser than rows in triangles: Thue's theorem, with a tube of play for the edge")
		for i, a := range at {
			require.LessOrEqual(t, math.Hypot(a[0], a[1])+1, big*(1+1e-6))
			for _, b := range at[:i] {
				require.GreaterOrEqual(t, math.Hypot(a[0]-b[0], a[1]-b[1]), 2*(1-1e-6), "%d tubes in %g", n, big)
			}
		}
	}
}
