package source

import (
	"math"

	"leat/calc"
)

// MainsIn is a tap with two readings of a gauge.
type MainsIn struct {
	PStatic float64  `json:"p_static_gauge"` // Pa
	PTest   float64  `json:"p_test_gauge"`   // Pa
	QTest   float64  `json:"Q_test"`         // m³/s
	Q       *float64 `json:"Q"`              // m³/s
}

// MainsOut is what a tap can give.
type MainsOut struct {
	R         float64  `json:"R_Pa_s2_m6"`
	QOpen     float64  `json:"Q_open"`
	QMaxPower float64  `json:"Q_maxpower"`
	PMaxW     float64  `json:"P_max_W"`
	WhPerM3   float64  `json:"Wh_per_m3"`
	PAtQ      *float64 `json:"p_gauge_at_Q,omitempty"`
}

// MainsResistance returns what a supply puts in the way of its flow, in Pa·s²/m⁶:
//
//	R = (p₀ − p_t)/Q_t²
//
// closed p₀ and drawing p_t are gauge pressures in Pa, flow Q_t in m³/s.
//
// Valid for turbulent flow in pipes and taps, with the same valves open.
//
// Source: definition.
func MainsResistance(closed, drawing, flow float64) float64 {
	return (closed - drawing) / (flow * flow)
}

// Mains answers what a tap can give, from its pressure closed and drawing.
func Mains(in MainsIn) (MainsOut, []calc.Warning, *calc.Fault) {
	if in.PTest >= in.PStatic {
		return MainsOut{}, nil, &calc.Fault{Code: calc.Infeasible, At: "/p_test_gauge",
			Message: "The pressure while drawing is not below the pressure with all taps closed. Read both on the same gauge, and draw more water for the second."}
	}
	r := MainsResistance(in.PStatic, in.PTest, in.QTest)
	open := math.Sqrt(in.PStatic / r)
	best := open / math.Sqrt(3)
	out := MainsOut{R: r, QOpen: open, QMaxPower: best, PMaxW: 2.0 / 3 * in.PStatic * best, WhPerM3: in.PStatic / 3600}
	if q := in.Q; q != nil {
		p := in.PStatic - r*math.Pow(*q, 2)
		if p <= 0 {
			return MainsOut{}, nil, &calc.Fault{Code: calc.Infeasible, At: "/Q",
				Message: "The supply cannot give this flow: no pressure would be left. Ask for less than with the tap wide open."}
		}
		out.PAtQ = &p
	}
	return out, in.warnings(), nil
}

func (in MainsIn) warnings() (warnings []calc.Warning) {
	if in.PStatic-in.PTest < 0.2*in.PStatic {
		warnings = append(warnings, calc.Warning{Code: "W_SMALL_DROP", At: "/p_test_gauge",
			Message: "The pressure fell by less than a fifth, so an error of the gauge counts much. Draw more water for the second reading."})
	}
	return append(warnings, calc.Warning{Code: "W_MAINS",
		Message: "This is metered, treated water: ask the water company first. Between the tap and the machine there must be an air gap (fluid category 5), because a trompe or ram holds stagnant water " +
			"and air under pressure: a double check valve covers only category 3, a reduced-pressure-zone valve category 4. Never connect machine, ram or receiver to the drinking-water pipe. The local rules decide."})
}

const twoReadings = "p(Q) = p₀ − R·Q², two readings"

var mains = calc.New(calc.Description{
	Name: "system/mains", Answers: "flow, pressure and power that a tap or hose can give", Evidence: calc.OftenMeasured,
	Words: []string{"mains", "tap", "hose", "drinking water", "gauge", "pressure"},
	Inputs: []calc.Field{
		calc.Positive("/p_static_gauge", "Pa", "pressure on the gauge with all taps closed").Need(),
		calc.AtLeast("/p_test_gauge", "Pa", 0, "pressure on the gauge while drawing").Need(),
		calc.Positive("/Q_test", "m³/s", "flow drawn at that reading").Need(),
		calc.AtLeast("/Q", "m³/s", 0, "flow that is wanted"),
	},
	Outputs: []calc.Field{
		calc.Gives("/R_Pa_s2_m6", "Pa·s²/m⁶", "what the supply puts in the way of its flow", "R = (p₀ − p_t)/Q_t²", twoReadings, "/p_static_gauge", "/p_test_gauge", "/Q_test"),
		calc.Gives("/Q_open", "m³/s", "flow with the tap wide open", "√(p₀/R)", twoReadings, "/p_static_gauge", "/R_Pa_s2_m6"),
		calc.Gives("/Q_maxpower", "m³/s", "flow at which the power is largest", "Q_open/√3", "maximum of p(Q)·Q", "/Q_open"),
		calc.Gives("/P_max_W", "W", "largest power", "(2/3)·p₀·Q_open/√3", "maximum of p(Q)·Q", "/p_static_gauge", "/Q_maxpower"),
		calc.Gives("/Wh_per_m3", "Wh/m³", "energy of a cubic metre", "p₀/3600", "p·V", "/p_static_gauge"),
		calc.Gives("/p_gauge_at_Q", "Pa", "pressure left at the flow that is wanted", "p₀ − R·Q²", twoReadings, "/p_static_gauge", "/R_Pa_s2_m6", "/Q"),
	},
	Equation: "p(Q) = p₀ − R·Q², R = (p₀ − p_t)/Q_t²",
	Validity: "Both readings on one gauge, before any hose, with the same valves open; the pressure of the street changes over the day. " +
		"A usual service standard is 0.7 bar and 9 L/min at the boundary (South West Water, WRAS), 14.7 W at 10 m head.",
	Sources: []string{"South West Water on the Ofwat service standard; WRAS I22 (2009); DWI 70/2/168 (2005) on backflow; read", twoReadings},
	Example: []byte(`{"p_static_gauge": 300000, "p_test_gauge": 180000, "Q_test": 0.0003, "Q": 0.0002}`),
}, MainsIn{}, Mains)
