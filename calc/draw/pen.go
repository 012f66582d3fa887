package draw

import (
	"math"
	"sort"
)

// area paints a closed shape.
func (e *elevation) area(id string, part Part, kind Kind, points ...Point) {
	e.Shapes = append(e.Shapes, Shape{ID: id, Part: part, Kind: kind, Points: points, Closed: true})
}

// mixture paints a closed shape of water with bubbles.
func (e *elevation) mixture(id string, part Part, void float64, points ...Point) {
	v := round(void)
	e.Shapes = append(e.Shapes, Shape{ID: id, Part: part, Kind: Mixture, Points: points, Closed: true, Void: &v})
}

// line draws an open shape.
func (e *elevation) line(id string, part Part, kind Kind, points ...Point) {
	e.Shapes = append(e.Shapes, Shape{ID: id, Part: part, Kind: kind, Points: points})
}

// fit places a fitting.
func (e *elevation) fit(id string, part Part, kind FittingKind, at Point) {
	e.Fittings = append(e.Fittings, Fitting{id, part, kind, at})
}

// rect lists the corners of an upright rectangle.
func rect(x0, z0, x1, z1 float64) []Point {
	return []Point{pt(x0, z0), pt(x1, z0), pt(x1, z1), pt(x0, z1)}
}

// column asks the browser to keep a span of x wide enough to see.
func (e *elevation) column(x0, x1 float64) {
	if x1 > x0 {
		e.Columns = append(e.Columns, Span{x0, x1})
	}
}

// close sorts the columns, parts those that overlap at their edges, and fits
// the frame around everything.
func (e *elevation) close() {
	e.Columns = disjoint(e.Columns)
	f := Frame{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	hold := func(p Point) {
		f.X0, f.X1 = math.Min(f.X0, p[0]), math.Max(f.X1, p[0])
		f.Z0, f.Z1 = math.Min(f.Z0, p[1]), math.Max(f.Z1, p[1])
	}
	for _, s := range e.Shapes {
		for _, p := range s.Points {
			hold(p)
		}
	}
	for _, f := range e.Fittings {
		hold(f.At)
	}
	for _, l := range e.Levels {
		hold(l.At) // a flow-limited stream may stand far above the water in the basin
	}
	for _, l := range e.Labels {
		hold(l.At)
	}
	for _, w := range e.Warnings {
		hold(w.At)
	}
	for _, d := range e.Dimensions {
		hold(d.From)
		hold(d.To)
	}
	e.Frame = f
}

// disjoint cuts spans at each other's edges, so that a pipe inside a pipe and
// the ring around it each become a span of their own.
func disjoint(spans []Span) []Span {
	var edges []float64
	for _, s := range spans {
		edges = append(edges, round(s.X0), round(s.X1))
	}
	sort.Float64s(edges)
	out := []Span{}
	for i := 1; i < len(edges); i++ {
		a, b := edges[i-1], edges[i]
		if b > a && covered(spans, (a+b)/2) {
			out = append(out, Span{a, b})
		}
	}
	return out
}

func covered(spans []Span, x float64) bool {
	for _, s := range spans {
		if s.X0 < x && x < s.X1 {
			return true
		}
	}
	return false
}
