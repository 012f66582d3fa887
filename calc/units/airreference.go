package units

import (
	"encoding/json"

	"leat/calc"
)

// State is the air that a flow is counted in.
type State struct {
	P float64 `json:"p"` // Pa
	T float64 `json:"T"` // K
}

// UnmarshalJSON reads a state by its name or by pressure and temperature.
func (s *State) UnmarshalJSON(text []byte) error {
	var name string
	if json.Unmarshal(text, &name) == nil {
		*s = references[name]
		return nil
	}
	type plain State
	return json.Unmarshal(text, (*plain)(s))
}

const psi = pound * gravity / (inch * inch) // Pa

var (
	sixty   = (60 + 459.67) / 1.8 // K
	seventy = (70 + 459.67) / 1.8 // K
)

// references are the states of standards and trades. Of ANR and normal air the
// numbers are from memory; 14.7 psi at 60 °F is read in FM 5-434, at 70 °F in a
// table of discharge through orifices; the two other "scfm" are from memory.
var references = map[string]State{
	"ANR_ISO8778":    {1e5, 293.15},
	"NORMAL_DIN1343": {101325, 273.15},
	"ISO2533_15C":    {101325, 288.15},
	"SCFM_CAGI":      {1e5, 293.15},
	"SCFM_60F":       {101560, sixty}, // 14.73 psi
	"SCFM_14.7_70F":  {14.7 * psi, seventy},
	"FM5_434_60F":    {14.7 * psi, sixty},
}

// AirIn is an air flow with the state it is counted in, and the state that is wanted.
type AirIn struct {
	Value float64 `json:"value"`
	From  State   `json:"from"`
	To    State   `json:"to"`
}

// AirOut is the flow, counted in the state that was wanted.
type AirOut struct {
	Value float64 `json:"value"`
}

// OtherState returns what an air flow of state 1 counts in state 2, in its own unit:
//
//	Q₂ = Q₁·(p₁/T₁)·(T₂/p₂)
//
// pressures are in Pa, absolute, temperatures in K.
//
// Valid for air as an ideal gas; humidity is left out, at most 1.5 %.
//
// Source: ideal gas.
func OtherState(flow float64, from, to State) float64 {
	return flow * (from.P / from.T) * (to.T / to.P)
}

// AirReference answers what an air flow is when counted in another state.
func AirReference(in AirIn) (AirOut, []calc.Warning, *calc.Fault) {
	return AirOut{OtherState(in.Value, in.From, in.To)}, nil, nil
}

// stateFields declare a state; group is its pointer.
func stateFields(group, about string) []calc.Field {
	return []calc.Field{
		calc.OneOfOrPart(group, about, "ANR_ISO8778", "NORMAL_DIN1343", "ISO2533_15C", "SCFM_CAGI", "SCFM_60F", "SCFM_14.7_70F", "FM5_434_60F").Need(),
		calc.Positive(group+"/p", "Pa", "pressure of that air, absolute").Need(),
		calc.Positive(group+"/T", "K", "temperature of that air").Need(),
	}
}

const idealGas = "ideal gas; states of ISO 8778, DIN 1343, ISO 2533, US Army FM 5-434 and the trade, partly from memory"

var airReference = calc.New(calc.Description{
	Name: "system/air_reference", Answers: "what an air flow is when counted as another air", Evidence: calc.OftenMeasured,
	Words: []string{"free air", "scfm", "normal litre", "ANR", "standard air", "reference"},
	Inputs: append(append([]calc.Field{
		calc.Signed("/value", "", "air flow, in any unit").Need()},
		stateFields("/from", "air that it is counted in: a name, or its pressure and temperature")...),
		stateFields("/to", "air that is wanted: a name, or its pressure and temperature")...),
	Outputs: []calc.Field{
		calc.Gives("/value", "", "air flow counted as that air, in the same unit", "Q₂ = Q₁·(p₁/T₁)·(T₂/p₂)", idealGas, "/from", "/to"),
	},
	Equation: "Q₂ = Q₁·(p₁/T₁)·(T₂/p₂)",
	Validity: "Dry air; humidity changes it by 1.5 % at most. A bare \"scfm\" or \"L/min\" says nothing until it is known which air is meant.",
	Sources:  []string{idealGas},
	Example:  []byte(`{"value": 100, "from": "ANR_ISO8778", "to": {"p": 84500, "T": 283.15}}`),
}, AirIn{}, AirReference)
