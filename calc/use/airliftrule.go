package use

import "leat/calc"

// RuleIn is a well with an airlift in it.
type RuleIn struct {
	S     float64 `json:"submergence"` // m
	Lift  float64 `json:"lift"`        // m
	Water float64 `json:"Q_water"`     // m³/s
	PAtm  float64 `json:"p_atm"`       // Pa
	Rho   float64 `json:"rho"`         // kg/m³
}

// RuleOut is the air that an airlift in a well takes.
type RuleOut struct {
	K          float64 `json:"k"`
	QFreeM3s   float64 `json:"Q_free_m3s"`
	QFreeLmin  float64 `json:"Q_free_Lmin"`
	Efficiency float64 `json:"efficiency"`
}

// WellFactor returns how many times the ideal air an airlift takes, for a lift
// in m:
//
//	k = 3 + lift/700 ft
//
// Valid for deep wells and tubes of a hand's width.
//
// Source: Handbook of Chemical Engineering (Liddell), volume 1, read.
func WellFactor(lift float64) float64 { return 3 + lift/(700*0.3048) }

// AirliftRule answers what air an airlift takes to raise given water.
func AirliftRule(in RuleIn) (RuleOut, []calc.Warning, *calc.Fault) {
	k := WellFactor(in.Lift)
	// the power of one m³/s of free air carries the units
	q := k * in.Rho * calc.Gravity * in.Water * in.Lift / AirPower(1, in.PAtm, in.Rho*calc.Gravity*in.S)
	return RuleOut{K: k, QFreeM3s: q, QFreeLmin: 60_000 * q, Efficiency: 1 / k}, nil, nil
}

const liddell = "Handbook of Chemical Engineering (Liddell), volume 1, read"

var airliftRule = calc.New(calc.Description{
	Name: "system/airlift_rule", Answers: "air that an airlift takes, by the rule for deep wells", Evidence: calc.OftenMeasured,
	Words: []string{"airlift", "air lift", "well", "rule of thumb", "lift water"},
	Inputs: []calc.Field{
		depthUnder(),
		calc.Positive("/lift", "m", "how far above the water level it runs out").Need(),
		calc.Positive("/Q_water", "m³/s", "water to be raised").Need(),
		openAir(), water(),
	},
	Outputs: []calc.Field{
		calc.Gives("/k", "", "air over ideal air", "k = 3 + lift/700 ft", liddell, "/lift"),
		calc.Gives("/Q_free_m3s", "m³/s", "flow of free air", "Q = k·ρ·g·q_l·lift/(p_a·ln(1 + ρ·g·S/p_a))", liddell, "/k", "/rho", "/Q_water", "/lift", "/p_atm", "/submergence"),
		calc.Gives("/Q_free_Lmin", "L/min", "flow of free air", "60000·Q", "unit", "/Q_free_m3s"),
		calc.Gives("/efficiency", "", "power into the water over power of the air", "1/k", liddell, "/k"),
	},
	Equation: "Q = k·ρ·g·q_l·lift/(p_a·ln(1 + ρ·g·S/p_a)), k = 3 + lift/700 ft",
	Validity: "Deep wells; a third of the ideal at best, and coarse. Where the calculation for narrow tubes differs by more than two times, look at both.",
	Sources:  []string{liddell},
	Example:  []byte(`{"submergence": 30, "lift": 30, "Q_water": 0.001}`),
}, RuleIn{PAtm: calc.Atmosphere, Rho: calc.WaterDensity}, AirliftRule)
