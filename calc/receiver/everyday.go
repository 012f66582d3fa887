package receiver

import "leat/calc"

// EverydayIn is an amount of energy.
type EverydayIn struct {
	Wh      float64 `json:"Wh"`
	PhoneWh float64 `json:"phone_Wh"`
}

// EverydayOut is the same energy in things that people know.
type EverydayOut struct {
	Wh           float64 `json:"Wh"`
	J            float64 `json:"J"`
	PhoneCharges float64 `json:"phone_charges"`
	TeaCups      float64 `json:"tea_cups"`
	LampHours    float64 `json:"led_10W_hours"`
	ToolMinutes  float64 `json:"minutes_100W_tool"`
}

// teaCup is the heat of a cup of tea: 0.25 kg of water warmed by 80 K, in J.
const teaCup = 0.25 * 4186 * 80

// Everyday answers what an energy is good for.
func Everyday(in EverydayIn) (EverydayOut, []calc.Warning, *calc.Fault) {
	joules := 3600 * in.Wh
	return EverydayOut{Wh: in.Wh, J: joules, PhoneCharges: in.Wh / in.PhoneWh, TeaCups: joules / teaCup,
		LampHours: in.Wh / 10, ToolMinutes: 60 * in.Wh / 100}, nil, nil
}

const (
	phone = "15 Wh a charge, common practice, no source"
	tea   = "0.25 kg, 4186 J/(kg K), 80 K"
)

var everyday = calc.New(calc.Description{
	Name: "system/everyday", Answers: "an energy in phone charges, cups of tea, lamp hours", Evidence: calc.OftenMeasured,
	Words: []string{"energy", "phone", "tea", "lamp", "kettle", "how much is it"},
	Inputs: []calc.Field{
		calc.Positive("/Wh", "Wh", "energy").Need(),
		calc.Positive("/phone_Wh", "Wh", "energy to charge a phone once").Preset("15"),
	},
	Outputs: []calc.Field{
		calc.Gives("/Wh", "Wh", "energy", "J/3600", "unit", "/J"),
		calc.Gives("/J", "J", "energy", "3600·Wh", "unit", "/Wh"),
		calc.Gives("/phone_charges", "", "charges of a phone", "Wh/phone_Wh", phone, "/Wh", "/phone_Wh"),
		calc.Gives("/tea_cups", "", "cups of tea brought to the boil", "J/83720", tea, "/J"),
		calc.Gives("/led_10W_hours", "h", "hours of a lamp of 10 W", "Wh/10", "definition", "/Wh"),
		calc.Gives("/minutes_100W_tool", "min", "minutes of a tool of 100 W", "60·Wh/100", "definition", "/Wh"),
	},
	Equation: "E/15 Wh, E/83720 J, E/10 W, E/100 W",
	Validity: "As if every bit of the energy reached the use. Air through a tool gives a tenth of it or so.",
	Sources:  []string{phone, tea},
	Example:  []byte(`{"Wh": 16.2}`),
}, EverydayIn{PhoneWh: 15}, Everyday)

// RoundTripIn is a chain of efficiencies.
type RoundTripIn struct {
	WaterToAir float64 `json:"eta_water_to_air"`
	Use        float64 `json:"eta_use"`
	Storage    float64 `json:"eta_storage"`
}

// RoundTripOut is the share of the energy of the water that reaches the use.
type RoundTripOut struct {
	Total float64 `json:"eta_total"`
}

// RoundTrip answers what share of the energy of the water reaches the use.
func RoundTrip(in RoundTripIn) (RoundTripOut, []calc.Warning, *calc.Fault) {
	return RoundTripOut{in.WaterToAir * in.Storage * in.Use}, nil, nil
}

const chained = "product of the parts; tools as the Great Soviet Encyclopedia has them, read; the rest common practice, no source"

var roundTrip = calc.New(calc.Description{
	Name: "system/roundtrip", Answers: "share of the energy of the water that reaches the use", Evidence: calc.OftenMeasured,
	Words: []string{"efficiency", "chain", "round trip", "loss"},
	Inputs: []calc.Field{
		calc.Share("/eta_water_to_air", "share of the energy of the water that is in the air").Need(),
		calc.Share("/eta_use", "share that the use makes of it: air tool 0.10 to 0.15, vane motor 0.2 to 0.4, slow piston engine 0.3 to 0.6").Need(),
		calc.Share("/eta_storage", "share that is left after storage").Preset("0.95"),
	},
	Outputs: []calc.Field{
		calc.Gives("/eta_total", "", "share of the energy of the water that reaches the use", "η = η_air·η_storage·η_use", chained, "/eta_water_to_air", "/eta_storage", "/eta_use"),
	},
	Equation: "η = η_air·η_storage·η_use",
	Validity: "Each share measured or estimated for the same pressure and flow.",
	Sources:  []string{chained},
	Example:  []byte(`{"eta_water_to_air": 0.5, "eta_use": 0.125}`),
}, RoundTripIn{Storage: 0.95}, RoundTrip)
