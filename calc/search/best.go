package search

import (
	"cmp"
	"slices"

	"leat/calc/trompe"
)

// Search is a grid of machines and what they are to be judged by. It is made by
// [New] and never changes afterwards.
type Search struct {
	asked  Asked
	family Family
	base   trompe.Input
	frames []frame
	levels []level
	list   []candidate
}

// New lays out the grid for a site and a wish, as [Decode] read them.
func New(a Asked) *Search {
	s := &Search{asked: a, family: familyOf(a.Family), base: baseOf(a)}
	s.build()
	return s
}

// Count is the number of candidates.
func (s *Search) Count() int { return len(s.list) }

// judged is a machine that works.
type judged struct {
	i                     int
	air, gauge, wall, dug float64 // m³/s, Pa, m³ of pipe wall, m
}

// pipes tells machines apart: two with the same are one for whoever chooses,
// whatever their chamber, tubes and levels.
type pipes struct {
	down, riser Line
	units       int
}

// Best is what came of some of the candidates.
type Best struct {
	Done    int // candidates judged
	Working int // of them with the status ok
	gauge   float64
	air     float64 // most among those that reach the pressure wanted
	by      map[pipes]judged
}

// Judge solves the candidates from one to another, the latter not included, and
// keeps the best of each set of pipes. It may run on several ranges at once.
func (s *Search) Judge(from, to int) *Best {
	b := &Best{Done: to - from, by: map[pipes]judged{}}
	for i := from; i < to; i++ {
		in := s.machine(i)
		n := trompe.Trial(in)
		if n == nil || !n.Works() {
			continue
		}
		b.Working++
		b.gauge = max(b.gauge, n.BlowOffGaugePa)
		if n.BlowOffGaugePa < s.asked.GaugePa {
			continue
		}
		b.air = max(b.air, n.FreeAirM3S)
		if n.FreeAirM3S >= s.asked.AirM3S {
			s.keep(b, s.pipesOf(i), s.judge(i, in, n))
		}
	}
	return b
}

func (s *Search) judge(i int, in trompe.Input, n *trompe.Numbers) judged {
	return judged{i, n.FreeAirM3S, n.BlowOffGaugePa, s.wall(i, in), s.levels[s.list[i].level].dug}
}

func (s *Search) pipesOf(i int) pipes {
	f := s.frames[s.list[i].frame]
	return pipes{f.down, f.riser, f.units}
}

func (s *Search) keep(b *Best, p pipes, j judged) {
	if old, there := b.by[p]; !there || s.compare(j, old) < 0 {
		b.by[p] = j
	}
}

// Merge adds what came of other candidates. The order of merging makes no
// difference.
func (s *Search) Merge(b, other *Best) {
	b.Done += other.Done
	b.Working += other.Working
	b.gauge, b.air = max(b.gauge, other.gauge), max(b.air, other.air)
	if b.by == nil {
		b.by = map[pipes]judged{}
	}
	for p, j := range other.by {
		s.keep(b, p, j)
	}
}

// compare puts machines in the order of the wish, the better one first. Ties go
// to more air, less pipe, less digging, and last to the place in the grid, so
// that no two are equal.
func (s *Search) compare(x, y judged) int {
	first := 0
	switch s.asked.Wish {
	case LeastPipe:
		first = cmp.Compare(x.wall, y.wall)
	case LeastDigging:
		first = cmp.Compare(x.dug, y.dug)
	}
	return cmp.Or(first, cmp.Compare(y.air, x.air), cmp.Compare(x.wall, y.wall), cmp.Compare(x.dug, y.dug), cmp.Compare(x.i, y.i))
}

// ranked returns the best of each set of pipes, the best one first.
func (s *Search) ranked(b *Best) []judged {
	list := make([]judged, 0, len(b.by))
	for _, j := range b.by {
		list = append(list, j)
	}
	slices.SortFunc(list, s.compare)
	return list
}
