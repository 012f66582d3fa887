package evidence

import (
	"fmt"
	"math"
)

// Pattern is how a measured curve lies about the predicted one, in parts of the
// prediction. The halves are those of the 95 % intervals.
type Pattern struct {
	Level, LevelHalf float64 // of the whole curve: above 0, measured more
	Tilt, TiltHalf   float64 // from the lowest to the highest operating point
}

// PatternOf returns level and tilt of a curve: the line through the relative
// deviations (y − ŷ)/ŷ over the operating variable x, weighted by the inverse of
// their covariance s. The level is taken where it does not hang on the tilt.
//
// It holds for points that differ in x, two or more, and a covariance that is
// positive definite; ok is false otherwise. An error that all points share moves
// the level only.
//
// Source: A. C. Aitken, Proc. R. Soc. Edinburgh 55, 42 (1935), generalised least
// squares, from memory.
func PatternOf(x, deviation []float64, s [][]float64) (p Pattern, ok bool) {
	l, ok := lowerRoot(s)
	if !ok || len(x) < 2 {
		return p, false
	}
	ones := make([]float64, len(x))
	low, high := x[0], x[0]
	for i, v := range x {
		ones[i], low, high = 1, min(low, v), max(high, v)
	}
	if low == high {
		return p, false
	}
	along, one, r := make([]float64, len(x)), forward(l, ones), forward(l, deviation)
	weight := dot(one, one)
	centre := dot(one, forward(l, x)) / weight
	for i, v := range x {
		along[i] = (v - centre) / (high - low)
	}
	along = forward(l, along)
	tilting := dot(along, along)
	two := PhiInverse(0.975)
	return Pattern{dot(one, r) / weight, two / math.Sqrt(weight), dot(along, r) / tilting, two / math.Sqrt(tilting)}, true
}

func dot(a, b []float64) (sum float64) {
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

// Words says how the curve of a quantity, as "air flow", lies; over is the
// operating variable, as "head".
func (p Pattern) Words(quantity, over string) string {
	level, tilt := math.Abs(p.Level) > p.LevelHalf, math.Abs(p.Tilt) > p.TiltHalf
	lies := fmt.Sprintf("The whole curve of %s lies %s", quantity, around(p.Level, p.LevelHalf, "above", "below", " prediction"))
	leans := fmt.Sprintf("%s from the lowest to the highest %s", around(p.Tilt, p.TiltHalf, "up", "down", " against the prediction"), over)
	switch {
	case level && tilt:
		return lies + ", and it tilts: " + leans + "."
	case level:
		return lies + "; its shape is as predicted."
	case tilt:
		return fmt.Sprintf("The curve of %s tilts: %s; as a whole it is neither high nor low.", quantity, leans)
	}
	return fmt.Sprintf("The curve of %s lies as predicted, in level and in shape.", quantity)
}

// around is "4 % above prediction (1 to 7 %)": the interval counts in the
// direction that is named.
func around(x, half float64, up, down, than string) string {
	word := up
	if x < 0 {
		x, word = -x, down
	}
	return fmt.Sprintf("%s %s%s (%s to %s)", percent(x), word, than, points(x-half), percent(x+half))
}
