// Package sheet runs all calculations of one design, in order. Start with
// [Run]: a design sheet in, a report out.
package sheet

import (
	"encoding/json"

	"leat/calc"
	"leat/calc/interval"
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
	CalcVersion    string         `json:"calc_version"`
	CoefficientSet string         `json:"coefficient_set"` // name of the set of coefficients
	Trompe         *trompe.Result `json:"trompe,omitempty"`
	Faults         []calc.Fault   `json:"faults,omitempty"` // At points into Input: /trompe/intake/mouth_m
}

// Run calculates a sheet, without intervals. It returns an error only when leat
// itself is at fault: a physical bound broken, a number that is none.
func Run(in Input) (Report, error) { return run(in, trompe.Solve) }

// RunWithIntervals calculates a sheet as it is saved: with the intervals of its
// numbers, from so many draws; 0 for as many as every save has. It takes some
// hundred times as long as [Run].
func RunWithIntervals(in Input, draws int) (Report, error) {
	return run(in, func(machine trompe.Input) (trompe.Result, error) {
		return interval.Predict(in.Trompe, machine, interval.Asked{Draws: draws})
	})
}

func run(in Input, solve func(trompe.Input) (trompe.Result, error)) (Report, error) {
	machine, faults := trompe.Decode(in.Trompe)
	rep := Report{CalcVersion: calc.Version, CoefficientSet: machine.Set().Name}
	if len(faults) > 0 {
		for _, f := range faults {
			f.At = "/trompe" + f.At
			rep.Faults = append(rep.Faults, f)
		}
		return rep, nil
	}
	res, err := solve(machine)
	if err != nil {
		return Report{}, err
	}
	rep.Trompe = &res
	return rep, nil
}
