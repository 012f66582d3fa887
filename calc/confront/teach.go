package confront

import (
	"fmt"
	"math"
	"slices"

	"leat/calc"
	"leat/calc/evidence"
	"leat/calc/trompe"
)

// Shown is what the counted runs of one build show.
type Shown struct {
	Build string
	Runs  []Case
}

// Lessons are builds as [evidence.Learn] takes them.
type Lessons struct {
	Records []evidence.Record
	Names   []string // of the coefficients, in the order of z

	builds [][]shownPoint
}

// shownPoint is a point with the quantities that count.
type shownPoint struct {
	machine    trompe.Input
	conditions []trompe.Unknown
	quantities []Quantity
}

// NewLessons gathers what builds show of these coefficients: all quantities that
// leat predicts, that have an uncertainty and are not worked out of others. Their
// covariance is that of the measurement, with what one source does to several of
// them, and that of the conditions and sizes that the prediction is made with. An
// error names a run that cannot be read as a machine.
func NewLessons(builds []Shown, names []string) (*Lessons, error) {
	l := &Lessons{Names: names}
	for _, b := range builds {
		points, err := b.points()
		if err != nil {
			return nil, fmt.Errorf("confront: build %s: %w", b.Build, err)
		}
		l.builds = append(l.builds, points)
		l.Records = append(l.Records, recordOf(b.Build, points))
	}
	return l, nil
}

func (b Shown) points() (all []shownPoint, err error) {
	fields := fieldsOf()
	for _, run := range b.Runs {
		run.Set = nil // learned from set 0, whatever it was judged by
		for _, p := range run.Points {
			in, faults, err := run.machineAt(p)
			if err != nil {
				return nil, err
			}
			if len(faults) > 0 {
				return nil, fmt.Errorf("point %s: %s %s", p.Name, faults[0].At, faults[0].Message)
			}
			quantities := slices.DeleteFunc(slices.Clone(p.Measured), func(q Quantity) bool { return !q.teaches() || p.holds(q.Name) })
			if len(quantities) > 0 {
				all = append(all, shownPoint{in, p.uncertain(fields), quantities})
			}
		}
	}
	return all, nil
}

// teaches tells whether coefficients may be learned from a quantity.
func (q Quantity) teaches() bool {
	return q.usable() && q.Reason == "" && Predicted(q.Name) && q.Name != Efficiency
}

func recordOf(name string, points []shownPoint) evidence.Record {
	var quantities []Quantity
	for _, p := range points {
		quantities = append(quantities, p.quantities...)
	}
	r := evidence.Record{Name: name, R: square(len(quantities))}
	for i, a := range quantities {
		r.Y = append(r.Y, *a.Value)
		for k, b := range quantities {
			r.R[i][k] = covariance(a, b)
		}
		r.R[i][i] = *a.U * *a.U
	}
	for _, column := range unknownColumns(points) {
		for i := range column {
			for k := range column {
				r.R[i][k] += column[i] * column[k]
			}
		}
	}
	return r
}

// unknownColumns returns what one standard uncertainty of each condition and size
// does to all quantities of a build. A size is the same at all its points.
func unknownColumns(points []shownPoint) (columns [][]float64) {
	sizes := map[string]int{}
	from, n := 0, 0
	for _, p := range points {
		n += len(p.quantities)
	}
	for _, p := range points {
		for _, u := range p.sizes() {
			if _, ok := sizes[u.At]; !ok {
				sizes[u.At] = len(columns)
				columns = append(columns, make([]float64, n))
			}
			copy(columns[sizes[u.At]][from:], p.slope(u, u.Half/math.Sqrt(3)))
		}
		for _, u := range p.conditions {
			column := make([]float64, n)
			copy(column[from:], p.slope(u, u.U))
			columns = append(columns, column)
		}
		from += len(p.quantities)
	}
	return columns
}

// sizes are the measures of a point with a tolerance, but for those that were
// measured there.
func (p shownPoint) sizes() []trompe.Unknown {
	return slices.DeleteFunc(p.machine.Unknowns(), func(u trompe.Unknown) bool {
		return u.Half == 0 || slices.ContainsFunc(p.conditions, func(c trompe.Unknown) bool { return c.At == u.At })
	})
}

// slope is half the difference between one standard uncertainty above and below.
func (p shownPoint) slope(u trompe.Unknown, by float64) []float64 {
	at := func(x float64) []float64 {
		return p.gives(p.machine.With([]trompe.Unknown{u}, []float64{min(max(x, lowOf(u)), highOf(u))}))
	}
	above, below := at(u.Best+by), at(u.Best-by)
	for i := range above {
		above[i] = (above[i] - below[i]) / 2
	}
	return above
}

// lowOf and highOf are the limits of a condition; a size has none.
func lowOf(u trompe.Unknown) float64 {
	if u.Half > 0 {
		return math.Inf(-1)
	}
	return u.Low
}

func highOf(u trompe.Unknown) float64 {
	if u.Half > 0 {
		return math.Inf(1)
	}
	return u.High
}

// gives returns the quantities of a point as a machine should give them, NaN
// where it does not work.
func (p shownPoint) gives(machine trompe.Input) []float64 {
	values := make([]float64, len(p.quantities))
	n := trompe.Trial(machine)
	for i, q := range p.quantities {
		values[i] = math.NaN()
		if n != nil {
			values[i] = outputs[q.Name](n)
		}
	}
	return values
}

// Gives returns what a build should give with the coefficients z: the model that
// is learned from.
func (l *Lessons) Gives(build int, z []float64) (g []float64) {
	for _, p := range l.builds[build] {
		g = append(g, p.gives(p.machine.At(l.Names, z))...)
	}
	return g
}

// fieldsOf returns the inputs of a machine by their paths.
func fieldsOf() map[string]calc.Field {
	fields := map[string]calc.Field{}
	for _, f := range trompe.Inputs() {
		fields[f.At] = f
	}
	return fields
}
