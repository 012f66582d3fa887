package source_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/calctest"
	"leat/calc/source"
)

// Codes and places are those that the specification of systems, sections 0, 1
// and 8, states.
func TestFaults(t *testing.T) {
	calctest.Faults(t, source.Calculations(), [][4]string{
		{"system/rain_runoff", `{}`, "missing", "/A_eff"},
		{"system/rain_runoff", `{"roof_height": 2, "i_mm_h": 75}`, "missing", "/A_eff"},
		{"system/rain_runoff", `{"length": 4, "i_mm_h": 75}`, "missing", "/plan_width"},
		{"system/rain_runoff", `{"A_eff": null, "plan_width": 4, "i_mm_h": 75}`, "missing", "/length"},
		{"system/rain_runoff", `{"A_eff": 20, "plan_width": -4, "i_mm_h": 75}`, "range", "/plan_width"},
		{"system/rain_runoff", `{"A_eff": 20}`, "missing", "/i_mm_h"},
		{"system/rain_runoff", `{"A_eff": 20, "i_mm_h": "75"}`, "not_a_number", "/i_mm_h"},
		{"system/rain_runoff", `{"A_eff": 20, "i_mm_h": 75, "i_Ls_m2": -1}`, "range", "/i_Ls_m2"},
		{"system/rain_runoff", `{"A_eff": 20, "i_mm_h": 75, "C": 1.01}`, "range", "/C"},
		{"system/rain_runoff", `{"A_eff": 0, "i_mm_h": 75, "b": 1, "a": 1}`, "unknown_field", "/a"},
		{"system/roof_energy", `{"A_plan": 100, "drop": 5, "rain_mm_year": -1}`, "range", "/rain_mm_year"},
		{"system/roof_energy", `{"A_plan": 100, "drop": 0, "rain_mm_year": -1}`, "range", "/drop"},
		{"system/roof_energy", `{"A_plan": 100, "drop": 5, "rain_mm_year": 800, "storm_mm": 20, "storm_h": 0}`, "range", "/storm_h"},
		{"system/roof_energy", `{"A_plan": true, "drop": 5, "rain_mm_year": 800}`, "not_a_number", "/A_plan"},
		{"system/roof_energy", `{"A_plan": 1e308, "drop": 1e308, "rain_mm_year": 800}`, "range", ""},
		{"system/gutter", `{"shape": "round"}`, "missing", "/A_mm2"},
		{"system/gutter", `{"A_mm2": 5000, "shape": "round"}`, "unknown_value", "/shape"},
		{"system/gutter", `{"A_mm2": 5000, "F_d": 0}`, "range", "/F_d"},
		{"system/gutter", `{"A_mm2": 5000, "corner": 1}`, "unknown_value", "/corner"},
		{"system/gutter_bound", `{}`, "missing", "/width"},
		{"system/gutter_bound", `{"width": 0.1}`, "missing", "/depth"},
		{"system/gutter_bound", `{"shape": "half_round", "width": 0.1}`, "missing", "/radius"},
		{"system/gutter_bound", `{"shape": 3}`, "unknown_value", "/shape"},
		{"system/downpipe", `{"d_mm": 75, "fill": 0.51}`, "range", "/fill"},
		{"system/downpipe", `{"d_mm": 75, "fill": 0}`, "range", "/fill"},
		{"system/downpipe", `{"d_mm": 75, "kb_mm": 0}`, "range", "/kb_mm"},
		{"system/tank_balance", `{"A_plan": 50, "capacity": 1, "demand": 2, "rain_mm": []}`, "missing", "/rain_mm"},
		{"system/tank_balance", `{"A_plan": 50, "capacity": 1, "demand": 2, "rain_mm": 4}`, "missing", "/rain_mm"},
		{"system/tank_balance", `{"A_plan": 50, "capacity": 1, "demand": 2, "rain_mm": [1, 2, -1]}`, "range", "/rain_mm/2"},
		{"system/tank_balance", `{"A_plan": 50, "capacity": 1, "demand": 2, "rain_mm": [1, "2"]}`, "not_a_number", "/rain_mm/1"},
		{"system/tank_balance", `{"A_plan": 50, "capacity": 1, "demand": 2, "rain_mm": [1], "V_start": 3}`, "range", "/demand"},
		{"system/tank_balance", `{"A_plan": 50, "capacity": 1, "demand": 1, "rain_mm": [1], "V_start": 3}`, "range", "/V_start"},
		{"system/tank_drain", `{"tank_area": 1, "orifice_area": 0.001, "h1": 1, "h2": 1}`, "range", "/h2"},
		{"system/tank_drain", `{"tank_area": 1, "orifice_area": 0.001, "h1": 1, "Cd": 2, "h2": 1}`, "range", "/Cd"},
		{"system/vnotch", `{"h": 0.1}`, "missing", "/angle_deg"},
		{"system/vnotch", `{"angle_deg": 101, "h": 0.1}`, "range", "/angle_deg"},
		{"system/vnotch", `{"angle_deg": 90, "h": 0.1, "u_h": -1}`, "range", "/u_h"},
		{"system/rect_weir", `{"b": 2, "B": 1, "p": 0.2}`, "missing", "/h"},
		{"system/rect_weir", `{"b": 2, "B": 1, "p": 0.2, "h": 0.1}`, "range", "/b"},
		{"system/rect_weir", `{"b": 1, "B": 1, "p": 0.2, "h": 0.1, "u_b": "x"}`, "not_a_number", "/u_b"},
		{"system/bucket", `{"volume": 0.01}`, "missing", "/times"},
		{"system/bucket", `{"volume": 0.01, "times": [5, 0]}`, "range", "/times/1"},
		{"system/bucket", `{"volume": 0.01, "times": [5, null]}`, "missing", "/times/1"},
		{"system/bucket", `{"volume": 0.01, "times": {"a": 5}}`, "missing", "/times"},
		{"system/orifice_water", `{"area": 0.01, "h": 0.1, "Cd": 0}`, "range", "/Cd"},
		{"system/residual", `{"Q": 0}`, "missing", "/Q_residual"},
		{"system/residual", `{"Q": 1, "Q_residual": 0, "max_fraction": 0}`, "range", "/max_fraction"},
		{"system/mains", `{"p_static_gauge": 0, "p_test_gauge": 0, "Q_test": 1}`, "range", "/p_static_gauge"},
		{"system/mains", `{"p_static_gauge": 1e5, "p_test_gauge": 1e5, "Q_test": 0.001, "Q": 1}`, "infeasible", "/p_test_gauge"},
		{"system/mains", `{"p_static_gauge": 3e5, "p_test_gauge": 1e5, "Q_test": 0.001, "Q": 1}`, "infeasible", "/Q"},
		{"system/mains", `{"p_static_gauge": 3e5, "p_test_gauge": 1e5, "Q_test": 0.001, "Q": -1}`, "range", "/Q"},
	})
}

// Conditions and order are those of section 8.1 of the specification.
func TestWarnings(t *testing.T) {
	for _, c := range []struct {
		name, in string
		want     []string
	}{
		{"rain_runoff", `{"A_eff": 9, "i_mm_h": 541}`, []string{"W_INTENSITY /i_mm_h"}},
		{"rain_runoff", `{"A_eff": 9, "i_Ls_m2": 0.16}`, []string{"W_INTENSITY /i_Ls_m2"}},
		{"rain_runoff", `{"A_eff": 9, "i_mm_h": 539, "i_Ls_m2": 9}`, []string{}},
		{"roof_energy", `{"A_plan": 100, "drop": 5, "rain_mm_year": 800}`, []string{"W_SMALL_POWER "}},
		{"roof_energy", `{"A_plan": 10000, "drop": 5, "rain_mm_year": 800}`, []string{}},
		{"gutter", `{"A_mm2": 5000, "shape": "rectangular", "length_to_depth": 201}`, []string{"W_FACTOR /F_d", "W_FACTOR /F_s", "W_LENGTH /length_to_depth"}},
		{"gutter", `{"A_mm2": 5000, "shape": "rectangular", "F_d": 1}`, []string{"W_FACTOR /F_s"}},
		{"gutter", `{"A_mm2": 5000}`, []string{}},
		{"downpipe", `{"d_mm": 75, "fill": 0.34}`, []string{"W_FILLING /fill"}},
		{"downpipe", `{"d_mm": 75, "fill": 0.2}`, []string{}},
		{"rect_weir", `{"b": 0.14, "B": 1, "p": 0.09, "h": 0.029}`, []string{"W_HEAD /h", "W_CREST /p", "W_WIDTH /b"}},
		{"rect_weir", `{"b": 0.5, "B": 1, "p": 0.1, "h": 0.21}`, []string{"W_CREST /p"}},
		{"bucket", `{"volume": 0.01, "times": [4, 5]}`, []string{"W_SHORT_TIME /times", "W_FEW_TIMES /times"}},
		{"bucket", `{"volume": 0.01, "times": [5, 5, 5]}`, []string{}},
		{"orifice_water", `{"area": 0.0007853981633974483, "h": 0.157}`, []string{"W_HEAD /h"}}, // bore 31.6 mm
		{"orifice_water", `{"area": 0.0007853981633974483, "h": 0.159}`, []string{}},
		{"residual", `{"Q": 0.02, "Q_residual": 0.02}`, []string{"W_NO_WATER /Q"}},
		{"mains", `{"p_static_gauge": 3e5, "p_test_gauge": 2.5e5, "Q_test": 0.001}`, []string{"W_SMALL_DROP /p_test_gauge", "W_MAINS "}},
		{"mains", `{"p_static_gauge": 3e5, "p_test_gauge": 2e5, "Q_test": 0.001}`, []string{"W_MAINS "}},
	} {
		require.Equal(t, c.want, calctest.WarningsOf(calctest.Ask(t, source.Calculations(), "system/"+c.name, c.in)), "%s %s", c.name, c.in)
	}
}
