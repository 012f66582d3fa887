package evidence_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/calctest"
	"leat/calc/evidence"
)

func judgedNumber(t testing.TB, name, input, output string) float64 {
	return calctest.Number(t, evidence.Calculations(), "evidence/"+name, input, output)
}

// judgedResult is the result of a calculation that must answer, as JSON reads it.
func judgedResult(t testing.TB, name, input string) map[string]any {
	t.Helper()
	answer := calctest.Ask(t, evidence.Calculations(), "evidence/"+name, input)
	require.True(t, answer.OK, "%s %s: %v", name, input, answer.Fault)
	text, err := json.Marshal(answer.Result)
	require.NoError(t, err)
	var result map[string]any
	require.NoError(t, json.Unmarshal(text, &result))
	return result
}

func TestIntervalsOfSharesThatArePublished(t *testing.T) {
	calctest.Rows(t, "120-128", calctest.Near(func(t *testing.T, row calctest.Value) []float64 {
		k, n, of := strings.Cut(row["inputs"], " of ")
		require.True(t, of)
		level := row.Figures(t, "quantity")[0] / 100 // "Wilson 95 %"
		name := map[bool]string{true: "wilson", false: "clopper_pearson"}[strings.HasPrefix(row["quantity"], "Wilson")]
		input := fmt.Sprintf(`{"k": %s, "n": %s, "level": %v}`, k, n, level)
		return []float64{judgedNumber(t, name, input, "lower"), judgedNumber(t, name, input, "upper")}
	}))
}

// vaccineTrials are the log risk ratios and their standard errors of the 13
// trials whose counts line 129 gives.
func vaccineTrials(t *testing.T) string {
	var e, u []float64
	calctest.Rows(t, "129", func(t *testing.T, row calctest.Value) {
		counts := map[string][]float64{}
		for _, group := range strings.Split(row["inputs"], ";") {
			name, numbers, _ := strings.Cut(strings.TrimSpace(group), " ")
			counts[name] = calctest.Value{"inputs": numbers}.Figures(t, "inputs")
		}
		for i, a := range counts["tpos"] {
			b, c, d := counts["tneg"][i], counts["cpos"][i], counts["cneg"][i]
			e = append(e, math.Log(a/(a+b)/(c/(c+d))))
			u = append(u, math.Sqrt(1/a-1/(a+b)+1/c-1/(c+d)))
		}
	})
	require.Len(t, e, 13)
	text, err := json.Marshal(map[string]any{"e": e, "u": u})
	require.NoError(t, err)
	return string(text)
}

func TestScatterOfTheVaccineTrials(t *testing.T) {
	trials := vaccineTrials(t)
	of := func(output string) float64 { return judgedNumber(t, "random_effects", trials, output) }
	calctest.Rows(t, "129", calctest.Near(func(*testing.T, calctest.Value) []float64 { return []float64{of("fixed"), of("Q")} }))
	calctest.Rows(t, "130", calctest.Near(func(*testing.T, calctest.Value) []float64 {
		half := 1.959964 * of("se_dl")
		return []float64{of("mean_dl"), of("mean_dl") - half, of("mean_dl") + half}
	}))
	calctest.Rows(t, "131", calctest.Near(func(*testing.T, calctest.Value) []float64 { return []float64{of("tau2_dl"), of("tau2")} }))
}

func TestVerdictsThatArePublished(t *testing.T) {
	calctest.Rows(t, "137", calctest.Near(func(t *testing.T, row calctest.Value) []float64 {
		v := row.Figures(t, "inputs") // y, u, limit
		return []float64{judgedNumber(t, "verdict", fmt.Sprintf(`{"y": %v, "u": %v, "lower": %v}`, v[0], v[1], v[2]), "p_conform")}
	}))
	calctest.Rows(t, "138", calctest.Near(func(t *testing.T, row calctest.Value) []float64 {
		v := row.Figures(t, "inputs") // x, X, U of both, k; the limits are those of U
		x, ref, expanded, expandedRef, k := v[0], v[1], v[2], v[3], v[4]
		return []float64{evidence.EnNumber(x, expanded, ref, expandedRef), evidence.ZetaScore(x, expanded/k, ref, expandedRef/k)}
	}))
	calctest.Rows(t, "143", calctest.Near(func(t *testing.T, row calctest.Value) []float64 {
		v := row.Figures(t, "inputs")
		result := judgedResult(t, "verdict", fmt.Sprintf(`{"y": %v, "u": %v, "lower": %v, "upper": %v}`, v[0], v[1], v[2], v[3]))
		require.Equal(t, "undecided", result["outcome"])
		require.Equal(t, "borderline", result["reason"])
		return []float64{result["u_needed"].(float64)}
	}))
}

func TestScoresAndTestsThatArePublished(t *testing.T) {
	calctest.Rows(t, "139", calctest.Near(func(t *testing.T, _ calctest.Value) []float64 {
		return []float64{judgedNumber(t, "crps_normal", `{"mean": 0, "sd": 1, "y": 0}`, "crps")}
	}))
	calctest.Rows(t, "140", calctest.Near(func(t *testing.T, row calctest.Value) []float64 {
		return evidence.HolmAdjusted(row.Figures(t, "inputs"))
	}))
	calctest.Rows(t, "141", calctest.Near(func(t *testing.T, row calctest.Value) []float64 {
		v := row.Figures(t, "inputs") // n, α
		low, high := 0.05, 1.0
		for high-low > 1e-9 {
			if d := (low + high) / 2; evidence.KolmogorovP(int(v[0]), d) > v[1] {
				low = d
			} else {
				high = d
			}
		}
		return []float64{low}
	}))
}

// Chance of a verdict before a run: section 6 of the specification of evidence,
// for a measurement with this part of the prediction's uncertainty.
func TestChanceOfADecision(t *testing.T) {
	for u, decided := range map[float64]float64{0.1: 0.96, 0.3: 0.85, 0.6: 0.60, 1.0: 0.01} {
		input := fmt.Sprintf(`{"pred": 0, "u_pred": 1, "u": %v, "lower": -1.96, "upper": 1.96}`, u)
		require.InDelta(t, decided, judgedNumber(t, "p_decide", input, "decided"), 0.005, "u %v", u)
	}
}

// How often a calibrated prediction is called missed: section 4.3 of the
// specification of evidence.
func TestChanceOfAMissCalledOfACalibratedPrediction(t *testing.T) {
	for u, missed := range map[float64]float64{0.1: 0.032, 0.3: 0.015, 0.6: 0.007} {
		input := fmt.Sprintf(`{"pred": 0, "u_pred": 1, "u": %v, "lower": -1.96, "upper": 1.96}`, u)
		require.InDelta(t, missed, judgedNumber(t, "p_decide", input, "missed"), 0.0006, "u %v", u)
	}
}

// With eight builds and all inside, 95 % coverage is known only to be 68 % or
// more: section 5.2 of the specification of evidence.
func TestEightBuildsInside(t *testing.T) {
	require.InDelta(t, 0.68, judgedNumber(t, "wilson", `{"k": 8, "n": 8}`, "lower"), 0.005)
}
