package evidence_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/calctest"
	"leat/calc/evidence"
)

// Section 8.1 of the specification of evidence.
func TestFaultsOfVerdicts(t *testing.T) {
	calctest.Faults(t, evidence.Calculations(), [][4]string{
		{"evidence/verdict", `{"y": 1, "u": "x", "limit": 2, "high": 1}`, "unknown_field", "/high"},
		{"evidence/verdict", `{"y": 1, "u": -0.1}`, "range", "/u"},
		{"evidence/verdict", `{"y": "one", "u": 1}`, "not_a_number", "/y"},
		{"evidence/verdict", `{"y": 1, "u": 1, "lower": "NaN"}`, "not_a_number", "/lower"},
		{"evidence/verdict", `{"y": 1, "u": 1, "nu": 0}`, "range", "/nu"},
		{"evidence/verdict", `{"y": 1, "u": 1, "nu": "-inf"}`, "not_a_number", "/nu"},
		{"evidence/verdict", `{"y": 1, "u": 1, "u_pred": -1}`, "range", "/u_pred"},
		{"evidence/verdict", `{"y": 1, "u": 1, "p_met": 0.89}`, "range", "/p_met"},
		{"evidence/verdict", `{"y": 1, "u": 1, "p_met": 1}`, "range", "/p_met"},
		{"evidence/verdict", `{"y": 1, "u": 1, "p_miss": 1e999}`, "not_a_number", "/p_miss"},
		{"evidence/verdict", `{"y": 1, "u": 1, "repeatability_known": "yes"}`, "unknown_value", "/repeatability_known"},
		{"evidence/instrument_needed", `{}`, "missing", "/u_needed"},
		{"evidence/instrument_needed", `{"u_needed": 1, "s": -1}`, "range", "/s"},
		{"evidence/instrument_needed", `{"u_needed": 1e200, "u_other": 1}`, "range", ""},
		{"evidence/p_decide", `{"pred": 1, "u_pred": 0, "u": 0, "lower": 2, "upper": 1}`, "range", "/u_pred"},
		{"evidence/p_decide", `{"pred": 1, "u_pred": 1, "u": 0, "lower": 2, "upper": 1}`, "range", "/u"},
		{"evidence/p_decide", `{"pred": 1, "u_pred": 1, "u": 1, "lower": 1, "upper": 1}`, "inconsistent", "/upper"},
		{"evidence/p_decide", `{"pred": 1, "u_pred": 1, "u": 1, "upper": 1}`, "missing", "/lower"},
	})
}

// What is propagated grows with the square of the quantities.
func TestFaultsOfManyResults(t *testing.T) {
	rows := func(results, quantities int) string {
		row := "[" + strings.Repeat("1, ", quantities-1) + "1]"
		return `{"sens": [` + strings.Repeat(row+", ", results-1) + row + `], "u": ` + row + `}`
	}
	calctest.Faults(t, evidence.Calculations(), [][4]string{
		{"evidence/propagate_linear", rows(501, 1), "range", "/sens"},
		{"evidence/propagate_linear", rows(1, 501), "range", "/sens"},
		{"evidence/propagate_linear", rows(1, 100_000), "range", "/sens"},
	})
	answered(t, "propagate_linear", rows(1, 500))
	answered(t, "propagate_linear", rows(500, 1))
}

func TestFaultsOfQuantitiesTogether(t *testing.T) {
	calctest.Faults(t, evidence.Calculations(), [][4]string{
		{"evidence/joint", `{"d": []}`, "missing", "/d"},
		{"evidence/joint", `{"d": [1]}`, "missing", "/S"},
		{"evidence/joint", `{"d": [1], "C_pred": [[1]]}`, "missing", "/S"},
		{"evidence/joint", `{"d": [1], "C_meas": [[1]]}`, "missing", "/C_pred"},
		{"evidence/joint", `{"d": [1, 2], "S": [[1]]}`, "inconsistent", "/S"},
		{"evidence/joint", `{"d": [1, 2], "S": [[1, 0], [0, null]]}`, "missing", "/S/1/1"},
		{"evidence/joint", `{"d": [1, 2], "C_meas": [[1, 0], [0, 1]], "C_pred": [[1]]}`, "inconsistent", "/C_pred"},
		{"evidence/joint", `{"d": [1, "a"], "S": [[1]]}`, "not_a_number", "/d/1"},
		{"evidence/holm", `{"p": []}`, "missing", "/p"},
		{"evidence/holm", `{"p": [0.5, 1.1]}`, "range", "/p/1"},
		{"evidence/holm", `{"p": [0.5, null]}`, "missing", "/p/1"},
		{"evidence/holm", `{"p": [0.5], "alpha": 0}`, "range", "/alpha"},
		{"evidence/build_verdict", `{}`, "missing", "/items"},
		{"evidence/build_verdict", `{"items": [{}]}`, "missing", "/items/0"},
		{"evidence/build_verdict", `{"items": [{"name": "p", "outcome": "missed"}]}`, "unknown_value", "/items/0/outcome"},
		{"evidence/build_verdict", `{"items": [{"outcome": "met"}]}`, "missing", "/items/0/name"},
		{"evidence/build_verdict", `{"items": [{"name": "p", "outcome": "met", "p_tail": 2}]}`, "range", "/items/0/p_tail"},
		{"evidence/build_verdict", `{"items": [{"name": "p", "outcome": "met", "p": 2, "p_tail": -1}]}`, "unknown_field", "/items/0/p"},
		{"evidence/build_verdict", `{"items": [], "chi2_p": 1.5}`, "range", "/chi2_p"},
		{"evidence/explain_miss", `{"d": [null], "R": [[1]], "J": [[1]]}`, "missing", "/d/0"},
		{"evidence/explain_miss", `{"d": [1], "R": [[0]], "J": [[1]]}`, "range", "/R"},
		{"evidence/explain_miss", `{"d": [1, 2], "R": [[1, 2], [2, 1]], "J": [[1]]}`, "range", "/R"},
		{"evidence/explain_miss", `{"d": [1, 2], "R": [[1, 0.5], [0, 1]], "J": [[1], [1]]}`, "range", "/R"},
		{"evidence/explain_miss", `{"d": [1, 2], "R": [[1]], "J": [[1]]}`, "inconsistent", "/R"},
		{"evidence/explain_miss", `{"d": [1, 2], "R": [[1, 0], [0, 1]], "J": [[1]]}`, "inconsistent", "/J"},
		{"evidence/explain_miss", `{"d": [1], "R": [[1]], "J": [[1, 2]], "names": ["a"]}`, "inconsistent", "/names"},
	})
}

func TestFaultsOfGroups(t *testing.T) {
	calctest.Faults(t, evidence.Calculations(), [][4]string{
		{"evidence/wilson", `{"k": 3, "n": 2}`, "range", "/k"},
		{"evidence/wilson", `{"k": 1.5, "n": 2}`, "range", "/k"},
		{"evidence/wilson", `{"k": 1, "n": -2}`, "range", "/n"},
		{"evidence/wilson", `{"k": 1}`, "missing", "/n"},
		{"evidence/clopper_pearson", `{"k": 1, "n": 2, "level": 1}`, "range", "/level"},
		{"evidence/crps_normal", `{"mean": 1, "sd": -1, "y": 2}`, "range", "/sd"},
		{"evidence/crps_normal", `{"mean": 1, "sd": 1}`, "missing", "/y"},
		{"evidence/crps_ensemble", `{"y": 1}`, "missing", "/sample_values"},
		{"evidence/crps_ensemble", `{"sample_values": [1, true], "y": 1}`, "not_a_number", "/sample_values/1"},
		{"evidence/calibration", `{"records": []}`, "missing", "/records"},
		{"evidence/calibration", `{"records": [{"build": "a", "pit": 1.5}]}`, "range", "/records/0/pit"},
		{"evidence/calibration", `{"records": [{"pit": 0.5}]}`, "missing", "/records/0/build"},
		{"evidence/random_effects", `{"e": [1], "u": [1, 2]}`, "range", "/e"},
		{"evidence/random_effects", `{"e": [1, null], "u": [1, 2]}`, "missing", "/e/1"},
		{"evidence/random_effects", `{"e": [1, 2], "u": [1, 0]}`, "range", "/u/1"},
		{"evidence/random_effects", `{"e": [1, 2], "u": [1]}`, "inconsistent", "/u"},
		{"evidence/random_effects", `{"e": [1, 2], "u": [1e-200, 1e-200]}`, "range", ""},
	})
}

// What is missing is answered, section 8.2 of the specification of evidence.
func TestWhatIsMissingIsAnswered(t *testing.T) {
	nothing := `"p_conform":null,"p_low":null,"p_high":null,"u_needed":null,"E_n":null,"zeta":null}`
	for _, c := range [][3]string{
		{"verdict", `{}`, `{"outcome":"undecided","reason":"incomplete_record",` + nothing},
		{"verdict", `{"y": "inf", "u": 1, "lower": 0}`, `{"outcome":"undecided","reason":"incomplete_record",` + nothing},
		{"verdict", `{"y": 1, "u": 0, "lower": 0, "pred": 1, "u_pred": 1}`, `{"outcome":"undecided","reason":"incomplete_record",` + nothing},
		{"verdict", `{"y": 1, "u": 1, "pred": 1, "u_pred": 1}`, `{"outcome":"undecided","reason":"no_promise",` + nothing},
		{"verdict", `{"y": 1, "u": 1, "lower": 3, "upper": 2}`, `{"outcome":"undecided","reason":"no_promise",` + nothing},
		{"instrument_needed", `{"u_needed": 1, "u_other": 1, "s": 2, "u_b": 1}`, `{"u_instrument":null,"rectangular_limit":null,"repeats":null}`},
		{"instrument_needed", `{"u_needed": 5, "u_other": 3, "s": 2.1, "u_b": 4}`, `{"u_instrument":4,"rectangular_limit":6.928203230275509,"repeats":1}`},
		{"joint", `{"d": [1, null], "S": [[1, 0], [0, -1]]}`, `{"chi2":null,"rank":null,"p":null,"consistent":null,"status":"incomplete_record"}`},
		{"joint", `{"d": [1, 2], "S": [[1, 0], [0, 0]]}`, `{"chi2":null,"rank":null,"p":null,"consistent":null,"status":"bad_covariance"}`},
		{"build_verdict", `{"items": []}`, `{"outcome":"undecided","reason":"nothing_measured","which":[]}`},
		{"build_verdict", `{"items": [{"name": "a", "outcome": "missed_low", "required": false}]}`, `{"outcome":"undecided","reason":"nothing_measured","which":[]}`},
		{"build_verdict", `{"items": [{"name": "a", "outcome": "missed_low", "p_tail": "NaN"}]}`, `{"outcome":"undecided","reason":"some_undecided","which":["a"]}`},
		{"wilson", `{"k": 0, "n": 0}`, `{"lower":0,"upper":1}`},
		{"clopper_pearson", `{"k": 0, "n": 0}`, `{"lower":0,"upper":1}`},
		{"crps_ensemble", `{"sample_values": [null, "NaN"], "y": 1}`, `{"crps":null}`},
		{"calibration", `{"records": [{"build": "a", "pit": 0.5}, {"build": "a", "pit": 0.5}, {"build": "b"}]}`,
			`{"n":1,"duplicates":1,"coverage":null,"z_mean":null,"z_mean_ci":null,"z_sd":null,"z_sd_ci":null,"ks":null,"ks_p":null,"status":"too_few_builds"}`},
	} {
		require.Equal(t, c[2], answered(t, c[0], c[1]), "%s %s", c[0], c[1])
	}
}

// The verdict on a run, section 4.6 of the specification of evidence.
func TestVerdictOfARun(t *testing.T) {
	item := func(name, outcome, tail string) string {
		return `{"name": "` + name + `", "outcome": "` + outcome + `", "p_tail": ` + tail + `}`
	}
	p, q := item("p", "met", "0.99"), item("q", "met", "0.97")
	for _, c := range []struct{ items, more, want string }{
		{p + "," + q, `, "chi2_p": 0.05`, `{"outcome":"met","reason":null,"which":[]}`},
		{p + "," + q, ``, `{"outcome":"met","reason":null,"which":[]}`},
		{p + "," + q, `, "chi2_p": 0.049`, `{"outcome":"undecided","reason":"pattern_disagrees","which":[]}`},
		{p + "," + item("q", "undecided", "0.4"), `, "chi2_p": 0.001`, `{"outcome":"undecided","reason":"some_undecided","which":["q"]}`},
		{p + "," + item("q", "missed_low", "0.012"), ``, `{"outcome":"missed","reason":null,"which":["q"]}`},                                         // twice 0.012 is within 0.025
		{p + "," + item("q", "missed_high", "0.013"), ``, `{"outcome":"undecided","reason":"some_undecided","which":["q"]}`},                         // twice 0.013 is not
		{p + "," + item("q", "missed_high", "0.013"), `, "alpha": 0.06`, `{"outcome":"missed","reason":null,"which":["q"]}`},                         // 0.026 within 0.03
		{item("a", "missed_low", "0.001") + "," + q + "," + item("z", "missed_low", "0.02"), ``, `{"outcome":"missed","reason":null,"which":["a"]}`}, // twice 0.02
	} {
		require.Equal(t, c.want, answered(t, "build_verdict", `{"items": [`+c.items+`]`+c.more+`}`), c.items)
	}
}

func TestWarningsOfVerdicts(t *testing.T) {
	warnings := func(name, input string) []string {
		return calctest.WarningsOf(calctest.Ask(t, evidence.Calculations(), "evidence/"+name, input))
	}
	require.Equal(t, []string{"W_PROMISED_LITTLE "}, warnings("verdict", `{"y": 1, "u": 0.1, "lower": 0.7, "upper": 1.3, "pred": 1}`))
	require.Empty(t, warnings("verdict", `{"y": 1, "u": 0.1, "lower": 0.75, "upper": 1.25, "pred": 1}`), "half of it is not more than half")
	require.Empty(t, warnings("verdict", `{"y": 1, "u": 0.1, "lower": 0.7, "pred": 1}`), "one limit")
	require.Empty(t, warnings("verdict", `{"y": 1, "u": 0.4, "lower": 0.7, "upper": 1.3, "pred": 1}`), "not met")
	require.Equal(t, []string{"W_FEW_BUILDS /records"}, warnings("calibration", `{"records": [{"build": "a", "pit": 0.5}]}`))
	var records []map[string]any
	for _, build := range []string{"a", "b", "c", "d", "e", "f", "g", "h", "i", "j"} {
		records = append(records, map[string]any{"build": build, "pit": 0.5})
	}
	text, err := json.Marshal(map[string]any{"records": records})
	require.NoError(t, err)
	require.Empty(t, warnings("calibration", string(text)))
}
