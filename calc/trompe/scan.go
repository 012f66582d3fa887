package trompe

import "math"

// scan looks for places where a residual falls through zero along a row of
// points. A trial that fails leaves a hole, which is not a zero.
type scan struct {
	try   func(x float64, acc accuracy) (trial, Status)
	xs    []float64
	last  *float64 // residual at the last point, when it is known beforehand
	fine  accuracy // of what is found
	slack float64  // relative error of what is found

	loosely  []seen
	roots    []float64
	holes    []Status // in the order of the points
	positive bool
}

type seen struct {
	residual float64
	hole     Status
}

// run finds all roots, in the order of the points.
func (s *scan) run() {
	for i := range s.xs {
		v := s.see(i, loose)
		s.loosely = append(s.loosely, v)
		s.positive = s.positive || (v.hole == "" && v.residual > 0)
	}
	for i, v := range s.loosely {
		if i > 0 && s.falls(i-1, v) {
			s.settleBetween(i-1, i)
		}
		if v.hole != "" {
			s.holes = append(s.holes, v.hole)
		}
	}
}

func (s *scan) falls(before int, v seen) bool {
	b := s.loosely[before]
	return b.hole == "" && b.residual > 0 && (v.hole != "" || v.residual <= 0)
}

// see makes the trial at point i, or takes what is known of it.
func (s *scan) see(i int, acc accuracy) seen {
	if s.last != nil && i == len(s.xs)-1 {
		return seen{residual: *s.last}
	}
	return s.at(s.xs[i], acc)
}

func (s *scan) at(x float64, acc accuracy) seen {
	t, st := s.try(x, acc)
	return seen{t.residual, st}
}

// settleBetween confirms the ends of a bracket at full accuracy, widening it by
// a step where the loose look was mistaken, and finds the root in it.
func (s *scan) settleBetween(i, j int) {
	pos, neg := s.see(i, s.fine), s.see(j, s.fine)
	if (pos.hole != "" || pos.residual <= 0) && i > 0 {
		i--
		pos = s.see(i, s.fine)
	}
	if neg.hole == "" && neg.residual > 0 && j+1 < len(s.xs) {
		j++
		neg = s.see(j, s.fine)
	}
	if pos.hole != "" || pos.residual <= 0 || (neg.hole == "" && neg.residual > 0) {
		return
	}
	s.settle(s.xs[i], s.xs[j], pos.residual, neg)
}

// settle finds the root between a positive place and one that is negative or a
// hole, stepping around holes that it meets on the way.
func (s *scan) settle(pos, far, fPos float64, end seen) {
	for range 8 {
		if end.hole != "" {
			if pos, far, fPos, end = s.bisect(pos, far, fPos, end); end.hole != "" {
				s.holes = append(s.holes, end.hole)
				return
			}
		}
		lo, fLo := pos, fPos
		look := func(x float64) (float64, Status) {
			t, st := s.try(x, s.fine)
			if st == "" && t.residual > 0 && (x-lo)*(far-pos) > 0 {
				lo, fLo = x, t.residual
			}
			return t.residual, st
		}
		x, st := root(look, pos, fPos, far, end.residual, s.slack*math.Abs(far))
		if st == "" {
			s.roots = append(s.roots, x)
			return
		}
		pos, fPos, far, end = lo, fLo, x, seen{hole: st}
	}
}

// bisect looks between a positive place and a hole for a negative one.
func (s *scan) bisect(pos, far, fPos float64, end seen) (p, f, fp float64, e seen) {
	for range 40 {
		mid := pos + (far-pos)/2
		v := s.at(mid, s.fine)
		switch {
		case v.hole != "":
			far, end = mid, v
		case v.residual > 0:
			pos, fPos = mid, v.residual
		default:
			return pos, mid, fPos, v
		}
	}
	return pos, far, fPos, end
}

// why is the status of a row without a root: the code of the last hole where
// some trial had pressure to spare, else the commonest code.
func (s *scan) why() Status {
	if len(s.holes) == 0 {
		return NoOperatingPoint
	}
	if s.positive {
		return s.holes[len(s.holes)-1]
	}
	count := map[Status]int{}
	best := s.holes[0]
	for _, h := range s.holes {
		if count[h]++; count[h] > count[best] {
			best = h
		}
	}
	return best
}

// row returns n points from a to b, both included.
func row(a, b float64, n int) []float64 {
	xs := make([]float64, n)
	for i := range xs {
		xs[i] = a + (b-a)*float64(i)/float64(n-1)
	}
	return xs
}
