package ram

import "leat/calc"

// SteadyIn is a ram known by its efficiency.
type SteadyIn struct {
	Q    float64 `json:"Q"` // m³/s
	Fall float64 `json:"H"` // m
	Rise float64 `json:"h"` // m
	Eta  float64 `json:"eta"`
}

// SteadyOut is what such a ram lifts and wastes.
type SteadyOut struct {
	Q       float64 `json:"q"`
	QWaste  float64 `json:"Q_waste"`
	EtaD    float64 `json:"eta_daubuisson"`
	Rankine float64 `json:"eta_rankine"`
}

// Delivery returns the flow in m³/s that a ram lifts:
//
//	q = η_D·Q·H/h
//
// eta is D'Aubuisson's efficiency, drive the flow Q into the ram in m³/s, fall
// H and rise h over the waste valve in m.
//
// Valid for h above H.
//
// Source: G. D. Jennings, Hydraulic Ram Pumps, NC Cooperative Extension EBAE
// 161-92, as quoted.
func Delivery(eta, drive, fall, rise float64) float64 { return eta * drive * fall / rise }

// DAubuisson returns D'Aubuisson's efficiency of a ram:
//
//	η_D = q·h/(Q·H)
//
// delivered q and drive Q, all that runs into the ram, are in m³/s, rise and fall in m.
//
// Valid for h above H.
//
// Source: definition.
func DAubuisson(delivered, drive, fall, rise float64) float64 {
	return delivered * rise / (drive * fall)
}

// Rankine returns Rankine's efficiency of a ram, which counts only the lift
// above the intake:
//
//	η_R = q·(h − H)/(Q_w·H)
//
// delivered q and waste Q_w are in m³/s, rise and fall in m.
//
// Valid for h above H; below D'Aubuisson's wherever both are below 1.
//
// Source: definition.
func Rankine(delivered, waste, fall, rise float64) float64 {
	return delivered * (rise - fall) / (waste * fall)
}

// Steady answers what a ram lifts that is known by its efficiency.
func Steady(in SteadyIn) (SteadyOut, []calc.Warning, *calc.Fault) {
	if fault := notAbove(in.Fall, in.Rise); fault != nil {
		return SteadyOut{}, nil, fault
	}
	q := Delivery(in.Eta, in.Q, in.Fall, in.Rise)
	waste := in.Q - q
	return SteadyOut{Q: q, QWaste: waste, EtaD: in.Eta, Rankine: Rankine(q, waste, in.Fall, in.Rise)}, nil, nil
}

var steady = calc.New(calc.Description{
	Name: "system/ram_steady", Answers: "what a hydraulic ram lifts, by its efficiency", Evidence: calc.OftenMeasured,
	Words: []string{"ram", "hydraulic ram", "pump", "lift water", "delivery", "efficiency"},
	Inputs: []calc.Field{
		calc.Positive("/Q", "m³/s", "flow into the ram, what is wasted included").Need(),
		fall, rise,
		calc.Share("/eta", "D'Aubuisson's efficiency").Preset("0.6"),
	},
	Outputs: []calc.Field{
		calc.Gives("/q", "m³/s", "flow lifted", "q = η_D·Q·H/h", jennings, "/eta", "/Q", "/H", "/h"),
		calc.Gives("/Q_waste", "m³/s", "flow that leaves at the waste valve", "Q − q", continued, "/Q", "/q"),
		calc.Gives("/eta_daubuisson", "", "D'Aubuisson's efficiency", "η_D = q·h/(Q·H)", defined, "/q", "/h", "/Q", "/H"),
		calc.Gives("/eta_rankine", "", "Rankine's efficiency, which counts only the lift above the intake", "η_R = q·(h − H)/(Q_w·H)", defined, "/q", "/h", "/Q_waste", "/H"),
	},
	Equation: "q = η_D·Q·H/h",
	Validity: "A ram of that efficiency at that lift. It never lifts more energy than falls: q·h ≤ Q·H. Always say which efficiency is meant.",
	Sources:  []string{jennings},
	Example:  []byte(`{"Q": 0.001, "H": 3, "h": 20}`),
}, SteadyIn{Eta: 0.6}, Steady)
