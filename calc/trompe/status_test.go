package trompe_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/trompe"
)

// Each row turns a worked case into a machine with the status that the
// conditions of the specification give it; the levels of evidence too.
func TestStatuses(t *testing.T) {
	for name, c := range map[string]struct {
		which    int
		set      map[string]any
		status   trompe.Status
		evidence calc.Evidence
		warns    string
	}{
		"outlet above the water":    {0, map[string]any{"/riser/outlet_m": 1.6}, trompe.NoHead, calc.OftenMeasured, ""},
		"hose too weak to lift":     {0, map[string]any{"/supply/static_pa": 10000}, trompe.NoHead, calc.OftenMeasured, ""},
		"downcomer too flat":        {0, map[string]any{"/downcomer/length_m": 3}, trompe.OutOfRange, calc.ModelOnly, ""},
		"inclined downcomer":        {0, map[string]any{"/downcomer/length_m": 1.6}, trompe.OK, calc.CombinedParts, "W_INCLINED"},
		"no air tubes":              {3, map[string]any{"/intake/n_tubes": 0}, trompe.NoInduction, calc.OftenMeasured, "E_NO_INDUCTION"},
		"water too slow":            {0, map[string]any{"/downcomer/bore_m": 0.06, "/intake/n_tubes": 45}, trompe.NotCarried, calc.CombinedParts, ""},
		"a trickle":                 {1, map[string]any{"/supply/flow_max_m3s": 1e-5}, trompe.Starved, calc.BuiltMeasured, ""},
		"surplus":                   {3, nil, trompe.Surplus, calc.CombinedParts, "W_SURPLUS"},
		"surplus with a short seal": {3, map[string]any{"/riser/outlet_m": 0.4}, trompe.Surplus, calc.ModelOnly, "W_SHORT_SEAL"},
		"nothing to seal":           {3, map[string]any{"/riser/outlet_m": 0.06}, trompe.OutOfRange, calc.ModelOnly, ""},
		// the air makes the riser lighter, and the pipe has fall to spare
		"valve shut":        {0, map[string]any{"/takeoff/mode": "closed"}, trompe.Surplus, calc.ModelOnly, "W_BLOW_OFF"},
		"receiver too high": {0, map[string]any{"/takeoff/mode": "receiver", "/takeoff/receiver_gauge_pa": 20000}, trompe.OK, calc.CombinedParts, "W_BLOW_OFF"},
		"receiver too low":  {0, map[string]any{"/takeoff/mode": "open"}, trompe.OK, calc.CombinedParts, "W_FLOODED"},
		"wants too much":    {0, map[string]any{"/wanted/gauge_pa": 1e5, "/wanted/free_air_m3s": 1}, trompe.OK, calc.CombinedParts, "W_PRESSURE_SHORT W_FLOW_SHORT"},
	} {
		t.Run(name, func(t *testing.T) {
			res := solveChanged(t, c.which, c.set)
			require.Equal(t, c.status, res.Status, res.Message)
			require.Equal(t, c.evidence, res.Evidence)
			require.NotEmpty(t, res.Message)
			have := ""
			for _, w := range res.Warnings {
				have += w.Code + " "
				require.NotEmpty(t, w.Message)
			}
			require.Contains(t, have, c.warns)
			numbers := c.status == trompe.OK || c.status == trompe.Surplus || c.status == trompe.NoInduction
			require.Equal(t, numbers, res.Numbers != nil)
		})
	}
}

// A receiver between flooding and blow-off sets the level, not the flows: the
// window is a step.
func TestReceiverBetweenTheLimitsSetsTheLevel(t *testing.T) {
	open := solveChanged(t, 0, nil)
	res := solveChanged(t, 0, map[string]any{"/takeoff/mode": "receiver", "/takeoff/receiver_gauge_pa": 9200})
	require.Equal(t, "delivering", res.DeliveryState)
	require.InDelta(t, 9200, res.ChamberGaugePa, 1e-6, "a line without loss")
	require.Greater(t, res.ChamberLevelM, 0.06)
	require.Less(t, res.ChamberLevelM, 0.09)
	require.InEpsilon(t, open.FreeAirM3S, res.FreeAirM3S, 1e-9)
	require.InEpsilon(t, open.WaterFlowM3S, res.WaterFlowM3S, 1e-9)
}

// Between full bore and surplus nothing jumps: the two regimes meet.
func TestRegimesMeet(t *testing.T) {
	before := solveChanged(t, 3, map[string]any{"/riser/outlet_m": 2.2})
	seen := map[trompe.Status]bool{}
	for outlet := 2.2; outlet > 2.0; outlet -= 0.002 {
		res := solveChanged(t, 3, map[string]any{"/riser/outlet_m": outlet})
		seen[res.Status] = true
		require.InEpsilon(t, before.FreeAirM3S, res.FreeAirM3S, 0.02, "outlet %v", outlet)
		require.InDelta(t, before.SurplusFallM, res.SurplusFallM, 0.02)
		before = res
	}
	require.Equal(t, map[trompe.Status]bool{trompe.OK: true, trompe.Surplus: true}, seen)
}
