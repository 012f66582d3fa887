// Package sheet runs all calculations of one design, in order. Start with
// [Run]: a design sheet in, a report out.
package sheet

import (
	"encoding/json"

	"leat/calc"
	"leat/calc/trompe"
)

// Input is everything a design sheet says, in SI units, as the builder gave it:
// what was not given stays absent and takes its default in the calculation.
type Input struct {
	Trompe json.RawMessage `json:"trompe"` // the input object of the calculation "trompe"
}

// Report is what leat answers for a sheet. Faults are non-empty when the input
// cannot be read as a machine; then nothing was calculated.
type Report struct {
	CalcVersion string         `json:"calc_version"`
	Trompe      *trompe.Result `json:"trompe,omitempty"`
	Faults      []calc.Fault   `json:"faults,omitempty"` // At points into Input: /trompe/intake/mouth_m
}

// Run calculates a sheet. It returns an error only when leat itself is at
// fault: a physical bound broken, a number that is none.
func Run(in Input) (Report, error) {
	rep := Report{CalcVersion: calc.Version}
	machine, faults := trompe.Decode(in.Trompe)
	if len(faults) > 0 {
		for _, f := range faults {
			f.At = "/trompe" + f.At
			rep.Faults = append(rep.Faults, f)
		}
		return rep, nil
	}
	res, err := trompe.Solve(machine)
	if err != nil {
		return Report{}, err
	}
	rep.Trompe = &res
	return rep, nil
}
