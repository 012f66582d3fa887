package source

import (
	"math"

	"leat/calc"
)

// ResidualIn is a stream and what must stay in it.
type ResidualIn struct {
	Q           float64 `json:"Q"`          // m³/s
	QResidual   float64 `json:"Q_residual"` // m³/s
	MaxFraction float64 `json:"max_fraction"`
}

// ResidualOut is what may be taken from a stream.
type ResidualOut struct {
	QUsable float64 `json:"Q_usable"`
}

// Usable returns the flow in m³/s that is left to use:
//
//	min(max(0, Q − Q_r), f·Q)
//
// flow and what stays are in m³/s, f is the largest share that may be taken.
//
// Valid for the flow of the day.
//
// Source: definition.
func Usable(flow, stays, most float64) float64 {
	return math.Min(math.Max(0, flow-stays), most*flow)
}

// Residual answers what is left to use of a stream.
func Residual(in ResidualIn) (ResidualOut, []calc.Warning, *calc.Fault) {
	out := ResidualOut{Usable(in.Q, in.QResidual, in.MaxFraction)}
	if out.QUsable == 0 {
		return out, []calc.Warning{{Code: "W_NO_WATER", At: "/Q",
			Message: "Nothing is left to use: the whole flow has to stay in the stream. Wait for more water."}}, nil
	}
	return out, nil, nil
}

const permission = "Taking water from a stream normally needs a permission. Leave the flow that the authority names; without one, plan with the flow of the dry season and take only a small part of it."

var residual = calc.New(calc.Description{
	Name: "system/residual", Answers: "flow that is left to use when the stream keeps its share", Evidence: calc.OftenMeasured,
	Words: []string{"stream", "residual flow", "abstraction", "permission", "fish"},
	Inputs: []calc.Field{
		calc.AtLeast("/Q", "m³/s", 0, "flow of the stream").Need(),
		calc.AtLeast("/Q_residual", "m³/s", 0, "flow that must stay in the stream, as the authority names it").Need(),
		calc.Share("/max_fraction", "largest share of the flow that may be taken, as the authority names it").Preset("1: no such limit was named"),
	},
	Outputs: []calc.Field{
		calc.Gives("/Q_usable", "m³/s", "flow left to use", "min(max(0, Q − Q_r), f·Q)", "definition", "/Q", "/Q_residual", "/max_fraction"),
	},
	Equation: "Q_u = min(max(0, Q − Q_r), f·Q)",
	Validity: permission,
	Sources:  []string{"definition"},
	Example:  []byte(`{"Q": 0.03, "Q_residual": 0.02}`),
}, ResidualIn{MaxFraction: 1}, Residual)
