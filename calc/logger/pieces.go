package logger

import "math"

// longGap is the distance of two rows, in median steps, from which a series is
// two: one row may be missing. A fifth of a step is left for a clock that is not
// quite even.
const longGap = 2 + evenSpread

// Pieces parts a window at its long gaps: where more than one row is missing.
func (s Series) Pieces(w Window) (pieces []Window) {
	if w.Len() == 0 {
		return nil
	}
	step := MedianStep(s.Time[w.From:w.To])
	from := w.From
	for i := w.From + 1; i < w.To; i++ {
		if s.Time[i]-s.Time[i-1] > longGap*step {
			pieces = append(pieces, Window{from, i})
			from = i
		}
	}
	return append(pieces, Window{from, w.To})
}

// Blocks returns the means over blocks of width s, from the first row on, at the
// times of their middles. Missing values are left out of a mean; a block without
// any is missing. Blocks without rows are left out. It puts uneven steps on an
// even clock; never take blocks narrower than the steps, which would make values
// that nobody measured.
//
// Valid for channels whose values may be averaged: not for the state of a valve.
//
// Source: the mean; that blocks are averaged and not picked is common practice,
// no source.
func (s Series) Blocks(width float64) Series {
	out := Series{Start: s.Start, Channels: make([]Channel, len(s.Channels))}
	copy(out.Channels, s.Channels)
	for i := range out.Channels {
		out.Channels[i].Values = nil
	}
	for from := 0; from < len(s.Time) && width > 0; {
		block := math.Floor((s.Time[from] - s.Time[0]) / width)
		to := from + 1
		for to < len(s.Time) && math.Floor((s.Time[to]-s.Time[0])/width) == block {
			to++
		}
		out.Time = append(out.Time, s.Time[0]+(block+0.5)*width)
		for i := range s.Channels {
			out.Channels[i].Values = append(out.Channels[i].Values, meanOf(s.Channels[i].Values[from:to]))
		}
		from = to
	}
	return out
}

func meanOf(values []float64) float64 {
	sum, n := 0.0, 0
	for _, x := range values {
		if !math.IsNaN(x) {
			sum += x
			n++
		}
	}
	return sum / float64(n)
}
