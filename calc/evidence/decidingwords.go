package evidence

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Instrument is one that could be read: how it is called, and the limit of its
// error, ±, in the unit of the quantity.
type Instrument struct {
	Name  string
	Limit float64
}

// Deciding is an undecided quantity: what its verdict asks for, and the rest of
// its budget. All are in one unit.
type Deciding struct {
	Y       float64
	UNeeded float64
	InstrumentNeededOut
	Used        Instrument   // the instrument that was read; without a name: not known
	Instruments []Instrument // of the register, and those that could be bought
	Longer      bool         // a longer record alone would do
}

// Words says what would decide: an instrument, repeats, better conditions, or
// nothing.
func (d Deciding) Words() string {
	switch {
	case d.UNeeded == 0:
		return "No instrument decides this: the value lies on a limit. Change the operating point or the promise."
	case d.Longer:
		return "Record for longer, until it is calm and steady: what decides here is not the instrument but how much the mean of the record itself may be off."
	case d.RectangularLimit != nil && (d.Used.Name == "" || d.Used.Limit > *d.RectangularLimit):
		return d.instrument(*d.RectangularLimit)
	case d.RectangularLimit != nil:
		return "The instrument that was read is good enough. What is missing is repeats: with few of them the scatter itself is hardly known."
	case d.Repeats != nil:
		return fmt.Sprintf("%.0f repeats would decide this: not the instrument, but the scatter of the reading is too large.", max(2, *d.Repeats))
	}
	return "Neither a better instrument nor repeats decide this: the conditions are not known well enough. Measure head, temperatures and air pressure better, in the same minutes."
}

// instrument names the coarsest that would do, and the one that was read.
func (d Deciding) instrument(limit float64) string {
	would := slices.DeleteFunc(slices.Clone(d.Instruments), func(i Instrument) bool { return i.Limit > limit })
	cannot := ""
	if d.Used.Name != "" {
		cannot = "; the " + d.Used.Name + " can't"
	}
	if len(would) == 0 {
		return fmt.Sprintf("An instrument with an error of at most ±%.2g %% of this value is needed%s.", 100*limit/math.Abs(d.Y), cannot)
	}
	coarsest := slices.MaxFunc(would, func(a, b Instrument) int { return cmp.Compare(a.Limit, b.Limit) })
	return fmt.Sprintf("The %s would do%s.", coarsest.Name, cannot)
}

// gaugeRanges are the ends of the scales of Bourdon gauges, in bar: EN 837-1,
// from memory. gaugeClasses are in percent of the span.
var (
	gaugeRanges  = []float64{0.6, 1, 1.6, 2.5, 4, 6, 10, 16, 25, 40}
	gaugeClasses = []float64{1, 1.6, 2.5}
)

// steadyShare of its scale is what a gauge is used for: EN 837-2, steady
// pressure, from memory.
const steadyShare = 0.75

const pascalPerBar = 1e5

// GaugesFor returns the Bourdon gauges that one can buy for a steady pressure,
// in Pa as the gauge shows it: the smallest scale that holds it, in three classes.
func GaugesFor(pressure float64) (all []Instrument) {
	for _, top := range gaugeRanges {
		if pressure > steadyShare*top*pascalPerBar {
			continue
		}
		for _, class := range gaugeClasses {
			all = append(all, Instrument{fmt.Sprintf("class %.1f gauge of 0–%g bar", class, top), class / 100 * top * pascalPerBar})
		}
		return all
	}
	return nil
}
