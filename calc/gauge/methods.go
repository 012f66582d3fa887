package gauge

import (
	"math"
	"slices"

	"leat/calc"
	"leat/calc/confront"
	"leat/calc/evidence"
)

// Method is a way to read a quantity.
type Method struct {
	Name       string       `json:"name"`
	About      string       `json:"about"`
	Of         []string     `json:"of"`         // quantities, and paths of conditions; empty: any condition
	Unit       string       `json:"unit"`       // of the values; empty: that of the quantity
	Values     string       `json:"values"`     // what is typed
	Instrument []string     `json:"instrument"` // kinds of the register that will do; empty: none is needed
	Extra      []calc.Field `json:"extra"`      // what else has to be said

	evaluate func(r Reading, at place) evidence.Value
}

// Methods lists all ways, the usual one of each quantity first.
func Methods() []Method { return methods }

// MethodOf returns a method by its name.
func MethodOf(name string) (Method, bool) {
	i := slices.IndexFunc(methods, func(m Method) bool { return m.Name == name })
	if i < 0 {
		return Method{}, false
	}
	return methods[i], true
}

// Reads tells whether a quantity, or a condition, may be read in this way.
func (m Method) Reads(quantity string) bool {
	return slices.Contains(m.Of, quantity) || len(m.Of) == 0 && len(quantity) > 0 && quantity[0] == '/'
}

var (
	pressures = []string{confront.DeliveryPressure, confront.HighestPressure, HeldGauge}
	warmths   = []string{AirWarmth, WaterWarmth}
)

// vessel are the fields of a bucket or barrel.
var vessel = []calc.Field{
	calc.Positive("/volume_m3", "m³", "what the vessel holds up to its mark").Need(),
	calc.Positive("/mark_m3", "m³", "± that the mark may be off").Need(),
	calc.AtLeast("/splash_m3", "m³", 0, "± that splashes, or is missed at the rim").Preset("0"),
	calc.Counted("/people", 1, 20, "how many people took turns with the watch").Preset("1"),
}

var methods = []Method{
	{
		Name: "pressure_gauge", About: "a gauge with a pointer or a display", Of: pressures, Unit: "Pa", Values: "what it shows", Instrument: words("pressure_gauge"),
		Extra: []calc.Field{
			calc.Signed("/zero_before_pa", "Pa", "what it showed with nothing on it, before").Need(),
			calc.Signed("/zero_after_pa", "Pa", "what it showed with nothing on it, after").Need(),
			calc.Signed("/height_m", "m", "height of the gauge above its tap, with water in the line between").Preset("0"),
		},
		evaluate: func(r Reading, at place) evidence.Value {
			i := r.Instrument.metrology()
			i.Zeros = []float64{r.extra("zero_before_pa", math.NaN()), r.extra("zero_after_pa", math.NaN())}
			height, line := r.extra("height_m", 0), at.water
			if height == 0 {
				line = evidence.Exactly(mild) // no water above the tap: its density does not matter
			}
			return evidence.BourdonGauge{MeasuringInstrument: i, Readings: r.Values, Height: evidence.Exactly(height), Water: line, Ambient: at.air.X}.Evaluate()
		},
	},
	{
		Name: "manometer", About: "a U-tube with water", Of: pressures, Unit: "m", Values: "height between the two limbs", Instrument: words("water_manometer"),
		Extra: []calc.Field{
			calc.AtLeast("/swing_m", "m", 0, "from the lowest to the highest that the water swings").Preset("0"),
			calc.Between("/tilt_deg", "°", 0, 80, "how far the tube leans from upright").Preset("0"),
		},
		evaluate: func(r Reading, at place) evidence.Value {
			return evidence.WaterManometer{
				MeasuringInstrument: r.Instrument.metrology(), Difference: r.Values, Swing: r.extra("swing_m", 0),
				Tilt: evidence.Exactly(r.extra("tilt_deg", 0) * math.Pi / 180), Water: at.water,
			}.Evaluate()
		},
	},
	{
		Name: "bucket", About: "a bucket and a stopwatch", Of: []string{confront.WaterFlow, "delivery_flow_m3s", "waste_flow_m3s"}, Unit: "s", Values: "time of each filling", Extra: vessel,
		evaluate: func(r Reading, at place) evidence.Value {
			return evidence.BucketAndStopwatch(r.vessel("bucket"), r.timing())
		},
	},
	{
		Name: "notch", About: "a V-notch weir", Of: []string{confront.WaterFlow}, Unit: "m", Values: "head over the notch", Instrument: words("length_measure"),
		Extra: []calc.Field{
			calc.Between("/angle_deg", "°", 20, 100, "angle of the notch").Need(),
			calc.AtLeast("/angle_off_pct", "%", 0, "± that tan(θ/2) may be off").Preset("0.5"),
			calc.AtLeast("/zero_m", "m", 0, "standard uncertainty of the zero of the head; at least 1 mm counts").Preset("0.001"),
			calc.Counted("/home_made", 0, 1, "1: a plate that is not made to the standard").Preset("1"),
		},
		evaluate: func(r Reading, _ place) evidence.Value {
			return evidence.Notch{
				Gauge: r.Instrument.metrology(), Heads: r.Values, UZero: r.extra("zero_m", 0.001), Angle: r.extra("angle_deg", math.NaN()) * math.Pi / 180,
				UTan: r.extra("angle_off_pct", 0.5) / 100 / math.Sqrt(3), Ce: notchCe, Kh: notchKh, HomeMade: r.extra("home_made", 1) != 0,
			}.Evaluate()
		},
	},
	{
		Name: "meter", About: "a meter that shows the flow", Of: []string{confront.WaterFlow, "delivery_flow_m3s", "waste_flow_m3s"}, Unit: "m³/s", Values: "what it shows", Instrument: words("flow_meter"),
		evaluate: direct,
	},
	{
		Name: "inverted_vessel", About: "a vessel held upside down in water, which the air fills", Of: []string{confront.FreeAir}, Unit: "s", Values: "time of each filling",
		Extra: append(slices.Clone(vessel),
			calc.Signed("/level_m", "m", "how much higher the water stands outside than inside when the time is taken").Preset("0"),
			calc.AtLeast("/level_off_m", "m", 0, "± that this may be off").Preset("0.01")),
		evaluate: func(r Reading, at place) evidence.Value {
			level := evidence.Estimated("level at the vessel", r.extra("level_m", 0), r.extra("level_off_m", 0.01)/math.Sqrt(3))
			return evidence.InvertedBucket{Vessel: r.vessel("vessel"), Time: r.timing(), Barometer: at.pressure, Level: level, Water: at.water}.Evaluate(between)
		},
	},
	{
		Name: "float_meter", About: "a tube with a float", Of: []string{confront.FreeAir}, Unit: "m³/s", Values: "what it shows", Instrument: words("air_flow_meter"),
		Extra: []calc.Field{
			calc.Positive("/limit_pct", "%", "error limit of the meter, of the reading").Need(),
			calc.Between("/limit_from_pct", "%", 1, 100, "from where on that holds, of the full scale").Preset("50"),
			calc.Above("/made_for_pa", "Pa", 0, "absolute pressure that it was calibrated for").Preset("101325"),
			calc.Between("/made_for_c", "°C", -40, 100, "temperature that it was calibrated for").Preset("20"),
			calc.Signed("/at_gauge_pa", "Pa", "pressure of the air in the meter, gauge").Preset("0"),
			calc.AtLeast("/at_gauge_off_pa", "Pa", 0, "± that this may be off").Preset("0"),
		},
		evaluate: func(r Reading, at place) evidence.Value {
			return evidence.VariableAreaMeter{
				MeasuringInstrument: r.Instrument.metrology(), G: r.extra("limit_pct", math.NaN()), QG: r.extra("limit_from_pct", 50), Readings: r.Values,
				Calibrated: evidence.AirState{P: r.extra("made_for_pa", 101325), T: r.extra("made_for_c", 20)}, At: at.under(r),
			}.Evaluate(between)
		},
	},
	{
		Name: "thermal_meter", About: "a thermal mass meter, behind a dryer", Of: []string{confront.FreeAir}, Unit: "m³/s", Values: "what it shows", Instrument: words("air_flow_meter"),
		Extra: []calc.Field{
			calc.Above("/plate_pa", "Pa", 0, "absolute pressure that its flow is given for, as its plate says").Need(),
			calc.Between("/plate_c", "°C", -40, 100, "temperature that its flow is given for, as its plate says").Need(),
			calc.Counted("/dried", 0, 1, "1: the air went through a dryer before it").Preset("0"),
		},
		evaluate: func(r Reading, at place) evidence.Value {
			return evidence.ThermalMeter{
				MeasuringInstrument: r.Instrument.metrology(), Plate: evidence.AirState{P: r.extra("plate_pa", math.NaN()), T: r.extra("plate_c", math.NaN())}, Readings: r.Values, Dried: r.extra("dried", 0) != 0,
			}.Evaluate(between)
		},
	},
	{
		Name: "orifice", About: "an orifice plate in the air line", Of: []string{confront.FreeAir}, Unit: "Pa", Values: "pressure difference over the plate", Instrument: words("pressure_gauge", "water_manometer"),
		Extra: []calc.Field{
			calc.Positive("/bore_m", "m", "diameter of the hole").Need(),
			calc.Positive("/bore_off_m", "m", "± that the hole may be off").Need(),
			calc.Positive("/pipe_m", "m", "inside diameter of the pipe").Need(),
			calc.Share("/c", "discharge coefficient").Preset("0.6"),
			calc.Counted("/home_made", 0, 1, "1: a plate that is not made to the standard").Preset("1"),
			calc.Signed("/at_gauge_pa", "Pa", "pressure of the air before the plate, gauge").Preset("0"),
			calc.AtLeast("/at_gauge_off_pa", "Pa", 0, "± that this may be off").Preset("0"),
		},
		evaluate: func(r Reading, at place) evidence.Value {
			return evidence.OrificePlate{
				Name: "orifice", Bore: evidence.Estimated("bore of the orifice", r.extra("bore_m", math.NaN()), r.extra("bore_off_m", math.NaN())/math.Sqrt(3)),
				Pipe: evidence.Exactly(r.extra("pipe_m", math.NaN())), C: r.extra("c", 0.6), HomeMade: r.extra("home_made", 1) != 0,
				Difference: r.Instrument.metrology().Reads(r.Values...), At: at.under(r),
			}.Evaluate(between)
		},
	},
	{
		Name: "barometer", About: "a barometer on the spot, or that of a phone: never brought to sea level", Of: []string{AirPressure}, Unit: "Pa", Values: "what it shows", Instrument: words("barometer"),
		evaluate: func(r Reading, _ place) evidence.Value {
			return evidence.Barometer(r.Instrument.metrology(), r.Values...)
		},
	},
	{
		Name: "thermometer", About: "a thermometer", Of: warmths, Unit: "°C", Values: "what it shows", Instrument: words("thermometer"),
		evaluate: func(r Reading, _ place) evidence.Value {
			return evidence.Thermometer(r.Instrument.metrology(), evidence.Glass, r.Values...)
		},
	},
	{Name: "level", About: "a level staff, tape or rule", Of: []string{LevelIn, LevelOut, "delivery_head_m"}, Unit: "m", Values: "the level", Instrument: words("length_measure"), evaluate: direct},
	{
		Name: "counted", About: "counted over a time", Of: []string{"beats_hz"}, Unit: "s", Values: "time of so many beats",
		Extra: []calc.Field{calc.Counted("/beats", 1, 10000, "how many beats were counted").Need(), calc.Counted("/people", 1, 20, "how many people took turns with the watch").Preset("1")},
		evaluate: func(r Reading, _ place) evidence.Value {
			return evidence.Through(func(x []float64) float64 { return r.extra("beats", math.NaN()) / x[0] }, r.timing())
		},
	},
	{
		Name: "judged", About: "judged, or taken from a data sheet", Values: "the value",
		Extra: []calc.Field{calc.Positive("/half_width", "", "± within which it surely lies, in the unit of the value").Need()},
		evaluate: func(r Reading, _ place) evidence.Value {
			mean := evidence.TypeA(r.Values).Mean
			return evidence.Estimated(r.Quantity+" as judged", mean, r.extra("half_width", math.NaN())/math.Sqrt(3))
		},
	},
}

// mild is some temperature of water, in °C, where none matters.
const mild = 15

// notchCe and notchKh are those of a notch of 90°: ISO 1438, from memory.
const (
	notchCe = 0.578
	notchKh = 0.85e-3
)

func words(kinds ...string) []string { return kinds }

func direct(r Reading, _ place) evidence.Value { return r.Instrument.metrology().Reads(r.Values...) }

func (r Reading) extra(name string, preset float64) float64 {
	if x, ok := r.Extra[name]; ok {
		return x
	}
	return preset
}

func (r Reading) vessel(name string) evidence.Vessel {
	return evidence.Vessel{Name: name, Volume: r.extra("volume_m3", math.NaN()), Mark: r.extra("mark_m3", math.NaN()), Splash: r.extra("splash_m3", 0)}
}

// timing is with a watch of hundredths of a second.
func (r Reading) timing() evidence.Value {
	return evidence.Timing(evidence.MeasuringInstrument{Name: "watch", Step: 0.01}, int(r.extra("people", 1)), r.Values...)
}
