package ram_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/calctest"
	"leat/calc/ram"
)

// Codes and places are those that the specification of systems, sections 0, 2,
// 3 and 8, states.
func TestFaults(t *testing.T) {
	cases := [][4]string{
		{"system/ram_steady", `{"Q": 0}`, "range", "/Q"},
		{"system/ram_steady", `{"Q": 1, "H": 3}`, "missing", "/h"},
		{"system/ram_steady", `{"Q": 1, "H": 3, "h": 3}`, "infeasible", "/h"},
		{"system/ram_steady", `{"Q": 1, "H": 3, "h": 3, "eta": 1.1}`, "range", "/eta"},
		{"system/ram_band", `{"H": 3, "h": 2, "Q": 0}`, "infeasible", "/h"},
		{"system/ram_band", `{"H": 3, "h": 20, "Q": -1}`, "range", "/Q"},
		{"system/waste_valve", `{"F_hold": 0}`, "range", "/F_hold"},
		{"system/waste_valve", `{"F_hold": 1, "disc_area": 1, "port_area": 1}`, "missing", "/drive_area"},
		{"system/column_compressor", `{"H": 26, "p2_gauge": 0, "stroke_volume": 1}`, "infeasible", "/p2_gauge"},
		{"system/column_compressor", `{"H": 26, "p2_gauge": 1e5, "stroke_volume": 1, "p_intake_gauge": 1e5}`, "infeasible", "/p2_gauge"},
		{"system/column_compressor", `{"H": 1, "p2_gauge": 101325, "stroke_volume": 1, "clearance_volume": 1}`, "infeasible", "/clearance_volume"},
		{"system/column_compressor", `{"H": 18, "p2_gauge": 506625, "stroke_volume": 1, "coupling_eff": 1}`, "infeasible", "/H"},
		{"system/column_compressor", `{"H": 18, "p2_gauge": "x", "stroke_volume": 1}`, "not_a_number", "/p2_gauge"},
		{"system/boost_lift", `{"Q": 1, "H": 3, "h_feed": 3, "h_outlet": 8}`, "infeasible", "/h_feed"},
		{"system/boost_lift", `{"Q": 1, "H": 3, "h_feed": 8, "h_outlet": 8}`, "infeasible", "/h_outlet"},
		{"system/boost_pulse", `{}`, "missing", "/ram"},
		{"system/boost_pulse", `{"ram": 3}`, "missing", "/ram"},
		{"system/boost_pulse", `{"ram": {}, "p2_gauge": 1}`, "missing", "/ram"},
	}
	for _, c := range [][4]string{ // of a ram, alone and in a booster
		{`"H": 3`, `"H": null`, "missing", "/H"},
		{`"H": 3`, `"H": "3"`, "not_a_number", "/H"},
		{`"h": 20`, `"h": 3`, "infeasible", "/h"},
		{`"a": 1340`, `"a": 1501`, "range", "/a"},
		{`"a": 1340`, `"rho": 1000`, "missing", "/a"},
		{`"a": 1340`, `"wall": 0.003`, "missing", "/E_wall"},
		{`"a": 1340`, `"E_wall": 3e9`, "missing", "/wall"},
		{`"a": 1340`, `"a": 1340, "wall": 0`, "range", "/wall"},
		{`"a": 1340`, `"a": 1340, "eps": 0.0263`, "range", "/eps"},
		{`"a": 1340`, `"a": 1340, "eps": -1`, "range", "/eps"},
		{`"a": 1340`, `"a": 1340, "V_close": 2.1`, "infeasible", "/V_close"},
		{`"a": 1340`, `"a": 1340, "V_close_ratio": 1`, "infeasible", "/V_close_ratio"},
		{`"a": 1340`, `"a": 1340, "ripple": 0`, "range", "/ripple"},
		{`"a": 1340`, `"a": 1340, "t_close": 0.22`, "infeasible", "/h"}, // too slow: 2·L·V/(g·t) is 16.7 m of kick, 17 m to lift
		{`"a": 1340`, `"a": 1340, "V_close": 0.12`, "infeasible", "/h"}, // 16.4 m of kick, 17 m to lift
		{`"a": 1340`, `"a": 1340, "v_close": 0.12`, "unknown_field", "/v_close"},
	} {
		alone := strings.Replace(small, c[0], c[1], 1)
		cases = append(cases, [4]string{"system/ram_cycle", alone, c[2], c[3]},
			[4]string{"system/boost_pulse", strings.Replace(booster(1.17e-4), small, alone, 1), c[2], "/ram" + c[3]})
	}
	for _, c := range [][4]string{
		{`"p2_gauge": 200000`, `"p2_gauge": 50000`, "infeasible", "/p2_gauge"},
		{`"p2_gauge": 200000`, `"p2_gauge": 2e6`, "infeasible", "/p2_gauge"},
		{`"p2_gauge": 200000`, `"p2_gauge": 1.6e6`, "infeasible", "/clearance_volume"}, // ratio 11.2 of at most 11
		{`"p_trompe_gauge": 50000, "p2_gauge": 200000`, `"p_trompe_gauge": 0, "p2_gauge": 29000`, "infeasible", "/p2_gauge"},
		{`"stroke_volume": 0.000117`, `"stroke_volume": 0.00035`, "infeasible", "/stroke_volume"},
		{`"p_trompe_gauge": 50000`, `"n": 1.41, "p_trompe_gauge": 50000`, "range", "/n"},
		{`"p_trompe_gauge": 50000`, `"p_trompe_gauge": -1`, "range", "/p_trompe_gauge"},
		{`"clearance_volume": 1.17e-05`, `"clearance_volume": 0`, "range", "/clearance_volume"},
		{`"clearance_volume": 1.17e-05`, `"clearance_volume": 1e-5, "coupling": 1`, "unknown_field", "/coupling"},
	} {
		in := strings.Replace(booster(1.17e-4), c[0], c[1], 1)
		require.NotEqual(t, booster(1.17e-4), in, c[0])
		cases = append(cases, [4]string{"system/boost_pulse", in, c[2], c[3]})
	}
	calctest.Faults(t, ram.Calculations(), cases)
}

// Conditions and order are those of section 8.1 of the specification.
func TestWarnings(t *testing.T) {
	with := func(in, old, to string) string { return strings.Replace(in, old, to, 1) }
	for _, c := range []struct {
		name, in string
		want     []string
	}{
		{"ram_band", `{"H": 1, "h": 3.9}`, []string{"W_LIFT_RATIO /h"}},
		{"ram_band", `{"H": 1, "h": 20.1}`, []string{"W_LIFT_RATIO /h"}},
		{"ram_band", `{"H": 1, "h": 20}`, []string{}},
		{"ram_cycle", small, []string{}},
		{"ram_cycle", with(small, `"a": 1340`, `"a": 1340, "t_close": 0.21`), []string{}}, // slow, but 17.5 m of kick for 17 m
		{"ram_cycle", with(small, `"L": 15`, `"L": 8, "V_close_ratio": 0.4`), []string{"W_BEATS "}},
		{"ram_cycle", with(small, `"L": 15`, `"L": 7.4`), []string{"W_L_OVER_D /L", "W_L_OVER_H /L"}},
		{"ram_cycle", with(small, `"L": 15`, `"L": 36.1`), []string{"W_L_OVER_H /L"}},
		{"ram_cycle", with(small, `"L": 15`, `"L": 90`), []string{"W_L_OVER_D /L", "W_L_OVER_H /L", "W_BEATS "}},
		{"ram_cycle", with(small, `"h": 20`, `"h": 61`), []string{"W_LIFT_RATIO /h"}},
		{"ram_cycle", with(small, `"h": 20`, `"h": 6, "K_delivery_valve": 0, "V_close_ratio": 0.3, "t_close": 0`), []string{"W_LOSSES_LOW "}},
		{"waste_valve", `{"F_hold": 1, "disc_area": 1, "port_area": 1, "drive_area": 1}`, []string{"W_ESTIMATE "}},
		{"boost_pulse", booster(1.17e-4), []string{"W_UNTESTED "}},
		{"boost_pulse", booster(3e-4), []string{"W_UNTESTED ", "W_CHAMBER /stroke_volume"}},
		{"boost_pulse", booster(8.3e-5), []string{"W_UNTESTED ", "W_CARRY_OVER /stroke_volume"}}, // 0.71 of the best
		{"boost_pulse", booster(8.1e-5), []string{"W_UNTESTED ", "W_CHAMBER /stroke_volume", "W_CARRY_OVER /stroke_volume"}},
		{"boost_pulse", booster(1e-4), []string{"W_UNTESTED ", "W_CARRY_OVER /stroke_volume"}},
		{"boost_pulse", booster(2e-5), []string{"W_UNTESTED ", "W_SOLID /clearance_volume", "W_CHAMBER /stroke_volume", "W_CARRY_OVER /stroke_volume"}},
	} {
		require.Equal(t, c.want, calctest.WarningsOf(calctest.Ask(t, ram.Calculations(), "system/"+c.name, c.in)), "%s %s", c.name, c.in)
	}
}

// Levels are those of section 8 of the specification.
func TestEvidence(t *testing.T) {
	for _, c := range [][3]string{
		{"ram_steady", `{"Q": 1, "H": 3, "h": 20}`, "A"}, {"ram_band", `{"H": 3, "h": 20}`, "A"}, {"ram_cycle", small, "B"},
		{"waste_valve", `{"F_hold": 1, "disc_area": 1, "port_area": 1, "drive_area": 1}`, "D"},
		{"column_compressor", atm6, "B"}, {"column_compressor", strings.Replace(atm6, `1.25`, `1.25, "p_intake_gauge": 1`, 1), "D"},
		{"boost_pulse", booster(1.17e-4), "D"}, {"boost_lift", `{"Q": 1, "H": 3, "h_feed": 9, "h_outlet": 8}`, "C"},
	} {
		require.Equal(t, c[2], string(calctest.Ask(t, ram.Calculations(), "system/"+c[0], c[1]).Evidence), "%s %s", c[0], c[1])
	}
}
