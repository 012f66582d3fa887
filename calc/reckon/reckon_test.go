package reckon_test

import (
	"encoding/json"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
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
		require.Contains(t, reckon.Subjects(), d.Subject, d.Name)
		require.NotEmpty(t, d.Words, d.Name)
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

// The example of a calculation is answered, and the fields of its input and
// result are those that are declared.
func TestExamplesAnswerAndDeclarationsFit(t *testing.T) {
	for _, c := range reckon.List() {
		if c.In == nil {
			continue // the whole machine has tests of its own
		}
		answer, err := c.Run(c.Example)
		require.NoError(t, err, c.Name)
		require.True(t, answer.OK, "%s: %v", c.Name, answer.Fault)
		require.ElementsMatch(t, pointers(c.Inputs), tags("", c.In), "inputs of %s", c.Name)
		require.ElementsMatch(t, pointers(c.Outputs), tags("", c.Out), "outputs of %s", c.Name)
	}
}

func pointers(fields []calc.Field) (all []string) {
	for _, f := range fields {
		if !slices.Contains(all, f.At) {
			all = append(all, f.At)
		}
	}
	return all
}

// tags returns the pointers of the fields of a struct and of the structs in it.
func tags(group string, typ reflect.Type) (all []string) {
	for i := range typ.NumField() {
		name, _, _ := strings.Cut(typ.Field(i).Tag.Get("json"), ",")
		if name == "" || name == "-" {
			continue
		}
		all = append(all, group+"/"+name)
		below := typ.Field(i).Type
		if below.Kind() == reflect.Pointer {
			below = below.Elem()
		}
		if below.Kind() == reflect.Struct {
			all = append(all, tags(group+"/"+name, below)...)
		}
	}
	return all
}

// Every field of the result is declared, and nothing that is not there; of the
// budget in metres and of the lists, the members too.
func TestOutputsAreTheFieldsOfTheResult(t *testing.T) {
	declared := map[string]bool{}
	for _, f := range trompe.Outputs() {
		declared[f.At] = true
	}
	have := map[string]bool{}
	for at, typ := range map[string]reflect.Type{
		"/": reflect.TypeFor[trompe.Result](), "": reflect.TypeFor[trompe.Numbers](), "/budget_head_m": reflect.TypeFor[trompe.Budget](),
		"/profile": reflect.TypeFor[trompe.Station](), "/delivery_curve": reflect.TypeFor[trompe.Delivery](),
	} {
		for i := range typ.NumField() {
			if name, _, _ := strings.Cut(typ.Field(i).Tag.Get("json"), ","); name != "" {
				have[strings.TrimSuffix(at, "/")+"/"+name] = true
			}
		}
	}
	require.Equal(t, have, declared)
}

// Every output says where it comes from, and everything it names exists.
func TestEveryOutputSaysWhereItComesFrom(t *testing.T) {
	for _, d := range reckon.List() {
		known := map[string]bool{}
		for _, f := range append(slices.Clone(d.Inputs), d.Outputs...) {
			known[f.At] = true
		}
		for _, f := range d.Outputs {
			require.NotEmpty(t, f.Equation, f.At)
			require.NotEmpty(t, f.Source, f.At)
			require.NotEmpty(t, f.From, f.At)
			for _, from := range f.From {
				require.True(t, known[from], "%s names %s, which does not exist", f.At, from)
				require.NotEqual(t, f.At, from)
			}
		}
		for _, f := range d.Inputs {
			require.Equal(t, strings.HasPrefix(f.At, "/params/"), f.Uncertainty != nil, f.At)
		}
	}
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
