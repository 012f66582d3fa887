package logger

import (
	"math"
	"slices"
)

// Report is what was odd about a file, and how it was read.
type Report struct {
	Digest       string // SHA-256 of the file, in hexadecimal digits
	Bytes        int
	Separator    string // of the cells: a comma, a semicolon or a tab
	DecimalComma bool
	Dated        bool // times are dates; else they count from a start

	Rows                        int // in the series
	Duplicates                  int // rows at a time that an earlier line has; left out
	OutOfOrder, FirstOutOfOrder int // lines before which time goes back, and the first; they were sorted
	Untimed, FirstUntimed       int // lines whose time cannot be read, and the first; left out
	BrokenOff                   int // the last line where it lacks cells; left out. 0: it does not

	MedianStep float64 // s
	Spread     float64 // middle nine tenths of the steps over the median step
	LongestGap Gap
	Channels   []ChannelReport
}

// Gap is a distance between two rows.
type Gap struct{ After, Length float64 } // s from the start, s

// ChannelReport is what was odd about a channel.
type ChannelReport struct {
	Name    string
	Missing int // rows without a value
	Stuck   []Stretch
}

// Stretch is a run of rows of one value, while the values beside it vary: a
// sensor or its line may have been stuck.
type Stretch struct {
	Window
	Value float64 // SI
}

const (
	longestEqual = 30  // samples of one value that nobody asks about; common practice, no source
	mostStuck    = 100 // stretches of a channel that are listed
	evenSpread   = 0.2 // of the steps; common practice, no source
)

// Uneven tells whether the steps differ so much that means over blocks of equal
// time must be taken before anything else.
func (r Report) Uneven() bool { return r.Spread > evenSpread }

// look fills in what the rows themselves show.
func (r *Report) look(s Series) {
	r.Rows = len(s.Time)
	r.steps(s.Time)
	for _, c := range s.Channels {
		found := ChannelReport{Name: c.Name, Stuck: stuck(c.Values)}
		for _, x := range c.Values {
			if math.IsNaN(x) {
				found.Missing++
			}
		}
		r.Channels = append(r.Channels, found)
	}
}

func (r *Report) steps(times []float64) {
	if len(times) < 2 {
		return
	}
	steps := make([]float64, len(times)-1)
	for i := range steps {
		steps[i] = times[i+1] - times[i]
		if steps[i] > r.LongestGap.Length {
			r.LongestGap = Gap{times[i], steps[i]}
		}
	}
	slices.Sort(steps)
	last := len(steps) - 1
	r.MedianStep = (steps[last/2] + steps[(last+1)/2]) / 2
	r.Spread = (steps[last-last/20] - steps[last/20]) / r.MedianStep
}

// MedianStep is that of these times; 0 for fewer than two.
func MedianStep(times []float64) float64 {
	var r Report
	r.steps(times)
	return r.MedianStep
}

// stuck returns the stretches of a channel of more than 30 equal values, but
// those whose 30 rows on either side are all equal too: a coarse thermometer or a
// valve that stays open is not stuck. Missing values part no stretch.
func stuck(values []float64) (found []Stretch) {
	for from := 0; from < len(values) && len(found) < mostStuck; {
		if math.IsNaN(values[from]) {
			from++
			continue
		}
		end, equal := from, 0 // behind the last equal value
		for i := from; i < len(values) && (values[i] == values[from] || math.IsNaN(values[i])); i++ {
			if values[i] == values[from] {
				end, equal = i+1, equal+1
			}
		}
		if equal > longestEqual && (varies(values[max(0, from-longestEqual):from]) || varies(values[end:min(len(values), end+longestEqual)])) {
			found = append(found, Stretch{Window{from, end}, values[from]})
		}
		from = end
	}
	return found
}

// varies tells whether two values differ; missing ones do not count.
func varies(values []float64) bool {
	first := math.NaN()
	for _, x := range values {
		if math.IsNaN(first) {
			first = x
		} else if x < first || x > first {
			return true
		}
	}
	return false
}
