package domain

import (
	"cmp"
	"encoding/json"
	"math"
	"slices"
	"strings"

	"leat/calc"
	"leat/calc/confront"
	"leat/calc/gauge"
	"leat/calc/sheet"
	"leat/calc/trompe"
)

// Measurable is something that can be measured on a machine: a quantity, or a
// condition under which it runs.
type Measurable struct {
	Name        string // of a condition its pointer into the input of the trompe
	Title       string
	Unit        string
	Derived     bool // worked out from others, never read
	Pressurised bool // counts only with a valid certificate
	Condition   bool

	output string // the number of the prediction
}

// The quantities. Those of a trompe are predicted with an interval; of a ram they
// are recorded, and nothing is promised.
var (
	trompeQuantities = []Measurable{
		{Name: confront.DeliveryPressure, Title: "delivery pressure, gauge", Unit: "Pa", Pressurised: true, output: "chamber_gauge_pa"},
		{Name: confront.HighestPressure, Title: "highest pressure, valve shut, gauge", Unit: "Pa", Pressurised: true, output: "blow_off_gauge_pa"},
		{Name: confront.FreeAir, Title: "free air, as it is drawn in", Unit: "m³/s", Pressurised: true, output: "free_air_delivered_m3s"},
		{Name: confront.WaterFlow, Title: "water flow", Unit: "m³/s", output: "water_flow_m3s"},
		{Name: confront.Efficiency, Title: "efficiency", Derived: true, Pressurised: true, output: "efficiency"},
	}
	ramQuantities = []Measurable{
		{Name: "delivery_flow_m3s", Title: "water delivered", Unit: "m³/s"},
		{Name: "delivery_head_m", Title: "height of delivery", Unit: "m"},
		{Name: "waste_flow_m3s", Title: "water through the waste valve", Unit: "m³/s"},
		{Name: "beats_hz", Title: "beats", Unit: "Hz"},
		{Name: confront.Efficiency, Title: "efficiency", Derived: true},
	}
	quantities = slices.Concat(trompeQuantities, ramQuantities[:4])
)

// judgedFirst are the quantities that a run is judged by unless it says
// otherwise.
var judgedFirst = []string{confront.DeliveryPressure, confront.FreeAir}

// usualConditions are those that are asked for first, in the order of the water.
var usualConditions = []string{
	gauge.AirWarmth, gauge.WaterWarmth, gauge.AirPressure, gauge.Humidity, gauge.LevelIn, gauge.LevelOut, gauge.HeldGauge,
}

// conditions are all numbers of the input of a trompe that can be measured, by
// pointer; those of the model are none.
var conditions = measurableInputs()

func measurableInputs() map[string]Measurable {
	all := map[string]Measurable{}
	for _, f := range trompe.Inputs() {
		if f.Kind == calc.Number && !strings.HasPrefix(f.At, "/params/") {
			all[f.At] = Measurable{Name: f.At, Title: f.About, Unit: f.Unit, Condition: true, Pressurised: f.At == gauge.HeldGauge}
		}
	}
	return all
}

// MeasurableNamed returns what has a name; one without a name where nothing has.
func MeasurableNamed(name string) Measurable {
	if c, ok := conditions[name]; ok {
		return c
	}
	if i := slices.IndexFunc(quantities, func(m Measurable) bool { return m.Name == name }); i >= 0 {
		return quantities[i]
	}
	return Measurable{}
}

// PressurisedNames lists what counts with a certificate only.
func PressurisedNames() []string {
	names := []string{gauge.HeldGauge}
	for _, q := range quantities {
		if q.Pressurised {
			names = append(names, q.Name)
		}
	}
	return names
}

// RunForm says what can be measured on a machine, and what is predicted for it at
// the conditions of its sheet.
type RunForm struct {
	BuildVersion   int
	CoefficientSet string
	CalcVersion    string
	Certificate    Validity
	Quantities     []Predicted
	Conditions     []Predicted
	Methods        []gauge.Method // by which they are read
}

// Predicted is something measurable with what the sheet says of it. A pointer is
// nil where it says nothing.
type Predicted struct {
	Measurable
	Required bool // unless another choice is made
	Value    *float64
	U        *float64
	Low      *float64 // of the 95 % interval
	High     *float64
}

// Promised tells whether there is an interval to be judged by.
func (p Predicted) Promised() bool { return p.Low != nil && p.High != nil && !p.Derived }

// QuantitiesOf lists what can be measured on a kind of machine.
func QuantitiesOf(machine string) []Measurable {
	switch cmp.Or(machine, sheet.Trompe) {
	case sheet.Ram:
		return ramQuantities
	case sheet.Lift, sheet.Pulse:
		return quantities
	}
	return trompeQuantities
}

// FormOf is the form of a machine as it stood.
func FormOf(v BuildVersion, certificate Validity) RunForm {
	f := RunForm{BuildVersion: v.Number, CoefficientSet: v.Report.CoefficientSet, CalcVersion: v.CalcVersion, Certificate: certificate, Methods: gauge.Methods()}
	numbers, spread := map[string]float64{}, map[string]trompe.Interval{}
	if t := v.Report.Trompe; t != nil && t.Numbers != nil {
		for _, x := range t.Values() {
			numbers[x.Name] = x.X
		}
		if t.Uncertainty != nil {
			spread = t.Uncertainty.Outputs
		}
	}
	for _, q := range QuantitiesOf(v.Input.Machine) {
		p := Predicted{Measurable: q, Required: slices.Contains(judgedFirst, q.Name)}
		x, drawn := numbers[q.output]
		if q.Name == confront.HighestPressure && !drawnShut(v.Input.Trompe) {
			drawn = false // the verdict predicts it, for the shut valve
		}
		if drawn && !math.IsNaN(x) {
			p.Value = &x
		}
		if s, ok := spread[q.output]; ok && p.Value != nil {
			p.U, p.Low, p.High = &s.U, s.Low, s.High
		}
		f.Quantities = append(f.Quantities, p)
	}
	for _, at := range usualConditions {
		if x, there := inputAt(v.Input.Trompe, at); there {
			f.Conditions = append(f.Conditions, Predicted{Measurable: conditions[at], Value: x})
		}
	}
	return f
}

// drawnShut tells whether the sheet of a trompe draws its valve shut.
func drawnShut(input json.RawMessage) bool {
	var in struct {
		Takeoff struct {
			Mode string `json:"mode"`
		} `json:"takeoff"`
	}
	return json.Unmarshal(input, &in) == nil && in.Takeoff.Mode == trompe.ValveShut
}

// inputAt reads a number of the input of a trompe. What the site says may be left
// out there and measured all the same; any other number belongs to some machines
// only.
func inputAt(input json.RawMessage, at string) (x *float64, there bool) {
	var groups map[string]json.RawMessage
	if json.Unmarshal(input, &groups) != nil || groups == nil {
		return nil, false
	}
	group, name, _ := strings.Cut(at[1:], "/")
	var values map[string]any
	_ = json.Unmarshal(groups[group], &values) // a group that is absent holds nothing
	if v, ok := values[name].(float64); ok {
		return &v, true
	}
	return nil, group == "site" || at == gauge.HeldGauge
}

// Names lists the quantities that a run may be judged by.
func (f RunForm) Names() (names []string) {
	for _, q := range f.Quantities {
		if !q.Derived {
			names = append(names, q.Name)
		}
	}
	return names
}

// Usual are the quantities that it is judged by unless it says otherwise.
func (f RunForm) Usual() []string {
	names := []string{}
	for _, q := range f.Quantities {
		if q.Required {
			names = append(names, q.Name)
		}
	}
	return names
}
