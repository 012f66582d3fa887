package domain

import (
	"fmt"
	"math"

	"leat/calc/confront"
	"leat/calc/evidence"
	"leat/calc/gauge"
	"leat/calc/logger"
)

// kelvin is 0 °C in K: conditions are kept in °C, series in K.
const kelvin = 273.15

// ReadingOf is what a channel of a window comes to, by what was decided, as a
// reading of its run: the mean over the window, with the lines of its own
// uncertainty, of the drift, and of the instrument. ok is false where the channel
// counts for nothing.
func (w SeriesWindow) ReadingOf(c WindowChannel, zone string) (r gauge.Reading, ok bool) {
	found := w.Found(c.Channel)
	if found == nil || c.Quantity == "" {
		return r, false
	}
	mean := found.Mean
	if w.leavesOut() && found.Without != nil {
		mean = *found.Without
	}
	v := evidence.Value{X: orNaN(mean.Mean)}
	r = gauge.Reading{Quantity: c.Quantity}
	if i := c.Instrument; i != nil {
		m, _ := i.Measuring(found.Unit)
		v = m.Shows(v.X)
		r.Instrument = &gauge.Instrument{Name: i.Name, Low: i.Low, High: i.High, Resolution: i.Resolution, ClassPct: i.ClassPct, Accuracy: i.Accuracy, Overdue: w.overdue(*i, zone)}
	}
	if found.Unit == "K" {
		v.X -= kelvin
	}
	v.Lines = append([]evidence.Line{
		{Name: confront.OfWindow + "mean of " + c.Channel, U: orNaN(mean.U), Sens: 1, Nu: orNaN(mean.Nu)},
		{Name: confront.OfWindow + "drift of " + c.Channel, U: orNaN(found.Budget), Sens: 1, Nu: math.Inf(1)},
	}, v.Lines...)
	r.Window = &gauge.Window{Mean: v, N: mean.N, S: mean.S, Reason: w.reason(mean)}
	return r, true
}

// judge fills in of each channel whether it counts, and what is to be said of it.
// taken are the quantities that another reading at the point counts for.
func (w *SeriesWindow) judge(taken map[string]bool, zone string) {
	struck := w.Struck()
	for i := range w.Channels {
		c := &w.Channels[i]
		c.Marks = w.marks(*c, zone)
		standing := c.Quantity != "" && struck == nil && !w.uncertified(*c)
		c.Counts = standing && !taken[c.Quantity]
		if standing && taken[c.Quantity] {
			c.Marks = append(c.Marks, Mark{"not_counted", "Another reading of this at this point stands, and that one counts. If this is the better one, strike the other through with the reason."})
		}
		taken[c.Quantity] = taken[c.Quantity] || standing
	}
}

// uncertified tells whether the channel is of pressure or air and no certificate
// covered it: then it never counts.
func (w SeriesWindow) uncertified(c WindowChannel) bool {
	return !w.Certified && MeasurableNamed(c.Quantity).Pressurised
}

func (w SeriesWindow) marks(c WindowChannel, zone string) (marks []Mark) {
	marks = []Mark{}
	if s := w.Struck(); s != nil {
		marks = append(marks, Mark{"struck", "It was struck through by " + s.By.Name + " and does not count: " + s.Reason})
	}
	if w.uncertified(c) {
		marks = append(marks, Mark{"uncertified", "The machine had no valid certificate all the time that this was recorded: it is kept, and never counts."})
	}
	if found := w.Found(c.Channel); found != nil {
		marks = append(marks, w.oddities(*found)...)
	}
	switch i := c.Instrument; {
	case i == nil:
	case w.overdue(*i, zone):
		marks = append(marks, Mark{"overdue", "The calibration of the instrument counted no more on that day, so that its class limit is taken."})
	case i.Unfit != "":
		marks = append(marks, Mark{"unfit", "Of the instrument the register said then: " + i.Unfit})
	}
	return marks
}

// oddities says what about the samples themselves somebody should look at.
func (w SeriesWindow) oddities(c logger.ChannelSummary) (marks []Mark) {
	if c.Decide && len(w.Decisions) == 0 {
		marks = append(marks, Mark{"undecided", "Values stand out, and with or without them the mean is another. Somebody has to say whether they are kept, before the run can be confirmed."})
	}
	if n := len(c.Stuck); n > 0 {
		marks = append(marks, Mark{"stuck", fmt.Sprintf("One and the same value from %.6g s to %.6g s%s, while those beside it vary. If the sensor or its line was stuck, strike this through and take another window.", c.Stuck[0].From, c.Stuck[0].To, andMore(n-1))})
	}
	if c.Mean.Status == evidence.ZeroSpread {
		marks = append(marks, Mark{"zero_spread", fmt.Sprintf("All %d samples are the same number, so their scatter adds nothing, and the smallest step of the instrument stands for it. A sensor or a line that is stuck shows the same: look whether it moved at all.", c.Mean.N)})
	}
	if w.Summary.Parts > 1 {
		marks = append(marks, Mark{"gaps", fmt.Sprintf("The logger paused between the two times. Of the %d pieces the longest was taken.", w.Summary.Parts)})
	}
	if c.Missing > 0 {
		marks = append(marks, Mark{"missing", fmt.Sprintf("%d of %d samples have no value. The mean is that of the others.", c.Missing, w.Summary.Rows)})
	}
	return marks
}

func andMore(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf(", and %d more times", n)
}

func (w SeriesWindow) overdue(i ReadInstrument, zone string) bool {
	return i.DueOn == nil || DayIn(w.At, zone).After(*i.DueOn)
}

// reason says why the mean can decide nothing: a channel of the window is not
// steady, or too few samples of this one are worth anything of their own.
func (w SeriesWindow) reason(mean logger.SeriesMean) evidence.Reason {
	switch {
	case w.Summary.Status == string(evidence.NotSteady):
		return evidence.NotSteady
	case w.Summary.Status != evidence.IsSteady, mean.Status != evidence.OK && mean.Status != evidence.ZeroSpread:
		return evidence.RunTooShort
	}
	return ""
}

// Found is what the window says about a channel; nil where it says nothing.
func (w SeriesWindow) Found(channel string) *logger.ChannelSummary {
	for i, c := range w.Summary.Channels {
		if c.Name == channel {
			return &w.Summary.Channels[i]
		}
	}
	return nil
}

func orNaN(x *float64) float64 {
	if x == nil {
		return math.NaN()
	}
	return *x
}
