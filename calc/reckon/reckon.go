// Package reckon lists every named calculation of leat, so that the command
// line, HTTP and the frontend share one declaration of each. Start with [Run].
package reckon

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"leat/calc"
	"leat/calc/evidence"
	"leat/calc/parts"
	"leat/calc/pipe"
	"leat/calc/pressuretest"
	"leat/calc/ram"
	"leat/calc/receiver"
	"leat/calc/source"
	"leat/calc/strength"
	"leat/calc/trompe"
	"leat/calc/units"
	"leat/calc/use"
)

// List returns all calculations, by name.
func List() []calc.Calculation { return calculations }

// Describe returns the description of one calculation.
func Describe(name string) (calc.Description, bool) {
	i, ok := byName[name]
	if !ok {
		return calc.Description{}, false
	}
	return calculations[i].Description, true
}

// Run answers one calculation. raw must be JSON text; whether it is a machine
// is answered, not an error. ok is false when no calculation has this name.
// An error is a defect of leat, never of the input.
func Run(name string, raw json.RawMessage) (answer calc.Answer, ok bool, err error) {
	i, ok := byName[name]
	if !ok {
		return calc.Answer{}, false, nil
	}
	answer, err = calculations[i].Run(raw)
	return answer, true, err
}

// subjects are in the order of the water, then of the work.
var subjects = []struct {
	name string
	list []calc.Calculation
}{
	{"The whole trompe", []calc.Calculation{whole}},
	{"Water and its sources", source.Calculations()},
	{"Water in pipes", pipe.Calculations()},
	{"Rams and boosters", ram.Calculations()},
	{"Storing air", receiver.Calculations()},
	{"Air lines and what air does", use.Calculations()},
	{"Strength, surge and stored energy", strength.Calculations()},
	{"Pressure tests", pressuretest.Calculations()},
	{"Cutting pipe", parts.Calculations()},
	{"Measuring, judging and learning", evidence.Calculations()},
	{"Units", units.Calculations()},
}

// Subjects returns what calculations are about, in the order of the water.
func Subjects() (names []string) {
	for _, s := range subjects {
		names = append(names, s.name)
	}
	return names
}

// Ask answers one calculation that leat itself needs, and gives the fields of its
// result by name; nil where it has none.
func Ask(name string, input map[string]any) (answer calc.Answer, result map[string]any, err error) {
	text, err := json.Marshal(input)
	if err != nil {
		return answer, nil, err
	}
	answer, known, err := Run(name, text)
	if err == nil && !known {
		err = fmt.Errorf("reckon: no calculation %s", name)
	}
	if err != nil || !answer.OK {
		return answer, nil, err
	}
	if text, err = json.Marshal(answer.Result); err == nil {
		err = json.Unmarshal(text, &result)
	}
	return answer, result, err
}

var calculations = func() (all []calc.Calculation) {
	for _, s := range subjects {
		for _, c := range s.list {
			c.Subject = s.name
			all = append(all, c)
		}
	}
	slices.SortFunc(all, func(a, b calc.Calculation) int { return strings.Compare(a.Name, b.Name) })
	return all
}()

var byName = func() map[string]int {
	places := map[string]int{}
	for i, c := range calculations {
		places[c.Name] = i
	}
	return places
}()

var whole = calc.Calculation{
	Description: calc.Description{
		Name:    "trompe",
		Words:   []string{"trompe", "air", "compressor", "bubbles", "falling water"},
		Answers: "what a trompe will do: water, air, pressure, and where the fall goes",
		Inputs:  trompe.Inputs(),
		Outputs: trompe.Outputs(),
		Equation: "ρ·g·q·(z_f − z_t) = sum of the budget's terms; pressure at the downcomer's mouth = pressure in the chamber + ρ·g·depth of the mouth, " +
			"with p_m = p_a + ρ·g·(z_f − z_m) − (1 + K)·ρ·v²/2 at the air tubes and dp/ds = (ρ_m·g·sinθ − F − M_n)/(1 + M_p) down the pipe",
		Validity: "Steady, isothermal, fresh water of 0.5 to 45 °C; full-bore bubbly downflow in pipes steeper than 30°, with a part-full head where the fall is larger " +
			"than the pipe can use. Drift-flux data: bores of 16 to 102 mm, 0.1 to 1.5 MPa, mixture at 0.45 to 24.6 m/s. " +
			"Not modelled: start-up and surging, uncovered mouths, vortices, scaling, foam. Pressures are steady: no substitute for a pressure test.",
		Sources: []string{
			"H. Goda et al., Int. J. Heat Mass Transfer 46, 4835 (2003): drift flux in downflow (abstract read, equations from memory)",
			"M. Ishii, ANL-77-47 (1977): drift velocity, upflow (from memory)",
			"R. Sander, Atmos. Chem. Phys. 23, 10901 (2023): solubilities (read)",
			"L.-T. Chen and W. Rice (1983): absorption at a rate (abstract read)",
			"S. E. Haaland, J. Fluids Eng. 105, 89 (1983): friction factor (from memory)",
			"J. O. Hinze, AIChE J. 1, 289 (1955); H. D. Mendelson, AIChE J. 13, 250 (1967): bubble size and rise (from memory)",
			"B. Leavitt and T. Danehy (2013): air to water of built small machines (read)",
			"Coefficients: set 0, each with its own source in the list of inputs under /params",
		},
	},
	Run: trompe.Calculate,
}
