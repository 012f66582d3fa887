package ram

import "math"

// root returns where f passes zero between low, where it is below, and high,
// where it is above. False position with the Illinois weights closes in fast;
// every fourth step halves, so that it always does. Where f is not below and
// above, or is no number, it returns one of the two ends.
func root(low, high float64, f func(x float64) float64) float64 {
	below, above := f(low), f(high)
	if !(below < 0) {
		return low
	}
	if !(above > 0) {
		return high
	}
	last, side := low, 0
	for i := range 200 {
		x := low - below*(high-low)/(above-below)
		if i%4 == 3 {
			x = (low + high) / 2
		}
		y := f(x)
		if y == 0 || math.Abs(x-last) < 1e-15*(1+math.Abs(x)) {
			return x
		}
		last = x
		if y < 0 {
			if side < 0 {
				above /= 2
			}
			low, below, side = x, y, -1
		} else {
			if side > 0 {
				below /= 2
			}
			high, above, side = x, y, 1
		}
	}
	return (low + high) / 2
}
