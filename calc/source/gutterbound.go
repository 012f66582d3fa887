package source

import (
	"math"

	"leat/calc"
)

// BoundIn is the section of a gutter.
type BoundIn struct {
	Shape  string  `json:"shape"`
	Width  float64 `json:"width"`  // m
	Depth  float64 `json:"depth"`  // m
	Radius float64 `json:"radius"` // m
}

// BoundOut is the most that a gutter without friction would carry.
type BoundOut struct {
	QLs       float64 `json:"Q_Ls"`
	CoeffLsMm float64 `json:"coeff_Ls_mm"`
}

// FreeFall returns what runs through a section at critical depth, in m³/s:
//
//	Q = √(g·A³/T)
//
// g is in m/s², area A in m², top width T in m.
//
// Valid at a free outlet.
//
// Source: critical flow, any book of hydraulics.
func FreeFall(g, area, top float64) float64 { return math.Sqrt(g * area * area * area / top) }

// CriticalRectangle returns the critical depth in m at the outlet of a
// rectangular gutter that is brim-full at its end:
//
//	y_c = W/√3, from y²/2 + y² = W²/2
//
// depth W is in m.
//
// Valid without friction, level, inflow along the length.
//
// Source: derived here, from conserved momentum.
func CriticalRectangle(depth float64) float64 { return depth / math.Sqrt(3) }

// CriticalHalfRound returns half the angle in rad that the water spans at the
// outlet of a half-round gutter that is brim-full at its end. It solves
//
//	S(φ) + A(φ)²/T(φ) = S(π/2)
//
// with A = φ − sinφ·cosφ, T = 2·sinφ and the first moment about the water
// S = ⅔·sin³φ − A·cosφ, all for the radius 1.
//
// Valid without friction, level, inflow along the length.
//
// Source: derived here, from conserved momentum.
func CriticalHalfRound() float64 {
	low, high := 0.1, math.Pi/2
	for range 60 {
		middle := (low + high) / 2
		area, top := segment(middle)
		moment := 2.0/3*math.Pow(math.Sin(middle), 3) - area*math.Cos(middle)
		if moment+area*area/top < 2.0/3 {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}

// segment returns area and top width of the water in a circle of radius 1.
func segment(half float64) (area, top float64) {
	return half - math.Sin(half)*math.Cos(half), 2 * math.Sin(half)
}

var halfRoundOutlet = CriticalHalfRound()

// Bound answers the most that a gutter without friction would carry.
func Bound(in BoundIn) (BoundOut, []calc.Warning, *calc.Fault) {
	full := in.Width * in.Depth
	yc := CriticalRectangle(in.Depth)
	q := FreeFall(calc.Gravity, in.Width*yc, in.Width)
	if in.Shape == halfRound {
		r := in.Radius
		full = math.Pi / 2 * r * r
		area, top := segment(halfRoundOutlet)
		q = FreeFall(calc.Gravity, area*r*r, top*r)
	}
	return BoundOut{QLs: 1000 * q, CoeffLsMm: 1000 * q / math.Pow(full*1e6, 1.25)}, nil, nil
}

const momentum = "derived here: momentum conserved between the brim-full end and critical depth at the outlet"

var gutterBound = calc.New(calc.Description{
	Name: "system/gutter_bound", Answers: "most that a gutter could carry without friction", Evidence: calc.OftenMeasured,
	Words: []string{"gutter", "limit", "bound", "critical depth"},
	Inputs: []calc.Field{
		calc.OneOf("/shape", "shape of the section", rectangular, halfRound).Preset(rectangular),
		calc.Positive("/width", "m", "width of a rectangular gutter").Need().ReadIf("/shape", rectangular, rectangular),
		calc.Positive("/depth", "m", "depth of a rectangular gutter").Need().ReadIf("/shape", rectangular, rectangular),
		calc.Positive("/radius", "m", "radius of a half-round gutter").Need().ReadIf("/shape", rectangular, halfRound),
	},
	Outputs: []calc.Field{
		calc.Gives("/Q_Ls", "L/s", "most that it could carry", "Q = √(g·A³/T) where S + A²/T = S of the full section", momentum, "/shape", "/width", "/depth", "/radius"),
		calc.Gives("/coeff_Ls_mm", "L/s per mm^2.5", "that, over the full section in mm² to the power 1.25", "Q/A^1.25", "definition", "/Q_Ls", "/width", "/depth", "/radius"),
	},
	Equation: "S(y_c) + A²/T = S(full), Q = √(g·A³/T)",
	Validity: "Level, no friction, free outlet. A limit to compare with, never what a real gutter carries.",
	Sources:  []string{momentum},
	Example:  []byte(`{"width": 0.1, "depth": 0.1}`),
}, BoundIn{Shape: rectangular}, Bound)
