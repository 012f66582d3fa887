package reckon_test

import (
	"encoding/json"
	"os"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/reckon"
	"leat/calc/trompe"
)

func TestRunKnowsItsNames(t *testing.T) {
	_, ok, err := reckon.Run("system/perpetual", json.RawMessage(`{}`))
	require.NoError(t, err)
	require.False(t, ok)
	answer, ok, err := reckon.Run("trompe", json.RawMessage(`{}`))
	require.NoError(t, err)
	require.True(t, ok)
	require.False(t, answer.OK)
	require.Equal(t, "/supply", answer.Fault.At)
	require.NotNil(t, answer.Warnings, "an empty list, never null")
}

func TestEveryDescriptionIsWhole(t *testing.T) {
	require.NotEmpty(t, reckon.List())
	for _, d := range reckon.List() {
		require.NotEmpty(t, d.Answers, d.Name)
		require.NotEmpty(t, d.Inputs, d.Name)
		require.NotEmpty(t, d.Outputs, d.Name)
		require.NotEmpty(t, d.Equation, d.Name)
		require.NotEmpty(t, d.Validity, d.Name)
		require.NotEmpty(t, d.Sources, d.Name)
		for _, f := range append(d.Inputs, d.Outputs...) {
			require.NotEmpty(t, f.About, "%s %s", d.Name, f.At)
			require.True(t, strings.HasPrefix(f.At, "/"), f.At)
		}
	}
}

// Every field of the result is declared, and nothing that is not there.
func TestOutputsAreTheFieldsOfTheResult(t *testing.T) {
	declared := map[string]bool{}
	for _, f := range trompe.Outputs() {
		declared[f.At[1:]] = true
	}
	have := map[string]bool{}
	for _, typ := range []reflect.Type{reflect.TypeFor[trompe.Result](), reflect.TypeFor[trompe.Numbers]()} {
		for i := range typ.NumField() {
			if name := typ.Field(i).Tag.Get("json"); name != "" {
				have[name] = true
			}
		}
	}
	require.Equal(t, have, declared)
}

// The same input gives the same bytes.
func TestSameInputSameBytes(t *testing.T) {
	text, err := os.ReadFile("../trompe/testdata/worked.json")
	require.NoError(t, err)
	var file struct {
		Cases []struct{ Input json.RawMessage }
	}
	require.NoError(t, json.Unmarshal(text, &file))
	for _, c := range file.Cases {
		first, _, err := reckon.Run("trompe", c.Input)
		require.NoError(t, err)
		again, _, err := reckon.Run("trompe", c.Input)
		require.NoError(t, err)
		a, _ := json.Marshal(first)
		b, _ := json.Marshal(again)
		require.Equal(t, string(a), string(b))
	}
}
