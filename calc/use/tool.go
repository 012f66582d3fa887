package use

import "leat/calc"

// ToolIn is a tool driven by air.
type ToolIn struct {
	PShaft float64 `json:"P_shaft"` // W
	PGauge float64 `json:"p_gauge"` // Pa
	Eta    float64 `json:"eta"`
	PAtm   float64 `json:"p_atm"` // Pa
}

// ToolOut is the air that a tool takes.
type ToolOut struct {
	QFreeM3s  float64 `json:"Q_free_m3s"`
	QFreeLmin float64 `json:"Q_free_Lmin"`
}

// Tool answers what air a tool takes.
func Tool(in ToolIn) (ToolOut, []calc.Warning, *calc.Fault) {
	q := in.PShaft / (in.Eta * AirPower(1, in.PAtm, in.PGauge))
	return ToolOut{QFreeM3s: q, QFreeLmin: 60_000 * q}, nil, nil
}

const toolSource = "Great Soviet Encyclopedia, Pneumatic tools, read: 0.10 to 0.15 for hand tools of 0.15 to 1.75 kW at 6 to 10 bar"

var tool = calc.New(calc.Description{
	Name: "system/tool_air", Answers: "air that a hand tool takes", Evidence: calc.BuiltMeasured,
	Words: []string{"tool", "drill", "grinder", "hammer", "airbrush", "air motor", "spray gun"},
	Inputs: []calc.Field{
		calc.Positive("/P_shaft", "W", "power at the shaft").Need(),
		calc.Positive("/p_gauge", "Pa", "pressure at the tool, gauge").Need(),
		calc.Share("/eta", "share of the air's power that reaches the shaft").Preset("0.125").Usually("0.10 to 0.15"),
		openAir(),
	},
	Outputs: []calc.Field{
		calc.Gives("/Q_free_m3s", "m³/s", "flow of free air", "Q = P/(η·p_a·ln((p_a + p)/p_a))", toolSource, "/P_shaft", "/eta", "/p_atm", "/p_gauge"),
		calc.Gives("/Q_free_Lmin", "L/min", "flow of free air", "60000·Q", "unit", "/Q_free_m3s"),
	},
	Equation: "Q = P/(η·p_a·ln((p_a + p)/p_a))",
	Validity: "Hand tools at work. Usual free air in L/min: brad nailer 5 to 30 on average, small drill 200 to 450, die grinder 250 to 600, sander 300 to 600, chipping hammer 300 to 600, airbrush 10 to 30 at 1 to 2 bar, spray gun of low pressure 150 to 400. " +
		"Most want 6 bar, and a trompe 10 m deep gives 1 bar: it suits airbrush, aeration, airlift, forge blast, whistle and slow toy engines.",
	Sources: []string{toolSource, "Ranges of tools: common practice, no source"},
	Example: []byte(`{"P_shaft": 150, "p_gauge": 600000}`),
}, ToolIn{Eta: 0.125, PAtm: calc.Atmosphere}, Tool)
