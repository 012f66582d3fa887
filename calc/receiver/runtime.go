package receiver

import "leat/calc"

// RuntimeIn is a receiver in use. Pressures are absolute, flows of free air.
type RuntimeIn struct {
	V     float64 `json:"V"`      // m³
	P1    float64 `json:"p1"`     // Pa
	P2    float64 `json:"p2"`     // Pa
	QLoad float64 `json:"Q_load"` // m³/s
	PAtm  float64 `json:"p_atm"`  // Pa
	QIn   float64 `json:"Q_in"`   // m³/s
}

// RuntimeOut is how long it lasts: for ever when TS is nil.
type RuntimeOut struct {
	FreeAirM3  float64  `json:"free_air_m3"`
	TS         *float64 `json:"t_s"`
	Continuous bool     `json:"continuous"`
}

// Runtime answers how long a receiver lasts.
func Runtime(in RuntimeIn) (RuntimeOut, []calc.Warning, *calc.Fault) {
	if in.P2 >= in.P1 || in.P2 < in.PAtm {
		return RuntimeOut{}, nil, &calc.Fault{Code: calc.Range, At: "/p2",
			Message: "The pressure at the end must be below that at the start, and not below that of the air around. Both count from vacuum: add 101325 Pa to a gauge reading."}
	}
	out := RuntimeOut{FreeAirM3: (in.P1 - in.P2) * in.V / in.PAtm, Continuous: in.QIn >= in.QLoad}
	if !out.Continuous {
		out.TS = new(out.FreeAirM3 / (in.QLoad - in.QIn))
	}
	return out, nil, nil
}

var runtime = calc.New(calc.Description{
	Name: "system/runtime", Answers: "how long a receiver lasts while air is drawn", Evidence: calc.OftenMeasured,
	Words: []string{"receiver", "tank", "run time", "how long", "tool", "draw"},
	Inputs: []calc.Field{
		volume,
		calc.Positive("/p1", "Pa", "pressure at the start, absolute").Need(),
		calc.Positive("/p2", "Pa", "pressure down to which the air is of use, absolute").Need(),
		calc.AtLeast("/Q_load", "m³/s", 0, "free air that is drawn").Need(),
		atmosphere,
		calc.AtLeast("/Q_in", "m³/s", 0, "free air that the machine delivers meanwhile").Preset("0"),
	},
	Outputs: []calc.Field{
		calc.Gives("/free_air_m3", "m³", "free air in it down to the end", "(p₁ − p₂)·V/p_a", idealGas, "/p1", "/p2", "/V", "/p_atm"),
		calc.Gives("/t_s", "s", "time; none when it never runs empty", "t = (p₁ − p₂)·V/p_a/(Q_load − Q_in)", idealGas, "/free_air_m3", "/Q_load", "/Q_in"),
		calc.Gives("/continuous", "", "whether the machine delivers all that is drawn", "Q_in ≥ Q_load", "definition", "/Q_in", "/Q_load").As(calc.Flag),
	},
	Equation: "t = (p₁ − p₂)·V/p_a/(Q_load − Q_in)",
	Validity: "The air keeps its temperature; drawn fast it cools, and lasts less long.",
	Sources:  []string{idealGas},
	Example:  []byte(`{"V": 0.05, "p1": 901325, "p2": 301325, "Q_load": 0.001, "Q_in": 0.0003}`),
}, RuntimeIn{PAtm: calc.Atmosphere}, Runtime)
