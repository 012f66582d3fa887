package evidence_test

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/calctest"
	"leat/calc/evidence"
)

func FuzzEvidence(f *testing.F) { calctest.Fuzz(f, evidence.Calculations()) }

// referenceData are the NIST Statistical Reference Datasets that are at hand.
type referenceData struct {
	Univariate map[string][]float64
	Linear     map[string]struct{ Y, X []float64 }
	Nonlinear  map[string]struct{ Y, X []float64 }
}

func strd(t testing.TB) (all referenceData) {
	text, err := os.ReadFile("testdata/strd.json")
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(text, &all))
	return all
}

// univariate returns a dataset; two are written as their files write them.
func univariate(t *testing.T, name string) []float64 {
	alternating := func(first, low, high float64) []float64 {
		values := []float64{first}
		for range 500 {
			values = append(values, low, high)
		}
		return values
	}
	switch name {
	case "NumAcc2":
		return alternating(1.2, 1.1, 1.3)
	case "NumAcc3":
		return alternating(1000000.2, 1000000.1, 1000000.3)
	}
	values := strd(t).Univariate[name]
	require.NotEmpty(t, values, name)
	return values
}

// NIST Statistical Reference Datasets, univariate summary statistics.
func TestRepeatsOfTheReferenceDatasets(t *testing.T) {
	calctest.Rows(t, "2-25", calctest.Near(func(t *testing.T, row calctest.Value) []float64 {
		name, _, _ := strings.Cut(row["inputs"], ",")
		text, err := json.Marshal(map[string]any{"readings": univariate(t, name)})
		require.NoError(t, err)
		output := map[string]string{"sample mean": "mean", "sample standard deviation (n-1)": "s", "lag-1 autocorrelation": "lag1"}[row["quantity"]]
		return []float64{number(t, "type_a", string(text), output)}
	}))
}

func TestRepeatsOfTemperature(t *testing.T) {
	calctest.Rows(t, "102", calctest.Near(func(t *testing.T, row calctest.Value) []float64 {
		r := evidence.TypeA(row.Figures(t, "inputs"))
		require.Equal(t, 20, r.N)
		return []float64{r.Mean, r.S, r.U}
	}))
}

func number(t testing.TB, name, input, output string) float64 {
	return calctest.Number(t, evidence.Calculations(), "evidence/"+name, input, output)
}

// answered is the result of a calculation that answers, as JSON.
func answered(t testing.TB, name, input string) string {
	t.Helper()
	answer := calctest.Ask(t, evidence.Calculations(), "evidence/"+name, input)
	require.True(t, answer.OK, "%s %s: %v", name, input, answer.Fault)
	text, err := json.Marshal(answer.Result)
	require.NoError(t, err)
	return string(text)
}

// Few readings and equal ones: the table of section 1.2 and section 8.2 of the
// specification of evidence.
func TestFewReadings(t *testing.T) {
	for in, want := range map[string]string{
		`{"readings": []}`:                   `{"n":0,"missing":0,"mean":null,"s":null,"u":null,"nu":0,"lag1":null,"status":"no_reading"}`,
		`{"readings": [null, "NaN"]}`:        `{"n":0,"missing":2,"mean":null,"s":null,"u":null,"nu":0,"lag1":null,"status":"no_reading"}`,
		`{"readings": [3, "inf"]}`:           `{"n":1,"missing":1,"mean":3,"s":null,"u":null,"nu":0,"lag1":null,"status":"single_reading"}`,
		`{"readings": [0.1, 0.1, 0.1]}`:      `{"n":3,"missing":0,"mean":0.1,"s":0,"u":0,"nu":2,"lag1":null,"status":"zero_spread"}`,
		`{"readings": [null, 1, "-inf", 3]}`: `{"n":2,"missing":2,"mean":2,"s":1.4142135623730951,"u":1,"nu":1,"lag1":-0.5,"status":"ok"}`,
	} {
		require.Equal(t, want, answered(t, "type_a", in), in)
	}
}

func TestFaultsOfRepeats(t *testing.T) {
	calctest.Faults(t, evidence.Calculations(), [][4]string{
		{"evidence/type_a", `{}`, "missing", "/readings"},
		{"evidence/type_a", `{"readings": null}`, "missing", "/readings"},
		{"evidence/type_a", `{"readings": 3}`, "missing", "/readings"},
		{"evidence/type_a", `{"readings": [1, "two"]}`, "not_a_number", "/readings/1"},
		{"evidence/type_a", `{"readings": [1, false]}`, "not_a_number", "/readings/1"},
		{"evidence/type_a", `{"readings": [1, "two"], "reading": 1, "n": 2}`, "unknown_field", "/n"},
		{"evidence/type_a", `{"readings": [1.7e308, 1.7e308, 1]}`, "range", ""},
	})
}
