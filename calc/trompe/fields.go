package trompe

import "leat/calc"

// Inputs declares every field of [Input], in the order of the water.
func Inputs() []calc.Field { return inputs }

func lim(x float64) *float64 { return &x }

func group(at, about string, required bool) calc.Field {
	return calc.Field{At: at, Kind: calc.Group, About: about, Required: required}
}

// number declares a field from low to high, both included.
func number(at, unit string, low, high float64, about string) calc.Field {
	return calc.Field{At: at, Kind: calc.Number, Unit: unit, Low: lim(low), High: lim(high), About: about}
}

// positive declares a field above zero.
func positive(at, unit string, high float64, about string) calc.Field {
	f := number(at, unit, 0, high, about)
	f.AboveLow = true
	return f
}

func count(at string, low, high float64, about string) calc.Field {
	f := number(at, "", low, high, about)
	f.Kind = calc.Count
	return f
}

func choice(at, preset, about string, words ...string) calc.Field {
	return calc.Field{At: at, Kind: calc.Choice, Choices: words, Default: preset, Required: preset == "", About: about}
}

func required(f calc.Field) calc.Field { f.Required = true; return f }

func preset(f calc.Field, words string) calc.Field { f.Default = words; return f }

func usual(f calc.Field, words string) calc.Field { f.Usual = words; return f }

func when(f calc.Field, at, preset string, is ...string) calc.Field {
	f.When = &calc.When{At: at, Is: is, Else: preset}
	return f
}

// Bounds of what a field may hold. They keep out slips of the finger, such as
// millimetres typed as metres; they are no claim that the model is right so far.
const (
	farthest   = 1e4 // m, levels and lengths
	widest     = 100 // m, bores
	roughest   = 0.1 // m
	mostLoss   = 1e4 // loss coefficient
	mostHoseK  = 1e18
	mostPa     = 1e8
	mostFlow   = 1e4 // m³/s
	mostTubes  = 1e6
	mostParams = 10
)

var inputs = join(
	siteFields, supplyFields, intakeFields, downcomerFields, chamberFields, riserFields, takeoffFields, wantedFields, paramFields(), toleranceFields,
)

func join(lists ...[]calc.Field) (all []calc.Field) {
	for _, l := range lists {
		all = append(all, l...)
	}
	return all
}

var siteFields = []calc.Field{
	preset(count("/n_parallel", 1, 1000, "how many identical intakes with downcomers feed the one chamber; the fields of intake and downcomer are for one"), "1"),
	group("/site", "the place: height above the sea, air and water", false),
	preset(number("/site/altitude_m", "m", -1000, 12000, "height of the site above the sea"), "0"),
	usual(positive("/site/p_amb_pa", "Pa", mostPa, "pressure of the open air, if measured; replaces the altitude"), "90000 to 103000"),
	preset(number("/site/t_air_c", "°C", -30, 50, "temperature of the air"), "15"),
	preset(number("/site/t_water_c", "°C", 0.5, 45, "temperature of the water"), "12"),
	preset(number("/site/rh", "", 0, 1, "relative humidity of the air, 0 dry to 1 saturated"), "0.7"),
	preset(positive("/site/g", "m/s²", 100, "gravity of the place"), "9.80665"),
	preset(number("/site/water_saturation", "", 0, 10, "air already dissolved in the water as it enters, 1 = as much as it can hold in the open"), "1"),
	number("/site/ground_m", "m", -farthest, farthest, "level of the ground where the machine stands, for drawing and digging only"),
}

var supplyFields = []calc.Field{
	group("/supply", "where the water comes from", true),
	choice("/supply/type", "", "open water at a level, a hose that fills an open header, or a hose coupled to a closed head", Forebay, HoseOpen, HoseClosed),
	when(required(number("/supply/level_m", "m", -farthest, farthest, "level of the open water above the intake")), "/supply/type", "", Forebay),
	when(positive("/supply/flow_max_m3s", "m³/s", mostFlow, "all the water that the source gives; without it the source is taken as ample"), "/supply/type", "", Forebay),
	when(required(positive("/supply/static_pa", "Pa", mostPa, "gauge pressure at the hose with the tap shut at the far end")), "/supply/type", "", HoseOpen, HoseClosed),
	when(required(number("/supply/z_m", "m", -farthest, farthest, "level at which that gauge sits")), "/supply/type", "", HoseOpen, HoseClosed),
	when(preset(number("/supply/k_pa_s2_m6", "Pa·s²/m⁶", 0, mostHoseK, "loss in the supply line over the square of the flow"), "0"), "/supply/type", "", Forebay),
	when(required(positive("/supply/k_pa_s2_m6", "Pa·s²/m⁶", mostHoseK, "loss in the hose over the square of the flow, from two gauge readings: (static less flowing)/flow²")), "/supply/type", "", HoseOpen),
	when(required(number("/supply/k_pa_s2_m6", "Pa·s²/m⁶", 0, mostHoseK, "loss in the hose over the square of the flow, from two gauge readings: (static less flowing)/flow²")), "/supply/type", "", HoseClosed),
	when(required(number("/supply/level_max_m", "m", -farthest, farthest, "level at which the header spills")), "/supply/type", "", HoseOpen),
	when(preset(number("/supply/outlet_m", "m", -farthest, farthest, "level at which the hose ends"), "level_max_m"), "/supply/type", "", HoseOpen),
}

var intakeFields = []calc.Field{
	group("/intake", "the air tubes and the mouth of the downcomer, one unit", true),
	required(number("/intake/mouth_m", "m", -farthest, farthest, "level at which the air tubes end and the downcomer begins")),
	required(usual(count("/intake/n_tubes", 0, mostTubes, "how many air tubes"), "6 to 60")),
	required(usual(positive("/intake/tube_id_m", "m", 10, "bore of an air tube"), "0.004 to 0.015")),
	required(usual(positive("/intake/tube_od_m", "m", 10, "outside diameter of an air tube"), "0.006 to 0.018")),
	required(usual(positive("/intake/tube_length_m", "m", farthest, "length of an air tube"), "0.2 to 1")),
	preset(number("/intake/tube_roughness_m", "m", 0, roughest, "wall roughness of the air tubes"), "1.5e-6"),
	positive("/intake/port_cda_m2", "m²", 1e4, "a common air port or valve before the tubes: its area times its discharge coefficient"),
	positive("/intake/throat_area_m2", "m²", 1e4, "area left for the water between the tubes, if it is not the bore less the tubes"),
	preset(number("/intake/bundle_length_m", "m", 0, farthest, "how far the tubes reach into the bore"), "0"),
	usual(number("/intake/k_in", "", 0, mostLoss, "contraction loss at the mouth, in throat velocity heads"), "0.05 (rounded) to 0.5 (sharp)"),
}

var downcomerFields = []calc.Field{
	group("/downcomer", "the pipe in which water and bubbles fall, one unit", true),
	required(usual(positive("/downcomer/bore_m", "m", widest, "inside diameter"), "0.02 to 0.3")),
	required(number("/downcomer/outlet_m", "m", -farthest, farthest, "level of its lower end")),
	preset(positive("/downcomer/length_m", "m", 10*farthest, "length along the pipe; longer than the drop when it is inclined"), "plumb"),
	preset(number("/downcomer/roughness_m", "m", 0, roughest, "wall roughness"), "1.5e-6"),
	preset(number("/downcomer/k_minor", "", 0, mostLoss, "loss of its fittings, in velocity heads"), "0"),
	preset(positive("/downcomer/outlet_bore_m", "m", widest, "bore of a flared lower end"), "bore_m"),
}

var chamberFields = []calc.Field{
	group("/chamber", "the vessel in which air and water part", true),
	choice("/chamber/kind", "", "a pipe lying down, a pipe standing up, or any other by its plan area", Horizontal, Vertical, Plan),
	when(required(usual(positive("/chamber/bore_m", "m", widest, "inside diameter"), "0.1 to 0.6")), "/chamber/kind", "", Horizontal, Vertical),
	when(required(positive("/chamber/length_m", "m", farthest, "inside length")), "/chamber/kind", "", Horizontal),
	when(required(number("/chamber/floor_m", "m", -farthest, farthest, "level of its floor inside")), "/chamber/kind", "", Horizontal),
	when(preset(number("/chamber/inner_od_m", "m", 0, widest, "outside diameter of a pipe that stands in it"), "0"), "/chamber/kind", "", Vertical),
	when(required(positive("/chamber/plan_area_m2", "m²", 1e6, "water surface seen from above")), "/chamber/kind", "", Plan),
	required(number("/chamber/lip_m", "m", -farthest, farthest, "level below which air escapes under the riser's edge")),
	required(number("/chamber/high_m", "m", -farthest, farthest, "highest water level allowed, below the air outlet")),
}

var riserFields = []calc.Field{
	group("/riser", "the way up for the water", true),
	choice("/riser/kind", Pipe, "a pipe, or the ring around the downcomer", Pipe, Annulus),
	when(required(usual(positive("/riser/bore_m", "m", widest, "inside diameter"), "0.025 to 0.4")), "/riser/kind", Pipe, Pipe),
	when(preset(count("/riser/count", 1, 1000, "how many such pipes side by side"), "1"), "/riser/kind", Pipe, Pipe),
	when(required(positive("/riser/outer_bore_m", "m", widest, "inside diameter of the outer pipe")), "/riser/kind", Pipe, Annulus),
	when(required(positive("/riser/inner_od_m", "m", widest, "outside diameter of the inner pipe")), "/riser/kind", Pipe, Annulus),
	required(number("/riser/outlet_m", "m", -farthest, farthest, "level at which the water leaves")),
	preset(positive("/riser/length_m", "m", 10*farthest, "length along the pipe"), "outlet less lip"),
	preset(number("/riser/roughness_m", "m", 0, roughest, "wall roughness"), "1.5e-6"),
	preset(number("/riser/k_minor", "", 0, mostLoss, "loss of entry and bends, in velocity heads; the exit is added"), "0.5"),
}

var takeoffFields = []calc.Field{
	group("/takeoff", "how the air is taken", false),
	choice("/takeoff/mode", BlowOffLevel, "all air taken at the highest pressure, into a receiver, into the open, or valve shut", BlowOffLevel, ToReceiver, ToOpenAir, ValveShut),
	when(required(number("/takeoff/receiver_gauge_pa", "Pa", 0, mostPa, "gauge pressure in the receiver")), "/takeoff/mode", BlowOffLevel, ToReceiver),
	when(choice("/takeoff/blowoff_route", RouteRiser, "where the air goes while the valve is shut", RouteRiser, RoutePipe), "/takeoff/mode", BlowOffLevel, ValveShut),
	usual(positive("/takeoff/bore_m", "m", widest, "inside diameter of the air line"), "0.006 to 0.05"),
	preset(number("/takeoff/length_m", "m", 0, 10*farthest, "length of the air line"), "0"),
	preset(number("/takeoff/roughness_m", "m", 0, roughest, "wall roughness of the air line"), "1.5e-6"),
	preset(number("/takeoff/k", "", 0, mostLoss, "loss of its fittings, in velocity heads"), "1.5"),
	positive("/takeoff/valve_cda_m2", "m²", 1e4, "area of the open valve times its discharge coefficient"),
}

var wantedFields = []calc.Field{
	group("/wanted", "what the machine is for; the answer says where it falls short", false),
	number("/wanted/gauge_pa", "Pa", 0, mostPa, "gauge pressure wanted"),
	number("/wanted/free_air_m3s", "m³/s", 0, mostFlow, "free air wanted"),
}

var toleranceFields = []calc.Field{{
	At: "/tolerances", Kind: calc.Tolerances,
	About: "by how much a measure may be off, by the path of its field: half the width of what is possible, in the unit of the field; used for the intervals",
}}
