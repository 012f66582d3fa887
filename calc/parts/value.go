package parts

import (
	"math"
	"math/rand/v2"
	"slices"
)

// The work of byValue, some 30 ns a step: a glance where a search follows that
// looks at everything, more where none does. One bar may take barSteps of it.
const (
	glanceSteps = 500
	valueSteps  = 1_000_000
	barSteps    = 4_000
)

// byValue looks for a plan with few bars: every bar gets the pieces that are
// worth most together, and pieces that ended in wasteful bars are worth more
// in the next round. It stops at the bound, and returns the best plan as kinds
// of pieces, none if it found none with fewer bars than the known one.
//
// Source of the method: sequential value correction, common practice in
// cutting stock.
func (s *search) byValue(bound, steps, known int) (best [][]int) {
	rng := rand.New(rand.NewPCG(1, 2)) //nolint:gosec // the same plan every time, no secret
	f := filler{size: s.size, value: make([]float64, len(s.size)), steps: steps}
	for i, size := range s.size {
		f.value[i] = float64(size)
	}
	for f.steps > 0 && known > bound {
		f.left = slices.Clone(s.count)
		if bars := f.round(s.room, s.sum, rng); bars != nil && len(bars) < known {
			best, known = bars, len(bars)
		}
	}
	return best
}

// filler fills one bar after the other with what is worth most.
type filler struct {
	size  []Tenths
	value []float64
	left  []int
	steps int // that may still be taken

	bar, best []int // kinds
	worth     float64
	limit     int // steps that this bar may go down to
}

// round cuts all pieces once, or returns nil when the steps run out.
func (f *filler) round(room, sum Tenths, rng *rand.Rand) (bars [][]int) {
	for sum > 0 {
		used := f.worthiest(room)
		if f.steps <= 0 {
			return nil
		}
		f.revalue(float64(room)/float64(used), rng)
		sum -= used
		bars = append(bars, f.best)
	}
	return bars
}

// worthiest takes the worthiest pieces for one bar, into best, and returns
// what they take of it.
func (f *filler) worthiest(room Tenths) (used Tenths) {
	f.steps -= len(f.size)
	f.bar, f.best, f.worth, f.limit = nil, nil, -1, f.steps-barSteps
	f.fill(0, room, 0)
	for _, kind := range f.best {
		used += f.size[kind]
		f.left[kind]--
	}
	return used
}

// fill looks for the worthiest way to fill a gap with kinds from here on.
func (f *filler) fill(kind int, gap Tenths, worth float64) {
	for f.steps--; kind < len(f.size) && (f.left[kind] == 0 || f.size[kind] > gap); kind++ {
		f.steps--
	}
	if kind == len(f.size) {
		if worth > f.worth {
			f.best, f.worth = slices.Clone(f.bar), worth
		}
		return
	}
	for k := min(f.left[kind], int(gap/f.size[kind])); k >= 0 && (f.best == nil || f.steps > f.limit); k-- {
		for range k {
			f.bar = append(f.bar, kind)
		}
		f.fill(kind+1, gap-Tenths(k)*f.size[kind], worth+float64(k)*f.value[kind])
		f.bar = f.bar[:len(f.bar)-k]
	}
}

// revalue raises the value of the kinds in a bar by what it wastes; the more
// of a kind is left, the slower.
func (f *filler) revalue(waste float64, rng *rand.Rand) {
	for i := 0; i < len(f.best); {
		kind, n := f.best[i], 0
		for ; i < len(f.best) && f.best[i] == kind; i++ {
			n++
		}
		inert := (1 + 0.5*rng.Float64()) * float64(f.left[kind]+n) / float64(n)
		f.value[kind] = (inert*f.value[kind] + waste*math.Pow(float64(f.size[kind]), 1.03)) / (inert + 1)
	}
}
