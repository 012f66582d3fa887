package parts_test

import (
	"encoding/json"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/parts"
)

// What the table of the specification says about each field, in its order.
func TestFaults(t *testing.T) {
	for _, c := range []struct {
		name, input string
		code        calc.FaultCode
		at          string
	}{
		{"cut", `{}`, calc.Missing, "/runs"},
		{"cut", `{"runs": null}`, calc.Missing, "/runs"},
		{"cut", `{"runs": []}`, calc.Missing, "/runs"},
		{"cut", `{"runs": "long"}`, calc.Missing, "/runs"},
		{"cut", `{"run": []}`, calc.UnknownField, "/run"},
		{"cut", `{"runs": [{}]}`, calc.Missing, "/runs/0/c2c_m"},
		{"cut", `{"runs": [{"z1_m": 0.1}]}`, calc.Missing, "/runs/0/c2c_m"},
		{"cut", `{"runs": [{"c2c_m": 1}]}`, calc.Missing, "/runs/0/z1_m"},
		{"cut", `{"runs": [{"c2c_m": 1, "z1_m": 0}]}`, calc.Missing, "/runs/0/z2_m"},
		{"cut", `{"runs": [{"c2c_m": "1", "z1_m": 0}]}`, calc.NotANumber, "/runs/0/c2c_m"},
		{"cut", `{"runs": [{"c2c_m": 0, "z1_m": -1}]}`, calc.Range, "/runs/0/c2c_m"},
		{"cut", `{"runs": [{"c2c_m": 0.1, "z1_m": 0.05, "z2_m": 0.05, "qty": 0}]}`, calc.Inconsistent, "/runs/0/c2c_m"},
		{"cut", `{"runs": [{"c2c_m": 0.1, "z1_m": 0.05, "z2_m": 0.04, "qty": 1.5}]}`, calc.Range, "/runs/0/qty"},
		{"cut", `{"runs": [{"c2c_m": 0.1, "z1_m": 0.05, "z2_m": 0.06}, {}]}`, calc.Inconsistent, "/runs/0/c2c_m"},
		{"cut", `{"runs": [{"face_m": 0.1}]}`, calc.Missing, "/runs/0/ins1_m"},
		{"cut", `{"runs": [{"face_m": 0.1, "ins1_m": 0}]}`, calc.Missing, "/runs/0/ins2_m"},
		{"cut", `{"runs": [{"face_m": 0, "ins1_m": 0, "ins2_m": 0}]}`, calc.Inconsistent, "/runs/0/face_m"},
		{"cut", `{"runs": [{"c2c_m": 1, "z1_m": 0, "z2_m": 0}, {"c2c_m": 1, "z1_m": 0, "z2_m": 0, "z3_m": 0}]}`, calc.UnknownField, "/runs/1/z3_m"},
		{"tubes", `{}`, calc.Missing, "/count"},
		{"tubes", `{"count": 1.5}`, calc.Range, "/count"},
		{"tubes", `{"count": 1000001}`, calc.Range, "/count"},
		{"tubes", `{"count": 1, "length_m": 0.00009}`, calc.Range, "/length_m"},
		{"tubes", `{"count": 1, "length_m": 1, "stock_m": true}`, calc.NotANumber, "/stock_m"},
		{"tubes", `{"count": 1, "length_m": 1, "stock_m": 3, "kerf_m": -1}`, calc.Range, "/kerf_m"},
		{"tubes", `{"count": 1, "length_m": 4, "stock_m": 3, "end_waste_m": -1}`, calc.Range, "/end_waste_m"},
		{"tubes", `{"count": 1, "length_m": 4, "stock_m": 3}`, calc.Inconsistent, "/length_m"},
		{"tubes", `{"count": 1, "length_m": 2, "stock_m": 3, "end_waste_m": 5}`, calc.Inconsistent, "/length_m"},
		{"stock", `{"pieces": [], "stock_m": 1e999}`, calc.NotANumber, "/stock_m"},
		{"stock", `{"stock_m": 6}`, calc.Missing, "/pieces"},
		{"stock", `{"stock_m": 6, "pieces": []}`, calc.Missing, "/pieces"},
		{"stock", `{"stock_m": 6, "trim_m": -1, "pieces": []}`, calc.Range, "/trim_m"},
		{"stock", `{"stock_m": 6, "pieces": [3]}`, calc.Missing, "/pieces/0"},
		{"stock", `{"stock_m": 6, "pieces": [{"len_m": 0}]}`, calc.Range, "/pieces/0/len_m"},
		{"stock", `{"stock_m": 6, "pieces": [{"len_m": 7, "qty": 0}]}`, calc.Inconsistent, "/pieces/0/len_m"},
		{"stock", `{"stock_m": 6, "pieces": [{"len_m": 7}, {}]}`, calc.Inconsistent, "/pieces/0/len_m"},
		{"stock", `{"stock_m": 6, "trim_m": 0.1, "pieces": [{"len_m": 5.9}, {"len_m": 5.9001}]}`, calc.Inconsistent, "/pieces/1/len_m"},
		{"stock", `{"stock_m": 6, "pieces": [{"len_m": 1, "qty": 10001}]}`, calc.Range, "/pieces/0/qty"},
		{"stock", `{"stock_m": 6, "pieces": [{"len_m": 1, "qty": 10000}, {"len_m": 1}, {"len_m": 9}]}`, calc.Range, "/pieces/1/qty"},
		{"stock", `{"stock_m": 6, "saw": 1, "pieces": []}`, calc.UnknownField, "/saw"},
	} {
		answer := ask(t, "safety/"+c.name, c.input)
		require.False(t, answer.OK, c.input)
		require.Equal(t, [2]string{string(c.code), c.at}, [2]string{string(answer.Fault.Code), answer.Fault.At}, "%s: %s", c.input, answer.Fault.Message)
		require.NotEmpty(t, answer.Fault.Message)
	}
}

func FuzzCalculations(f *testing.F) {
	for i, c := range parts.Calculations() {
		f.Add(i, string(c.Example))
	}
	f.Add(2, `{"stock_m": 1e8, "pieces": [{"len_m": 1e-4, "qty": 1e4}]}`)
	f.Fuzz(func(t *testing.T, which int, input string) {
		list := parts.Calculations()
		if !json.Valid([]byte(input)) {
			return
		}
		answer, err := list[uint(which)%uint(len(list))].Run(json.RawMessage(input)) //nolint:gosec // any will do
		require.NoError(t, err)
		require.Equal(t, answer.OK, answer.Fault == nil)
		_, err = json.Marshal(answer)
		require.NoError(t, err, fmt.Sprint(answer))
		if !answer.OK {
			require.NotEmpty(t, answer.Fault.Message)
		}
	})
}
