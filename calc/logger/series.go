package logger

import (
	"slices"
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
	Sent     []bool // the rows for which there was a sample, also one without a value; nil: all of them
}

// SentAt tells whether there was a sample of the channel for a row, also one
// without a value.
func (c *Channel) SentAt(row int) bool { return c.Sent == nil || c.Sent[row] }

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

// Of returns the rows for which there was a sample of one of the channels: those
// of channels that came at other times are no gaps of theirs.
func (s Series) Of(channels ...string) Series {
	var named []Channel
	for _, c := range s.Channels {
		if slices.Contains(channels, c.Name) {
			named = append(named, c)
		}
	}
	rows := make([]int32, 0, len(s.Time))
	for row := range s.Time {
		if slices.ContainsFunc(named, func(c Channel) bool { return c.SentAt(row) }) {
			rows = append(rows, int32(row)) //nolint:gosec // rows are at most MostRows
		}
	}
	if len(rows) == 0 || len(rows) == len(s.Time) {
		return s
	}
	of := Series{Start: s.Start, Time: picked(s.Time, rows), Channels: slices.Clone(s.Channels)}
	for i, c := range s.Channels {
		of.Channels[i].Values = picked(c.Values, rows)
		if c.Sent != nil {
			of.Channels[i].Sent = picked(c.Sent, rows)
		}
	}
	return of
}

// Part returns the series of a window. It shares its values with the whole.
func (s Series) Part(w Window) Series {
	part := Series{Start: s.Start, Time: s.Time[w.From:w.To], Channels: make([]Channel, len(s.Channels))}
	for i, c := range s.Channels {
		c.Values = c.Values[w.From:w.To]
		if c.Sent != nil {
			c.Sent = c.Sent[w.From:w.To]
		}
		part.Channels[i] = c
	}
	return part
}
