package parts

import (
	"maps"
	"slices"
)

// Packing says which pieces are cut from which bar.
type Packing struct {
	LowerBound int        // no plan can do with fewer bars
	FirstFit   int        // bars by first fit decreasing
	Bars       [][]Tenths // the pieces of each bar
	Exact      bool       // no plan has fewer bars
}

// fewPieces is up to how many pieces the search goes on until it is sure.
const fewPieces = 24

// Pack cuts pieces from bars of one usable length. Each piece costs a kerf too,
// but the last kerf may fall off the end. No piece is longer than the usable length.
func Pack(usable, kerf Tenths, pieces []Tenths) Packing {
	room := usable + kerf
	s := newSearch(room, kerf, pieces)
	p := Packing{LowerBound: s.sum.over(room), Bars: firstFit(room, kerf, pieces)}
	p.FirstFit = len(p.Bars)
	steps := valueSteps
	if len(pieces) <= fewPieces {
		steps = glanceSteps
	}
	if plan := s.byValue(p.LowerBound, steps, p.FirstFit); plan != nil {
		p.Bars = s.lengths(plan)
	}
	p.Exact = len(pieces) <= fewPieces && s.least(&p) || len(p.Bars) == p.LowerBound
	return p
}

// firstFit puts the pieces, longest first, each into the first bar with room for it.
func firstFit(room, kerf Tenths, pieces []Tenths) (bars [][]Tenths) {
	var left []Tenths
	var last Tenths
	first := 0
	for _, length := range falling(pieces) {
		if length != last {
			last, first = length, 0
		}
		for first < len(left) && left[first] < length+kerf {
			first++
		}
		if first == len(left) {
			left, bars = append(left, room), append(bars, nil)
		}
		left[first] -= length + kerf
		bars[first] = append(bars[first], length)
	}
	return bars
}

func falling(pieces []Tenths) []Tenths {
	sorted := slices.Clone(pieces)
	slices.SortFunc(sorted, func(a, b Tenths) int { return int(b - a) })
	return sorted
}

// kinds returns the different lengths, falling, and how many there are of each.
func kinds(pieces []Tenths) (lengths []Tenths, counts []int) {
	have := map[Tenths]int{}
	for _, p := range pieces {
		have[p]++
	}
	lengths = falling(slices.Collect(maps.Keys(have)))
	for _, l := range lengths {
		counts = append(counts, have[l])
	}
	return lengths, counts
}
