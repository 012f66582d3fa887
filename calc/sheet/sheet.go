// Package sheet runs all calculations of one design, in order. Start with
// [Run]: a design sheet in, a report out. [Sections] says what a sheet may hold.
package sheet

import (
	"encoding/json"

	"leat/calc"
	"leat/calc/build"
	"leat/calc/interval"
	"leat/calc/trompe"
)

// Input is everything a design sheet says, in SI units, as the builder gave it:
// what was not given stays absent and takes its default in the calculation.
type Input struct {
	Machine string          `json:"machine,omitempty"` // one of [Trompe], [Ram], [Lift], [Pulse]; empty: a trompe
	Trompe  json.RawMessage `json:"trompe,omitempty"`  // the input object of the calculation "trompe"

	// The rest is declared in [Inputs].
	Source   json.RawMessage `json:"source,omitempty"`
	Pipe     json.RawMessage `json:"supply_pipe,omitempty"`
	Ram      json.RawMessage `json:"ram,omitempty"`
	Lift     json.RawMessage `json:"lift,omitempty"`
	Pulse    json.RawMessage `json:"pulse,omitempty"`
	AirLine  json.RawMessage `json:"air_line,omitempty"`
	Receiver json.RawMessage `json:"receiver,omitempty"`
	Uses     json.RawMessage `json:"uses,omitempty"`
	Parts    json.RawMessage `json:"parts,omitempty"`
	Facts    json.RawMessage `json:"facts,omitempty"`
}

// The kinds of machine.
const (
	Trompe = "trompe" // falling water compresses air
	Ram    = "ram"    // a hydraulic ram lifts water
	Lift   = "lift"   // a ram lifts water to a taller trompe
	Pulse  = "pulse"  // the pulses of a ram boost the air of a trompe
)

// Report is what leat answers for a sheet. Faults are non-empty when the input
// cannot be read as a machine; then nothing was calculated.
type Report struct {
	CalcVersion    string           `json:"calc_version"`
	CoefficientSet string           `json:"coefficient_set"` // name of the set of coefficients
	Gist           *Gist            `json:"gist,omitempty"`  // nil when it has faults
	Trompe         *trompe.Result   `json:"trompe,omitempty"`
	Steps          []Step           `json:"steps,omitempty"` // the other calculations, in the order of the water
	Sentences      []Sentence       `json:"sentences,omitempty"`
	Build          *build.Report    `json:"build,omitempty"` // once a part is described
	Materials      *build.Materials `json:"materials,omitempty"`
	Faults         []calc.Fault     `json:"faults,omitempty"` // At points into Input: /trompe/intake/mouth_m
}

// Gist is what a list says about a sheet. A pointer is nil, null in JSON, where
// the machine does not work or has no such quantity.
type Gist struct {
	Machine    string        `json:"machine"`
	Status     trompe.Status `json:"status"` // of the trompe; of another machine OK or NoOperatingPoint
	GaugePa    *float64      `json:"gauge_pa"`
	FreeAirM3S *float64      `json:"free_air_m3s"`
	WaterM3S   *float64      `json:"water_m3s"` // that the machine takes
	LiftedM3S  *float64      `json:"lifted_m3s"`
}

// Run calculates a sheet within the limits of the group and with a set of
// coefficients, nil for set 0, without intervals. It returns an error only when
// leat itself is at fault: a physical bound broken, a number that is none.
func Run(in Input, limits build.Limits, set *trompe.Set) (Report, error) {
	return run(in, limits, set, trompe.Solve, false)
}

// RunWithIntervals calculates a sheet as it is saved: with the intervals of its
// numbers, and with what would be allowed instead of a part that is not. It makes
// so many draws; 0 for as many as every save has. It takes some hundred times as
// long as [Run].
func RunWithIntervals(in Input, limits build.Limits, set *trompe.Set, draws int) (Report, error) {
	return run(in, limits, set, func(machine trompe.Input) (trompe.Result, error) {
		return interval.Predict(in.Trompe, machine, interval.Asked{Draws: draws})
	}, true)
}

func given(section json.RawMessage) bool { return len(section) > 0 && string(section) != "null" }

type solver func(trompe.Input) (trompe.Result, error)

func run(in Input, limits build.Limits, set *trompe.Set, solve solver, saved bool) (Report, error) {
	c := &chain{in: in, limits: limits, rep: Report{CalcVersion: calc.Version}}
	machine := c.read().Under(set)
	c.rep.CoefficientSet = machine.Set().Name
	if len(c.rep.Faults) > 0 {
		return c.rep, nil
	}
	if given(in.Trompe) {
		res, err := solve(machine)
		if err != nil {
			return Report{}, err
		}
		c.machine, c.rep.Trompe = &machine, &res
	}
	if err := c.follow(); err != nil {
		return Report{}, err
	}
	if len(c.rep.Faults) > 0 {
		return Report{CalcVersion: c.rep.CalcVersion, CoefficientSet: c.rep.CoefficientSet, Faults: c.rep.Faults}, nil
	}
	if err := c.judge(saved); err != nil {
		return Report{}, err
	}
	c.say()
	c.rep.Gist = c.gist()
	return c.rep, nil
}
