package calctest

import (
	"encoding/json"
	"fmt"
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
		var got, want map[string]any
		require.NoError(t, json.Unmarshal(text, &got))
		require.NoError(t, json.Unmarshal(c.Result, &want))
		for name, value := range want {
			alike(t, value, got[name], fmt.Sprintf("%s of %s %s", name, c.Calc, c.Input))
		}
	}
}

// alike compares numbers to 1e-9 relative, in lists and objects too, and all
// else exactly.
func alike(t *testing.T, want, got any, what string) {
	switch w := want.(type) {
	case float64:
		if w == 0 {
			break
		}
		require.InEpsilon(t, w, got, 1e-9, what)
		return
	case []any:
		g, ok := got.([]any)
		require.True(t, ok && len(g) == len(w), "%s: %v", what, got)
		for i := range w {
			alike(t, w[i], g[i], what)
		}
		return
	case map[string]any:
		g, ok := got.(map[string]any)
		require.True(t, ok && len(g) == len(w), "%s: %v", what, got)
		for name := range w {
			alike(t, w[name], g[name], what+" "+name)
		}
		return
	}
	require.Equal(t, want, got, what)
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
