package calctest

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
)

// Reference compares the results of these calculations with those of
// testdata/reference.json, which another program worked out (Python, written
// from the specification of systems alone), to 1e-9.
func Reference(t *testing.T, of []calc.Calculation) {
	text, err := os.ReadFile("testdata/reference.json")
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
			x, isNumber := value.(float64)
			if !isNumber || x == 0 {
				require.Equal(t, value, got[name], "%s of %s %s", name, c.Calc, c.Input)
				continue
			}
			require.InEpsilon(t, x, got[name], 1e-9, "%s of %s %s", name, c.Calc, c.Input)
		}
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
