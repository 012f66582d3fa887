package use_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/calctest"
	"leat/calc/use"
)

// Codes, places and order are those of sections 0, 5 and 8 of the specification
// of systems.
func TestFaults(t *testing.T) {
	calctest.Faults(t, use.Calculations(), [][4]string{
		{"system/orifice_air", `[]`, "missing", ""},
		{"system/orifice_air", `{"p1": 2e5}`, "missing", "/area"},
		{"system/orifice_air", `{"p1": 2e5, "area": null, "d": null}`, "missing", "/area"},
		{"system/orifice_air", `{"p1": 2e5, "d": 0}`, "range", "/d"},
		{"system/orifice_air", `{"p1": 2e5, "area": 1e-6, "d": "thin"}`, "not_a_number", "/d"},
		{"system/orifice_air", `{"p1": 1e5, "area": 1e-6}`, "infeasible", "/p2"},
		{"system/orifice_air", `{"p1": 2e5, "area": 1e-6, "p2": 2e5}`, "infeasible", "/p2"},
		{"system/orifice_air", `{"p1": 2e5, "area": 1e-6, "p2": 3e5, "Cd": 1.01}`, "range", "/Cd"},
		{"system/orifice_air", `{"p1": true, "D": 1, "bore": 2}`, "unknown_field", "/D"},
		{"system/orifice_air", `{"p1": 1e999, "area": 1}`, "not_a_number", "/p1"},
		{"system/orifice_air", `{"p1": 1e300, "area": 1e300}`, "range", ""},
		{"system/iso6358", `{"p1": 2e5}`, "missing", "/C"},
		{"system/iso6358", `{"C": 1e-8, "p1": 2e5, "b": 1}`, "range", "/b"},
		{"system/iso6358", `{"C": 1e-8, "p1": 2e5, "b": -0.1}`, "range", "/b"},
		{"system/iso6358", `{"C": 1e-8, "p1": 2e5, "b": 1, "p2": 0}`, "range", "/b"},
		{"system/iso6358", `{"C": 1e-8, "p1": 2e5, "p2": 2e5}`, "infeasible", "/p2"},
		{"system/conductance_from_area", `{"Cd": 0}`, "missing", "/area"},
		{"system/conductance_from_area", `{"area": 1, "Cd": 0}`, "range", "/Cd"},
		{"system/air_pipe", `{"p1": 2e5, "D": 0.02, "L": 10}`, "missing", "/qm"},
		{"system/air_pipe", `{"p1": 2e5, "D": 0.02, "L": 10, "qm": 0.01, "Q_free": -1}`, "range", "/Q_free"},
		{"system/air_pipe", `{"p1": 2e5, "D": 0.02, "L": 10, "qm": 10, "eps": 0.01}`, "range", "/eps"},
		{"system/air_pipe", `{"p1": 2e5, "D": 0.02, "L": 10, "qm": 10, "Q_free": 0.001}`, "infeasible", "/qm"},
		{"system/air_pipe", `{"p1": 2e5, "D": 0.02, "L": 10, "Q_free": 10}`, "infeasible", "/Q_free"},
		{"system/air_pipe", `{"p1": 2e5, "D": 0.02, "L": 10, "Q_free": 0.001, "K": -1}`, "range", "/K"},
		{"system/air_pipe_empirical", `{"q_m3min": 1, "L": 1, "d_mm": 20}`, "missing", "/p_kgcm2_abs"},
		{"system/aeration", `{"depth": 1}`, "missing", "/Q_free_m3s"},
		{"system/aeration", `{"depth": 1, "Q_free_m3s": 0.001, "SOTE_per_m": 0.16}`, "range", "/SOTE_per_m"},
		{"system/aeration", `{"depth": 1, "Q_free_m3s": 0.001, "p_avail_gauge": -5}`, "infeasible", "/p_avail_gauge"},
		{"system/aeration", `{"depth": 1, "Q_free_m3s": 0.001, "p_avail_gauge": 9789}`, "infeasible", "/p_avail_gauge"},
		{"system/aeration", `{"depth": 1, "Q_free_m3s": 0.001, "p_avail_gauge": 0, "t_C": 101}`, "range", "/t_C"},
		{"system/aeration", `{"depth": 1, "Q_free_m3s": 0.001, "DO": -1, "alpha": 0}`, "range", "/DO"},
		{"system/airlift", `{"D": 0.019, "submergence": 1, "Q_free": 0.0001}`, "missing", "/lift"},
		{"system/airlift", `{"D": 0.019, "submergence": 1, "lift": -1, "Q_free": 0.0001}`, "range", "/lift"},
		{"system/airlift", `{"D": 0.006, "submergence": 1, "lift": 1, "Q_free": 0.0001}`, "range", "/D"},
		{"system/airlift", `{"D": 0.019, "submergence": 1, "lift": 20, "Q_free": 0.0001}`, "infeasible", "/Q_free"},
		{"system/airlift", `{"D": 0.019, "submergence": 1, "lift": 0.5, "Q_free": 1e-9}`, "infeasible", "/Q_free"},
		{"system/airlift_rule", `{"submergence": 1, "lift": 0, "Q_water": 1}`, "range", "/lift"},
		{"system/forge", `{"mm_H2O": 10}`, "missing", "/tuyere_area"},
		{"system/tool_air", `{"P_shaft": 100, "p_gauge": 0}`, "range", "/p_gauge"},
		{"system/tool_air", `{"P_shaft": 100, "p_gauge": 1e5, "eta": 1.1}`, "range", "/eta"},
	})
}

// Conditions and order are those of section 8.1 of the specification.
func TestWarnings(t *testing.T) {
	for _, c := range []struct {
		name, in string
		want     []string
	}{
		{"air_pipe", `{"p1": 2e5, "D": 0.02, "L": 10, "Q_free": 0.001}`, []string{}},
		{"air_pipe", `{"p1": 2e5, "D": 0.02, "L": 0.1, "Q_free": 0.01}`, []string{"W_FAST "}},
		{"air_pipe", `{"p1": 2e5, "D": 0.02, "L": 100, "Q_free": 0.01}`, []string{"W_DROP ", "W_FAST "}},
		{"air_pipe", `{"p1": 2e5, "D": 0.002, "L": 40, "Q_free": 0.00004}`, []string{"W_DROP "}},
		{"aeration", `{"depth": 1, "Q_free_m3s": 0.001, "DO": 9.1}`, []string{"W_STRIPS /DO"}},
		{"aeration", `{"depth": 1, "Q_free_m3s": 0.001, "DO": 9}`, []string{}},
		{"airlift", `{"D": 0.025, "submergence": 1, "lift": 0.5, "Q_free": 0.0003}`, []string{}},
		{"airlift", `{"D": 0.026, "submergence": 1, "lift": 0.04, "Q_free": 0.0003}`, []string{"W_SUBMERGENCE /submergence", "W_WIDE /D"}},
		{"airlift", `{"D": 0.02, "submergence": 1, "lift": 2.4, "Q_free": 0.001}`, []string{"W_SUBMERGENCE /submergence"}},
	} {
		require.Equal(t, c.want, calctest.WarningsOf(calctest.Ask(t, use.Calculations(), "system/"+c.name, c.in)), "%s %s", c.name, c.in)
	}
}
