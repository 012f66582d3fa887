package gauge

import (
	"leat/calc"
	"leat/calc/evidence"
)

// Reading is one set of readings of one quantity, as somebody took it.
type Reading struct {
	Quantity   string             `json:"quantity"` // of package confront, or the path of a condition into the input of a trompe
	Method     string             `json:"method"`   // one of [Methods]
	Instrument *Instrument        `json:"instrument"`
	Values     calc.Readings      `json:"values"` // in the unit of the method; missing ones are NaN, null in JSON
	Extra      map[string]float64 `json:"extra"`  // by the names of the method
	Window     *Window            `json:"-"`      // of a logger, worked out already: then no method and no values count
}

// Window is the mean of a channel of a logger over a window, in the unit of the
// quantity.
type Window struct {
	Mean   evidence.Value
	N      int
	S      *float64        // standard deviation of a sample
	Reason evidence.Reason // why it can decide nothing; empty: nothing is known against it
}

// Instrument is what the register says of an instrument, in the unit that it
// reads. Nil is not known.
type Instrument struct {
	Name       string   `json:"name"`
	Low        float64  `json:"low"`
	High       float64  `json:"high"`
	Resolution *float64 `json:"resolution"` // finest division, or step of the display
	ClassPct   *float64 `json:"class_pct"`  // % of the span
	Accuracy   *float64 `json:"accuracy"`   // ±
	Overdue    bool     `json:"overdue"`    // its calibration did not count on that day
}

func (i *Instrument) metrology() evidence.MeasuringInstrument {
	if i == nil {
		return evidence.MeasuringInstrument{Name: "instrument"}
	}
	m := evidence.MeasuringInstrument{Name: i.Name, Low: i.Low, High: i.High}
	if i.Resolution != nil {
		m.Division = *i.Resolution
	}
	if i.ClassPct != nil {
		m.ClassPercent = *i.ClassPct
	}
	if i.Accuracy != nil {
		m.Absolute = *i.Accuracy
	}
	return m
}

// Site is what the sheet of the machine says of the place, for what was not
// measured.
type Site struct {
	AltitudeM *float64 `json:"altitude_m"`
	HeadM     *float64 `json:"head_m"` // from the water in to the water out, as built
}

// Conditions by their paths into the input of a trompe.
const (
	AirPressure = "/site/p_amb_pa"
	AirWarmth   = "/site/t_air_c"
	WaterWarmth = "/site/t_water_c"
	Humidity    = "/site/rh"
	LevelIn     = "/supply/level_m"
	LevelOut    = "/riser/outlet_m"
	HeldGauge   = "/takeoff/receiver_gauge_pa"
)
