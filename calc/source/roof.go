package source

import (
	"math"

	"leat/calc"
)

// RoofIn is a roof, the rain of a year and perhaps of a storm.
type RoofIn struct {
	APlan        float64  `json:"A_plan"` // m²
	Drop         float64  `json:"drop"`   // m
	RainMmYear   float64  `json:"rain_mm_year"`
	StormMm      *float64 `json:"storm_mm"`
	StormH       *float64 `json:"storm_h"` // h
	C            float64  `json:"C"`
	FilterEff    float64  `json:"filter_eff"`
	Rho          float64  `json:"rho"` // kg/m³
	EventsYear   float64  `json:"events_year"`
	FirstFlushMm float64  `json:"first_flush_mm"`
	ChainEff     *float64 `json:"chain_eff"`
}

// RoofOut is the water and the energy that a roof gives.
type RoofOut struct {
	VYearM3       float64  `json:"V_year_m3"`
	EYearJ        float64  `json:"E_year_J"`
	EYearWh       float64  `json:"E_year_Wh"`
	PMeanW        float64  `json:"P_mean_W"`
	VStormM3      *float64 `json:"V_storm_m3,omitempty"`
	EStormJ       *float64 `json:"E_storm_J,omitempty"`
	EStormWh      *float64 `json:"E_storm_Wh,omitempty"`
	PStormW       *float64 `json:"P_storm_W,omitempty"`
	EYearUsefulWh *float64 `json:"E_year_useful_Wh,omitempty"`
}

const year = 365.25 * 86400 // s

// RainYield returns the water in m³ that a roof gives:
//
//	V = A·max(0, P − ff)/1000·C·η
//
// area is in m², depth of rain and what the first flush takes in mm, c the
// yield and filter the share that passes the filter.
//
// Valid for sums over days or longer.
//
// Source: common practice of rainwater tanks, no source.
func RainYield(area, depth, flush, c, filter float64) float64 {
	return area * math.Max(0, depth-flush) / 1000 * c * filter
}

// FallingWater returns the energy in J of a volume in m³ that falls, or the
// power in W of a flow in m³/s:
//
//	E = ρ·g·V·h
//
// rho is in kg/m³, g in m/s², the fall h in m.
//
// Valid everywhere: no machine gives more.
//
// Source: mechanics.
func FallingWater(rho, g, volume, fall float64) float64 { return rho * g * volume * fall }

// Roof answers what water and energy a roof gives in a year and in a storm.
func Roof(in RoofIn) (RoofOut, []calc.Warning, *calc.Fault) {
	v := RainYield(in.APlan, in.RainMmYear, in.EventsYear*in.FirstFlushMm, in.C, in.FilterEff)
	e := FallingWater(in.Rho, calc.Gravity, v, in.Drop)
	out := RoofOut{VYearM3: v, EYearJ: e, EYearWh: e / 3600, PMeanW: e / year}
	if in.StormMm != nil {
		out.storm(in)
	}
	if in.ChainEff != nil {
		out.EYearUsefulWh = new(*in.ChainEff * out.EYearWh)
	}
	if out.PMeanW < 5 {
		return out, []calc.Warning{{Code: "W_SMALL_POWER",
			Message: "Over the year this is less than 5 W: a demonstration, not a power source. Every household roof is. A stream is what gives power."}}, nil
	}
	return out, nil, nil
}

func (out *RoofOut) storm(in RoofIn) {
	v := RainYield(in.APlan, *in.StormMm, in.FirstFlushMm, in.C, in.FilterEff)
	e := FallingWater(in.Rho, calc.Gravity, v, in.Drop)
	out.VStormM3, out.EStormJ, out.EStormWh = &v, &e, new(e/3600)
	if in.StormH != nil {
		out.PStormW = new(e / (*in.StormH * 3600))
	}
}

const mechanics = "mechanics"

var roof = calc.New(calc.Description{
	Name: "system/roof_energy", Answers: "water and energy that a roof gives in a year and in a storm", Evidence: calc.OftenMeasured,
	Words: []string{"rain", "roof", "energy", "year", "storm", "rainwater"},
	Inputs: []calc.Field{
		calc.Positive("/A_plan", "m²", "area of the roof in plan").Need(),
		calc.Positive("/drop", "m", "how far the water falls").Need(),
		calc.AtLeast("/rain_mm_year", "mm", 0, "rain of a year").Need(),
		calc.AtLeast("/storm_mm", "mm", 0, "rain of one storm"),
		calc.Positive("/storm_h", "h", "how long the storm lasts"),
		calc.Share("/C", "share of the rain that reaches the gutter: metal or tile 0.9, asphalt 0.8, green roof 0.3 to 0.6").Preset("0.9"),
		calc.Share("/filter_eff", "share that passes the filter").Preset("1"),
		calc.Positive("/rho", "kg/m³", "density of the water").Preset("998.2"),
		calc.AtLeast("/events_year", "", 0, "rains in a year whose first water is let go").Preset("0"),
		calc.AtLeast("/first_flush_mm", "mm", 0, "first water of each rain that is let go; 0.3 to 2 is usual").Preset("0"),
		calc.Share("/chain_eff", "share of the energy that the machine passes on"),
	},
	Outputs: []calc.Field{
		calc.Gives("/V_year_m3", "m³", "water of a year", "V = A·max(0, P − N·ff)/1000·C·η", tankPractice, "/A_plan", "/rain_mm_year", "/events_year", "/first_flush_mm", "/C", "/filter_eff"),
		calc.Gives("/E_year_J", "J", "energy of a year", "E = ρ·g·V·h", mechanics, "/rho", "/V_year_m3", "/drop"),
		calc.Gives("/E_year_Wh", "Wh", "energy of a year", "E/3600", "unit", "/E_year_J"),
		calc.Gives("/P_mean_W", "W", "power, spread over the year", "E/(365.25·86400 s)", "definition", "/E_year_J"),
		calc.Gives("/V_storm_m3", "m³", "water of the storm", "V = A·max(0, P − ff)/1000·C·η", tankPractice, "/A_plan", "/storm_mm", "/first_flush_mm", "/C", "/filter_eff"),
		calc.Gives("/E_storm_J", "J", "energy of the storm", "E = ρ·g·V·h", mechanics, "/rho", "/V_storm_m3", "/drop"),
		calc.Gives("/E_storm_Wh", "Wh", "energy of the storm", "E/3600", "unit", "/E_storm_J"),
		calc.Gives("/P_storm_W", "W", "power while the storm lasts", "E/(3600·t)", "definition", "/E_storm_J", "/storm_h"),
		calc.Gives("/E_year_useful_Wh", "Wh", "energy of a year that the machine passes on", "η·E", "definition", "/chain_eff", "/E_year_Wh"),
	},
	Equation: "E = ρ·g·V·h, V = A·(P − N·ff)/1000·C·η",
	Validity: "Plan area, sums over a year or a storm. A bound: what the machine loses comes off.",
	Sources:  []string{tankPractice, mechanics},
	Example:  []byte(`{"A_plan": 100, "drop": 5, "rain_mm_year": 800, "storm_mm": 20, "storm_h": 2, "chain_eff": 0.15}`),
}, RoofIn{C: 0.9, FilterEff: 1, Rho: calc.WaterDensity}, Roof)
