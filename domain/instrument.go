package domain

import (
	"fmt"
	"time"
)

// InstrumentID names an instrument.
type InstrumentID int64

// InstrumentKind is what an instrument measures, and with it in which unit its
// figures are kept.
type InstrumentKind string

// The kinds of instrument.
const (
	PressureGauge   InstrumentKind = "pressure_gauge"
	WaterManometer  InstrumentKind = "water_manometer"
	Barometer       InstrumentKind = "barometer"
	Thermometer     InstrumentKind = "thermometer"
	FlowMeter       InstrumentKind = "flow_meter"
	AirFlowMeter    InstrumentKind = "air_flow_meter"
	MeasuringVessel InstrumentKind = "measuring_vessel"
	Timer           InstrumentKind = "timer"
	LengthMeasure   InstrumentKind = "length_measure"
	OxygenMeter     InstrumentKind = "oxygen_meter"
	SoundMeter      InstrumentKind = "sound_meter"
	Logger          InstrumentKind = "logger"
	OtherInstrument InstrumentKind = "other"
)

// instrumentUnits is the unit in which the figures of a kind are kept. Loggers
// and others say their own.
var instrumentUnits = map[InstrumentKind]string{
	PressureGauge: "Pa", WaterManometer: "m", Barometer: "Pa", Thermometer: "°C", FlowMeter: "m³/s", AirFlowMeter: "m³/s", MeasuringVessel: "m³",
	Timer: "s", LengthMeasure: "m", OxygenMeter: "%", SoundMeter: "dB", Logger: "", OtherInstrument: "",
}

// Instrument is one line of the group's register.
type Instrument struct {
	ID           InstrumentID
	Version      int64
	ChangedAt    time.Time
	ChangedBy    Person
	CalibratedOn *time.Time // the newest calibration; nil: none on record
	Wrong        *InstrumentAct
	Retired      *InstrumentAct
	DueOn        *time.Time // the last day on which its calibration counts
	Allowed      []Action   // what the reader may do
	InstrumentFacts
}

// InstrumentFacts are what a keeper enters. Figures are in the unit.
type InstrumentFacts struct {
	Name         string
	Kind         InstrumentKind
	Serial       string // or another mark that it is known by
	Unit         string
	Low, High    float64  // of its range
	Resolution   *float64 // nil: not known
	ClassPct     *float64 // accuracy class, % of the span; nil: it has none
	Accuracy     *float64 // ± over its range; nil: not known
	IntervalDays int      // that a calibration counts
	Note         string
}

// InstrumentActKind is what happened to an instrument.
type InstrumentActKind string

// What may happen to an instrument.
const (
	InstrumentCalibrated InstrumentActKind = "calibrated"
	InstrumentWrong      InstrumentActKind = "found_wrong"
	InstrumentRetired    InstrumentActKind = "retired"
)

// InstrumentAct is one entry of an instrument's history. It never changes.
type InstrumentAct struct {
	ID   int64
	Kind InstrumentActKind
	On   time.Time // the day of the calibration, since when it is wrong, or of retiring; at 0:00 UTC
	Text string    // by whom, against what, or what was found
	By   Person
	At   time.Time
}

// AddInstrument puts an instrument into the register.
type AddInstrument struct {
	Facts        InstrumentFacts
	CalibratedOn *time.Time // nil: not yet
	Calibration  string     // by whom, against what
	Key          string     // made by the client; a retry with it makes no second one
}

// CorrectInstrument replaces what the register says about an instrument.
type CorrectInstrument struct {
	Instrument InstrumentID
	Version    int64 // as it was read
	Facts      InstrumentFacts
}

// RecordInstrumentAct adds to the history of an instrument.
type RecordInstrumentAct struct {
	Instrument InstrumentID
	Kind       InstrumentActKind
	On         time.Time
	Text       string
	Key        string
}

// InstrumentsMost is how many the register takes: enough for a shed.
const InstrumentsMost = 500

const instrumentTextMost = 500

// Validate trims the texts and finds all faults. Today is the day in the time
// zone of the group.
func (c *AddInstrument) Validate(today time.Time) error {
	faults := c.Facts.faults()
	if c.CalibratedOn != nil {
		faults = append(faults, pastDay("/calibrated_on", *c.CalibratedOn, today)...)
		faults = append(faults, line("/calibration", &c.Calibration, 1, instrumentTextMost)...)
	} else if c.Calibration != "" {
		faults = append(faults, Field{"/calibrated_on", "missing", "Give the day of the calibration too, or leave both empty."})
	}
	return Faulty(append(faults, clientKey("/client_key", c.Key)...))
}

// Validate trims the texts and finds all faults.
func (c *CorrectInstrument) Validate() error { return Faulty(c.Facts.faults()) }

// Validate trims the text and finds all faults.
func (c *RecordInstrumentAct) Validate(today time.Time) error {
	pointer := map[InstrumentActKind]string{InstrumentCalibrated: "/calibrated_on", InstrumentWrong: "/since", InstrumentRetired: "/on"}[c.Kind]
	faults := pastDay(pointer, c.On, today)
	faults = append(faults, line("/text", &c.Text, 1, instrumentTextMost)...)
	return Faulty(append(faults, clientKey("/client_key", c.Key)...))
}

// pastDay refuses a day that is still to come in the group's time zone, or too
// long ago to be meant.
func pastDay(pointer string, day, today time.Time) []Field {
	if day.Before(earliestGauging) || day.After(today) {
		return []Field{{pointer, "range", "This day is not past yet where the group is, or too long ago. Type the day on which it was."}}
	}
	return nil
}

func (f *InstrumentFacts) faults() []Field {
	faults := line("/name", &f.Name, 1, nameMost)
	faults = append(faults, line("/serial", &f.Serial, 0, nameMost)...)
	unit, known := instrumentUnits[f.Kind]
	switch {
	case !known:
		faults = append(faults, Field{"/kind", "unknown_value", "Choose one of the kinds of instrument, or other."})
	case unit == "":
		faults = append(faults, line("/unit", &f.Unit, 1, 16)...)
	case f.Unit != unit:
		faults = append(faults, Field{"/unit", "unknown_value", fmt.Sprintf("The figures of this kind are kept in %s. Send them in that unit.", unit)})
	}
	faults = append(faults, f.figureFaults()...)
	if f.IntervalDays < 1 || f.IntervalDays > 3650 {
		faults = append(faults, Field{"/interval_days", "range", "This must be a whole number from 1 to 3650 days: for how long its calibration counts."})
	}
	return append(faults, prose("/note", &f.Note, purposeMost)...)
}

func (f *InstrumentFacts) figureFaults() []Field {
	const far = 1e9
	faults := within("/range_low", &f.Low, -far, far, f.Unit)
	faults = append(faults, within("/range_high", &f.High, -far, far, f.Unit)...)
	if len(faults) == 0 && f.High <= f.Low {
		faults = append(faults, Field{"/range_high", "inconsistent", "The range ends above where it begins. Look whether the two are swapped."})
	}
	faults = append(faults, aboveZero("/resolution", f.Resolution, far)...)
	faults = append(faults, aboveZero("/class_pct", f.ClassPct, 10)...)
	return append(faults, aboveZero("/accuracy", f.Accuracy, far)...)
}

func aboveZero(pointer string, v *float64, most float64) []Field {
	if v == nil || *v > 0 && *v <= most {
		return nil
	}
	return []Field{{pointer, "range", fmt.Sprintf("This must be more than 0 and at most %.10g. Leave it empty if it isn’t known.", most)}}
}

// Due works out until when the calibration counts: as long as its interval says,
// and of a pressure gauge no longer than the group lets it.
func (i *Instrument) Due(s SafetySettings) {
	if i.CalibratedOn == nil {
		return
	}
	days := i.IntervalDays
	if i.Kind == PressureGauge {
		days = min(days, int(s.GaugeAgeDays))
	}
	on := i.CalibratedOn.AddDate(0, 0, days)
	i.DueOn = &on
}

// Overdue tells whether no calibration counts any more, or none is on record.
func (i Instrument) Overdue(today time.Time) bool { return i.DueOn == nil || today.After(*i.DueOn) }

// Unfit says in words why the instrument can't be used for a test on this day;
// empty when nothing speaks against it.
func (i Instrument) Unfit(today time.Time) string {
	switch {
	case i.Retired != nil:
		return "It is retired. Take another one."
	case i.Wrong != nil:
		return "It was found wrong and not calibrated since. Have it calibrated, or take another one."
	case i.CalibratedOn == nil:
		return "No calibration is on record. A keeper enters it in the register; or take another one."
	case i.Overdue(today):
		return fmt.Sprintf("Its calibration counted until %s. Have it calibrated, or take another one.", i.DueOn.Format(time.DateOnly))
	}
	return ""
}

// ByActs fills in what the history, oldest first, says about the instrument now:
// the calibration with the latest day, what was found wrong and not put right by
// a calibration of that day or later, and its end. Days are those of the group's
// time zone.
func (i *Instrument) ByActs(acts []InstrumentAct, zone string) {
	for _, a := range acts {
		switch a.Kind {
		case InstrumentCalibrated:
			if i.CalibratedOn == nil || a.On.After(*i.CalibratedOn) {
				i.CalibratedOn = &a.On
			}
			if i.Wrong != nil && !a.On.Before(DayIn(i.Wrong.At, zone)) {
				i.Wrong = nil
			}
		case InstrumentWrong:
			i.Wrong = &a
		case InstrumentRetired:
			i.Retired = &a
		}
	}
}

// InstrumentGone returns the Conflict of an instrument that is retired.
func InstrumentGone() *Error {
	return &Error{Kind: Conflict, Code: "instrument-retired", Message: "This instrument is retired, for good. What was measured with it stands. To use one like it, add that to the register."}
}

// InstrumentsFull returns the Conflict of a register that takes no more.
func InstrumentsFull() error {
	return &Error{Kind: Conflict, Code: "instruments-full", Message: "The register holds 500 instruments and takes no more. Nothing was saved."}
}

// DayIn returns the day that it is in a time zone, as a date at 0:00 UTC. A zone
// that nobody knows counts as UTC.
func DayIn(now time.Time, zone string) time.Time {
	place, err := time.LoadLocation(zone)
	if err != nil {
		place = time.UTC
	}
	y, m, d := now.In(place).Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}
