package build

import "maps"

// Words returns what the codes of the calculations of safety mean, in a builder's
// words.
func Words() map[string]string { return maps.Clone(texts) }

// words says a code to a builder. A code without words is said as it is: a test
// finds it.
func words(code string) string {
	if text, ok := texts[code]; ok {
		return text
	}
	return code
}

var texts = map[string]string{
	"not_described":        "Nobody has said yet what it is made of.",
	"no_design_pressure":   "It is not known what pressure comes to it. Complete the machine, or give the pressure that it must be good for.",
	"no_rating":            "It has no rating. Read the marking on the part, or get the maker's statement, and enter it together with where it stands.",
	"unknown_material":     "Its material is not known. Choose a line of the catalogue, or say how it breaks and which derating table is its own.",
	"no_temperature":       "The hottest and the coldest wall in use are not given.",
	"no_joint":             "It is not said how it is joined.",
	"no_diameter":          "Its outside diameter is not known: measure it.",
	"gas_volume_not_known": "It is not known how much gas hangs together. Give the length of the chamber, or the volume.",
	"surge_not_known":      "The shock of the ram cannot be worked out for it: wall, material or the ram's figures are missing.",
	"collapse":             "Pressed from outside while it is empty, it would buckle. A thicker wall, or less depth.",
	"over_rating":          "The pressure is above what is left of its rating.",
	"nonpressure_part":     "It is not made for pressure: drain, waste and rainwater pipe holds a metre of water at most. Take pressure pipe.",
	"joint_unrestrained":   "Its joints only push in; gas would blow them apart.",
	"energy_over_low":      "So much gas standing in the open could throw pieces.",
	"brittle_over_limit":   "This plastic bursts into splinters. Above half a bar it must not hold gas, whatever its rating for water.",
	"brittle_exposed":      "This plastic bursts into splinters. With gas in it, it must be buried, under water, or in a casing that would hold the pieces.",
	"brittle_cold":         "In the cold this plastic breaks like glass: no gas in it below 5 °C.",
	"energy_over_brittle":  "There is too much gas for a plastic that bursts into splinters. Less volume, less pressure, or another material.",
	"no_gas_statement":     "Its maker has not said in writing that it may hold compressed air.",
	"uncertified_vessel":   "It is a pressure vessel, and it has no certificate. Buy a marked one.",
	"peak_over_rating":     "The shock of the ram goes above what it may hold.",
	"range_over_limit":     "Shocks of this size, some ten million a year, would tire it until it breaks. Steel takes them; plastic takes a quarter of its rating.",
	"over_cap":             "The test would need more pressure than the weakest part may see.",
	"design_over_rating":   "The pressure is above what is left of its rating.",
	"pneumatic_forbidden":  "It must never be tested with air.",
	"threads_do_not_fit":   "These two threads do not fit each other, though they may start to turn.",

	"gas_floor":                             "pieces fly: 30 m, whatever the energy",
	"water_floor":                           "water alone",
	"water_floor_low_pressure":              "at so little pressure the distance of water is enough",
	"water_floor_low_energy_behind_barrier": "so little gas, behind a barrier: the distance of water is enough",

	"over_0_5_bar":    "Above half a bar: in Europe the rules for pressure equipment begin here.",
	"over_15_psi":     "Above 15 psi: in North America the rules for pressure vessels begin here.",
	"over_50_bar_l":   "Above 50 bar litres: in Europe a vessel of this size has to be a marked one.",
	"over_250_bar_l":  "Above 250 bar litres: in Britain a written scheme of examination is asked for.",
	"buried_receiver": "A buried air tank: forbidden in places, and it must stay reachable everywhere.",

	"restrain_joints":     "Hold the joints so that they cannot slide apart.",
	"keep_clear":          "Keep people away while it is under pressure.",
	"no_pneumatic_test":   "Never test it with air: water only.",
	"competent_person":    "A steward of the group, as the competent person, looks at it first.",
	"relief_required":     "A relief valve belongs to it, with no valve between.",
	"shatter_guard":       "A casing, earth or water must hold the pieces, everywhere, always.",
	"impact_and_uv_guard": "Guard it against blows and sun.",
	"whip_restraint":      "Tie hoses down at both ends: one that comes off whips.",
	"inspection_access":   "It must stay reachable for inspection; in some places burying an air tank is forbidden.",
	"worst_over_rating":   "Should the waste valve stick and then slam at full speed, the shock goes above what it may hold: stay clear while it runs, and mend a valve that sticks at once.",
	"vent_open":           "It would not stand a vacuum: leave the vent open while it drains.",
	"soil_load":           "leat does not work out what soil and traffic press on it: ask somebody who does.",
	"open_top":            "Its top stays open, and it is filled to overflow to try it, never plugged.",

	"gauge_over_working_range":  "The test gauge ends too soon: the test must lie within three quarters of its scale.",
	"gauge_range_below_1_5":     "The test gauge ends too soon: its scale should reach 1.5 times the test.",
	"gauge_range_over_4":        "The test gauge reaches too far to be read well: at most four times the test.",
	"gauge_too_coarse":          "The test gauge is too coarse for this test.",
	"gauge_calibration_expired": "The test gauge was not calibrated within the year.",
}
