package evidence

import (
	"fmt"
	"math"
)

// MeasuringInstrument is what is known of the accuracy of an instrument, in the unit that
// it reads. What is 0 or empty is not known.
type MeasuringInstrument struct {
	Name      string  // as in the register: its errors are the same wherever it is used
	Low, High float64 // ends of its scale

	Division float64 // of a scale
	Step     float64 // smallest step that is shown or read; of a scale half a division where not given

	ClassPercent   float64 // accuracy class, % of the span
	PercentReading float64 // data sheet: ± of the reading,
	PercentFull    float64 // of the full scale,
	Absolute       float64 // and fixed

	Certificate  *Certificate
	DriftPerYear float64

	Zeros []float64 // what it showed at zero, before and after

	PooledS  float64 // scatter of a single reading, from earlier repeats with such an instrument
	PooledNu int
}

// Certificate is what a calibration found.
type Certificate struct {
	Correction float64 // to be added to a reading
	U          float64 // expanded uncertainty
	K          float64 // its coverage factor; 0: see Level
	Level      float64 // its level, where no factor is given
	Nu         float64 // degrees of freedom for the level; 0: infinite
	Years      float64 // since then
	Interval   float64 // years that it counts; 0: no end
}

// Flags are what a person has to know about a value that stands.
const (
	OldCertificate     = "old_certificate"     // older than its interval, no drift stated: the class counts again
	StandardAtmosphere = "standard_atmosphere" // no barometer: taken from the altitude
	MoistureAndOil     = "moisture_and_oil"    // change what a thermal meter reads
)

// known is a line of which the standard uncertainty is known for certain.
func known(name string, u, sens float64) Line {
	return Line{Name: name, U: u, Sens: sens, Nu: math.Inf(1)}
}

// shared is a known line that is one error wherever its source is used.
func shared(source, name string, u float64) Line {
	l := known(name, u, 1)
	l.Source = source
	return l
}

// rectangular is the standard uncertainty of ±a.
func rectangular(a float64) float64 { return Limits(a, RectangularShape, 0) }

// stated tells whether anything is known of the accuracy.
func (i MeasuringInstrument) stated() bool {
	return i.Certificate != nil || i.ClassPercent > 0 || i.onSheet()
}

func (i MeasuringInstrument) onSheet() bool {
	return i.PercentReading > 0 || i.PercentFull > 0 || i.Absolute > 0
}

func (i MeasuringInstrument) span() float64 {
	if i.High <= i.Low {
		return math.NaN()
	}
	return i.High - i.Low
}

func (i MeasuringInstrument) fullScale() float64 {
	if i.High <= 0 {
		return math.NaN()
	}
	return i.High
}

// Reads evaluates readings of an instrument: their mean, corrected by its
// certificate, and the lines that every instrument has.
func (i MeasuringInstrument) Reads(readings ...float64) Value {
	r := TypeA(readings).WithPool(i.PooledS, i.PooledNu)
	v := i.Shows(r.Mean)
	v.Lines = append([]Line{i.repeats(r)}, v.Lines...)
	return v
}

func (i MeasuringInstrument) repeats(r Repeats) Line {
	return Line{Name: i.Name + ": repeats", U: r.U, Sens: 1, Nu: float64(r.Nu)}
}

// Shows evaluates one reading whose scatter stands elsewhere, as that of the
// window of a logger.
func (i MeasuringInstrument) Shows(reading float64) Value {
	v := Value{X: reading}
	v.Lines = append(i.accuracy(&v), known(i.Name+": smallest step", Resolution(i.step()), 1))
	if i.DriftPerYear != 0 && i.Certificate != nil {
		v.Lines = append(v.Lines, shared(i.Name+" drift", i.Name+": drift since its calibration", Drift(i.DriftPerYear, i.Certificate.Years)))
	}
	return v
}

// step is NaN where neither step nor division is known.
func (i MeasuringInstrument) step() float64 {
	switch {
	case i.Step > 0:
		return i.Step
	case i.Division > 0:
		return i.Division / 2
	}
	return math.NaN()
}

// accuracy is the certificate while it counts, else the class, else the data
// sheet. Where nothing is known the line cannot be evaluated.
func (i MeasuringInstrument) accuracy(v *Value) []Line {
	source := i.Name + " accuracy"
	if c := i.Certificate; c != nil {
		if c.Interval == 0 || c.Years <= c.Interval || i.DriftPerYear != 0 {
			v.X += c.Correction
			return []Line{{Name: i.Name + ": certificate", U: c.standard(), Sens: 1, Nu: c.freedom(), Source: source}}
		}
		v.Flags = append(v.Flags, OldCertificate)
	}
	if i.ClassPercent > 0 {
		name := fmt.Sprintf("%s: class %v %% of the span", i.Name, i.ClassPercent)
		return []Line{shared(source, name, ClassLimit(i.ClassPercent, i.span()))}
	}
	if i.onSheet() {
		return []Line{shared(source, i.Name+": data sheet", Accuracy{i.PercentReading, i.PercentFull, i.fullScale(), i.Absolute}.U(v.X))}
	}
	return []Line{shared(source, i.Name+": accuracy", math.NaN())}
}

func (c Certificate) standard() float64 {
	if c.K > 0 {
		return c.U / c.K
	}
	if c.Level <= 0 || c.Level >= 1 {
		return math.NaN()
	}
	return c.U / CoverageFactor(c.Level, c.freedom())
}

func (c Certificate) freedom() float64 {
	if c.Nu > 0 {
		return c.Nu
	}
	return math.Inf(1)
}

// zeroed takes the mean of the zeros off and says how much the zero moved, which
// is rectangular between the two. Without both it cannot be evaluated.
func (i MeasuringInstrument) zeroed(v Value) Value {
	u := math.NaN()
	if len(i.Zeros) == 2 {
		v.X -= (i.Zeros[0] + i.Zeros[1]) / 2
		u = Resolution(math.Abs(i.Zeros[1] - i.Zeros[0]))
	}
	v.Lines = append(v.Lines, shared(i.Name+" zero", i.Name+": zero before and after", u))
	return v
}
