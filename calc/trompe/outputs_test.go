package trompe_test

import (
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/trompe"
)

// What a declaration names must be what the calculation does: when an input or
// a coefficient is moved by a hundredth and an output moves, that output names
// it, itself or through the outputs that it names.
func TestOutputsNameWhatMovesThem(t *testing.T) {
	behind := closures()
	for _, c := range append(workedCases(t), receiverCase(t)) {
		var input map[string]any
		require.NoError(t, json.Unmarshal(c.Input, &input))
		before, status := solved(t, input)
		moved := 0
		for _, f := range trompe.Inputs() {
			after, st := nudged(t, f, c.Input, input)
			if after == nil || st != status {
				continue
			}
			for _, at := range changes(before, after) {
				moved++
				require.True(t, behind[at][f.At], "%s: %s moves %s, which does not name it", c.Name, f.At, at)
			}
		}
		require.Greater(t, moved, 500, c.Name)
	}
}

// receiverCase is the garden machine, whose air goes into a receiver.
func receiverCase(t *testing.T) worked {
	var input map[string]any
	require.NoError(t, json.Unmarshal(workedCases(t)[1].Input, &input))
	input["takeoff"] = map[string]any{"mode": "receiver", "receiver_gauge_pa": 20000, "bore_m": 0.004, "length_m": 5, "k": 2, "valve_cda_m2": 1e-4}
	text, err := json.Marshal(input)
	require.NoError(t, err)
	return worked{Name: "into a receiver", Input: text}
}

// closures gives, for every output, all inputs that it names, near and far.
func closures() map[string]map[string]bool {
	outputs := map[string]calc.Field{}
	for _, f := range trompe.Outputs() {
		outputs[f.At] = f
	}
	all := map[string]map[string]bool{}
	for at := range outputs {
		reached, todo := map[string]bool{at: true}, []string{at}
		for len(todo) > 0 {
			f := outputs[todo[0]]
			todo = todo[1:]
			for _, from := range f.From {
				if !reached[from] {
					reached[from] = true
					todo = append(todo, from)
				}
			}
		}
		all[at] = reached
	}
	return all
}

// nudged solves the input with one field moved by a hundredth, or gives nil
// where the field is a word, a count, or nowhere near a number.
func nudged(t *testing.T, f calc.Field, text json.RawMessage, input map[string]any) (map[string]float64, trompe.Status) {
	t.Helper()
	parts := strings.Split(f.At[1:], "/")
	if f.Kind != calc.Number || len(parts) != 2 {
		return nil, ""
	}
	group, _ := input[parts[0]].(map[string]any)
	value, given := group[parts[1]].(float64)
	if !given {
		preset, err := strconv.ParseFloat(f.Default, 64)
		if f.At == "/params/alpha_sat" {
			preset, err = trompe.AlphaSat(input["downcomer"].(map[string]any)["bore_m"].(float64)), nil
		}
		if err != nil || (parts[0] != "site" && parts[0] != "params") {
			return nil, ""
		}
		value = preset
	}
	var again map[string]any
	require.NoError(t, json.Unmarshal(text, &again))
	if again[parts[0]] == nil {
		again[parts[0]] = map[string]any{}
	}
	step := 0.01 * value
	if step == 0 {
		step = 0.001
	}
	again[parts[0]].(map[string]any)[parts[1]] = value - step
	return solved(t, again)
}

// solved runs a machine and lays its numbers flat, a list by the sum of each
// of its columns.
func solved(t *testing.T, input map[string]any) (map[string]float64, trompe.Status) {
	t.Helper()
	text, err := json.Marshal(input)
	require.NoError(t, err)
	answer, err := trompe.Calculate(text)
	require.NoError(t, err)
	if !answer.OK {
		return nil, ""
	}
	text, err = json.Marshal(answer.Result)
	require.NoError(t, err)
	var result map[string]any
	require.NoError(t, json.Unmarshal(text, &result))
	flat := map[string]float64{}
	flatten(flat, "", result)
	return flat, answer.Result.(trompe.Result).Status
}

func flatten(flat map[string]float64, at string, v any) {
	switch x := v.(type) {
	case float64:
		flat[at] += x
	case map[string]any:
		for name, below := range x {
			flatten(flat, at+"/"+name, below)
		}
	case []any:
		for _, row := range x {
			flatten(flat, at, row)
		}
	}
}

// changes lists the declared outputs that differ by more than the solver's own
// tolerance (section 10 of the specification of the trompe, ten times over).
func changes(a, b map[string]float64) (moved []string) {
	for _, f := range trompe.Outputs() {
		x, in := a[f.At]
		y, still := b[f.At]
		least, special := map[string]float64{"Pa": 0.1, "m": 1e-5, "m³/s": 1e-9}[f.Unit]
		if !special {
			least = 1e-6
		}
		if in && still && f.At != "/budget_closure" && math.Abs(x-y) > 1e-5*math.Max(math.Abs(x), math.Abs(y))+least {
			moved = append(moved, f.At)
		}
	}
	return moved
}
