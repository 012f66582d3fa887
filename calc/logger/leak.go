package logger

import (
	"math"

	"leat/calc"
	"leat/calc/evidence"
)

// Vessel is what has to be known of a vessel that is shut in, to tell its leak.
type Vessel struct {
	Volume, UVolume float64  // m³, with its standard uncertainty
	Ambient         *float64 // Pa, of the air around; nil: a channel shows it, or the pressure is absolute
	AmbientChannel  string   // of the pressure of the air around, absolute; empty: none
	GasChannel      string   // of the temperature of the gas; empty: it was not read
	UChange         *float64 // K, standard uncertainty of the change of the gas temperature; nil: not given
}

// Leak is what a vessel loses, in m³/s of air at 100 kPa and 20 °C. What does not
// exist is nil.
type Leak struct {
	Status    string   `json:"status"` // missing_condition, too_short, leak or none_found
	Leak      *float64 `json:"leak_m3s"`
	U         *float64 `json:"u"`
	Upper95   *float64 `json:"upper95_m3s"`
	Nu        *float64 `json:"nu"`
	Slope     *float64 `json:"slope_pa_s"`
	USlope    *float64 `json:"u_slope_pa_s"`
	Fall      *float64 `json:"fall"`                  // share of the first pressure
	Linear    bool     `json:"linear"`                // a line was fitted; else the logarithm
	Corrected bool     `json:"temperature_corrected"` // the temperature of the gas was read
	Samples   int      `json:"n"`
}

// The state in which a leak is told, as the named calculation has it.
const (
	leakPressure    = 1e5    // Pa
	leakTemperature = 293.15 // K
)

// LeakOf returns what a vessel lost between two times by the pressure in it, a
// channel in Pa, which is what a gauge shows, or absolute. Rows of which
// something is missing are left out; a gauge without the pressure of the air
// around tells nothing.
func (s Series) LeakOf(from, to float64, channel string, absolute bool, v Vessel) Leak {
	w, around := s.Between(from, to), s.around(v, absolute)
	pressure, gas := s.Index(channel), s.Index(v.GasChannel)
	if around == nil || pressure < 0 {
		return Leak{Status: "missing_condition"}
	}
	watch := evidence.LeakWatch{Corrected: gas >= 0, V: v.Volume, UV: v.UVolume, PRef: leakPressure, TRef: leakTemperature, UChange: math.NaN()}
	if v.UChange != nil {
		watch.UChange = *v.UChange
	}
	for i := w.From; i < w.To; i++ {
		p, warmth := s.Channels[pressure].Values[i]+around(i), float64(leakTemperature)
		if gas >= 0 {
			warmth = s.Channels[gas].Values[i]
		}
		if !math.IsNaN(p + warmth) {
			watch.T, watch.P, watch.Temp = append(watch.T, s.Time[i]), append(watch.P, p), append(watch.Temp, warmth)
		}
	}
	return newLeak(watch, evidence.PressureDecay(watch))
}

// around is what has to be added to the pressure of a row to make it absolute;
// nil where nobody read it.
func (s Series) around(v Vessel, absolute bool) func(row int) float64 {
	air := s.Index(v.AmbientChannel)
	switch {
	case absolute:
		return func(int) float64 { return 0 }
	case air >= 0:
		return func(row int) float64 { return s.Channels[air].Values[row] }
	case v.Ambient != nil:
		return func(int) float64 { return *v.Ambient }
	}
	return nil
}

func newLeak(w evidence.LeakWatch, f evidence.LeakFound) Leak {
	l := Leak{Status: f.Status, Corrected: w.Corrected, Samples: len(w.T)}
	if f.Nu == 0 { // too short: nothing was fitted
		return l
	}
	l.Leak, l.U, l.Upper95, l.Nu = calc.OrNull(f.Leak), calc.OrNull(f.U), calc.OrNull(f.Upper95), calc.OrNull(f.Nu)
	l.Slope, l.USlope, l.Fall, l.Linear = calc.OrNull(f.Slope), calc.OrNull(f.USlope), calc.OrNull(f.Fall), f.Linear
	return l
}
