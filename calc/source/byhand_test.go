package source_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/calctest"
	"leat/calc/source"
)

// Worked out on paper from the equations of the specification of systems,
// sections 1.1 to 1.10.
func TestByHand(t *testing.T) {
	const tap = `{"p_static_gauge": 300000, "p_test_gauge": 225000, "Q_test": 0.0005, "Q": 0.0008}`
	for _, c := range []struct {
		name, in, out string
		want          float64
	}{
		{"rain_runoff", `{"A_eff": 50, "length": 10, "plan_width": 9, "i_mm_h": 72, "i_Ls_m2": 9, "C": 0.5}`, "Q_Ls", 0.5}, // 0.5·0.02·50: the first named counts
		{"rain_runoff", `{"length": 10, "plan_width": 9, "roof_height": 2, "i_Ls_m2": 0.02}`, "Q_m3s", 0.002},              // 10·(9 + 1)·0.02 L/s
		{"roof_energy", `{"A_plan": 50, "drop": 4, "rain_mm_year": 700, "C": 0.8, "filter_eff": 0.9, "events_year": 100, "first_flush_mm": 0.5}`, "V_year_m3", 23.4},
		{"roof_energy", `{"A_plan": 50, "drop": 4, "rain_mm_year": 700, "events_year": 1500, "first_flush_mm": 0.5}`, "E_year_J", 0}, // all let go
		{"gutter", `{"A_mm2": 10000, "shape": "rectangular", "F_d": 0.9, "F_s": 0.8, "length_to_depth": 75, "corner": true}`, "Q_design_Ls", 2.5056 * 0.9 * 0.965 * 0.85},
		{"gutter_bound", `{"width": 0.2, "depth": 0.1}`, "Q_Ls", 1000 * 0.2 * math.Sqrt(9.80665) * math.Pow(0.1/math.Sqrt(3), 1.5)},
		{"tank_drain", `{"tank_area": 2, "orifice_area": 0.001, "h1": 1, "h2": 0.25}`, "t_s", 2 * 2 * 0.5 / (0.61 * 0.001 * math.Sqrt(2*9.80665))},
		{"orifice_water", `{"area": 0.001, "h": 2, "Cd": 0.6}`, "Q_Ls", 0.6 * math.Sqrt(4*9.80665)},
		{"residual", `{"Q": 0.03, "Q_residual": 0.01}`, "Q_usable", 0.02},
		{"residual", `{"Q": 0.03, "Q_residual": 0.01, "max_fraction": 0.5}`, "Q_usable", 0.015},
		{"mains", tap, "R_Pa_s2_m6", 3e11},
		{"mains", tap, "Q_open", 0.001},
		{"mains", tap, "Q_maxpower", 0.001 / math.Sqrt(3)},
		{"mains", tap, "P_max_W", 200 / math.Sqrt(3)},
		{"mains", tap, "p_gauge_at_Q", 108_000},
	} {
		require.InDelta(t, c.want, number(t, c.name, c.in, c.out), 1e-12*math.Abs(c.want), "%s %s", c.name, c.out)
	}
}

// What rests on an input that is not given is not there, rather than nothing.
func TestAbsentOutputs(t *testing.T) {
	for name, in := range map[string]string{
		"mains":       `{"p_static_gauge": 300000, "p_test_gauge": 225000, "Q_test": 0.0005}`,
		"roof_energy": `{"A_plan": 50, "drop": 4, "rain_mm_year": 700, "storm_h": 2}`,
	} {
		answer := calctest.Ask(t, source.Calculations(), "system/"+name, in)
		switch out := answer.Result.(type) {
		case source.MainsOut:
			require.Nil(t, out.PAtQ)
		case source.RoofOut:
			require.Nil(t, out.VStormM3)
			require.Nil(t, out.PStormW)
			require.Nil(t, out.EYearUsefulWh)
		default:
			t.Fatalf("%s gives %T", name, out)
		}
	}
}
