// Package reckon lists every named calculation of leat, so that the command
// line, HTTP and the frontend share one declaration of each. Start with [Run].
package reckon

import (
	"encoding/json"

	"leat/calc"
	"leat/calc/trompe"
)

// Description is what leat says about a calculation before it is run.
type Description struct {
	Name     string       `json:"name"`
	Answers  string       `json:"answers"` // one line: what it answers
	Inputs   []calc.Field `json:"inputs"`
	Outputs  []calc.Field `json:"outputs"`
	Equation string       `json:"equation"`
	Validity string       `json:"validity"`
	Sources  []string     `json:"sources"`
}

type calculation struct {
	describe Description
	run      func(raw json.RawMessage) (calc.Answer, error)
}

// List returns the descriptions of all calculations, by name.
func List() []Description {
	list := make([]Description, 0, len(calculations))
	for _, c := range calculations {
		list = append(list, c.describe)
	}
	return list
}

// Describe returns the description of one calculation.
func Describe(name string) (Description, bool) {
	c, ok := find(name)
	return c.describe, ok
}

// Run answers one calculation. raw must be JSON text; whether it is a machine
// is answered, not an error. ok is false when no calculation has this name.
// An error is a defect of leat, never of the input.
func Run(name string, raw json.RawMessage) (answer calc.Answer, ok bool, err error) {
	c, ok := find(name)
	if !ok {
		return calc.Answer{}, false, nil
	}
	answer, err = c.run(raw)
	return answer, true, err
}

func find(name string) (calculation, bool) {
	for _, c := range calculations {
		if c.describe.Name == name {
			return c, true
		}
	}
	return calculation{}, false
}

var calculations = []calculation{
	{
		describe: Description{
			Name:    "trompe",
			Answers: "what a trompe will do: water, air, pressure, and where the fall goes",
			Inputs:  trompe.Inputs(),
		},
		run: trompe.Calculate,
	},
}
