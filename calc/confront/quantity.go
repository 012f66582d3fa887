package confront

import (
	"math"
	"slices"

	"leat/calc"
	"leat/calc/evidence"
	"leat/calc/trompe"
)

// What can be measured of a trompe, by name. The efficiency is worked out of the
// others and never counts as one more.
const (
	DeliveryPressure = "delivery_pressure_pa" // gauge, of the air that is delivered
	HighestPressure  = "highest_pressure_pa"  // gauge, with the air valve shut
	FreeAir          = "free_air_m3s"         // delivered, as air of the site
	WaterFlow        = "water_flow_m3s"
	Efficiency       = "efficiency"
)

// outputs says which number of the model a quantity is.
var outputs = map[string]func(*trompe.Numbers) float64{
	DeliveryPressure: func(n *trompe.Numbers) float64 {
		if n.ReceiverGaugePa != nil {
			return *n.ReceiverGaugePa
		}
		return n.ChamberGaugePa
	},
	HighestPressure: func(n *trompe.Numbers) float64 { return n.BlowOffGaugePa },
	FreeAir:         func(n *trompe.Numbers) float64 { return n.FreeAirM3S },
	WaterFlow:       func(n *trompe.Numbers) float64 { return n.WaterFlowM3S },
	Efficiency:      func(n *trompe.Numbers) float64 { return n.Efficiency },
}

// Predicted tells whether leat predicts a quantity of a trompe.
func Predicted(name string) bool { return outputs[name] != nil }

// words are the quantities as people call them.
var words = map[string]string{
	DeliveryPressure: "delivery pressure", HighestPressure: "highest pressure", FreeAir: "free air", WaterFlow: "water flow", Efficiency: "efficiency",
}

// Words returns what people call a quantity.
func Words(name string) string {
	if w, ok := words[name]; ok {
		return w
	}
	return name
}

// Quantity is something measured, with its uncertainty line by line. Name is one
// of the quantities, or of a condition the path into the input of the machine.
type Quantity struct {
	Name     string          `json:"name"`
	Value    *float64        `json:"value"` // in SI; nil: none
	U        *float64        `json:"u"`     // standard uncertainty; nil: not known
	Nu       calc.Freedom    `json:"nu"`
	K        *float64        `json:"k"`        // coverage factor of 95 %
	Expanded *float64        `json:"expanded"` // k·u
	S        *float64        `json:"s"`        // standard deviation of one repeat; nil: not known
	N        int             `json:"n"`        // of repeats
	Status   string          `json:"status"`   // of the budget: ok, zero, or incomplete
	Missing  []string        `json:"missing"`  // lines of the budget that cannot be evaluated
	Flags    []string        `json:"flags"`    // what a person has to know
	Reason   evidence.Reason `json:"reason"`   // why it can decide nothing: run too short, not steady; null: nothing is known against it
	Lines    []Line          `json:"lines"`
}

// Line is one contribution, |c|·u with the sign of c, in the unit of the quantity.
// Lines of one source are one error, in whatever quantity they stand.
type Line struct {
	Name       string       `json:"name"`
	Source     string       `json:"source"` // empty: its own
	Signed     *float64     `json:"signed"` // nil: it cannot be evaluated
	Nu         calc.Freedom `json:"nu"`
	Instrument bool         `json:"instrument"` // a better instrument would make it smaller
}

// OfWindow begins the names of lines that come from the window of a logger: of
// its mean, and of its drift.
const OfWindow = "window: "

// apart are the errors of a quantity that are known: lines of one source are one
// error, and added with their signs.
//
// Source: JCGM 100:2008, 5.2.2, from memory.
func (q Quantity) apart() (list []Line) {
	for _, l := range q.Lines {
		if l.Signed == nil {
			continue
		}
		i := slices.IndexFunc(list, func(k Line) bool { return l.Source != "" && k.Source == l.Source })
		if i < 0 {
			list = append(list, l)
			continue
		}
		list[i].Signed = new(*list[i].Signed + *l.Signed)
		list[i].Instrument = list[i].Instrument || l.Instrument
	}
	return list
}

// usable tells whether a quantity can be calculated with.
func (q Quantity) usable() bool { return q.Value != nil && q.U != nil && *q.U > 0 }

func (q Quantity) u() float64 {
	if q.U == nil {
		return math.NaN()
	}
	return *q.U
}

func (q Quantity) value() float64 {
	if q.Value == nil {
		return math.NaN()
	}
	return *q.Value
}

// covariance returns that of two quantities: what their lines have in common.
func covariance(a, b Quantity) (sum float64) {
	for _, x := range a.Lines {
		for _, y := range b.Lines {
			if x.Source != "" && x.Source == y.Source && x.Signed != nil && y.Signed != nil {
				sum += *x.Signed * *y.Signed
			}
		}
	}
	return sum
}
