package logger

import (
	"errors"
	"math"
	"slices"
	"sort"
)

// ErrClocks is returned where one series has dates and the other counts from a
// start that nobody told.
var ErrClocks = errors.New("one file has dates and the other counts seconds from its own start: say when that one was started, or log both with dates")

// On puts the channels of a series on the clock of another, for results to which
// both belong. Where the clock is slower a value is the mean of the block about
// its time. Else it lies on the line between the two values beside it, at most two
// steps apart, and is missing where they are farther. Channels that are named as
// states, such as that of a valve, hold the last value before as long. Values
// made this way say nothing new: uncertainties are worked out before.
//
// The error is [ErrClocks].
func (s Series) On(clock Series, states ...string) (Series, error) {
	if s.Start.IsZero() != clock.Start.IsZero() {
		return Series{}, ErrClocks
	}
	shift := clock.Start.Sub(s.Start).Seconds()
	step, slower := MedianStep(s.Time), MedianStep(clock.Time)
	out := Series{Start: clock.Start, Time: clock.Time, Channels: slices.Clone(s.Channels)}
	for i, c := range s.Channels {
		at := func(t float64) float64 { return between(s.Time, c.Values, t, longGap*step) }
		switch {
		case slices.Contains(states, c.Name):
			at = func(t float64) float64 { return held(s.Time, c.Values, t, longGap*step) }
		case slower > step*(1+evenSpread):
			at = func(t float64) float64 { return meanOf(c.Values[first(s.Time, t-slower/2):first(s.Time, t+slower/2)]) }
		}
		values := make([]float64, len(clock.Time))
		for j, t := range clock.Time {
			values[j] = at(t + shift)
		}
		out.Channels[i].Values = values
	}
	return out, nil
}

// first is the first row at a time or after.
func first(times []float64, t float64) int { return sort.SearchFloat64s(times, t) }

// between is the line through the values on both sides of a time.
func between(times, values []float64, t, most float64) float64 {
	after := first(times, t)
	if after < len(times) && times[after] == t {
		return values[after]
	}
	if after == 0 || after == len(times) || times[after]-times[after-1] > most {
		return math.NaN()
	}
	share := (t - times[after-1]) / (times[after] - times[after-1])
	return values[after-1] + share*(values[after]-values[after-1])
}

// held is the last value at a time or before.
func held(times, values []float64, t, most float64) float64 {
	after := sort.Search(len(times), func(i int) bool { return times[i] > t })
	if after == 0 || t-times[after-1] > most {
		return math.NaN()
	}
	return values[after-1]
}
