package strength_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/calctest"
	"leat/calc/strength"
)

func FuzzStrength(f *testing.F) { calctest.Fuzz(f, strength.Calculations()) }

// The first fault of each input, by the order that the specification of the
// interface gives: unknown names, then the fields as they are listed, each with
// its relation, then what follows "then".
func TestFaults(t *testing.T) {
	calctest.Faults(t, strength.Calculations(), [][4]string{
		{"safety/pn", `{}`, "missing", "/mrs_mpa"},
		{"safety/pn", `[]`, "missing", ""},
		{"safety/pn", `{"zz": 1, "aa": 1}`, "unknown_field", "/aa"},
		{"safety/pn", `{"mrs_mpa": null, "c": 0, "sdr": 11}`, "missing", "/mrs_mpa"},
		{"safety/pn", `{"mrs_mpa": "10", "c": 1.25, "sdr": 11}`, "not_a_number", "/mrs_mpa"},
		{"safety/pn", `{"mrs_mpa": 1e999, "c": 1.25, "sdr": 11}`, "not_a_number", "/mrs_mpa"},
		{"safety/pn", `{"mrs_mpa": 10, "c": 0.99, "sdr": 1}`, "range", "/c"},
		{"safety/pn", `{"mrs_mpa": 10, "c": 1, "sdr": 2}`, "range", "/sdr"},

		{"safety/hoop", `{"p_pa": -1, "od_m": 0.05, "wall_m": 0.03}`, "range", "/p_pa"},
		{"safety/hoop", `{"p_pa": 0, "od_m": 0.05, "wall_m": 0.025}`, "inconsistent", "/wall_m"},
		{"safety/hoop", `{"p_pa": 0, "od_m": 0, "wall_m": 0.025}`, "range", "/od_m"},
		{"safety/hoop", `{"p_pa": 0, "od_m": 0.05, "wall_m": true}`, "not_a_number", "/wall_m"},
		{"safety/hoop", `{"p_pa": 1e308, "od_m": 1, "wall_m": 1e-9}`, "range", ""},

		{"safety/rating", `{"rating_pa": 1e6, "table": "Pvc", "temp_c": 99}`, "unknown_value", "/table"},
		{"safety/rating", `{"rating_pa": 1e6, "table": 3, "temp_c": 20}`, "unknown_value", "/table"},
		{"safety/rating", `{"rating_pa": 1e6, "temp_c": 20}`, "missing", "/table"},
		{"safety/rating", `{"rating_pa": 1e6, "table": "PVC", "temp_c": 60.01, "gas": "yes"}`, "range", "/temp_c"},
		{"safety/rating", `{"rating_pa": 1e6, "table": "PVC", "temp_c": -40.1}`, "range", "/temp_c"},
		{"safety/rating", `{"rating_pa": 1e6, "table": "COPPER", "temp_c": 65.5}`, "range", "/temp_c"},
		{"safety/rating", `{"rating_pa": 1e6, "table": "PVC", "temp_c": 20, "gas": "yes"}`, "unknown_value", "/gas"},
		{"safety/rating", `{"rating_pa": 0, "table": "PVC", "temp_c": 99, "threaded": 1}`, "range", "/rating_pa"},
		{"safety/rating", `{"rating_pa": 1e6, "table": "PVC", "temp_c": 20, "threaded": 1}`, "unknown_value", "/threaded"},

		{"safety/surge", `{"od_m": 0.05, "wall_m": 0.03, "e_pa": 0}`, "inconsistent", "/wall_m"},
		{"safety/surge", `{"od_m": 0.05, "wall_m": 0.002, "e_pa": 0}`, "range", "/e_pa"},
		{"safety/surge", `{"od_m": 0.05, "wall_m": 0.002, "e_pa": 3e9, "dv_m_s": 1, "p_static_pa": 0, "c1": 0, "length_m": -1}`, "range", "/c1"},
		{"safety/surge", `{"od_m": 0.05, "wall_m": 0.002, "e_pa": 3e9, "dv_m_s": 1, "p_static_pa": 0, "t_close_s": -1}`, "range", "/t_close_s"},

		{"safety/surge_allow", `{"rating_pa": 1, "peak_pa": 1, "range_pa": 1, "table": "PVC", "duty": "daily"}`, "unknown_value", "/duty"},
		{"safety/surge_allow", `{"rating_pa": 1, "peak_pa": 1, "range_pa": 1, "table": "PVC", "duty": "ram", "ram_factor": 0.51}`, "range", "/ram_factor"},

		{"safety/collapse", `{"od_m": 0.11, "wall_m": 0.0032, "e_pa": 3e9, "nu": 0.51, "p_ext_pa": 0, "sf": 1}`, "range", "/nu"},
		{"safety/collapse", `{"od_m": 0.11, "wall_m": 0.0032, "e_pa": 3e9, "nu": 0.5, "p_ext_pa": 0, "sf": 1.9}`, "range", "/sf"},

		{"safety/energy", `{"p_pa": 1, "v_gas_m3": 1}`, "missing", "/v_liq_m3"},
		{"safety/energy", `{"p_pa": 1, "v_gas_m3": 1, "v_liq_m3": 0, "gamma": 1}`, "range", "/gamma"},
		{"safety/energy", `{"p_pa": 1, "v_gas_m3": 1, "v_liq_m3": 0, "gamma": 1.71}`, "range", "/gamma"},
		{"safety/energy", `{"p_pa": 1, "v_gas_m3": 1, "v_liq_m3": 0, "nu": 0.4}`, "missing", "/od_m"},
		{"safety/energy", `{"p_pa": 1, "v_gas_m3": 1, "v_liq_m3": 0, "od_m": 0.1}`, "missing", "/wall_m"},
		{"safety/energy", `{"p_pa": 1, "v_gas_m3": 1, "v_liq_m3": 0, "od_m": 0.1, "wall_m": 0.05}`, "inconsistent", "/wall_m"},
		{"safety/energy", `{"p_pa": 1, "v_gas_m3": 1, "v_liq_m3": 0, "od_m": 0.1, "wall_m": 0.005, "e_pa": 3e9, "nu": null}`, "missing", "/nu"},

		{"safety/exclusion", `{"e_j": 271000001, "medium": "water"}`, "range", "/e_j"},
		{"safety/exclusion", `{"e_j": 271000001, "medium": "steam"}`, "unknown_value", "/medium"},
		{"safety/exclusion", `{"e_j": 271000001, "medium": "gas", "min_gas_m": 29}`, "range", "/e_j"},
		{"safety/exclusion", `{"e_j": 1356, "medium": "water", "min_gas_m": 29}`, "inconsistent", "/min_gas_m"},
		{"safety/exclusion", `{"e_j": 1356.1, "medium": "gas", "min_gas_m": 29, "barrier": true}`, "inconsistent", "/min_gas_m"},
		{"safety/exclusion", `{"e_j": 1, "medium": "gas", "min_gas_m": 9.9}`, "range", "/min_gas_m"},
		{"safety/exclusion", `{"e_j": 1, "medium": "gas", "r_scaled": 19}`, "range", "/r_scaled"},
		{"safety/exclusion", `{"e_j": 1, "medium": "water", "min_water_m": 2.9}`, "range", "/min_water_m"},

		{"safety/gas", `{}`, "missing", "/gas_class"},
		{"safety/gas", bottle(given{"gas_class": "wood"}).json(t), "unknown_value", "/gas_class"},
		{"safety/gas", bottle(given{"vessel": nil}).json(t), "missing", "/vessel"},
		{"safety/gas", bottle(given{"certified": 1}).json(t), "unknown_value", "/certified"},
		{"safety/gas", bottle(given{"temp_c": 121}).json(t), "range", "/temp_c"},
		{"safety/gas", bottle(given{"joint": "glued", "config": 7}).json(t), "unknown_value", "/joint"},
		{"safety/gas", bottle(given{"config": 7}).json(t), "missing", "/config"},
		{"safety/gas", bottle(given{"config": given{"p_brittle_max_pa": 50001, "p_low_pa": 10001}}).json(t), "range", "/config/p_low_pa"},
		{"safety/gas", bottle(given{"config": given{"p_brittle_max_pa": 50001}}).json(t), "range", "/config/p_brittle_max_pa"},
		{"safety/gas", bottle(given{"config": given{"e_max": 1}, "p_pa": -1}).json(t), "unknown_field", "/config/e_max"},
		{"safety/gas", bottle(given{"p_pa": -1, "config": given{"e_low_j": 80}}).json(t), "range", "/p_pa"},
	})
}

// What is not given of the optional inputs counts as the specification says.
func TestDefaults(t *testing.T) {
	pairs := []struct{ name, short, long string }{
		{"safety/rating", `{"rating_pa": 1e6, "table": "PE100", "temp_c": 25}`, `{"rating_pa": 1e6, "table": "PE100", "temp_c": 25, "gas": false, "threaded": false}`},
		{"safety/surge", `{"od_m": 0.05, "wall_m": 0.0024, "e_pa": 3e9, "dv_m_s": 1, "p_static_pa": 0}`, `{"od_m": 0.05, "wall_m": 0.0024, "e_pa": 3e9, "dv_m_s": 1, "p_static_pa": 0, "rho_kg_m3": 998.2, "k_pa": 2.18e9, "c1": 1, "length_m": 0, "t_close_s": 0}`},
		{"safety/surge_allow", `{"rating_pa": 1, "peak_pa": 1, "range_pa": 1, "table": "ABS", "duty": "ram"}`, `{"rating_pa": 1, "peak_pa": 1, "range_pa": 1, "table": "ABS", "duty": "ram", "ram_factor": 0.25}`},
		{"safety/collapse", `{"od_m": 0.11, "wall_m": 0.0032, "e_pa": 3e9, "nu": 0.4, "p_ext_pa": 0}`, `{"od_m": 0.11, "wall_m": 0.0032, "e_pa": 3e9, "nu": 0.4, "p_ext_pa": 0, "sf": 3}`},
		{"safety/energy", `{"p_pa": 3e5, "v_gas_m3": 0.02, "v_liq_m3": 1}`, `{"p_pa": 3e5, "v_gas_m3": 0.02, "v_liq_m3": 1, "gamma": 1.4, "p_atm_pa": 101325, "k_pa": 2.18e9}`},
		{"safety/exclusion", `{"e_j": 1e4, "medium": "water"}`, `{"e_j": 1e4, "medium": "water", "r_scaled": 20, "min_gas_m": 30, "min_water_m": 5, "barrier": false}`},
		{"safety/gas", bottle(nil).json(t), bottle(given{"config": given{"p_low_pa": 10000, "p_brittle_max_pa": 50000, "e_low_j": 79, "e_brittle_max_j": 79, "e_competent_j": 1356, "pv_home_j": 5000}}).json(t)},
		{"safety/gas", bottle(given{"config": nil}).json(t), bottle(given{"config": given{"p_low_pa": nil}}).json(t)},
	}
	for _, p := range pairs {
		short, long := calctest.Ask(t, strength.Calculations(), p.name, p.short), calctest.Ask(t, strength.Calculations(), p.name, p.long)
		require.True(t, short.OK, p.name)
		require.Equal(t, long, short, p.name)
	}
}
