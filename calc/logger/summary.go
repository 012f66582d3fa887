package logger

import (
	"math"

	"leat/calc"
	"leat/calc/evidence"
)

// Outliers are looked for by a window of five values on either side: section 2.3
// of the specification of evidence; Hampel, and Pearson 2002, from memory.
const (
	hampelHalf   = 5
	hampelFactor = 3
	mostOutliers = 100 // of a channel that are listed
)

// Wanted is a channel that a window is taken for.
type Wanted struct {
	Name       string
	Tolerance  evidence.Tolerance
	Resolution float64 // of the instrument, in the unit of the channel; 0: not known
}

// Summary is what a window of a series says. Times are in s from the start.
type Summary struct {
	From     float64          `json:"from_s"` // the window over which all channels are looked at: the start is cut
	To       float64          `json:"to_s"`
	Cut      float64          `json:"cut_s"` // of the part that was looked at, s
	Rows     int              `json:"rows"`
	Parts    int              `json:"parts"`   // between long gaps; the longest was taken
	Block    float64          `json:"block_s"` // width of the means that were taken of uneven steps; 0: none were
	Status   string           `json:"status"`  // steady, not_steady or undecided
	Channels []ChannelSummary `json:"channels"`
}

// ChannelSummary is what a window says about a channel, in its SI unit. What does
// not exist is nil.
type ChannelSummary struct {
	Name   string   `json:"name"`
	Unit   string   `json:"unit"`
	Status string   `json:"status"` // steady, not_steady or undecided
	Reason string   `json:"reason"` // too_short, still_settling, drifting, run_longer; empty: steady
	Drift  *float64 `json:"drift"`  // within the window
	UDrift *float64 `json:"u_drift"`
	Tol    *float64 `json:"tol"`    // what the drift was held against
	Budget *float64 `json:"budget"` // drift/√12, its line in the budget

	Missing int           `json:"missing"` // rows of the window without a value
	Stuck   []StuckWithin `json:"stuck"`   // stretches of one value, in the window or reaching into it

	Mean     SeriesMean  `json:"mean"`    // of all values
	Without  *SeriesMean `json:"without"` // the outliers; nil: there are none
	Outliers []Outlier   `json:"outliers"`
	Stand    int         `json:"outlier_count"`
	Decide   bool        `json:"decide"` // the two means differ by more than u: a person has to say which counts
}

// SeriesMean is the mean of a channel over a window.
type SeriesMean struct {
	N      int      `json:"n"`
	Mean   *float64 `json:"mean"`
	S      *float64 `json:"s"`
	U      *float64 `json:"u"`
	UNaive *float64 `json:"u_naive"` // s/√n, which takes every sample for news
	NEff   *float64 `json:"n_eff"`
	Tau    *float64 `json:"tau"`
	Nu     *float64 `json:"nu"`
	Status string   `json:"status"` // ok, zero_spread, run_too_short, or short_ and what repeats say
}

// StuckWithin is a [Stretch] by its times, of which the last is in.
type StuckWithin struct {
	From  float64 `json:"from_s"`
	To    float64 `json:"to_s"`
	Value float64 `json:"value"`
}

// Outlier is a value that stands out of those around it.
type Outlier struct {
	Time  float64 `json:"t_s"`
	Value float64 `json:"value"`
}

// Summarise looks at the part of a series between two times: it takes the longest
// piece without long gaps, averages uneven steps, cuts the start until all these
// channels have settled, and tells of each whether it is steady and what its mean
// is. Channels that the series does not have are left out.
func (s Series) Summarise(from, to float64, channels []Wanted) Summary {
	pieces := s.Pieces(s.Between(from, to))
	if len(pieces) == 0 {
		return Summary{From: from, To: to, Status: string(evidence.NotSteady), Channels: []ChannelSummary{}}
	}
	part, block := s.Part(longest(pieces)).even()
	asked := map[string]evidence.Tolerance{}
	for _, c := range channels {
		asked[c.Name] = c.Tolerance
	}
	common := part.Common(part.All(), asked)
	times := part.Time[common.Window.From:common.Window.To]
	out := Summary{
		From: times[0], To: times[len(times)-1], Cut: times[0] - part.Time[0],
		Rows: len(times), Parts: len(pieces), Block: block, Status: evidence.IsSteady, Channels: []ChannelSummary{},
	}
	states := map[string]evidence.Steadiness{}
	for _, c := range common.Channels {
		states[c.Name] = c.Steadiness
	}
	for _, c := range channels {
		if i := part.Index(c.Name); i >= 0 {
			found := part.channel(i, common.Window, c, states)
			found.Stuck = s.stuckWithin(i, out.From, out.To)
			out.Channels = append(out.Channels, found)
		}
	}
	out.judge()
	return out
}

// stuckWithin returns where a channel is stuck between two times. It looks at all
// of the series: a window that lies within such a stretch shows nothing of it.
func (s Series) stuckWithin(channel int, from, to float64) []StuckWithin {
	found := []StuckWithin{}
	for _, stretch := range stuck(s.Channels[channel].Values) {
		first, last := s.Time[stretch.From], s.Time[stretch.To-1]
		if first <= to && last >= from {
			found = append(found, StuckWithin{first, last, stretch.Value})
		}
	}
	return found
}

// judge sums up the channels: the worst counts.
func (s *Summary) judge() {
	if len(s.Channels) == 0 {
		s.Status = string(evidence.NotSteady)
	}
	for _, c := range s.Channels {
		switch {
		case c.Status == string(evidence.NotSteady):
			s.Status = c.Status
		case c.Status != evidence.IsSteady && s.Status == evidence.IsSteady:
			s.Status = c.Status
		}
	}
}

// Index is the place of a channel, −1 where the series has none of this name.
func (s Series) Index(name string) int {
	for i, c := range s.Channels {
		if c.Name == name {
			return i
		}
	}
	return -1
}

func longest(pieces []Window) (most Window) {
	for _, p := range pieces {
		if p.Len() > most.Len() {
			most = p
		}
	}
	return most
}

// even takes means over blocks as wide as the longest step where the steps are
// uneven. block is 0 where they are even.
func (s Series) even() (even Series, block float64) {
	var r Report
	r.steps(s.Time)
	if !r.Uneven() {
		return s, 0
	}
	return s.Blocks(r.LongestGap.Length), r.LongestGap.Length
}

func (s Series) channel(i int, w Window, wanted Wanted, states map[string]evidence.Steadiness) ChannelSummary {
	c := s.Channels[i]
	state, told := states[c.Name]
	if !told { // another channel leaves no common window: this one is not looked at for its drift
		state = s.drift(c, w, wanted.Tolerance)
	}
	values, rows := present(c.Values[w.From:w.To])
	mean := evidence.SeriesMean(values, evidence.Batches)
	out := ChannelSummary{
		Name: c.Name, Unit: c.Unit, Status: state.Status, Reason: state.Reason,
		Drift: calc.OrNull(state.Drift), UDrift: calc.OrNull(state.UDrift), Tol: calc.OrNull(state.Tol), Budget: calc.OrNull(state.BudgetLine),
		Missing: w.Len() - len(values), Stuck: []StuckWithin{}, Mean: newSeriesMean(mean), Outliers: []Outlier{},
	}
	places := evidence.Outliers(values, hampelHalf, hampelFactor, wanted.Resolution)
	out.Stand = len(places)
	if len(places) == 0 {
		return out
	}
	for _, at := range places[:min(len(places), mostOutliers)] {
		out.Outliers = append(out.Outliers, Outlier{s.Time[w.From+row(rows, at)], values[at]})
	}
	without := evidence.SeriesMean(leftOut(values, places), evidence.Batches)
	left := newSeriesMean(without)
	out.Without = &left
	out.Decide = !(math.Abs(without.Mean-mean.Mean) <= mean.U)
	return out
}

// leftOut returns the values but those at these places, which increase.
func leftOut(values []float64, places []int) []float64 {
	kept, from := make([]float64, 0, len(values)-len(places)), 0
	for _, at := range places {
		kept = append(kept, values[from:at]...)
		from = at + 1
	}
	return append(kept, values[from:]...)
}

func newSeriesMean(m evidence.CorrelatedMean) SeriesMean {
	return SeriesMean{m.N, calc.OrNull(m.Mean), calc.OrNull(m.S), calc.OrNull(m.U), calc.OrNull(m.UNaive), calc.OrNull(m.NEff), calc.OrNull(m.Tau), calc.OrNull(m.Nu), m.Status}
}
