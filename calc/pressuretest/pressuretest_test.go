package pressuretest_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/calctest"
	"leat/calc/pressuretest"
)

var all = pressuretest.Calculations()

func FuzzPressureTest(f *testing.F) { calctest.Fuzz(f, all) }

func result[O any](t *testing.T, name, input string) O {
	t.Helper()
	answer := calctest.Ask(t, all, name, input)
	require.True(t, answer.OK, "%v", answer.Fault)
	out, ok := answer.Result.(O)
	require.True(t, ok)
	return out
}

func TestFirstFault(t *testing.T) {
	calctest.Faults(t, all, [][4]string{
		{"safety/gauge", `{"p_test_pa": -1, "zz": 1, "aa": 2}`, "unknown_field", "/aa"},
		{"safety/gauge", `{"p_test_pa": null}`, "missing", "/p_test_pa"},
		{"safety/gauge", `{"p_test_pa": 1e5, "fs_pa": 4e5, "class_pct": 11, "cal_age_days": 1}`, "range", "/class_pct"},
		{"safety/gauge", `{"p_test_pa": 1e5, "fs_pa": 4e5, "class_pct": 1, "cal_age_days": 1, "fluctuating": 1}`, "unknown_value", "/fluctuating"},
		{"safety/test_pressure", `{"method": "hydrostatic", "p_design_top_pa": 2e5, "p_design_low_pa": 1e5, "rating_pa": "ten"}`, "inconsistent", "/p_design_low_pa"},
		{"safety/test_pressure", `{"method": "steam", "p_design_top_pa": 2e5}`, "unknown_value", "/method"},
		{"safety/test_pressure", `{"method": "hydrostatic", "p_design_top_pa": 0, "p_design_low_pa": 1e5, "rating_pa": 1e6, "f_t_design": 1, "f_t_test": 1, "dz_m": 1, "gauge_height_m": 2, "gas_class": "metal"}`, "inconsistent", "/gauge_height_m"},
		{"safety/decay", `{"p1_pa": 1e5, "t1_c": 90}`, "range", "/t1_c"},
		{"safety/hydro_hold", `{"p_start_pa": 1e5, "p_end_pa": 1e5, "mpe_pa": 1, "dt_c": 0, "dur_s": 1, "min_dur_s": 1}`, "missing", "/visible_leak"},
		{"safety/air_check", `{"v_m3": 1, "p1_pa": 2, "p2_pa": 2, "id_m": true}`, "inconsistent", "/p2_pa"},
		{"safety/relief", `{"fluid": "air", "set_pa": 1e5, "p_design_pa": 1e5, "orifice_m2": 1e-4, "kd": 0}`, "range", "/kd"},
		{"safety/trompe_limit", `{"z_head_m": 1, "z_tail_m": 1, "z_blow_m": 0, "rating_pa": 1e5}`, "inconsistent", "/z_tail_m"},
		{"safety/trompe_limit", `{"z_head_m": 1, "z_tail_m": 0, "z_blow_m": 0, "rating_pa": 1e5}`, "inconsistent", "/z_blow_m"},
		{"safety/cure", `{"od_m": 0.5, "temp_min_c": 40, "rh_pct": 50, "p_test_pa": 9e9}`, "range", "/temp_min_c"},
		{"safety/cure", `{"od_m": 0.5, "temp_min_c": 37.8, "rh_pct": 50, "p_test_pa": 9e9}`, "range", "/od_m"},
		{"safety/cure", `{"od_m": 0.05, "temp_min_c": 20, "rh_pct": 50, "p_test_pa": 9e9}`, "range", "/p_test_pa"},
		{"safety/cure", `{"od_m": 0.05, "temp_min_c": 20, "rh_pct": 50, "p_test_pa": 1e5, "floor_h": 12}`, "range", "/floor_h"},
		{"safety/certificate", `{"certificate": {"pressure_hash": "a", "result": "pass", "issued": "soon", "expires": "2027-01-01T00:00:00Z", "site": "s", "signatures": []}, "build": {"pressure_hash": "a", "site": "s", "builders": []}}`, "missing", "/now"},
		{"safety/certificate", `{"certificate": {"pressure_hash": "a", "result": "pass", "issued": "2026-01-01T00:00:00+01:00", "expires": "2027-01-01T00:00:00Z", "site": "s", "signatures": []}, "build": {"pressure_hash": "a", "site": "s", "builders": []}, "now": "x"}`, "unknown_value", "/certificate/issued"},
		{"safety/certificate", `{"certificate": {"pressure_hash": "a", "issued": "x", "expires": "x", "site": "s", "signatures": [{"role": "tester"}]}}`, "missing", "/certificate/result"},
	})
}

// Published values: the lines of safety.csv say where each is from.
func TestPublishedValues(t *testing.T) {
	number := func(name, input, output string) calctest.Check {
		return calctest.Gives(func(t *testing.T, _ calctest.Value) float64 {
			return calctest.Number(t, all, name, input, output) / 1e5
		})
	}
	air := `{"method": "pneumatic", "p_design_top_pa": 3e5, "p_design_low_pa": 3e5, "rating_pa": 1e6, "f_t_design": 1, "f_t_test": 1, "dz_m": 0, "gauge_height_m": 0, "gas_class": "metal"}`
	limit := `{"z_head_m": 3, "z_tail_m": 0, "z_blow_m": -8, "rating_pa": 1e5}`
	calctest.Lines(t, map[int]calctest.Check{
		109: number("safety/test_pressure", air, "gauge_pa"),
		110: number("safety/test_pressure", air, "relief_set_max_pa"),
		111: calctest.Gives(func(t *testing.T, _ calctest.Value) float64 {
			return result[pressuretest.TestPressureOut](t, "safety/test_pressure", air).StagesPa[0] / 1e5
		}),
		113: number("safety/gauge", `{"p_test_pa": 4e5, "fs_pa": 1e6, "class_pct": 1.6, "cal_age_days": 1}`, "mpe_pa"),
		114: number("safety/gauge", `{"p_test_pa": 3e5, "fs_pa": 6e5, "class_pct": 1, "cal_age_days": 1}`, "mpe_pa"),
		115: number("safety/gauge", `{"p_test_pa": 4e6, "fs_pa": 1e7, "class_pct": 1.6, "cal_age_days": 1}`, "mpe_pa"),
		121: calctest.Gives(func(t *testing.T, _ calctest.Value) float64 { return relieved(t, 3e5) }),
		122: calctest.Gives(func(t *testing.T, _ calctest.Value) float64 { return relieved(t, 4e4) }),
		124: number("safety/trompe_limit", limit, "p_blow_pa"),
		125: number("safety/trompe_limit", limit, "p_blocked_pa"),
	})
}

// relieved is an orifice of 10 mm bore with a coefficient of 0.7 at 15 °C.
func relieved(t *testing.T, set float64) float64 {
	out, _, fault := pressuretest.Relief(pressuretest.ReliefIn{Fluid: "air", SetPa: set, DesignPa: set, OrificeM2: 7.853981634e-5, Kd: 0.7, TempC: 15, PAtmPa: calc.Atmosphere})
	require.Nil(t, fault)
	return out.CapacityKgS
}

// By hand, from the text: 1.1·3 = 3.3 bar; first stage 1.65 bar, then steps of
// 0.33 bar while below, then all.
func TestStagesOfAir(t *testing.T) {
	out := result[pressuretest.TestPressureOut](t, "safety/test_pressure",
		`{"method": "pneumatic", "p_design_top_pa": 3e5, "p_design_low_pa": 3e5, "rating_pa": 1e6, "f_t_design": 1, "f_t_test": 1, "dz_m": 0, "gauge_height_m": 0, "gas_class": "brittle"}`)
	require.InDeltaSlice(t, []float64{165e3, 198e3, 231e3, 264e3, 297e3, 330e3}, out.StagesPa, 1)
	require.EqualValues(t, []string{"pneumatic_forbidden"}, out.Reasons)
	require.False(t, out.OK)
}

// By hand: 1.5·max(1; 1/0.75) = 2; 2·1.1 bar at the bottom against 2·0.8 bar
// and 3 m of water at the top.
func TestWaterGoesByTheLowestPoint(t *testing.T) {
	out := result[pressuretest.TestPressureOut](t, "safety/test_pressure",
		`{"method": "hydrostatic", "p_design_top_pa": 8e4, "p_design_low_pa": 1.1e5, "rating_pa": 140000, "f_t_design": 0.75, "f_t_test": 1, "dz_m": 3, "gauge_height_m": 3, "gas_class": "nonpressure"}`)
	require.InDelta(t, 220e3, out.LowPa, 1)
	require.InDelta(t, 220e3-998.2*9.80665*3, out.GaugePa, 1)
	require.InDelta(t, out.TopPa, out.GaugePa, 1e-9)
	require.EqualValues(t, []string{"nonpressure_part", "over_cap", "design_over_rating"}, out.Reasons)
	require.InDelta(t, out.GaugePa/4, out.StagesPa[0], 1e-9)
}

func TestHoldVerdicts(t *testing.T) {
	for input, verdict := range map[string]string{
		`"p_end_pa": 299000, "dt_c": 0, "visible_leak": true, "dur_s": 3600`:     "fail",
		`"p_end_pa": 299000, "dt_c": 0, "visible_leak": false, "dur_s": 3599`:    "inconclusive",
		`"p_end_pa": 299000, "dt_c": -2.1, "visible_leak": false, "dur_s": 3600`: "inconclusive",
		`"p_end_pa": 284999, "dt_c": 0, "visible_leak": false, "dur_s": 3600`:    "fail",
		`"p_end_pa": 315001, "dt_c": 0, "visible_leak": false, "dur_s": 3600`:    "inconclusive",
		`"p_end_pa": 285000, "dt_c": 2, "visible_leak": false, "dur_s": 3600`:    "pass",
	} {
		out := result[pressuretest.HydroHoldOut](t, "safety/hydro_hold", `{"p_start_pa": 300000, "mpe_pa": 5000, "min_dur_s": 3600, `+input+`}`)
		require.Equal(t, verdict, out.Verdict, input)
	}
}

// Trapped dry air at 3 bar and 20 °C: a kelvin moves the gauge by p/T = 13.69 mbar
// (ideal gas, safety.csv). The correction takes just that out.
func TestDecayTakesTheHeatOut(t *testing.T) {
	out := result[pressuretest.DecayOut](t, "safety/decay", `{"p1_pa": 300000, "t1_c": 20, "p2_pa": 301369, "t2_c": 21, "v_m3": 0.02, "dur_s": 600, "mpe_pa": 1500}`)
	require.InDelta(t, 0, out.DropPa, 2)
	require.Equal(t, "pass", out.Verdict)
	coarse := result[pressuretest.DecayOut](t, "safety/decay", `{"p1_pa": 300000, "t1_c": 20, "p2_pa": 300000, "t2_c": 20, "v_m3": 0.02, "dur_s": 600, "mpe_pa": 3000}`)
	require.Equal(t, "inconclusive", coarse.Verdict)
}

// The table itself is the source: 63 mm at 10 °C and 3 bar is 4 h, and half as
// much again in damp air; at 15.6 °C the warmer row begins.
func TestCureReadsTheTable(t *testing.T) {
	for input, hours := range map[string]float64{
		`"od_m": 0.063, "temp_min_c": 10, "rh_pct": 60, "p_test_pa": 3e5`:      4,
		`"od_m": 0.063, "temp_min_c": 10, "rh_pct": 61, "p_test_pa": 3e5`:      6,
		`"od_m": 0.063, "temp_min_c": 15.6, "rh_pct": 50, "p_test_pa": 12.4e5`: 2,
		`"od_m": 0.043, "temp_min_c": 37.8, "rh_pct": 50, "p_test_pa": 13e5`:   6,
		`"od_m": 0.16, "temp_min_c": 4.3, "rh_pct": 50, "p_test_pa": 13e5`:     192,
	} {
		out := result[pressuretest.CureOut](t, "safety/cure", `{`+input+`}`)
		require.Equal(t, hours, out.TableH, input)
		require.Equal(t, max(hours, 24), out.Hours, input)
	}
	cold := calctest.Ask(t, all, "safety/cure", `{"od_m": 0.05, "temp_min_c": 4.3, "rh_pct": 50, "p_test_pa": 1e5}`)
	require.Equal(t, []string{"W_COLD_CEMENT /temp_min_c"}, calctest.WarningsOf(cold))
}

func TestCertificateReasonsStandInOrder(t *testing.T) {
	out := result[pressuretest.CertificateOut](t, "safety/certificate", `{"certificate": {"pressure_hash": "a", "result": "fail", "issued": "2026-05-01T00:00:00Z", "expires": "2026-04-01T00:00:00Z", "site": "s 0",
		"revoked": true, "competent_required": true, "signatures": [{"role": "tester", "user": "x"}, {"role": "witness", "user": "x"}, {"role": "witness", "user": "y"}]},
		"build": {"pressure_hash": "b", "site": "s 1", "builders": ["x"], "open_incident": true, "open_nonconformance": true}, "now": "2026-04-15T00:00:00Z"}`)
	require.EqualValues(t, []string{"not_passed", "revoked", "revision_mismatch", "not_yet_valid", "expired", "site_changed", "incident_open", "nonconformance_open", "signature_missing", "same_person", "witness_is_builder"}, out.Reasons)
	require.False(t, out.Valid)
}

// Whoever signs in whatever order: no certificate counts whose witness built,
// or with one person in two of the needed roles.
func TestNobodySignsTwice(t *testing.T) {
	people := []string{"a", "b", "c"}
	for _, tester := range people {
		for _, witness := range people {
			for _, builder := range people {
				out, _, fault := pressuretest.CertificateValid(pressuretest.CertificateIn{
					Certificate: pressuretest.Certificate{Result: "pass", Issued: "2026-01-01T00:00:00Z", Expires: "2027-01-01T00:00:00Z", Signatures: []pressuretest.Signature{{Role: "tester", User: tester}, {Role: "witness", User: witness}}},
					Build:       pressuretest.Build{Builders: []string{builder}}, Now: "2026-06-01T00:00:00Z",
				})
				require.Nil(t, fault)
				require.Equal(t, tester != witness && witness != builder, out.Valid, "%s %s %s", tester, witness, builder)
			}
		}
	}
}
