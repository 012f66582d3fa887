package build

import (
	"fmt"

	"leat/calc/strength"
)

// Limits are what a group may set of the rules of safety. How far each may be
// set is not judged here.
type Limits struct {
	strength.GasConfig
	HydroFactor    float64 `json:"hydro_factor"`         // water test over design pressure
	GasFloorM      float64 `json:"gas_floor_m"`          // least distance from gas
	GasFloorAlways bool    `json:"gas_floor_always"`     // also where the gas can do little
	WaterFloorM    float64 `json:"water_floor_m"`        // least distance from water
	CollapseFactor float64 `json:"collapse_factor"`      // against pressure from outside
	RamFactor      float64 `json:"ram_factor"`           // of the rating, that a ram may swing through in plastic
	HoldPlasticMin float64 `json:"hold_plastic_minutes"` // of the water test
	HoldMetalMin   float64 `json:"hold_metal_minutes"`
	GaugeAgeDays   float64 `json:"gauge_age_days"` // that the calibration of a test gauge counts
	CureFloorH     float64 `json:"cure_floor_hours"`
	CheckersPlain  int     `json:"checkers_plain"` // who must say clear
	CheckersRaised int     `json:"checkers_raised"`
}

// DefaultLimits returns what counts where a group has set nothing.
func DefaultLimits() Limits {
	return Limits{
		GasConfig: strength.DefaultGasConfig, HydroFactor: 1.5, GasFloorM: 30, WaterFloorM: 5, CollapseFactor: 3, RamFactor: 0.25,
		HoldPlasticMin: 60, HoldMetalMin: 30, GaugeAgeDays: 365, CureFloorH: 24, CheckersPlain: 1, CheckersRaised: 2,
	}
}

// into adds to the inputs of a named calculation the limits that differ from the
// calculation's own defaults.
func (l Limits) into(calculation string, input map[string]any) {
	d := DefaultLimits()
	add := func(name string, own, usual any) {
		if own != usual {
			input[name] = own
		}
	}
	switch calculation {
	case "safety/gas":
		add("config", l.GasConfig, d.GasConfig)
	case "safety/test_pressure":
		add("factor", l.HydroFactor, d.HydroFactor)
	case "safety/gauge":
		add("max_age_days", l.GaugeAgeDays, d.GaugeAgeDays)
	case "safety/collapse":
		add("sf", l.CollapseFactor, d.CollapseFactor)
	case "safety/surge_allow":
		add("ram_factor", l.RamFactor, d.RamFactor)
	case "safety/cure":
		add("floor_h", l.CureFloorH, d.CureFloorH)
	}
}

// words says a code to a builder, with the group's own limit where the usual
// words name another one.
func (l Limits) words(code string) string {
	for _, own := range []struct {
		code    string
		differs bool
		text    string
		value   float64
	}{
		{strength.NonpressurePart, l.PLowPa != strength.DefaultGasConfig.PLowPa, "It is not made for pressure: the group lets drain, waste and rainwater pipe hold %.4g bar at most. Take pressure pipe.", l.PLowPa / 1e5},
		{strength.BrittleOverLimit, l.PBrittleMaxPa != strength.DefaultGasConfig.PBrittleMaxPa, "This plastic bursts into splinters. The group lets it hold gas of %.4g bar at most, whatever its rating for water.", l.PBrittleMaxPa / 1e5},
		{strength.RangeOverLimit, l.RamFactor != 0.25, "Shocks of this size, some ten million a year, would tire it until it breaks. Steel takes them; plastic takes %.4g of its rating, as the group has set.", l.RamFactor},
		{"gauge_calibration_expired", l.GaugeAgeDays != 365, "The test gauge was calibrated more than %.4g days ago.", l.GaugeAgeDays},
		{strength.RuleGas, l.GasFloorM != 30, "pieces fly: the group keeps %.4g m, and less than 30 m only behind a barrier", l.GasFloorM},
	} {
		if own.code == code && own.differs {
			return fmt.Sprintf(own.text, own.value)
		}
	}
	return words(code)
}
