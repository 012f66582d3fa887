package parts_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/parts"
)

// fewest returns the least number of bars by trying every way to share out the
// pieces: over all sets of them, the fewest bars and the least in the last.
func fewest(usable, kerf parts.Tenths, pieces []parts.Tenths) int {
	type state struct {
		bars int
		used parts.Tenths
	}
	room := usable + kerf
	best := make([]state, 1<<len(pieces))
	for set := 1; set < len(best); set++ {
		best[set] = state{bars: len(pieces) + 1}
		for i, p := range pieces {
			if set&(1<<i) == 0 {
				continue
			}
			s := best[set&^(1<<i)]
			if s.bars == 0 || s.used+p+kerf > room {
				s = state{s.bars + 1, 0}
			}
			s.used += p + kerf
			if s.bars < best[set].bars || s.bars == best[set].bars && s.used < best[set].used {
				best[set] = s
			}
		}
	}
	return best[len(best)-1].bars
}

// randomPieces makes n pieces of a bar of this length, long ones or short ones.
func randomPieces(rng *rand.Rand, usable parts.Tenths, n int) (pieces []parts.Tenths) {
	low := 1 + rng.Int64N(int64(usable))/(1+rng.Int64N(6))
	for range n {
		pieces = append(pieces, parts.Tenths(low+rng.Int64N(int64(usable)-low+1)))
	}
	return pieces
}

// requireCut demands that a plan cuts every piece once and overfills no bar.
func requireCut(t *testing.T, usable, kerf parts.Tenths, pieces []parts.Tenths, bars [][]parts.Tenths, note string) {
	var cut []parts.Tenths
	for _, bar := range bars {
		var sum parts.Tenths
		for _, p := range bar {
			sum += p + kerf
			cut = append(cut, p)
		}
		require.NotEmpty(t, bar, note)
		require.LessOrEqual(t, sum, usable+kerf, note)
	}
	slices.Sort(cut)
	want := slices.Sorted(slices.Values(pieces))
	require.Equal(t, want, cut, note)
}

// Expected: every way to share out a few pieces, tried by another method.
func TestFewPiecesTakeTheFewestBars(t *testing.T) {
	rng := rand.New(rand.NewPCG(41, 3))
	for i := range 1500 {
		usable, kerf := parts.Tenths(5+rng.IntN(200)), parts.Tenths(rng.IntN(3))
		pieces := randomPieces(rng, usable, 1+rng.IntN(10))
		p := parts.Pack(usable, kerf, pieces)
		requireCut(t, usable, kerf, pieces, p.Bars, "seed 41, 3")
		require.True(t, p.Exact)
		require.Equal(t, fewest(usable, kerf, pieces), len(p.Bars), "seed 41, 3, case %d: %d, %d, %v", i, usable, kerf, pieces)
	}
}

// Whatever the number of pieces: bound, plan and first fit stand in this order.
func TestPlansKeepTheirBounds(t *testing.T) {
	rng := rand.New(rand.NewPCG(42, 3))
	for i := range 100 {
		usable, kerf := parts.Tenths(1000+rng.IntN(60000)), parts.Tenths(rng.IntN(40))
		pieces := randomPieces(rng, usable, 1+rng.IntN(60))
		p := parts.Pack(usable, kerf, pieces)
		requireCut(t, usable, kerf, pieces, p.Bars, "seed 42, 3")
		require.LessOrEqual(t, p.LowerBound, len(p.Bars), "seed 42, 3, case %d", i)
		require.LessOrEqual(t, len(p.Bars), p.FirstFit, "seed 42, 3, case %d", i)
		require.Equal(t, p.Exact, len(pieces) <= 24 || len(p.Bars) == p.LowerBound, "seed 42, 3, case %d", i)
		// First fit decreasing: at most 11/9 of the fewest and 6/9 (Dósa, from memory).
		if p.Exact {
			require.LessOrEqual(t, 9*p.FirstFit, 11*len(p.Bars)+6, "seed 42, 3, case %d", i)
		}
	}
}

func BenchmarkStock(b *testing.B) {
	c := find(b, "safety/stock")
	for b.Loop() {
		if _, err := c.Run(c.Example); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPublishedInstance(b *testing.B) {
	var pieces []parts.Tenths
	for _, p := range paper {
		for range p[1] {
			pieces = append(pieces, parts.Tenths(p[0]*10))
		}
	}
	for b.Loop() {
		parts.Pack(56000, 0, pieces)
	}
}
