package parts

import (
	"encoding/binary"
	"slices"
)

// searchSteps bounds a search, some 30 ns a step. Few pieces need a small part of it.
const searchSteps = 20_000_000

// search looks for a plan with a given number of bars, bar by bar: the longest
// piece left must lie in some bar, so the next bar is one with it. Only bars
// are tried into which no piece left would still go: a looser one can't help.
type search struct {
	room, kerf Tenths         // room for pieces with their kerfs in one bar
	size       []Tenths       // of each kind of piece with its kerf, falling
	count      []int          // pieces of each kind still to be cut
	pieces     int            // all of them
	sum        Tenths         // their sizes together
	steps      int            // that may still be taken
	failed     map[string]int // by the pieces left: bars that were not enough
	bars       [][]int        // kinds of the pieces in each finished bar
	bar        []int          // and in the one that is being filled
}

func newSearch(room, kerf Tenths, pieces []Tenths) *search {
	s := &search{room: room, kerf: kerf, pieces: len(pieces), failed: map[string]int{}}
	s.size, s.count = kinds(pieces)
	for i := range s.size {
		s.size[i] += kerf
		s.sum += s.size[i] * Tenths(s.count[i])
	}
	return s
}

// least looks for a plan with fewer bars until there is none, and tells
// whether that is sure.
func (s *search) least(p *Packing) bool {
	s.steps = searchSteps
	for n := p.LowerBound; n < len(p.Bars); n++ {
		if s.fits(n) {
			p.Bars = s.lengths(s.bars)
			return true
		}
		if s.steps <= 0 {
			return false
		}
	}
	return true
}

// fits tells whether the pieces left come out of n bars.
func (s *search) fits(n int) bool {
	if s.sum == 0 {
		return true
	}
	if s.sum > Tenths(n)*s.room || s.most(n) < s.pieces {
		return false
	}
	key := string(s.key())
	if s.failed[key] >= n {
		return false
	}
	done := s.fitsLongest(n)
	if !done && s.steps > 0 {
		s.failed[key] = n
	}
	return done
}

// fitsLongest fills a bar with the longest piece left, and what goes with it.
func (s *search) fitsLongest(n int) bool {
	first := slices.IndexFunc(s.count, func(c int) bool { return c > 0 })
	if s.size[first] > s.room {
		return false
	}
	outer := s.bar
	s.bar = nil
	s.move(first, 1)
	done := s.fill(first, s.room-s.size[first], func() bool {
		s.bars = append(s.bars, slices.Clone(s.bar))
		if s.fits(n - 1) {
			return true
		}
		s.bars = s.bars[:len(s.bars)-1]
		return false
	})
	s.move(first, -1)
	s.bar = outer
	return done
}

// fill tries every way to fill a gap with kinds from here on, most of the
// longest first, until what comes then succeeds.
func (s *search) fill(kind int, gap Tenths, then func() bool) bool {
	if s.steps--; s.steps <= 0 {
		return false
	}
	for kind < len(s.size) && (s.count[kind] == 0 || s.size[kind] > gap) {
		kind++
	}
	if kind == len(s.size) {
		return s.full(gap) && then()
	}
	for k := min(s.count[kind], int(gap/s.size[kind])); k >= 0; k-- {
		s.move(kind, k)
		done := s.fill(kind+1, gap-Tenths(k)*s.size[kind], then)
		s.move(kind, -k)
		if done {
			return true
		}
	}
	return false
}

// full tells whether no piece left goes into the gap.
func (s *search) full(gap Tenths) bool {
	for i := len(s.size) - 1; i >= 0 && s.size[i] <= gap; i-- {
		if s.count[i] > 0 {
			return false
		}
	}
	return true
}

// move puts k pieces of a kind into the bar, or takes them out again.
func (s *search) move(kind, k int) {
	s.count[kind] -= k
	s.pieces -= k
	s.sum -= Tenths(k) * s.size[kind]
	for ; k > 0; k-- {
		s.bar = append(s.bar, kind)
	}
	s.bar = s.bar[:len(s.bar)+k]
}

// most returns how many of the pieces left could come out of n bars, judged by
// the shortest: q bars can hold k or more pieces each only if the k·q shortest
// together fit into q bars.
func (s *search) most(n int) (most int) {
	sums := []Tenths{0}
	for i := len(s.size) - 1; i >= 0; i-- {
		for range s.count[i] {
			sums = append(sums, sums[len(sums)-1]+s.size[i])
		}
	}
	for k := 1; k < len(sums); k++ {
		q := 0
		for q < n && k*(q+1) < len(sums) && sums[k*(q+1)] <= Tenths(q+1)*s.room {
			q++
		}
		most += q
	}
	return most
}

func (s *search) key() (key []byte) {
	for _, n := range s.count {
		key = binary.AppendUvarint(key, uint64(n)) //nolint:gosec // a count
	}
	return key
}

// lengths turns the kinds of the pieces of bars into their lengths.
func (s *search) lengths(plan [][]int) [][]Tenths {
	bars := make([][]Tenths, len(plan))
	for i, bar := range plan {
		bars[i] = s.lengthsOf(bar)
	}
	return bars
}

func (s *search) lengthsOf(bar []int) (pieces []Tenths) {
	for _, kind := range bar {
		pieces = append(pieces, s.size[kind]-s.kerf)
	}
	return pieces
}
