package evidence

import (
	"math"
	"slices"
)

// perMAD makes a standard deviation of a median absolute deviation, for a normal
// distribution: 1/Φ⁻¹(¾).
const perMAD = 1.4826

// Outliers returns the places of values that stand out of the half values before
// and after them:
//
//	|x − median| > k·max(1.4826·MAD, floor)
//
// with the median and the median absolute deviation MAD of the window, which is
// shorter at the ends. Floor is the resolution, so that a window of equal values
// does not make an outlier of one step. A flag asks a question: it takes nothing
// out.
//
// Valid for half ≥ 1, k > 0 and values without NaN.
//
// Source: R. K. Pearson, IEEE Trans. Control Syst. Technol. 10, 55 (2002)
// (Hampel identifier), from memory.
func Outliers(values []float64, half int, k, floor float64) (places []int) {
	window := make([]float64, 0, 2*half+1) // sorted
	for _, x := range values[:min(half, len(values))] {
		window = insert(window, x)
	}
	for i, x := range values {
		if next := i + half; next < len(values) {
			window = insert(window, values[next])
		}
		if last := i - half - 1; last >= 0 {
			at, _ := slices.BinarySearch(window, values[last])
			window = slices.Delete(window, at, at+1)
		}
		middle := medianOfSorted(window)
		if math.Abs(x-middle) > k*max(perMAD*deviationMedian(window, middle), floor) {
			places = append(places, i)
		}
	}
	return places
}

func insert(sorted []float64, x float64) []float64 {
	at, _ := slices.BinarySearch(sorted, x)
	return slices.Insert(sorted, at, x)
}

// medianOfSorted is the middle of sorted values, or the mean of the two in the
// middle.
func medianOfSorted(y []float64) float64 {
	n := len(y)
	return (y[(n-1)/2] + y[n/2]) / 2
}

// deviationMedian is the median of the distances of sorted values from their
// median. They grow from the middle outwards on either side, so that taking the
// nearer one each time brings them in order.
func deviationMedian(y []float64, median float64) float64 {
	right, _ := slices.BinarySearch(y, median)
	left := right - 1
	var last, before float64
	for range len(y)/2 + 1 {
		before = last
		if right == len(y) || left >= 0 && median-y[left] < y[right]-median {
			last = median - y[left]
			left--
			continue
		}
		last = y[right] - median
		right++
	}
	if len(y)%2 == 1 {
		return last
	}
	return (before + last) / 2
}
