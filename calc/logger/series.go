package logger

import (
	"sort"
	"time"
)

// Series is what a logger recorded, in SI units. All channels have one value a
// time, NaN where it is missing; times increase.
type Series struct {
	Start    time.Time // of second 0; the zero time where the file counts from a start that it does not tell
	Time     []float64 // s from Start
	Channels []Channel
}

// Channel is one column.
type Channel struct {
	Name     string
	Unit     string // SI: Pa, m3/s, K, m ..., 1 for a pure number
	Counted  string // of a pressure: gauge or absolute where the file says so
	FileUnit string // as the file writes it, or as it was asked for
	Values   []float64
}

// Window is a run of rows of a series: From is in, To is not.
type Window struct{ From, To int }

// Len is how many rows it has.
func (w Window) Len() int { return max(0, w.To-w.From) }

// All is the window of the whole series.
func (s Series) All() Window { return Window{0, len(s.Time)} }

// Between returns the window of the times from and to in s, both included; an
// empty one where to is before from.
func (s Series) Between(from, to float64) Window {
	first := sort.SearchFloat64s(s.Time, from)
	return Window{first, max(first, sort.Search(len(s.Time), func(i int) bool { return s.Time[i] > to }))}
}

// Part returns the series of a window. It shares its values with the whole.
func (s Series) Part(w Window) Series {
	part := Series{Start: s.Start, Time: s.Time[w.From:w.To], Channels: make([]Channel, len(s.Channels))}
	for i, c := range s.Channels {
		c.Values = c.Values[w.From:w.To]
		part.Channels[i] = c
	}
	return part
}
