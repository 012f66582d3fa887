package interval_test

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/interval"
	"leat/calc/trompe"
)

// with adds members to the input of a worked case.
func with(t *testing.T, raw json.RawMessage, members string) json.RawMessage {
	t.Helper()
	text := strings.TrimSpace(string(raw))
	return json.RawMessage(text[:len(text)-1] + "," + members + "}")
}

// known names every coefficient, so that none varies.
const known = `"params": {"k_in": 0.2, "k_rec": 0.85, "k_c0": 1, "k_v": 1, "k_f": 1.1, "k_b": 0.62, "k_abs": 0.5, "k_air": 1.5, "k_dif": 0.5, "sig_g": 1.6, "alpha_sat": 0.32}`

// A rectangular tolerance ±a has the standard uncertainty a/√3 (JCGM 100:2008,
// 4.3.7). The head changes with the level of the outlet one to one, and nothing
// else does.
func TestToleranceOfALevelGoesIntoTheHead(t *testing.T) {
	raw := with(t, interval.WorkedInput(t, "01"), known+`, "tolerances": {"/riser/outlet_m": 0.02}`)
	u := predict(t, raw, interval.Asked{}).Uncertainty
	require.InEpsilon(t, 0.02/math.Sqrt(3), u.Outputs["head_m"].U, 0.01)
	require.InDelta(t, 0.55-0.95*0.02, *u.Outputs["head_m"].Low, 0.001)
	require.InDelta(t, 0.55+0.95*0.02, *u.Outputs["head_m"].High, 0.001)
	require.Zero(t, u.Outputs["fill_factor"].U)
	for _, share := range u.Ranking {
		require.Equal(t, "/riser/outlet_m", share.Input)
		require.InDelta(t, 1, share.Share, 0.1)
	}
	require.NotEmpty(t, u.Ranking)
}

func TestNothingVariesWhereAllIsKnown(t *testing.T) {
	res := predict(t, with(t, interval.WorkedInput(t, "01"), known), interval.Asked{Draws: interval.Least})
	require.Zero(t, res.Uncertainty.Failed)
	require.Empty(t, res.Uncertainty.Ranking)
	for _, v := range res.Values() {
		if got, ok := res.Uncertainty.Outputs[v.Name]; ok {
			slack := 1e-4*math.Abs(v.X) + 1e-9 // draws are solved less finely than the answer
			require.InDelta(t, v.X, got.Mean, slack, v.Name)
			require.InDelta(t, 0, got.U, 1e-9*math.Abs(v.X), v.Name)
		}
	}
}

// The lip lies at 0.06 m, give or take; where it comes to lie above the highest
// water level, 0.09 m, the measures are those of no machine.
func TestFailedDrawsAreCountedAndSaid(t *testing.T) {
	for _, c := range []struct {
		half   float64
		share  float64 // of the draws with the lip above the highest level
		status string
		warned bool
	}{
		{0.03, 0, "ok", false},
		{0.031, 0.001 / 0.062, "ok", true},
		{0.04, 0.01 / 0.08, "ok", true},
		{0.055, 0.025 / 0.11, "too_many_failed", true},
	} {
		text, err := json.Marshal(map[string]float64{"/chamber/lip_m": c.half})
		require.NoError(t, err)
		res := predict(t, with(t, interval.WorkedInput(t, "01"), known+`, "tolerances": `+string(text)), interval.Asked{})
		u := res.Uncertainty
		require.InDelta(t, c.share*512, float64(u.Failed), 2, "%v", c.half)
		require.Equal(t, c.status, u.Status, "%v: %d failed", c.half, u.Failed)
		warned := slices.ContainsFunc(res.Warnings, func(w calc.Warning) bool { return w.Code == "W_FAILED_TRIALS" })
		require.Equal(t, c.warned, warned, "%v", c.half)
		require.Equal(t, c.status == "ok", u.Outputs["head_m"].Low != nil)
	}
}

func TestMachineWithoutOperatingPointHasNoInterval(t *testing.T) {
	raw := []byte(strings.Replace(string(interval.WorkedInput(t, "01")), `"level_max_m": 1.55`, `"level_max_m": 0.9`, 1))
	in, faults := trompe.Decode(raw)
	require.Empty(t, faults)
	res, err := interval.Predict(raw, in, interval.Asked{})
	require.NoError(t, err)
	require.Nil(t, res.Numbers)
	require.Nil(t, res.Uncertainty)
}

// A set of coefficients of one's own changes the answer and is named in it.
func TestAnotherSet(t *testing.T) {
	_, text := trompe.SetZero()
	own := strings.Replace(strings.Replace(string(text), `"set": "0"`, `"set": "7"`, 1), `"name": "k_v", "best": 1.0, "u": 0.15`, `"name": "k_v", "best": 1.2, "u": 0.01`, 1)
	set, err := trompe.ParseSet([]byte(own))
	require.NoError(t, err)
	raw := interval.WorkedInput(t, "01")
	zero, seven := predict(t, raw, interval.Asked{Draws: 100}), predict(t, raw, interval.Asked{Draws: 100, Set: set})
	require.Equal(t, "7", seven.Uncertainty.Set)
	require.NotEqual(t, zero.Uncertainty.Seed, seven.Uncertainty.Seed)
	named := predict(t, with(t, raw, `"params": {"k_v": 1.2}`), interval.Asked{Draws: 100})
	require.Equal(t, named.FreeAirM3S, seven.FreeAirM3S, "the best value is the set's")
	require.Less(t, seven.Uncertainty.Outputs["free_air_delivered_m3s"].U, zero.Uncertainty.Outputs["free_air_delivered_m3s"].U)
}

func TestParseSetRefuses(t *testing.T) {
	_, text := trompe.SetZero()
	for part, in := range map[string]string{
		`"k_rec"`:                          `"k_reck"`,
		`"set": "0"`:                       `"set": ""`,
		`"calc": "trompe"`:                 `"calc": "ram"`,
		`"name": "k_v", "best": 1.0,`:      `"name": "k_v",`,
		`"best": 0.85, "u": 0.1`:           `"best": 1.85, "u": 0.1`,
		`"best": 0.85, "u": 0.1, "low": 0`: `"best": 0.85, "u": -0.1, "low": 0`,
		`"about": "recovery`:               `"abuot": "recovery`,
		`"name": "k_dif"`:                  `"name": "k_rec"`,
	} {
		broken := strings.Replace(string(text), part, in, 1)
		require.NotEqual(t, string(text), broken, part)
		_, err := trompe.ParseSet([]byte(broken))
		require.Error(t, err, part)
	}
}
