package draw

import (
	"math"
	"slices"
	"sort"
)

// pen is a drawing in the making.
type pen struct {
	Drawing
	spots map[string]spot // where a verdict on a part is pinned, by the part's role
}

// spot is a point of a part at which a warning stands.
type spot struct {
	part Part
	at   Point
	side Side
}

func newPen() pen { return pen{empty(), map[string]spot{}} }

// spotted remembers where a verdict on the part of a role is pinned.
func (p *pen) spotted(role string, part Part, at Point, side Side) {
	p.spots[role] = spot{part, at, side}
}

// remark notes something under the drawing, once.
func (p *pen) remark(text string) {
	if !slices.Contains(p.Notes, text) {
		p.Notes = append(p.Notes, text)
	}
}

// area paints a closed shape.
func (p *pen) area(id string, part Part, kind Kind, points ...Point) {
	p.Shapes = append(p.Shapes, Shape{ID: id, Part: part, Kind: kind, Points: points, Closed: true})
}

// mixture paints a closed shape of water with bubbles.
func (p *pen) mixture(id string, part Part, void float64, points ...Point) {
	v := round(void)
	p.Shapes = append(p.Shapes, Shape{ID: id, Part: part, Kind: Mixture, Points: points, Closed: true, Void: &v})
}

// line draws an open shape.
func (p *pen) line(id string, part Part, kind Kind, points ...Point) {
	p.Shapes = append(p.Shapes, Shape{ID: id, Part: part, Kind: kind, Points: points})
}

// fit places a fitting.
func (p *pen) fit(id string, part Part, kind FittingKind, at Point) {
	p.Fittings = append(p.Fittings, Fitting{id, part, kind, at})
}

// rect lists the corners of an upright rectangle.
func rect(x0, z0, x1, z1 float64) []Point {
	return []Point{pt(x0, z0), pt(x1, z0), pt(x1, z1), pt(x0, z1)}
}

// column asks the browser to keep a span of x wide enough to see.
func (p *pen) column(x0, x1 float64) {
	if x1 > x0 {
		p.Columns = append(p.Columns, Span{x0, x1})
	}
}

// close sorts the columns, parts those that overlap at their edges, and fits
// the frame around everything.
func (p *pen) close() {
	p.Columns = disjoint(p.Columns)
	f := Frame{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	hold := func(p Point) {
		f.X0, f.X1 = math.Min(f.X0, p[0]), math.Max(f.X1, p[0])
		f.Z0, f.Z1 = math.Min(f.Z0, p[1]), math.Max(f.Z1, p[1])
	}
	for _, s := range p.Shapes {
		for _, p := range s.Points {
			hold(p)
		}
	}
	for _, f := range p.Fittings {
		hold(f.At)
	}
	for _, l := range p.Levels {
		hold(l.At) // a flow-limited stream may stand far above the water in the basin
	}
	for _, l := range p.Labels {
		hold(l.At)
	}
	for _, w := range p.Warnings {
		hold(w.At)
	}
	for _, d := range p.Dimensions {
		hold(d.From)
		hold(d.To)
	}
	p.Frame = f
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
