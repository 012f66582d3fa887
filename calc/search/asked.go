package search

import (
	"encoding/json"

	"leat/calc"
)

// The wishes.
const (
	MostAir      = "most_air"
	Pressure     = "pressure"      // most air at a pressure wanted
	LeastPipe    = "least_pipe"    // least plastic for the air wanted
	LeastDigging = "least_digging" // shallowest hole for the air wanted
)

// Asked is a site and a wish, in SI units.
type Asked struct {
	FlowM3S   float64 `json:"flow_m3s"` // what the stream gives
	FallM     float64 `json:"fall_m"`   // from headwater to tailwater
	DepthM    float64 `json:"depth_m"`  // that can be dug below the tailwater
	AltitudeM float64 `json:"altitude_m"`
	AirC      float64 `json:"t_air_c"`
	WaterC    float64 `json:"t_water_c"`
	Wish      string  `json:"wish"`
	GaugePa   float64 `json:"gauge_pa"`     // least pressure wanted, 0: any
	AirM3S    float64 `json:"free_air_m3s"` // least free air wanted, 0: any
	Family    string  `json:"family"`       // key of the [Family] of pipes
}

// Inputs declares every field of [Asked].
func Inputs() []calc.Field { return inputs }

var inputs = []calc.Field{
	calc.Between("/flow_m3s", "m³/s", 1e-6, 10, "the water that the source gives and that you may take").Need(),
	calc.Between("/fall_m", "m", 0.1, 100, "height from the water above to the water below").Need(),
	calc.Between("/depth_m", "m", 0, 50, "how deep you can dig below the water below").Preset("0"),
	calc.Between("/altitude_m", "m", -1000, 12000, "height of the site above the sea").Preset("0"),
	calc.Between("/t_air_c", "°C", -30, 50, "temperature of the air").Preset("15"),
	calc.Between("/t_water_c", "°C", 0.5, 45, "temperature of the water").Preset("12"),
	calc.OneOf("/wish", "what the machine should be best at", MostAir, Pressure, LeastPipe, LeastDigging).Need(),
	gaugeWanted.Need().OnlyIf("/wish", "", Pressure),
	gaugeWanted.OnlyIf("/wish", "", MostAir, LeastPipe, LeastDigging),
	airWanted.Need().OnlyIf("/wish", "", LeastPipe, LeastDigging),
	airWanted.OnlyIf("/wish", "", MostAir, Pressure),
	calc.OneOf("/family", "the pipes that it is made of", familyKeys()...).Preset(families[0].Key),
}

var (
	gaugeWanted = above(calc.Between("/gauge_pa", "Pa", 0, 1e7, "least gauge pressure wanted"))
	airWanted   = above(calc.Between("/free_air_m3s", "m³/s", 0, 10, "least free air wanted"))
)

func above(f calc.Field) calc.Field { f.AboveLow = true; return f }

var form = calc.NewForm(inputs)

// Decode reads what is asked from JSON text and fills in the defaults. It
// returns every fault that it finds, in the order of [Inputs].
func Decode(raw json.RawMessage) (Asked, []calc.Fault) {
	a := Asked{AirC: 15, WaterC: 12, Family: families[0].Key}
	clean, faults := form.Check(raw)
	if clean == nil {
		return a, faults
	}
	text, err := json.Marshal(clean)
	if err == nil {
		err = json.Unmarshal(text, &a)
	}
	if err != nil { // the form let something through that the struct does not take
		faults = append(faults, calc.Fault{Code: calc.Inconsistent, Message: "What is asked could not be read: " + err.Error()})
	}
	return a, faults
}
