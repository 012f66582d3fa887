package evidence

import "math"

// Value is a quantity as its instruments gave it. Its lines carry their
// sensitivities: [Combine] makes its budget of them.
type Value struct {
	X     float64 // NaN: missing
	Lines []Line
	Flags []string // what a person has to know
}

// Exactly is a value that is known for certain, or whose uncertainty counts elsewhere.
func Exactly(x float64) Value { return Value{X: x} }

// Estimated is a value with a standard uncertainty. What has the same name is the
// same error. NaN is missing.
func Estimated(name string, x, u float64) Value {
	if math.IsNaN(x) {
		u = math.NaN()
	}
	return Value{X: x, Lines: []Line{shared(name, name, u)}}
}

// Within gives each line that has no source one of its own within a named set of
// readings, so that the value may enter several quantities: its repeats are then
// one error in all of them, and another in the next set.
func (v Value) Within(set string) Value {
	lines := make([]Line, len(v.Lines))
	for i, l := range v.Lines {
		if l.Source == "" {
			l.Source = set + ", " + l.Name
		}
		lines[i] = l
	}
	v.Lines = lines
	return v
}

// Through is y = f(x…) of measured values: their lines, each with the slope of f at
// the values. A value that also enters another of them has its set: see [Value.Within].
//
// Source: JCGM 100:2008, 5.1.3, note 2 (slopes by going a standard uncertainty
// either way), from memory.
func Through(f func(x []float64) float64, inputs ...Value) Value {
	return ThroughAll(func(x []float64) []float64 { return []float64{f(x)} }, inputs...)[0]
}

// ThroughAll is [Through] for several quantities at once, all of one operating
// point. Line n of each is the same error: [Together] needs that.
func ThroughAll(f func(x []float64) []float64, inputs ...Value) []Value {
	x := make([]float64, len(inputs))
	for i, v := range inputs {
		x[i] = v.X
	}
	out := make([]Value, len(f(x)))
	for k, y := range f(x) {
		out[k].X = y
	}
	for i, v := range inputs {
		slopes := slopesAt(f, x, i, Combine(v.Lines, Level).U)
		for k := range out {
			out[k].Lines = append(out[k].Lines, Times(slopes[k], v.Lines)...)
			out[k].Flags = append(out[k].Flags, v.Flags...)
		}
	}
	return out
}

// Times returns lines of something of which a result changes by so much for each unit.
func Times(by float64, lines []Line) []Line {
	out := make([]Line, len(lines))
	for i, l := range lines {
		l.Sens *= by
		out[i] = l
	}
	return out
}

// slopesAt is by central difference with a standard uncertainty for step; where
// that is not known or 0, a millionth of the value.
func slopesAt(f func(x []float64) []float64, x []float64, i int, u float64) []float64 {
	h := u
	if !(h > 0) { // NaN too
		h = 1e-6 * math.Max(math.Abs(x[i]), 1e-6)
	}
	moved := append([]float64(nil), x...)
	moved[i] = x[i] + h
	up := append([]float64(nil), f(moved)...)
	moved[i] = x[i] - h
	slopes := append([]float64(nil), f(moved)...)
	for k := range slopes {
		slopes[k] = (up[k] - slopes[k]) / (2 * h)
	}
	return slopes
}

// Together returns the covariance of quantities that [ThroughAll] gave together:
// errors of one source, and each line with itself, are common to them.
//
// Source: JCGM 100:2008, 5.2.2, from memory.
func Together(values []Value) [][]float64 {
	cov := make([][]float64, len(values))
	for i, v := range values {
		cov[i] = make([]float64, len(values))
		for j, w := range values {
			cov[i][j] = Common(v, w)
			for n, l := range v.Lines {
				if l.Source == "" && n < len(w.Lines) && w.Lines[n].Name == l.Name {
					cov[i][j] += l.Sens * l.U * w.Lines[n].Sens * w.Lines[n].U
				}
			}
		}
	}
	return cov
}

// Common returns the covariance of quantities of two points or runs: class,
// certificate and zero of an instrument that both used are one error, repeats and
// resolution are not.
//
// Valid for values in any units; the result is in the product of the two.
//
// Source: JCGM 100:2008, 5.2.2 and F.1.2.3, from memory.
func Common(a, b Value) (cov float64) {
	for _, l := range a.Lines {
		for _, m := range b.Lines {
			if l.Source != "" && l.Source == m.Source {
				cov += l.Sens * l.U * m.Sens * m.U
			}
		}
	}
	return cov
}
