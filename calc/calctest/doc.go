// Package calctest is what the tests of calculations share: published values
// to check against, tables of faults, and a fuzz target. Start with [Values].
package calctest

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
)

// Ask runs one of these calculations.
func Ask(t testing.TB, of []calc.Calculation, name, input string) calc.Answer {
	t.Helper()
	for _, c := range of {
		if c.Name == name {
			answer, err := c.Run(json.RawMessage(input))
			require.NoError(t, err)
			return answer
		}
	}
	t.Fatalf("no calculation here has the name %s", name)
	return calc.Answer{}
}

// Number returns a number of the result of a calculation that must answer.
func Number(t testing.TB, of []calc.Calculation, name, input, output string) float64 {
	t.Helper()
	answer := Ask(t, of, name, input)
	require.True(t, answer.OK, "%s %s: %v", name, input, answer.Fault)
	text, err := json.Marshal(answer.Result)
	require.NoError(t, err)
	var result map[string]any
	require.NoError(t, json.Unmarshal(text, &result))
	x, ok := result[output].(float64)
	require.True(t, ok, "%s has no number %s: %s", name, output, text)
	return x
}

// Faults asks each of these, given as name, input, code and place, and compares
// the first fault.
func Faults(t *testing.T, of []calc.Calculation, cases [][4]string) {
	t.Helper()
	for _, c := range cases {
		name, input, code, at := c[0], c[1], calc.FaultCode(c[2]), c[3]
		answer := Ask(t, of, name, input)
		if answer.OK {
			t.Errorf("%s answers %s", name, input)
			continue
		}
		if answer.Fault.Code != code || answer.Fault.At != at {
			t.Errorf("%s %s: %v, want %s at %q", name, input, answer.Fault, code, at)
		}
	}
}

// WarningsOf returns code and place of each warning of an answer.
func WarningsOf(a calc.Answer) []string {
	all := []string{}
	for _, w := range a.Warnings {
		all = append(all, w.Code+" "+w.At)
	}
	return all
}

// Fuzz feeds any text to these calculations: each gives either an answer or a
// fault, in JSON, with words. It begins with the examples.
func Fuzz(f *testing.F, of []calc.Calculation) {
	for _, c := range of {
		f.Add([]byte(c.Example))
	}
	for _, seed := range []string{`{}`, `null`, `[]`, `{"Q": 1e308}`, `{"D": 1e-300, "L": 1, "Q": 1e300}`, `{"d": null, "h": "0.1"}`} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		for _, c := range of {
			answer, err := c.Run(raw)
			require.NoError(t, err, c.Name)
			_, err = json.Marshal(answer)
			require.NoError(t, err, c.Name)
			require.NotEqual(t, answer.OK, answer.Fault != nil, c.Name)
			require.NotNil(t, answer.Warnings, c.Name)
			for _, w := range answer.Warnings {
				require.NotEmpty(t, w.Message, c.Name)
			}
			if answer.Fault != nil {
				require.NotEmpty(t, answer.Fault.Message, c.Name)
				require.NotEqual(t, calc.Bound, answer.Fault.Code, "%s %s", c.Name, raw)
			}
		}
	})
}
