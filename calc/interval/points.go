package interval

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strconv"
	"sync"
	"sync/atomic"

	"leat/calc/evidence"
	"leat/calc/trompe"
)

// Point is a machine as it ran once: set as it was set, and with the conditions
// that were measured then, each by its path into the input.
type Point struct {
	Machine    trompe.Input
	Conditions []trompe.Unknown
}

// Batch is how many draws of several points are made at a time.
const Batch = 5000

// Ensemble is what several points of one machine may give: in each draw all
// points have the same coefficients and sizes, and conditions of their own.
type Ensemble struct {
	Trials [][][]float64 // by point, draw and output; nil where there is no operating point

	points  []Point
	outputs func(point int, n *trompe.Numbers) []float64
	seed    evidence.Seed
	batch   int
	columns []trompe.Unknown // At of a condition begins with the number of its point
	at      [][]int          // by point: the columns of its unknowns, then of its conditions
	own     [][]trompe.Unknown
}

// NewEnsemble prepares the draws of some points; outputs says which numbers of a
// point are wanted. batch is how many draws [Ensemble.Add] makes.
func NewEnsemble(points []Point, seed evidence.Seed, batch int, outputs func(point int, n *trompe.Numbers) []float64) *Ensemble {
	e := &Ensemble{Trials: make([][][]float64, len(points)), points: points, outputs: outputs, seed: seed, batch: batch}
	for i, p := range points {
		measured := func(u trompe.Unknown) bool {
			return slices.ContainsFunc(p.Conditions, func(c trompe.Unknown) bool { return c.At == u.At })
		}
		own := slices.DeleteFunc(p.Machine.Unknowns(), measured)
		var at []int
		for _, u := range own {
			at = append(at, e.column(u))
		}
		for _, c := range p.Conditions {
			own = append(own, c)
			c.At = strconv.Itoa(i) + c.At
			at = append(at, e.column(c))
		}
		e.at, e.own = append(e.at, at), append(e.own, own)
	}
	return e
}

func (e *Ensemble) column(u trompe.Unknown) int {
	if i := slices.IndexFunc(e.columns, func(c trompe.Unknown) bool { return c.At == u.At }); i >= 0 {
		return i
	}
	e.columns = append(e.columns, u)
	return len(e.columns) - 1
}

// Draws is how many draws were made.
func (e *Ensemble) Draws() int { return len(e.Trials[0]) }

// Add makes one more batch of draws, an independent hypercube of its own. done is
// told how many solutions there are, now and then. It returns the error of ctx
// when that ends.
func (e *Ensemble) Add(ctx context.Context, done func(solved int)) error {
	from := e.Draws()
	names := make([]string, len(e.columns))
	for i, u := range e.columns {
		names[i] = u.At
	}
	s := &sample{unknowns: e.columns, x: evidence.DrawBatch(e.seed, e.batch, from/e.batch, names)}
	if err := s.learned(e.points[0].Machine); err != nil {
		return err
	}
	for i := range e.Trials {
		e.Trials[i] = append(e.Trials[i], make([][]float64, e.batch)...)
	}
	var workers sync.WaitGroup
	var solved atomic.Int64
	n := max(1, runtime.GOMAXPROCS(0)-1) // it takes long: one is left for whoever waits meanwhile
	for w := range n {
		workers.Go(func() {
			for d := w; d < e.batch && ctx.Err() == nil; d += n {
				e.solve(from+d, s.x[d])
				if k := solved.Add(int64(len(e.points))); w == 0 && done != nil {
					done(int(k))
				}
			}
		})
	}
	workers.Wait()
	if err := ctx.Err(); err != nil {
		return fmt.Errorf("interval: %w", err)
	}
	return nil
}

// solve solves one draw at all points.
func (e *Ensemble) solve(draw int, row []float64) {
	for i, p := range e.points {
		values := make([]float64, len(e.own[i]))
		for k, u := range e.own[i] {
			values[k] = quantile(u, row[e.at[i][k]])
		}
		if n := trompe.Trial(p.Machine.With(e.own[i], values)); n != nil {
			e.Trials[i][draw] = e.outputs(i, n)
		}
	}
}

// Output returns one output of a point in every draw, NaN where the draw failed.
func (e *Ensemble) Output(point, output int) []float64 {
	column := make([]float64, e.Draws())
	for d, t := range e.Trials[point] {
		column[d] = math.NaN()
		if t != nil {
			column[d] = t[output]
		}
	}
	return column
}

// Settled tells whether the batches agree on an output to so many digits of its
// standard uncertainty.
func (e *Ensemble) Settled(column []float64, digits int) bool {
	all, ok := evidence.Summarise(column)
	if !ok {
		return false
	}
	var batches []evidence.Summary
	for from := 0; from < len(column); from += e.batch {
		s, ok := evidence.Summarise(column[from : from+e.batch])
		if !ok {
			return false
		}
		batches = append(batches, s)
	}
	return evidence.Settled(batches, all.U, digits)
}
