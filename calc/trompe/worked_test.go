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

// The full-bore neighbour of case 26, whose outlet stands so high that just no
// fall is wasted: figures of the independent implementation, to five digits.
func TestNeighbourOfTheSurplusCaseRunsFull(t *testing.T) {
	res := solveChanged(t, 3, map[string]any{"/riser/outlet_m": 2.108})
	require.Equal(t, trompe.OK, res.Status)
	require.InEpsilon(t, 5.3970e-3, res.WaterFlowM3S, 1e-4)
	require.InEpsilon(t, 1.1895e-3, res.FreeAirM3S, 1e-4)
	require.InEpsilon(t, 20301, res.BlowOffGaugePa, 1e-4)
	require.InDelta(t, 0.3227, res.VoidTop, 1e-4)
	require.InDelta(t, 0.380, res.Efficiency, 1e-3)
	require.InDelta(t, 379, res.MixedGaugePa, 1)
	require.Zero(t, res.PartFullLengthM)
}

// With water to spare, throttling the air primes the pipe that ran part full:
// the independent implementation has 2.8 times the water and 3.5 times the air
// at some opening of the port, and two steady states on the way.
func TestThrottlingTheAirPrimesASurplusPipe(t *testing.T) {
	open := solveChanged(t, 3, nil)
	twice, primed := false, false
	for cda := 1e-3; cda > 1e-5; cda *= 0.93 {
		res := solveChanged(t, 3, map[string]any{"/intake/port_cda_m2": cda})
		for _, w := range res.Warnings {
			twice = twice || w.Code == "W_MULTIPLE"
		}
		primed = primed || (res.Status == trompe.OK && res.WaterFlowM3S > 2.5*open.WaterFlowM3S && res.FreeAirM3S > 3*open.FreeAirM3S)
	}
	require.True(t, twice, "no opening has two steady states")
	require.True(t, primed, "no opening primes the pipe")
}

// solveChanged solves a worked case with some fields changed.
func solveChanged(t testing.TB, which int, set map[string]any) trompe.Result {
	t.Helper()
	in, faults := trompe.Decode(changedCase(t, which, set))
	require.Empty(t, faults)
	res, err := trompe.Solve(in)
	require.NoError(t, err)
	return res
}
