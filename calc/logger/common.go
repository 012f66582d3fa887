package logger

import (
	"math"

	"leat/calc/evidence"
)

// Common is the window of a run over which every channel that enters a result is
// looked at.
type Common struct {
	Window   Window // from where the last channel has settled
	Steady   bool   // all are
	Channels []ChannelState
}

// ChannelState says whether a channel is steady in the common window.
type ChannelState struct {
	Name string
	evidence.Steadiness
}

// Common cuts the start off a window until all these channels have settled, and
// tells whether each is steady over what is left. How far a channel may drift is
// in its SI unit, by its name; channels that are not named do not enter. Channels
// that go on settling, or have too few values, leave nothing common: then only
// they are told, and the window is the whole one.
//
// The window must be one piece with even steps; see [Series.Pieces] and
// [Series.Blocks].
func (s Series) Common(w Window, channels map[string]evidence.Tolerance) Common {
	common := Common{Window: w, Steady: true}
	for _, c := range s.Channels {
		if _, named := channels[c.Name]; !named {
			continue
		}
		values, rows := present(c.Values[w.From:w.To])
		cut, reason := evidence.SettledFrom(values, evidence.SettleBlock)
		if reason != "" {
			common.Steady = false
			state := evidence.Steady(values, 1, evidence.SettleBlock, channels[c.Name])
			common.Channels = append(common.Channels, ChannelState{c.Name, state})
			continue
		}
		common.Window.From = max(common.Window.From, w.From+row(rows, cut))
	}
	if !common.Steady {
		common.Window.From = w.From
		return common
	}
	for _, c := range s.Channels {
		tolerance, named := channels[c.Name]
		if !named {
			continue
		}
		state := s.drift(c, common.Window, tolerance)
		common.Steady = common.Steady && state.Status == evidence.IsSteady
		common.Channels = append(common.Channels, ChannelState{c.Name, state})
	}
	common.Steady = common.Steady && len(common.Channels) > 0
	return common
}

func (s Series) drift(c Channel, w Window, tolerance evidence.Tolerance) evidence.Steadiness {
	values, rows := present(c.Values[w.From:w.To])
	times := s.Time[w.From:w.To]
	if rows != nil {
		times = picked(times, rows)
	}
	return evidence.DriftingAt(times, values, tolerance)
}

// Present returns the values of a window that are there, in their order: what a
// mean is taken of. Where none is missing they are the channel's own.
func (c Channel) Present(w Window) []float64 {
	values, _ := present(c.Values[w.From:w.To])
	return values
}

// present leaves missing values out, and tells the rows of the others; nil: all.
func present(values []float64) (there []float64, rows []int32) {
	missing := 0
	for _, x := range values {
		if math.IsNaN(x) {
			missing++
		}
	}
	if missing == 0 {
		return values, nil
	}
	there, rows = make([]float64, 0, len(values)-missing), make([]int32, 0, len(values)-missing)
	for i, x := range values {
		if !math.IsNaN(x) {
			there, rows = append(there, x), append(rows, int32(i)) //nolint:gosec // rows are at most MostRows
		}
	}
	return there, rows
}

func row(rows []int32, i int) int {
	if rows == nil {
		return i
	}
	return int(rows[i])
}
