package trompe_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/trompe"
)

func TestTolerancesAreChecked(t *testing.T) {
	for of, c := range map[string]struct {
		v    any
		code calc.FaultCode
		says string
	}{
		"/riser/outlet_m":   {0.01, "", ""},
		"/downcomer/bore_m": {0.0005, "", ""},
		"/site/t_water_c":   {1, "", ""},
		"/params/k_v":       {0.1, calc.Missing, "no value"}, // set 0 has its own spread
		"/riser/length_m":   {0.1, calc.Missing, "no value"},
		"/intake/n_tubes":   {1, calc.UnknownField, "no count"},
		"/supply/level_m":   {0.1, calc.UnknownField, "no measure"}, // of a forebay
		"/riser":            {0.1, calc.UnknownField, "no measure"},
		"riser/outlet":      {0.1, calc.UnknownField, "no measure"},
		"":                  {0.1, calc.UnknownField, "no measure"},
		"/chamber/lip_m":    {"little", calc.NotANumber, "not a number"},
		"/chamber/high_m":   {-0.01, calc.Range, "without its sign"},
		"/intake/tube_id_m": {0.006, calc.Range, "Make the tolerance smaller"}, // as large as the bore itself
		"/intake/tube_od_m": {0.02, calc.Range, "above 0"},
		"/site/rh":          {0.6, calc.Range, "between 0 and 1"},
	} {
		tolerances, err := json.Marshal(map[string]any{of: c.v})
		require.NoError(t, err)
		in, faults := trompe.Decode(changed(t, map[string]any{"/tolerances": json.RawMessage(tolerances)}))
		if c.code == "" {
			require.Empty(t, faults, of)
			require.Len(t, in.Tolerances, 1)
			continue
		}
		require.Len(t, faults, 1, of)
		require.Equal(t, c.code, faults[0].Code, of)
		require.Contains(t, faults[0].Message, c.says, of)
		require.Contains(t, faults[0].At, "/tolerances/")
		require.Empty(t, in.Tolerances, "a faulty tolerance is left out")
	}
}

func TestToleranceIsFoundByItsPointer(t *testing.T) {
	_, faults := trompe.Decode(changed(t, map[string]any{"/tolerances": map[string]any{"/riser/outlet": 1}}))
	require.Equal(t, "/tolerances/~1riser~1outlet", faults[0].At)
	_, faults = trompe.Decode(changed(t, map[string]any{"/tolerances": 3}))
	require.Len(t, faults, 1)
	require.Equal(t, "/tolerances", faults[0].At)
	_, faults = trompe.Decode(changed(t, map[string]any{"/riser/outlet_m": "high", "/tolerances": map[string]any{"/riser/outlet_m": 0.1}}))
	require.Len(t, faults, 1, "what is wrong with the value is said once")
	require.Equal(t, "/riser/outlet_m", faults[0].At)
}

// What With changes is the copy, not the machine it came from, optional fields
// too.
func TestWithLeavesTheMachineAlone(t *testing.T) {
	in, faults := trompe.Decode(changed(t, map[string]any{
		"/downcomer/length_m": 1.4, "/params": map[string]any{"k_f": 1.2},
		"/tolerances": map[string]any{"/downcomer/length_m": 0.05, "/params/k_f": 0.1, "/riser/outlet_m": 0.02},
	}))
	require.Empty(t, faults)
	unknowns := in.Unknowns()
	var at []string
	values := make([]float64, len(unknowns))
	for i, u := range unknowns {
		at = append(at, u.At)
		values[i] = u.Best
	}
	require.Equal(t, []string{"/downcomer/length_m", "/params/k_f", "/riser/outlet_m"}, at[len(at)-3:])
	require.NotContains(t, at[:len(at)-3], "/params/k_f", "known up to its tolerance")
	require.NotContains(t, at, "/params/k_in", "the intake says its own")
	values[len(values)-3], values[len(values)-2], values[len(values)-1] = 1.44, 1.25, 1.01
	changed := in.With(unknowns, values)
	require.Equal(t, 1.44, *changed.Downcomer.LengthM)
	require.Equal(t, 1.25, changed.Params["k_f"])
	require.Equal(t, 1.01, changed.Riser.OutletM)
	require.Equal(t, 1.4, *in.Downcomer.LengthM)
	require.Equal(t, map[string]float64{"k_f": 1.2}, in.Params)
	require.Equal(t, 1.0, in.Riser.OutletM)
}

// Whatever field takes a tolerance, the machine has a number there to put it
// around, given or not.
func TestEveryToleranceHasItsNumber(t *testing.T) {
	for _, f := range trompe.Inputs() {
		in, _ := trompe.Decode(changed(t, map[string]any{"/tolerances": map[string]any{f.At: 1e-9}}))
		for at := range in.Tolerances {
			require.NotPanics(t, func() { in.Unknowns() }, at)
		}
	}
}
