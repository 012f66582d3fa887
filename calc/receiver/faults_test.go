package receiver_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/calctest"
	"leat/calc/receiver"
)

// Codes and places are those that the specification of systems, sections 0, 4
// and 8, states.
func TestFaults(t *testing.T) {
	calctest.Faults(t, receiver.Calculations(), [][4]string{
		{"system/exergy_tank", `{}`, "missing", "/V"},
		{"system/exergy_tank", `{"V": 1, "p": null}`, "missing", "/p"},
		{"system/exergy_tank", `{"V": 0, "p": -1, "x": 1}`, "unknown_field", "/x"},
		{"system/exergy_tank", `{"V": 0, "p": -1}`, "range", "/V"},
		{"system/exergy_tank", `{"V": "1", "p": 2e5}`, "not_a_number", "/V"},
		{"system/exergy_tank", `{"V": 1, "p": 101324}`, "range", "/p"},
		{"system/exergy_tank", `{"V": 1, "p": 2e5, "p_min": 1e5}`, "range", "/p_min"},
		{"system/exergy_tank", `{"V": 1, "p": 2e5, "p_min": 2e5}`, "range", "/p_min"},
		{"system/exergy_tank", `{"V": 1, "p": 2e5, "p_reg": 1.5e5}`, "missing", "/p_min"},
		{"system/exergy_tank", `{"V": 1, "p": 2e5, "p_min": 1.4e5, "p_reg": 1.5e5}`, "range", "/p_reg"},
		{"system/exergy_tank", `{"V": 1, "p": 2e5, "p_min": 1.4e5, "p_reg": 1e5}`, "range", "/p_reg"},
		{"system/exergy_tank", `{"V": 1e300, "p": 1e300}`, "range", ""},
		{"system/fill_time", `{"V": 1, "p1": 2e5, "p2": 3e5, "curve_q": [1]}`, "missing", "/curve_p"},
		{"system/fill_time", `{"V": 1, "p1": 2e5, "p2": 3e5, "curve_p": [], "curve_q": [1]}`, "missing", "/curve_p"},
		{"system/fill_time", `{"V": 1, "p1": 2e5, "p2": 3e5, "curve_p": [1e5, -1], "curve_q": [1]}`, "range", "/curve_p/1"},
		{"system/fill_time", `{"V": 1, "p1": 2e5, "p2": 3e5, "curve_p": [1e5, 4e5], "curve_q": [1, "2"]}`, "not_a_number", "/curve_q/1"},
		{"system/fill_time", `{"V": 1, "p1": 3e5, "p2": 3e5, "curve_p": [4e5, 1e5], "curve_q": [1]}`, "range", "/p2"},
		{"system/fill_time", `{"V": 1, "p1": 2e5, "p2": 3e5, "curve_p": [1e5, 1e5], "curve_q": [1]}`, "range", "/curve_p"},
		{"system/fill_time", `{"V": 1, "p1": 2e5, "p2": 3e5, "curve_p": [1e5, 4e5], "curve_q": [1]}`, "inconsistent", "/curve_q"},
		{"system/fill_time", `{"V": 1, "p1": 2e5, "p2": 3e5, "curve_p": [1e5], "curve_q": [1]}`, "inconsistent", "/curve_q"},
		{"system/fill_time", `{"V": 1, "p1": 2e5, "p2": 3e5, "curve_p": [2.1e5, 4e5], "curve_q": [1, 0]}`, "infeasible", "/curve_p"},
		{"system/fill_time", `{"V": 1, "p1": 2e5, "p2": 3e5, "curve_p": [1e5, 2.9e5], "curve_q": [1, 0]}`, "infeasible", "/curve_p"},
		{"system/fill_time", `{"V": 1, "p1": 2e5, "p2": 3e5, "curve_p": [1e5, 3e5], "curve_q": [1, 0]}`, "infeasible", "/curve_q"},
		{"system/fill_time", `{"V": 1, "p1": 2e5, "p2": 3e5, "curve_p": [1e5, 2.5e5, 4e5], "curve_q": [1, -1, 1]}`, "infeasible", "/curve_q"},
		{"system/runtime", `{"V": 1, "p1": 2e5, "p2": 2e5, "Q_load": 1}`, "range", "/p2"},
		{"system/runtime", `{"V": 1, "p1": 2e5, "p2": 1e5, "Q_load": 1}`, "range", "/p2"},
		{"system/runtime", `{"V": 1, "p1": 2e5, "p2": 1e5, "Q_load": -1}`, "range", "/Q_load"},
		{"system/leak_test", `{"V": 1, "p1": 1e5, "p2": 1e5, "t": 60}`, "range", "/p1"},
		{"system/leak_test", `{"V": 1, "p1": 2e5, "p2": 1e5, "t": 60, "p_min": 1}`, "range", "/p2"},
		{"system/leak_test", `{"V": 1, "p1": 2e5, "p2": 1.9e5, "t": 60, "p_min": 2e5}`, "range", "/p_min"},
		{"system/leak_test", `{"V": 1, "p1": 2e5, "p2": 1.9e5, "t": 60, "p_min": 101325}`, "range", "/p_min"},
		{"system/leak_test", `{"V": 1, "p1": 2e5, "p2": 1.9e5, "t": 60, "u_T": -1}`, "range", "/u_T"},
		{"system/const_pressure", `{"V": 1, "depth": 0}`, "range", "/depth"},
		{"system/condensate", `{"V_free": 1, "RH": 1.1, "t_amb_C": 20, "p": 1e5, "t_recv_C": 20}`, "range", "/RH"},
		{"system/condensate", `{"V_free": 1, "RH": 1, "t_amb_C": 101, "p": 1e5, "t_recv_C": 20}`, "range", "/t_amb_C"},
		{"system/condensate", `{"V_free": 1, "RH": 1, "t_amb_C": 20, "p": 1e5, "t_recv_C": 20}`, "range", "/p"},
		{"system/condensate", `{"V_free": 1, "RH": 1, "t_amb_C": 100, "p": 2e5, "t_recv_C": 20}`, "range", "/t_amb_C"},
		{"system/condensate", `{"V_free": 1, "RH": 1, "t_amb_C": 20, "p": 1.02e5, "t_recv_C": 100}`, "range", "/t_recv_C"},
		{"system/condensate", `{"V_free": 1, "RH": 1, "t_amb_C": 20, "p": 1.02e5, "t_recv_C": 20, "t_water_C": 100}`, "range", "/t_water_C"},
		{"system/everyday", `{"Wh": 0}`, "range", "/Wh"},
		{"system/roundtrip", `{"eta_water_to_air": 0.5, "eta_use": 1.2}`, "range", "/eta_use"},
		{"system/roundtrip", `{"eta_use": 1}`, "missing", "/eta_water_to_air"},
	})
}

// Conditions and order are those of section 8.1 of the specification.
func TestWarnings(t *testing.T) {
	for _, c := range []struct {
		name, in string
		want     []string
	}{
		{"leak_test", `{"V": 1, "p1": 9e5, "p2": 9e5, "t": 60, "p_min": 1.5e5}`, []string{"W_NO_LEAK /p2"}},
		{"leak_test", `{"V": 1, "p1": 9e5, "p2": 8.99e5, "t": 60, "p_min": 1.9e5}`, []string{"W_LEAK_SMALL ", "W_NOT_CHOKED /p_min"}},
		{"leak_test", `{"V": 1, "p1": 9e5, "p2": 8e5, "t": 60, "p_min": 1.93e5}`, []string{}},
		{"const_pressure", `{"V": 1, "depth": 1}`, []string{"W_BUOYANCY "}},
	} {
		require.Equal(t, c.want, calctest.WarningsOf(calctest.Ask(t, receiver.Calculations(), "system/"+c.name, c.in)), "%s %s", c.name, c.in)
	}
}

// What rests on an input that is not given is absent; what does not exist is null.
func TestAbsentAndNull(t *testing.T) {
	for _, c := range []struct{ name, in, has, lacks string }{
		{"exergy_tank", `{"V": 1, "p": 2e5}`, `"free_air_m3":`, `"E_iso_between_Wh"`},
		{"exergy_tank", `{"V": 1, "p": 2e5, "p_min": 1.5e5}`, `"E_regulated_Wh":`, `null`},
		{"runtime", `{"V": 1, "p1": 2e5, "p2": 1.5e5, "Q_load": 0}`, `"t_s":null,"continuous":true`, `p_min`},
		{"leak_test", `{"V": 1, "p1": 9e5, "p2": 9e5, "t": 60}`, `"tau_s":null`, `"t_to_p_min_s"`},
		{"leak_test", `{"V": 1, "p1": 9e5, "p2": 9e5, "t": 60, "p_min": 2e5}`, `"t_to_p_min_s":null`, `"tau_s":0`},
		{"leak_test", `{"V": 1, "p1": 9e5, "p2": 8e5, "t": 60, "p_min": 2e5}`, `"t_to_p_min_s":`, `null`},
	} {
		text := result(t, c.name, c.in)
		require.Contains(t, text, c.has)
		require.NotContains(t, text, c.lacks)
	}
}
