package search

import (
	"encoding/json"
	"slices"
	"strings"

	"leat/calc/trompe"
)

// Thin keeps every third candidate, for tests that solve them all in full.
func (s *Search) Thin() {
	var kept []candidate
	for i := 0; i < len(s.list); i += 3 {
		kept = append(kept, s.list[i])
	}
	s.list = kept
}

// NewOf is [New] with fewer sizes of pipe.
func NewOf(a Asked, names ...string) *Search {
	s := &Search{asked: a, family: familyOf(a.Family), base: baseOf(a)}
	s.family.lines = slices.DeleteFunc(slices.Clone(s.family.lines), func(l Line) bool { return !slices.Contains(names, size(l.Name)) })
	s.build()
	return s
}

// size is the name of a pipe without its rating: d63 of d63 PN10.
func size(name string) string {
	size, _, _ := strings.Cut(name, " PN")
	return size
}

// Machine returns a candidate, and as a sheet would keep it.
func (s *Search) Machine(i int) (trompe.Input, json.RawMessage, error) {
	in := s.machine(i)
	raw, err := text(in)
	return in, raw, err
}

// Outside returns the outside diameter in m of the pipe with this bore in m.
func (s *Search) Outside(bore float64) float64 {
	i := slices.IndexFunc(s.family.lines, func(l Line) bool { return l.BoreM == bore })
	return s.family.lines[i].OuterM
}
