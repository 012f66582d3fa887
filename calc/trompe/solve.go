package trompe

import (
	"encoding/json"

	"leat/calc"
)

// Solve finds the operating point of a machine.
func Solve(in Input) (Result, error) { return Result{}, nil }

// Decode reads a machine from JSON.
func Decode(raw json.RawMessage) (Input, []calc.Fault) { return Input{}, nil }

// Inputs declares every field of [Input].
func Inputs() []calc.Field { return nil }
