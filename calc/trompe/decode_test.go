package trompe_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/trompe"
)

// changed returns the bench rig's JSON with some fields taken out, those whose
// value is nil, and then others set. A pointer stands for each field.
func changed(t testing.TB, set map[string]any) json.RawMessage { return changedCase(t, 0, set) }

// changedCase does so with any of the worked cases.
func changedCase(t testing.TB, which int, set map[string]any) json.RawMessage {
	t.Helper()
	var obj map[string]any
	require.NoError(t, json.Unmarshal(workedCases(t)[which].Input, &obj))
	for at, v := range set {
		if v == nil {
			group, name := placeOf(obj, at)
			delete(group, name)
		}
	}
	for at, v := range set {
		if v != nil {
			group, name := placeOf(obj, at)
			group[name] = v
		}
	}
	text, err := json.Marshal(obj)
	require.NoError(t, err)
	return text
}

// placeOf finds the group and the name of a field, making groups on the way.
func placeOf(group map[string]any, at string) (map[string]any, string) {
	parts := strings.Split(at[1:], "/")
	for _, name := range parts[:len(parts)-1] {
		if _, ok := group[name]; !ok {
			group[name] = map[string]any{}
		}
		group = group[name].(map[string]any)
	}
	return group, parts[len(parts)-1]
}

func TestDecodeNamesTheFault(t *testing.T) {
	for _, c := range []struct {
		at   string
		v    any
		code calc.FaultCode
		says string
	}{
		{"/supply/level_max_m", nil, calc.Missing, "Not given"},
		{"/intake/n_tubes", nil, calc.Missing, "How many air tubes. It must be between 0 and 1000000."},
		{"/downcomer/bore_m", "wide", calc.NotANumber, `"wide" is not a number`},
		{"/downcomer/bore_m", []int{1}, calc.NotANumber, "not a number"},
		{"/downcomer/bore_m", json.Number("1e999"), calc.NotANumber, "too large"},
		{"/downcomer/bore_m", -0.026, calc.Range, "above 0 and at most 100 m. Most machines have 0.02 to 0.3 m"},
		{"/downcomer/bore_m", 0, calc.Range, "above 0"},
		{"/downcomer/bore_m", 26000, calc.Range, "at most 100 m"},
		{"/intake/n_tubes", 6.5, calc.Range, "whole number"},
		{"/site/rh", 55, calc.Range, "between 0 and 1"},
		{"/site/t_water_c", 0, calc.Range, "between 0.5 and 45 °C"},
		{"/site/t_air_c", 60, calc.Range, "between -30 and 50 °C"},
		{"/supply/type", "spring", calc.UnknownValue, "forebay, hose_open, hose_closed"},
		{"/riser", 3, calc.Missing, "object"},
		{"/downcomer/boer_m", 0.026, calc.UnknownField, "bore_m"},
		{"/params/k_wall", 1, calc.UnknownField, "k_rec"},
		{"/supply/flow_max_m3s", 0.1, calc.UnknownField, "level_max_m"},
		{"/intake/n_tubes", 40, calc.Inconsistent, "At most 10 leave room"},
		{"/intake/tube_od_m", 0.005, calc.Inconsistent, "outside"},
		{"/downcomer/outlet_m", 1.4, calc.Inconsistent, "below its mouths"},
		{"/downcomer/length_m", 1.0, calc.Inconsistent, "shorter than the drop"},
		{"/downcomer/outlet_bore_m", 0.02, calc.Inconsistent, "flared"},
		{"/chamber/high_m", 0.01, calc.Inconsistent, "below the lip"},
		{"/riser/outlet_m", 0.05, calc.Inconsistent, "above the lip"},
		{"/riser/length_m", 0.5, calc.Inconsistent, "shorter than the rise"},
		{"/intake/mouth_m", 1.6, calc.Inconsistent, "below the water"},
	} {
		t.Run(fmt.Sprintf("%s %v", c.at, c.v), func(t *testing.T) {
			_, faults := trompe.Decode(changed(t, map[string]any{c.at: c.v}))
			require.Len(t, faults, 1)
			require.Equal(t, c.code, faults[0].Code)
			require.Equal(t, c.at, faults[0].At)
			require.Contains(t, faults[0].Message, c.says)
		})
	}
}

// All faults at once, in the order of the water; unknown names last.
func TestDecodeListsAllFaultsInOrder(t *testing.T) {
	_, faults := trompe.Decode(changed(t, map[string]any{
		"/riser/outlet_m": "high", "/intake/n_tubes": nil, "/site/rh": 2, "/chamber/high_m": 0.01, "/aerator": 1,
	}))
	at := []string{}
	for _, f := range faults {
		at = append(at, f.At)
	}
	require.Equal(t, []string{"/site/rh", "/intake/n_tubes", "/chamber/high_m", "/riser/outlet_m", "/aerator"}, at)
}

func TestDecodeOfNothing(t *testing.T) {
	_, faults := trompe.Decode(json.RawMessage(`[]`))
	require.Len(t, faults, 1)
	_, faults = trompe.Decode(json.RawMessage(`{}`))
	at := []string{}
	for _, f := range faults {
		require.Equal(t, calc.Missing, f.Code)
		at = append(at, f.At)
	}
	require.Equal(t, []string{"/supply", "/intake", "/downcomer", "/chamber", "/riser"}, at)
}

// What the table says is a default is what a machine gets that leaves the field
// out: giving it changes nothing.
func TestDefaultsAreAsDeclared(t *testing.T) {
	bare := map[string]any{"/site": nil, "/downcomer/roughness_m": nil, "/downcomer/k_minor": nil, "/riser/roughness_m": nil, "/riser/k_minor": nil, "/intake/k_in": nil, "/intake/bundle_length_m": nil}
	plain, faults := trompe.Decode(changed(t, bare))
	require.Empty(t, faults)
	want, err := trompe.Solve(plain)
	require.NoError(t, err)
	for _, f := range trompe.Inputs() {
		var v float64
		if n, err := fmt.Sscanf(f.Default, "%g", &v); f.Kind == calc.Group || err != nil || n != 1 || strings.ContainsAny(f.Default, " _") {
			continue
		}
		if f.When != nil && f.When.At != "/riser/kind" {
			continue
		}
		with := maps.Clone(bare)
		with[f.At] = v
		given, faults := trompe.Decode(changed(t, with))
		require.Empty(t, faults, f.At)
		got, err := trompe.Solve(given)
		require.NoError(t, err)
		require.Equal(t, want, got, "default of %s", f.At)
	}
}

// FuzzCalculate throws any text at decoder and solver: an answer in JSON must
// come back, never a panic, never a number that is none.
func FuzzCalculate(f *testing.F) {
	for _, c := range workedCases(f) {
		f.Add([]byte(c.Input))
	}
	f.Add([]byte(`{}`))
	tolerant := bytes.TrimRight(workedCases(f)[0].Input, "} \n")
	f.Add(append(tolerant, `}, "tolerances": {"/riser/outlet_m": 0.01, "/site/rh": 0.1}}`...))
	f.Add([]byte(`{"tolerances":{"/riser/outlet_m":0.01,"":null,"/params/k_v":[]},"params":{"k_v":1}}`))
	f.Add([]byte(`{"params":{"k_in":1e9},"supply":null}`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		answer, err := trompe.Calculate(raw)
		require.NoError(t, err)
		_, err = json.Marshal(answer)
		require.NoError(t, err)
		if !answer.OK {
			require.NotEmpty(t, answer.Fault.Message)
			return
		}
		in, _ := trompe.Decode(raw)
		unknowns := in.Unknowns()
		values := make([]float64, len(unknowns))
		for i, u := range unknowns {
			values[i] = u.Best + u.Half
		}
		trompe.Trial(in.With(unknowns, values)) // what its interval is made of
	})
}

// FuzzFigures keeps the shape of a machine and turns its figures.
func FuzzFigures(f *testing.F) {
	f.Add(1.36, 7, 0.006, 0.026, 0.05, 0.06, 0.09, 0.034, 1.0, 1.55, 0.0003)
	f.Add(3.0, 26, 0.013, 0.1036, 0.0, 0.05, 0.14, 0.1522, 1.05, 3.2, 1.0)
	f.Add(13.96, 9000, 0.02, 2.896, -88.0, -86.6, -83.0, 6.7, 0.0, 16.46, 100.0)
	f.Fuzz(func(t *testing.T, mouth float64, tubes int, tube, bore, outlet, lip, high, riser, out, level, flow float64) {
		raw, err := json.Marshal(map[string]any{
			"supply":    map[string]any{"type": "forebay", "level_m": level, "flow_max_m3s": flow},
			"intake":    map[string]any{"mouth_m": mouth, "n_tubes": tubes, "tube_id_m": tube, "tube_od_m": tube * 1.2, "tube_length_m": 0.3},
			"downcomer": map[string]any{"bore_m": bore, "outlet_m": outlet},
			"chamber":   map[string]any{"kind": "vertical", "bore_m": bore * 3, "lip_m": lip, "high_m": high},
			"riser":     map[string]any{"bore_m": riser, "outlet_m": out},
			"takeoff":   map[string]any{"mode": "closed"},
		})
		if err != nil {
			t.Skip("not a number to begin with")
		}
		answer, err := trompe.Calculate(raw)
		require.NoError(t, err)
		_, err = json.Marshal(answer)
		require.NoError(t, err)
	})
}
