package evidence_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/calctest"
	"leat/calc/evidence"
)

// Results that another program worked out: Python with exact fractions, written
// from the specification of evidence alone.
func TestSeriesAgainstAnotherProgram(t *testing.T) {
	calctest.ReferenceIn(t, evidence.Calculations(), "testdata/series.json")
}

// Codes and places are those of section 8.1 of the specification of evidence.
func TestFaultsOfSeries(t *testing.T) {
	calctest.Faults(t, evidence.Calculations(), [][4]string{
		{"evidence/series_mean", `{}`, "missing", "/values"},
		{"evidence/series_mean", `{"values": 3, "x": 1}`, "unknown_field", "/x"},
		{"evidence/series_mean", `{"values": [1, "two"], "batches": 1}`, "not_a_number", "/values/1"},
		{"evidence/series_mean", `{"values": [1, 1e999]}`, "not_a_number", "/values/1"},
		{"evidence/series_mean", `{"values": [], "batches": 1}`, "range", "/batches"},
		{"evidence/series_mean", `{"values": [], "batches": 1001}`, "range", "/batches"},
		{"evidence/series_mean", `{"values": [], "batches": 2.5}`, "range", "/batches"},
		{"evidence/series_mean", `{"values": [], "batches": "2"}`, "not_a_number", "/batches"},
		{"evidence/series_mean", `{"values": [1.7e308, -1.7e308, 0, 0, 0, 0, 0, 0, 0, 1]}`, "range", ""},
		{"evidence/steady", `{"values": [], "dt": 0}`, "range", "/dt"},
		{"evidence/steady", `{"values": [], "tol_abs": -1, "tol_rel": -1}`, "range", "/tol_abs"},
		{"evidence/steady", `{"values": [], "tol_rel": -1, "m": 0}`, "range", "/tol_rel"},
		{"evidence/steady", `{"values": [], "m": 1001}`, "range", "/m"},
		{"evidence/hampel", `{"values": [], "half": 0, "k": 0}`, "range", "/half"},
		{"evidence/hampel", `{"values": [], "half": 1001}`, "range", "/half"},
		{"evidence/hampel", `{"values": [], "k": 0}`, "range", "/k"},
		{"evidence/hampel", `{"values": [], "floor": -1}`, "range", "/floor"},
		{"evidence/pressure_decay", `{}`, "missing", "/t"},
		{"evidence/pressure_decay", `{"t": [], "p": [], "volume": 1}`, "missing", "/t"},
		{"evidence/pressure_decay", `{"t": [0, null, 2, 2, 1], "p": 3}`, "range", "/t/3"},
		{"evidence/pressure_decay", `{"t": [0, 1], "p": [1, true]}`, "not_a_number", "/p/1"},
		{"evidence/pressure_decay", `{"t": [0, 1], "p": [1], "volume": 0}`, "inconsistent", "/p"},
		{"evidence/pressure_decay", `{"t": [0, 1], "p": [1, 2], "temp_c": [20, 21, 22]}`, "missing", "/volume"},
		{"evidence/pressure_decay", `{"t": [0, 1], "p": [1, 2], "volume": 0}`, "range", "/volume"},
		{"evidence/pressure_decay", `{"t": [0, 1], "p": [1, 2], "volume": 1, "temp_c": [20, 101]}`, "range", "/temp_c/1"},
		{"evidence/pressure_decay", `{"t": [0, 1], "p": [1, 2], "volume": 1, "temp_c": []}`, "missing", "/temp_c"},
		{"evidence/pressure_decay", `{"t": [0, 1], "p": [1, 2], "volume": 1, "temp_c": [20, 21, 22], "u_volume": -1}`, "inconsistent", "/temp_c"},
		{"evidence/pressure_decay", `{"t": [0, 1], "p": [1, 2], "volume": 1, "u_volume": -1, "p_b": [1]}`, "range", "/u_volume"},
		{"evidence/pressure_decay", `{"t": [0, 1], "p": [1, 2], "volume": 1, "p_b": [1], "p_ref": 0}`, "inconsistent", "/p_b"},
		{"evidence/pressure_decay", `{"t": [0, 1], "p": [1, 2], "volume": 1, "p_b": [1, "x"]}`, "not_a_number", "/p_b/1"},
		{"evidence/pressure_decay", `{"t": [0, 1], "p": [1, 2], "volume": 1, "p_b": "x"}`, "not_a_number", "/p_b"},
		{"evidence/pressure_decay", `{"t": [0, 1], "p": [1, 2], "volume": 1, "gauge": 1, "p_ref": 0}`, "unknown_value", "/gauge"},
		{"evidence/pressure_decay", `{"t": [0, 1], "p": [1, 2], "volume": 1, "p_b": "x", "gauge": false, "p_ref": 0}`, "range", "/p_ref"},
		{"evidence/pressure_decay", `{"t": [0, 1], "p": [1, 2], "volume": 1, "t_ref": 101}`, "range", "/t_ref"},
		{"evidence/pressure_decay", `{"t": [0, 1], "p": [1, 2], "volume": 1, "u_temp_change": -1}`, "range", "/u_temp_change"},
		{"evidence/pressure_decay", `{"t": [0, 1, 2, 3, 4], "p": [0, 1, 2, 3, 4], "volume": 1, "gauge": false}`, "range", ""},
		{"evidence/summarise", `{}`, "missing", "/sample_values"},
		{"evidence/summarise", `{"sample_values": [], "p": 0}`, "range", "/p"},
		{"evidence/summarise", `{"sample_values": [], "p": 1}`, "range", "/p"},
		{"evidence/adaptive", `{"batches": []}`, "missing", "/batches"},
		{"evidence/adaptive", `{"batches": [{}], "u_all": 1}`, "missing", "/batches/0"},
		{"evidence/adaptive", `{"batches": [{"y": 1, "u": 1, "lo": 1}], "u_all": 1}`, "missing", "/batches/0/hi"},
		{"evidence/adaptive", `{"batches": [{"y": 1, "u": -1, "lo": 1, "hi": 1}]}`, "range", "/batches/0/u"},
		{"evidence/adaptive", `{"batches": [{"y": null, "u": 1, "lo": 1, "hi": 1}]}`, "missing", "/batches/0/y"},
		{"evidence/adaptive", `{"batches": [{"y": 1, "u": 1, "lo": 1, "hi": 1}]}`, "missing", "/u_all"},
		{"evidence/adaptive", `{"batches": [{"y": 1, "u": 1, "lo": 1, "hi": 1}], "u_all": -1}`, "range", "/u_all"},
		{"evidence/adaptive", `{"batches": [{"y": 1, "u": 1, "lo": 1, "hi": 1}], "u_all": 1, "ndig": 7}`, "range", "/ndig"},
	})
}

func TestWarningsOfSeries(t *testing.T) {
	for _, c := range []struct {
		name, in string
		want     []string
	}{
		{"series_mean", `{"values": [1, 2, 1, 2, 1, 2, 1, 2, 1, 2]}`, []string{}},
		{"series_mean", `{"values": [1, 2, 3, 4, 5, 6, 7, 8, 9, 10]}`, []string{"W_CORRELATED /values"}},
		{"series_mean", `{"values": [1, 2, 3, 4, 5, 6, 7, 8, 9]}`, []string{}},
		{"pressure_decay", `{"t": [0, 1, 2, 3, 4], "p": [5, 5, 5, 5, 5], "volume": 1, "gauge": false, "temp_c": [20]}`, []string{"W_TEMPERATURE /temp_c"}},
		{"pressure_decay", `{"t": [0, 1, 2, 3, 4], "p": [5, 5, 5, 5, 5], "volume": 1, "gauge": false, "temp_c": [20, 20, 20, 20, 20]}`, []string{}},
		{"pressure_decay", `{"t": [0, 1], "p": [5, 5], "volume": 1, "gauge": false}`, []string{}},
		{"summarise", `{"sample_values": [null, 1, 2]}`, []string{"W_FAILED_TRIALS /sample_values"}},
		{"summarise", `{"sample_values": [1, 2]}`, []string{}},
	} {
		require.Equal(t, c.want, calctest.WarningsOf(calctest.Ask(t, evidence.Calculations(), "evidence/"+c.name, c.in)), "%s %s", c.name, c.in)
	}
}

// null where a default stands is the default.
func TestNullIsTheDefault(t *testing.T) {
	require.Equal(t,
		answered(t, "hampel", `{"values": [1, 2, 1, 2, 9]}`),
		answered(t, "hampel", `{"values": [1, 2, 1, 2, 9], "half": null, "k": null, "floor": null}`))
	require.Equal(t,
		answered(t, "pressure_decay", `{"t": [0, 1, 2, 3, 4], "p": [5, 5, 5, 5, 5], "volume": 1, "p_b": 98000}`),
		answered(t, "pressure_decay", `{"t": [0, 1, 2, 3, 4], "p": [5, 5, 5, 5, 5], "volume": 1, "p_b": 98000, "gauge": null, "t_ref": null, "temp_c": null, "u_temp_change": null}`))
}
