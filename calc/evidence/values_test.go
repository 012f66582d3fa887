package evidence_test

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/calctest"
	"leat/calc/evidence"
)

func asJSON(t testing.TB, v any) string {
	text, err := json.Marshal(v)
	require.NoError(t, err)
	return string(text)
}

func into(t testing.TB, text string, out any) {
	require.NoError(t, json.Unmarshal([]byte(text), out))
}

func TestDisplay(t *testing.T) {
	calctest.Rows(t, "108", func(t *testing.T, row calctest.Value) {
		s := evidence.Show(10.05762, 0.027, 2)
		require.Equal(t, row["expected"], s.Value+"; "+s.U)
	})
	// Section 8.2 of the specification of evidence, and what follows from it.
	for in, want := range map[string]string{
		`{"value": 123456, "u": 2345}`:             `{"value":123456,"u":2345,"value_text":"123500","u_text":"2300","exponent":2,"status":"ok"}`,
		`{"value": -0.001, "u": 0.0996}`:           `{"value":-0.001,"u":0.0996,"value_text":"0.00","u_text":"0.10","exponent":-2,"status":"ok"}`,
		`{"value": 2.5, "u": 25, "digits": 1}`:     `{"value":2.5,"u":25,"value_text":"0","u_text":"20","exponent":1,"status":"ok"}`,
		`{"value": 0.125, "u": 0.35, "digits": 1}`: `{"value":0.125,"u":0.35,"value_text":"0.1","u_text":"0.4","exponent":-1,"status":"ok"}`,
		`{"value": -1e21, "u": 3e20, "digits": 1}`: `{"value":-1e+21,"u":300000000000000000000,"value_text":"-1000000000000000000000","u_text":"300000000000000000000","exponent":20,"status":"ok"}`,
		`{"value": 1, "u": 0}`:                     `{"value":1,"u":0,"value_text":null,"u_text":null,"exponent":null,"status":"not_rounded"}`,
		`{"value": "NaN", "u": 1}`:                 `{"value":null,"u":1,"value_text":null,"u_text":null,"exponent":null,"status":"not_rounded"}`,
		`{}`:                                       `{"value":null,"u":null,"value_text":null,"u_text":null,"exponent":null,"status":"not_rounded"}`,
	} {
		require.Equal(t, want, answered(t, "display", in), in)
	}
	calctest.Faults(t, evidence.Calculations(), [][4]string{
		{"evidence/display", `{"value": 1, "u": -1}`, "range", "/u"},
		{"evidence/display", `{"value": 1, "u": 1, "digits": 16}`, "range", "/digits"},
		{"evidence/display", `{"value": 1, "u": 1, "digits": 1.5}`, "range", "/digits"},
		{"evidence/display", `{"value": "x", "u": -1}`, "not_a_number", "/value"},
	})
}

const wet = `{"q": 0.01, "p": 101825, "t": 15, "rh": 1`

func TestFreeAir(t *testing.T) {
	calctest.Rows(t, "136", gives(number(t, "free_air", wet+`}`, "factor")))
	require.InEpsilon(t, 0.010186068, number(t, "free_air", wet+`}`, "q_ref"), 1e-6)
	require.Equal(t, 0.0, number(t, "free_air", wet+`}`, "u"))
	require.InEpsilon(t, 1.0186068e-4, number(t, "free_air", wet+`, "u_q": 1e-4}`, "u"), 1e-6)
	// One part in a hundred of the dry pressure, by hand: 1018.25 Pa of 101825 − 1704 Pa.
	require.InEpsilon(t, 0.010186068*1018.25/(101825-1702.4), number(t, "free_air", wet+`, "u_p": 1018.25}`, "u"), 1e-4)
	require.InDelta(t, 1.0186068, number(t, "free_air", `{"q": 0, "p": 101825, "t": 15, "rh": 1}`, "factor"), 1e-6)

	// Half saturated, and rectangular from dry to saturated: at 30 °C up to 4 % in all (section 1.8).
	dry, moist := number(t, "free_air", `{"q": 1, "p": 100000, "t": 30, "rh": 0}`, "q_ref"), number(t, "free_air", `{"q": 1, "p": 100000, "t": 30, "rh": 1}`, "q_ref")
	assumed := calctest.Ask(t, evidence.Calculations(), "evidence/free_air", `{"q": 1, "p": 100000, "t": 30, "u_rh": 9}`)
	require.Equal(t, []string{"W_HUMIDITY /rh"}, calctest.WarningsOf(assumed))
	require.InDelta(t, (dry+moist)/2, number(t, "free_air", `{"q": 1, "p": 100000, "t": 30}`, "q_ref"), 1e-12)
	require.InDelta(t, (dry-moist)/2/math.Sqrt(3), number(t, "free_air", `{"q": 1, "p": 100000, "t": 30}`, "u"), 1e-12)
	require.InDelta(t, 0.042, (dry-moist)/dry, 0.001)

	require.Equal(t, `{"q_ref":null,"factor":null,"u":null,"missing":["q","t","rh"],"status":"missing_condition"}`, answered(t, "free_air", `{"p": 101325, "t": "NaN"}`))
	require.Contains(t, answered(t, "free_air", `{"q": 1, "p": 100000, "t": 30, "rh": null}`), `"missing":["rh"],"status":"humidity_assumed"`)
}

func TestFaultsOfValues(t *testing.T) {
	const air, fit, spread = "evidence/free_air", "evidence/linreg", "evidence/propagate_linear"
	calctest.Faults(t, evidence.Calculations(), [][4]string{
		{air, `{"q": 1, "p": 0}`, "range", "/p"},
		{air, `{"q": 1, "p": 1e5, "t": 101}`, "range", "/t"},
		{air, `{"q": 1, "p": 1e5, "t": 20, "rh": 1.01}`, "range", "/rh"},
		{air, `{"q": 1, "p": 1e5, "t": 20, "rh": 1, "u_t": -1}`, "range", "/u_t"},
		{air, `{"q": 1, "p": 2000, "t": 20, "rh": 1, "p_ref": 2000, "rh_ref": 1}`, "range", "/p_ref"},
		{air, `{"q": 1, "p": 2000, "t": 20, "rh": 1}`, "range", "/p"},
		{air, `{"q": 1, "p": 1000, "t": 20}`, "range", "/p"},
		{air, `{"q": "one", "p": 1000, "t": 20}`, "not_a_number", "/q"},
		{fit, `{"x": [1, 2, 3]}`, "missing", "/y"},
		{fit, `{"x": [1, 2, 3], "y": [1, 2]}`, "inconsistent", "/y"},
		{fit, `{"x": [1, null, 3], "y": [1, 2, 3]}`, "missing", "/x/1"},
		{fit, `{"x": [1, 2], "y": [1, 2]}`, "range", "/x"},
		{fit, `{"x": [1], "y": [1], "origin": true}`, "range", "/x"},
		{fit, `{"x": [1, 1, 1], "y": [1, 2, 3]}`, "range", "/x"},
		{fit, `{"x": [0, 0, 0], "y": [1, 2, 3], "origin": true}`, "range", "/x"},
		{fit, `{"x": [0, 1, 2], "y": [1, 2, 3], "origin": 1}`, "unknown_value", "/origin"},
		{spread, `{"sens": [[1, 2]]}`, "missing", "/cov"},
		{spread, `{"sens": [[1, 2]], "corr": [[1]]}`, "missing", "/cov"},
		{spread, `{"sens": [[1, 2], [1]], "u": [1, 1]}`, "inconsistent", "/sens/1"},
		{spread, `{"sens": [[1, 2]], "cov": [[1]]}`, "inconsistent", "/cov"},
		{spread, `{"sens": [[1, 2]], "u": [1]}`, "inconsistent", "/u"},
		{spread, `{"sens": [[1, 2]], "u": [1, -1]}`, "range", "/u/1"},
		{spread, `{"sens": [[1, 2]], "u": [1, 1], "corr": [[1, 2], [2, 1]]}`, "range", "/corr/0/1"},
		{spread, `{"sens": [[1, 2]], "u": [1, 1], "corr": [[1, 0]]}`, "inconsistent", "/corr"},
		{spread, `{"sens": [[1]], "cov": [[-1]]}`, "range", ""},
	})
}

// A result known for certain has no correlation; the rest of one does not change.
func TestPropagation(t *testing.T) {
	require.Equal(t, `{"cov":[[4,0],[0,0]],"u":[2,0],"corr":[[1,null],[null,null]]}`, answered(t, "propagate_linear", `{"sens": [[1, 0], [0, 1]], "u": [2, 0]}`))
	// Readings with the same error cancel in their difference (section 7).
	require.Equal(t, 0.0, evidence.Propagate([][]float64{{1, -1}}, evidence.CovarianceOf([]float64{2, 2}, [][]float64{{1, 1}, {1, 1}}))[0][0])
}

// What flags a reading, by hand: of 1, 2, 3, 4, 100 the median is 3, the median
// distance from it 1, and 97 more than 3.5·1.4826.
func TestDoubtfulReadings(t *testing.T) {
	require.Equal(t, []int{5}, evidence.Doubtful([]float64{1, 2, math.NaN(), 3, 4, 100}, 0))
	require.Empty(t, evidence.Doubtful([]float64{1, 2, 3, 4, 100}, 28), "a coarse display explains it")
	require.Equal(t, []int{4}, evidence.Doubtful([]float64{1, 2, 3, 4, 100}, 27))
	require.Empty(t, evidence.Doubtful([]float64{1, 2, 3, 100}, 0), "four tell nothing")
}

// A single reading has the scatter of earlier ones where these are enough
// (section 1.2 of the specification of evidence).
func TestPoolStandsForRepeats(t *testing.T) {
	single := evidence.TypeA([]float64{5})
	require.True(t, math.IsNaN(single.WithPool(0.2, 9).U))
	pooled := single.WithPool(0.2, 10)
	require.Equal(t, 0.2, pooled.U)
	require.Equal(t, 10, pooled.Nu)
	require.Equal(t, evidence.TypeA([]float64{5, 6}), evidence.TypeA([]float64{5, 6}).WithPool(9, 99))
}
