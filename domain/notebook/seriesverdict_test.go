package notebook_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/calctest"
	"leat/calc/confront"
	"leat/calc/evidence"
	"leat/domain"
)

// asked asks a calculation that has a name, as on the command line.
func asked(t *testing.T, name string, input map[string]any) map[string]any {
	t.Helper()
	text, err := json.Marshal(input)
	require.NoError(t, err)
	answer := calctest.Ask(t, evidence.Calculations(), "evidence/"+name, string(text))
	require.True(t, answer.OK, "%s: %v", name, answer.Fault)
	text, err = json.Marshal(answer.Result)
	require.NoError(t, err)
	var out map[string]any
	require.NoError(t, json.Unmarshal(text, &out))
	return out
}

// wanted is what the calculations that have a name make of the raw numbers of a
// file, one after the other, as somebody would who has the file and no notebook.
func wanted(t *testing.T, text string, promise map[string]any) (budget, verdict map[string]any) {
	t.Helper()
	var values []float64
	for _, row := range strings.Split(strings.TrimSpace(text), "\n")[1:] {
		kPa, err := strconv.ParseFloat(row[strings.Index(row, ",")+1:], 64)
		require.NoError(t, err)
		values = append(values, kPa*1000)
	}
	steady := asked(t, "steady", map[string]any{"values": values, "dt": 1, "tol_rel": 0.01})
	require.Equal(t, "steady", steady["status"])
	cut := int(steady["cut"].(float64)) //nolint:forcetypeassert // a panic fails the test too
	require.Positive(t, cut)
	mean := asked(t, "series_mean", map[string]any{"values": values[cut:]})
	budget = asked(t, "budget", map[string]any{"value": mean["mean"], "components": []any{
		map[string]any{"kind": "standard", "u": mean["u"], "nu": mean["nu"]},
		map[string]any{"kind": "standard", "u": steady["u_drift"]},
		map[string]any{"kind": "class", "class_percent": 1, "span": 1.6e5},
		map[string]any{"kind": "resolution", "delta": 10},
	}})
	input := map[string]any{"y": mean["mean"], "u": budget["u"], "nu": budget["nu_used"]}
	for name, v := range promise {
		input[name] = v
	}
	budget["mean"] = mean["mean"]
	return budget, asked(t, "verdict", input)
}

// What a run says of a window is what the calculations that have a name say of
// the same numbers: steady, series_mean, budget and verdict.
func TestVerdictOfAWindowIsThatOfTheNamedCalculations(t *testing.T) {
	t.Parallel()
	l := inRun(t)
	l.certified(t)
	text := steadyFile(600, " [kPa g]")
	for i, c := range []struct {
		low, high float64
		outcome   string
	}{{36_000, 44_000, "met"}, {43_000, 47_000, "missed_low"}, {39_000, 45_000, "undecided"}} {
		r, _, err := l.OpenRun(ctx, l.tomasz, domain.OpenRun{
			Project: l.project.ID, Build: l.machine.ID, Title: "Noon", Required: []string{confront.DeliveryPressure},
			Limits: map[string]domain.RunLimits{confront.DeliveryPressure: {Low: &c.low, High: &c.high}}, Key: fmt.Sprintf("noon-000000%d", i),
		})
		require.NoError(t, err)
		l.run = r.Ref()
		_, _, err = l.AddRunPoint(ctx, l.tomasz, domain.AddRunPoint{Run: l.run, Name: "as it runs", Setting: "as_drawn", Key: fmt.Sprintf("point-10000%d", i)})
		require.NoError(t, err)
		f, err := l.done(l.bring(t, text, fmt.Sprintf("file-000000%d", i)), domain.SeriesAsked{})
		require.NoError(t, err)
		_, _, err = l.TakeWindow(ctx, l.petra, l.window(f, fmt.Sprintf("window-0000%d", i)))
		require.NoError(t, err)
		_, err = l.SubmitRun(ctx, l.petra, l.run)
		require.NoError(t, err)
		_, err = l.JudgeDue(ctx)
		require.NoError(t, err)
		r, err = l.Run(ctx, l.petra, l.run)
		require.NoError(t, err)
		var verdict confront.Verdict
		require.NoError(t, json.Unmarshal(r.Verdict.Body, &verdict))
		require.Len(t, verdict.Items, 1)
		item := verdict.Items[0]

		promise := map[string]any{"lower": c.low, "upper": c.high, "pred": item.Predicted, "u_pred": item.UPred}
		budget, want := wanted(t, text, promise)
		require.InEpsilon(t, budget["mean"], *item.Y, 1e-12)
		require.InEpsilon(t, budget["u"], *item.U, 1e-12)
		nu, err := json.Marshal(item.Nu)
		require.NoError(t, err)
		used, err := json.Marshal(budget["nu_used"])
		require.NoError(t, err)
		require.Equal(t, string(used), string(nu))
		require.EqualValues(t, c.outcome, item.Outcome)
		require.EqualValues(t, want["outcome"], item.Outcome)
		for name, got := range map[string]*float64{"p_conform": item.PConform, "p_low": item.PLow, "p_high": item.PHigh, "u_needed": item.UNeeded, "E_n": item.EN, "zeta": item.Zeta} {
			if want[name] == nil {
				require.Nil(t, got, name)
				continue
			}
			require.NotNil(t, got, name)
			require.LessOrEqual(t, math.Abs(want[name].(float64)-*got), 1e-9, name) //nolint:forcetypeassert // a panic fails the test too
		}
	}
}
