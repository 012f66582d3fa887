package calctest

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
)

// Reference compares the results of these calculations with those of
// testdata/reference.json, which another program worked out (Python, written
// from the specification of systems alone), to 1e-9.
func Reference(t *testing.T, of []calc.Calculation) {
	ReferenceIn(t, of, "testdata/reference.json")
}

// ReferenceIn is [Reference] with a file of this name.
func ReferenceIn(t *testing.T, of []calc.Calculation, path string) {
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	var cases []struct {
		Calc          string
		Input, Result json.RawMessage
	}
	require.NoError(t, json.Unmarshal(text, &cases))
	require.NotEmpty(t, cases)
	for _, c := range cases {
		answer := Ask(t, of, c.Calc, string(c.Input))
		require.True(t, answer.OK, "%s %s: %v", c.Calc, c.Input, answer.Fault)
		text, err := json.Marshal(answer.Result)
		require.NoError(t, err)
		var got, want any
		require.NoError(t, json.Unmarshal(text, &got))
		require.NoError(t, json.Unmarshal(c.Result, &want))
		alike(t, c.Calc+" "+string(c.Input), want, got)
	}
}

// alike compares what is wanted of a result: numbers to 1e-9, all else exactly.
func alike(t *testing.T, at string, want, got any) {
	switch w := want.(type) {
	case map[string]any:
		g, ok := got.(map[string]any)
		require.True(t, ok, "%s: %v", at, got)
		for name := range w {
			require.Contains(t, g, name, at)
			alike(t, at+" "+name, w[name], g[name])
		}
	case []any:
		g, ok := got.([]any)
		require.True(t, ok, "%s: %v", at, got)
		require.Len(t, g, len(w), at)
		for i := range w {
			alike(t, fmt.Sprint(at, " ", i), w[i], g[i])
		}
	case float64:
		g, ok := got.(float64)
		require.True(t, ok, "%s: %v", at, got)
		require.InDelta(t, w, g, 1e-9*math.Abs(w), at)
	default:
		require.Equal(t, want, got, at)
	}
}

// Told demands of rows that give nothing to calculate that they stand in
// ../testdata/checks/system.csv, each with the reason why it has no check.
func Told(t *testing.T, reasons map[string]string) {
	ids := map[string]bool{}
	for _, row := range Read(t, "../testdata/checks/system.csv") {
		ids[row["id"]] = true
	}
	for id, why := range reasons {
		require.True(t, ids[id], "there is no row %s", id)
		require.NotEmpty(t, why, id)
	}
}
