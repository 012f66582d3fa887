package strength_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/calctest"
	"leat/calc/strength"
)

func FuzzStrength(f *testing.F) { calctest.Fuzz(f, strength.Calculations()) }

// The first fault of each input, by the order that the specification of the
// interface gives: unknown names, then the fields as they are listed, each with
// its relation, then what follows "then".
func TestFaults(t *testing.T) {
	calctest.Faults(t, strength.Calculations(), []calctest.Refused{
		no("safety/pn", `{}`, calc.Missing, "/mrs_mpa"),
		no("safety/pn", `[]`, calc.Missing, ""),
		no("safety/pn", `{"zz": 1, "aa": 1}`, calc.UnknownField, "/aa"),
		no("safety/pn", `{"mrs_mpa": null, "c": 0, "sdr": 11}`, calc.Missing, "/mrs_mpa"),
		no("safety/pn", `{"mrs_mpa": "10", "c": 1.25, "sdr": 11}`, calc.NotANumber, "/mrs_mpa"),
		no("safety/pn", `{"mrs_mpa": 1e999, "c": 1.25, "sdr": 11}`, calc.NotANumber, "/mrs_mpa"),
		no("safety/pn", `{"mrs_mpa": 10, "c": 0.99, "sdr": 1}`, calc.Range, "/c"),
		no("safety/pn", `{"mrs_mpa": 10, "c": 1, "sdr": 2}`, calc.Range, "/sdr"),

		no("safety/hoop", `{"p_pa": -1, "od_m": 0.05, "wall_m": 0.03}`, calc.Range, "/p_pa"),
		no("safety/hoop", `{"p_pa": 0, "od_m": 0.05, "wall_m": 0.025}`, calc.Inconsistent, "/wall_m"),
		no("safety/hoop", `{"p_pa": 0, "od_m": 0, "wall_m": 0.025}`, calc.Range, "/od_m"),
		no("safety/hoop", `{"p_pa": 0, "od_m": 0.05, "wall_m": true}`, calc.NotANumber, "/wall_m"),
		no("safety/hoop", `{"p_pa": 1e308, "od_m": 1, "wall_m": 1e-9}`, calc.Range, ""),

		no("safety/rating", `{"rating_pa": 1e6, "table": "Pvc", "temp_c": 99}`, calc.UnknownValue, "/table"),
		no("safety/rating", `{"rating_pa": 1e6, "table": 3, "temp_c": 20}`, calc.UnknownValue, "/table"),
		no("safety/rating", `{"rating_pa": 1e6, "temp_c": 20}`, calc.Missing, "/table"),
		no("safety/rating", `{"rating_pa": 1e6, "table": "PVC", "temp_c": 60.01, "gas": "yes"}`, calc.Range, "/temp_c"),
		no("safety/rating", `{"rating_pa": 1e6, "table": "PVC", "temp_c": -40.1}`, calc.Range, "/temp_c"),
		no("safety/rating", `{"rating_pa": 1e6, "table": "COPPER", "temp_c": 65.5}`, calc.Range, "/temp_c"),
		no("safety/rating", `{"rating_pa": 1e6, "table": "PVC", "temp_c": 20, "gas": "yes"}`, calc.UnknownValue, "/gas"),
		no("safety/rating", `{"rating_pa": 0, "table": "PVC", "temp_c": 99, "threaded": 1}`, calc.Range, "/rating_pa"),
		no("safety/rating", `{"rating_pa": 1e6, "table": "PVC", "temp_c": 20, "threaded": 1}`, calc.UnknownValue, "/threaded"),

		no("safety/surge", `{"od_m": 0.05, "wall_m": 0.03, "e_pa": 0}`, calc.Inconsistent, "/wall_m"),
		no("safety/surge", `{"od_m": 0.05, "wall_m": 0.002, "e_pa": 0}`, calc.Range, "/e_pa"),
		no("safety/surge", `{"od_m": 0.05, "wall_m": 0.002, "e_pa": 3e9, "dv_m_s": 1, "p_static_pa": 0, "c1": 0, "length_m": -1}`, calc.Range, "/c1"),
		no("safety/surge", `{"od_m": 0.05, "wall_m": 0.002, "e_pa": 3e9, "dv_m_s": 1, "p_static_pa": 0, "t_close_s": -1}`, calc.Range, "/t_close_s"),

		no("safety/surge_allow", `{"rating_pa": 1, "peak_pa": 1, "range_pa": 1, "table": "PVC", "duty": "daily"}`, calc.UnknownValue, "/duty"),
		no("safety/surge_allow", `{"rating_pa": 1, "peak_pa": 1, "range_pa": 1, "table": "PVC", "duty": "ram", "ram_factor": 0.51}`, calc.Range, "/ram_factor"),

		no("safety/collapse", `{"od_m": 0.11, "wall_m": 0.0032, "e_pa": 3e9, "nu": 0.51, "p_ext_pa": 0, "sf": 1}`, calc.Range, "/nu"),
		no("safety/collapse", `{"od_m": 0.11, "wall_m": 0.0032, "e_pa": 3e9, "nu": 0.5, "p_ext_pa": 0, "sf": 1.9}`, calc.Range, "/sf"),

		no("safety/energy", `{"p_pa": 1, "v_gas_m3": 1}`, calc.Missing, "/v_liq_m3"),
		no("safety/energy", `{"p_pa": 1, "v_gas_m3": 1, "v_liq_m3": 0, "gamma": 1}`, calc.Range, "/gamma"),
		no("safety/energy", `{"p_pa": 1, "v_gas_m3": 1, "v_liq_m3": 0, "gamma": 1.71}`, calc.Range, "/gamma"),
		no("safety/energy", `{"p_pa": 1, "v_gas_m3": 1, "v_liq_m3": 0, "nu": 0.4}`, calc.Missing, "/od_m"),
		no("safety/energy", `{"p_pa": 1, "v_gas_m3": 1, "v_liq_m3": 0, "od_m": 0.1}`, calc.Missing, "/wall_m"),
		no("safety/energy", `{"p_pa": 1, "v_gas_m3": 1, "v_liq_m3": 0, "od_m": 0.1, "wall_m": 0.05}`, calc.Inconsistent, "/wall_m"),
		no("safety/energy", `{"p_pa": 1, "v_gas_m3": 1, "v_liq_m3": 0, "od_m": 0.1, "wall_m": 0.005, "e_pa": 3e9, "nu": null}`, calc.Missing, "/nu"),

		no("safety/exclusion", `{"e_j": 271000001, "medium": "water"}`, calc.Range, "/e_j"),
		no("safety/exclusion", `{"e_j": 271000001, "medium": "steam"}`, calc.UnknownValue, "/medium"),
		no("safety/exclusion", `{"e_j": 271000001, "medium": "gas", "min_gas_m": 29}`, calc.Range, "/e_j"),
		no("safety/exclusion", `{"e_j": 1356, "medium": "water", "min_gas_m": 29}`, calc.Inconsistent, "/min_gas_m"),
		no("safety/exclusion", `{"e_j": 1356.1, "medium": "gas", "min_gas_m": 29, "barrier": true}`, calc.Inconsistent, "/min_gas_m"),
		no("safety/exclusion", `{"e_j": 1, "medium": "gas", "min_gas_m": 9.9}`, calc.Range, "/min_gas_m"),
		no("safety/exclusion", `{"e_j": 1, "medium": "gas", "r_scaled": 19}`, calc.Range, "/r_scaled"),
		no("safety/exclusion", `{"e_j": 1, "medium": "water", "min_water_m": 2.9}`, calc.Range, "/min_water_m"),

		no("safety/gas", `{}`, calc.Missing, "/gas_class"),
		no("safety/gas", bottle(given{"gas_class": "wood"}).json(t), calc.UnknownValue, "/gas_class"),
		no("safety/gas", bottle(given{"vessel": nil}).json(t), calc.Missing, "/vessel"),
		no("safety/gas", bottle(given{"certified": 1}).json(t), calc.UnknownValue, "/certified"),
		no("safety/gas", bottle(given{"temp_c": 121}).json(t), calc.Range, "/temp_c"),
		no("safety/gas", bottle(given{"joint": "glued", "config": 7}).json(t), calc.UnknownValue, "/joint"),
		no("safety/gas", bottle(given{"config": 7}).json(t), calc.Missing, "/config"),
		no("safety/gas", bottle(given{"config": given{"p_brittle_max_pa": 50001, "p_low_pa": 10001}}).json(t), calc.Range, "/config/p_low_pa"),
		no("safety/gas", bottle(given{"config": given{"p_brittle_max_pa": 50001}}).json(t), calc.Range, "/config/p_brittle_max_pa"),
		no("safety/gas", bottle(given{"config": given{"e_max": 1}, "p_pa": -1}).json(t), calc.UnknownField, "/config/e_max"),
		no("safety/gas", bottle(given{"p_pa": -1, "config": given{"e_low_j": 80}}).json(t), calc.Range, "/p_pa"),
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

func no(name, input string, code calc.FaultCode, at string) calctest.Refused {
	return calctest.Refused{Name: name, Input: input, Code: code, At: at}
}
