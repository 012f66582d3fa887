package trompe_test

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/trompe"
)

// worked is a case with the result of another implementation by another hand.
type worked struct {
	Name   string          `json:"name"`
	Case   string          `json:"worked_case"`
	Input  json.RawMessage `json:"input"`
	Result map[string]any  `json:"result"`
}

func workedCases(t testing.TB) []worked {
	t.Helper()
	text, err := os.ReadFile("testdata/worked.json")
	require.NoError(t, err)
	var file struct{ Cases []worked }
	require.NoError(t, json.Unmarshal(text, &file))
	require.Len(t, file.Cases, 4)
	return file.Cases
}

// The expected results come from an independent implementation of the same
// specification, at full precision (testdata/worked.json says so). Tolerances
// by kind of number: relative 1e-6 and an absolute part.
func TestWorkedCasesAgreeWithTheIndependentImplementation(t *testing.T) {
	for _, c := range workedCases(t) {
		t.Run(c.Case+" "+c.Name, func(t *testing.T) {
			answer, err := trompe.Calculate(c.Input)
			require.NoError(t, err)
			require.True(t, answer.OK, "%v", answer.Fault)
			text, err := json.Marshal(answer.Result)
			require.NoError(t, err)
			var got map[string]any
			require.NoError(t, json.Unmarshal(text, &got))
			water := c.Result["water_flow_m3s"].(float64)
			power := c.Result["water_power_w"].(float64)
			require.Empty(t, differ("", c.Result, got, water, power))
			require.Equal(t, codes(c.Result["warnings"]), codes(got["warnings"]))
		})
	}
}

func codes(list any) map[string]bool {
	set := map[string]bool{}
	for _, w := range list.([]any) {
		if code, ok := w.(string); ok {
			set[code] = true
			continue
		}
		set[w.(map[string]any)["code"].(string)] = true
	}
	return set
}

// differ lists where got departs from want by more than its tolerance.
func differ(at string, want, got any, water, power float64) (faults []string) {
	switch w := want.(type) {
	case map[string]any:
		g, ok := got.(map[string]any)
		if !ok {
			return []string{at + ": an object is missing"}
		}
		for name, v := range w {
			switch name {
			case "message", "warnings", "budget_closure":
			default:
				faults = append(faults, differ(at+"/"+name, v, g[name], water, power)...)
			}
		}
	case []any:
		g, ok := got.([]any)
		if !ok || len(g) != len(w) {
			return []string{at + ": another length"}
		}
		for i := range w {
			faults = append(faults, differ(fmt.Sprintf("%s/%d", at, i), w[i], g[i], water, power)...)
		}
	case float64:
		g, ok := got.(float64)
		if !ok || math.Abs(w-g) > 1e-6*max(math.Abs(w), math.Abs(g))+absolute(at, water, power) {
			return []string{fmt.Sprintf("%s: want %v, got %v", at, want, got)}
		}
	default:
		if want != got {
			return []string{fmt.Sprintf("%s: want %v, got %v", at, want, got)}
		}
	}
	return faults
}

// absolute is the absolute part of the tolerance, by kind of number.
func absolute(at string, water, power float64) float64 {
	name := at[strings.LastIndexByte(at, '/')+1:]
	switch {
	case strings.HasPrefix(at, "/budget_w/"), strings.HasSuffix(name, "_w"):
		return 1e-6 * power
	case strings.HasPrefix(at, "/budget_head_m/"), strings.HasSuffix(name, "_m"):
		return 1e-6
	case strings.HasSuffix(name, "_pa"):
		return 0.01
	case strings.HasSuffix(name, "_m3s"):
		return 1e-7 * water
	}
	return 1e-7
}
