package pipe

import (
	"math"
	"slices"

	"leat/calc"
)

// FlowIn is a pipe and the head that drives it.
type FlowIn struct {
	D   float64 `json:"D"`   // m
	L   float64 `json:"L"`   // m
	H   float64 `json:"H"`   // m
	Eps float64 `json:"eps"` // m
	K   float64 `json:"K"`
	Nu  float64 `json:"nu"`  // m²/s
	Rho float64 `json:"rho"` // kg/m³
}

// FlowOut is what runs through a pipe under a head.
type FlowOut struct {
	V      float64 `json:"v"`
	Re     float64 `json:"Re"`
	F      float64 `json:"f"`
	Regime string  `json:"regime"`
	HLoss  float64 `json:"h_loss"`
	DpPa   float64 `json:"dp_Pa"`
	Q      float64 `json:"Q"`
}

// The flows among which one is looked for, in m³/s.
const leastFlow, mostFlow = 1e-9, 50.0

// Flow answers what runs through a full pipe when a head is all spent in it.
func Flow(in FlowIn) (FlowOut, []calc.Warning, *calc.Fault) {
	if fault := Rough(in.Eps, in.D); fault != nil {
		return FlowOut{}, nil, fault
	}
	if in.H <= 0 {
		return FlowOut{}, nil, &calc.Fault{Code: calc.Infeasible, At: "/H",
			Message: "Without a head nothing runs. The inlet must stand higher than the outlet, or be pressed; give the difference in metres of water."}
	}
	pipe := LossIn{D: in.D, L: in.L, Eps: in.Eps, K: in.K, Nu: in.Nu, Rho: in.Rho}
	q, ok := pipe.flowUnder(in.H)
	if !ok {
		return FlowOut{}, nil, &calc.Fault{Code: calc.Range, At: "/H",
			Message: "No flow between 0.000001 L/s and 50000 L/s spends this head in this pipe. Look for a slipped decimal point in the head, the bore or the length."}
	}
	out := pipe.at(q)
	return FlowOut{out.V, out.Re, out.F, out.Regime, out.HLoss, out.DpPa, q}, out.warnings(), nil
}

// flowUnder bisects ln Q: the loss rises with the flow, friction and all.
func (in LossIn) flowUnder(head float64) (q float64, ok bool) {
	low, high := math.Log(leastFlow), math.Log(mostFlow)
	if !(in.at(leastFlow).HLoss <= head && head <= in.at(mostFlow).HLoss) {
		return 0, false
	}
	for range 60 {
		middle := (low + high) / 2
		if in.at(math.Exp(middle)).HLoss < head {
			low = middle
		} else {
			high = middle
		}
	}
	return math.Exp((low + high) / 2), true
}

var flow = calc.New(calc.Description{
	Name: "system/pipe_flow", Answers: "flow that a head drives through a pipe or hose", Evidence: calc.OftenMeasured,
	Words:  []string{"pipe", "hose", "supply", "head", "how much runs"},
	Inputs: append([]calc.Field{bore, length, calc.Signed("/H", "m", "head spent in the pipe").Need()}, walls...),
	Outputs: append(slices.Clone(losses),
		calc.Gives("/Q", "m³/s", "flow", "(f·L/D + ΣK)·v²/(2g) = H solved for Q = v·π·D²/4", darcy, "/H", "/D", "/L", "/eps", "/K", "/nu")),
	Equation: "(f·L/D + ΣK)·v²/(2g) = H, f by Colebrook",
	Validity: fullPipe + " Flows of 1e-9 to 50 m³/s.",
	Sources:  []string{darcy, moody, fitted},
	Example:  []byte(`{"D": 0.1, "L": 30, "H": 2, "K": 1.5}`),
}, FlowIn{Eps: still.Eps, Nu: still.Nu, Rho: still.Rho}, Flow)
