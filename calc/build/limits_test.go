package build_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/build"
	"leat/calc/strength"
)

func within(t *testing.T, l build.Limits, m build.Machine, f build.Facts, p build.Part) build.Judged {
	t.Helper()
	rep, err := build.Judge(m, f, l, []build.Part{p})
	require.NoError(t, err)
	return rep.Parts[0]
}

// input is what a named calculation was asked for a part.
func input(t *testing.T, p build.Judged, calculation string) map[string]any {
	t.Helper()
	for _, a := range p.Asked {
		if a.Calc == calculation {
			return a.Input
		}
	}
	require.Fail(t, "was not asked: "+calculation)
	return nil
}

// Section 11 of the rules: what counts where a group has set nothing.
func TestLimitsThatLeatComesWith(t *testing.T) {
	text, err := json.Marshal(build.DefaultLimits())
	require.NoError(t, err)
	require.JSONEq(t, `{"p_low_pa": 10000, "p_brittle_max_pa": 50000, "e_low_j": 79, "e_brittle_max_j": 79, "e_competent_j": 1356, "pv_home_j": 5000,
		"hydro_factor": 1.5, "gas_floor_m": 30, "gas_floor_always": false, "water_floor_m": 5, "collapse_factor": 3, "ram_factor": 0.25,
		"hold_plastic_minutes": 60, "hold_metal_minutes": 30, "gauge_age_days": 365, "cure_floor_hours": 24, "checkers_plain": 1, "checkers_raised": 2}`, string(text))
}

// Section 13: a group that wants the strictest reading sets p_brittle_max to
// p_low; then the chamber that is conditional at half a bar is not allowed, and
// the words name the group's limit.
func TestAGroupMayForbidGasInBrittlePlastic(t *testing.T) {
	m, f := machine(t, 5, 3), facts()
	few := 0.0015
	f.GasM3 = &few
	part := build.Part{Role: build.Chamber, Line: pvc63, Joint: "solvent", Location: strength.Buried}
	l := build.DefaultLimits()
	require.Equal(t, strength.Conditional, within(t, l, m, f, part).Verdict)
	l.PBrittleMaxPa = l.PLowPa
	p := within(t, l, m, f, part)
	require.Equal(t, strength.NotAllowed, p.Verdict)
	require.Equal(t, []string{"brittle_over_limit"}, codes(p.Reasons))
	require.Contains(t, p.Reasons[0].Text, "0.1 bar at most")
}

// With its limits at half of what leat comes with, each rule bites at half.
func TestEveryLimitIsTaken(t *testing.T) {
	m, f := machine(t, 5, 3), facts()
	few, full, class, age := 0.0015, 2e5, 1.0, 200.0
	f.GasM3, f.GaugeFullPa, f.GaugeClass, f.GaugeAgeDays = &few, &full, &class, &age
	l := build.DefaultLimits()
	l.HydroFactor, l.WaterFloorM, l.CollapseFactor, l.GaugeAgeDays, l.CureFloorH = 1.8, 8, 4, 100, 72
	p := within(t, l, m, f, build.Part{Role: build.Chamber, Line: pvc63, Joint: "solvent", Location: strength.Buried})
	require.Equal(t, 1.8, input(t, p, "safety/test_pressure")["factor"])
	require.InDelta(t, 1.8**p.DesignPa, input(t, p, "safety/cure")["p_test_pa"], 1e-6)
	require.Equal(t, 72.0, input(t, p, "safety/cure")["floor_h"])
	require.Equal(t, 4.0, input(t, p, "safety/collapse")["sf"])
	require.Contains(t, codes(p.Conditions), "gauge_calibration_expired")

	l.PLowPa = 5000
	drains := within(t, l, machine(t, 0.9, 0.4), facts(), build.Part{Role: build.Downcomer, Line: drain})
	require.Contains(t, codes(drains.Reasons), "nonpressure_part", "0.9 m of water is 0.09 bar, above 0.05")
	require.Contains(t, drains.Reasons[0].Text, "0.05 bar")

	speed, static, most := 1.5, 3*998.2*9.80665, 6.1e5
	ram := build.Machine{RamSpeed: &speed, RamStaticPa: &static, RamMaxPa: &most, RamWorstPa: &most}
	l.RamFactor = 0.5
	pipe := within(t, l, ram, facts(), build.Part{Role: build.DrivePipe, Line: "en-iso-1452-2/s10-sdr21/d50-pn10", Joint: "solvent"})
	require.Contains(t, codes(pipe.Reasons), "range_over_limit", "5.8 bar is above half of PN 10 too")
	require.Equal(t, 0.5, input(t, pipe, "safety/surge_allow")["ram_factor"])
}

// Section 5.3: less than 30 m counts only behind a barrier and up to 1356 J; where
// the gas can do little the floor of water replaces it, unless that is switched off.
func TestDistancesOfAGroup(t *testing.T) {
	steel := build.Part{Role: build.Receiver, Line: "en-10255/medium/dn50", Joint: "welded"}
	distance := func(l build.Limits, barrier bool, pa, volume float64) float64 {
		f := facts()
		f.GasM3, f.Barrier = &volume, barrier
		m := build.Machine{ReceiverPa: &pa}
		p := within(t, l, m, f, steel)
		require.NotNil(t, p.Distance, "%v", p.Reasons)
		return p.Distance.M
	}
	l := build.DefaultLimits()
	require.Equal(t, 30.0, distance(l, true, 1e5, 0.005))
	l.GasFloorM = 12
	require.Equal(t, 12.0, distance(l, true, 1e5, 0.005))
	require.Equal(t, 30.0, distance(l, false, 1e5, 0.005), "without a barrier")
	require.Equal(t, 30.0, distance(l, true, 1e5, 0.05), "some 4.5 kJ: 2.5·P·V·(1 − (p_a/P)^0.286)")
	l.WaterFloorM = 7
	require.Equal(t, 7.0, distance(l, false, 9000, 0.005), "at so little pressure")
	l.GasFloorAlways = true
	require.Equal(t, 30.0, distance(l, false, 9000, 0.005))
}

// The report says which limits it used when they are not those that leat comes
// with, and who must say clear.
func TestReportNamesTheLimitsThatItUsed(t *testing.T) {
	m, f, parts := machine(t, 0.9, 0.4), facts(), []build.Part{{Role: build.Downcomer, Line: pvc63}}
	rep, err := build.Judge(m, f, build.DefaultLimits(), parts)
	require.NoError(t, err)
	require.Nil(t, rep.Limits)
	l := build.DefaultLimits()
	l.CheckersPlain, l.CheckersRaised = 2, 3
	parts = []build.Part{
		{Role: build.Downcomer, Line: pvc63, Joint: "solvent"}, {Role: build.Riser, Line: pvc63, Joint: "solvent"},
		{Role: build.Chamber, Line: "iso-4427-2/pe100-sdr17/d110-pn10", Joint: "fusion", GasStatement: true},
	}
	rep, err = build.Judge(m, f, l, parts)
	require.NoError(t, err)
	require.Equal(t, &l, rep.Limits)
	require.NotEqual(t, strength.Barred, rep.Class, "%v", rep.Why)
	require.Equal(t, map[strength.HazardClass]int{strength.Plain: 2, strength.Raised: 3}[rep.Class], rep.Checkers, "%s %v", rep.Class, rep.Why)
}
