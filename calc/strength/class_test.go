package strength_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/strength"
)

func sheet(change func(*strength.SheetRisk)) strength.SheetRisk {
	no, shallow := false, 1.19
	s := strength.SheetRisk{Shaft: &no, DepthM: &shallow, ELowJ: 79, Parts: []strength.PartRisk{
		{Name: "downcomer", GasPa: 9e5, EnergyJ: 1e4}, // full of water: neither counts
		{Name: "air line", Gas: true, Decision: strength.Allowed, GasPa: 5e4, EnergyJ: 79},
	}}
	change(&s)
	return s
}

// The hazard class by section 4.4 of the specification, the group's own rule.
func TestHazardClass(t *testing.T) {
	yes, deep := true, 1.2
	cases := []struct {
		change func(*strength.SheetRisk)
		class  strength.HazardClass
		causes []strength.Cause
	}{
		{func(*strength.SheetRisk) {}, strength.Plain, []strength.Cause{}},
		{func(s *strength.SheetRisk) { s.Parts[1].Decision = strength.Conditional }, strength.Raised, []strength.Cause{{Code: "part_conditional", Part: "air line"}}},
		{func(s *strength.SheetRisk) { s.Parts[1].GasPa = 50001 }, strength.Raised, []strength.Cause{{Code: "gas_over_0_5_bar", Part: "air line"}}},
		{func(s *strength.SheetRisk) { s.Parts[1].EnergyJ = 79.01 }, strength.Raised, []strength.Cause{{Code: "gas_energy_over_low", Part: "air line"}}},
		{func(s *strength.SheetRisk) { s.Ram, s.Pulse = true, true }, strength.Raised, []strength.Cause{{Code: "ram"}, {Code: "pulse_booster"}}},
		{func(s *strength.SheetRisk) { s.Shaft, s.DepthM = &yes, &deep }, strength.Raised, []strength.Cause{{Code: "shaft"}, {Code: "deep"}}},
		{func(s *strength.SheetRisk) { s.Shaft, s.DepthM = nil, nil }, strength.Raised, []strength.Cause{{Code: "shaft"}, {Code: "deep"}}},
		{func(s *strength.SheetRisk) { s.Parts[1].Decision = strength.NotAllowed; s.Ram = true }, strength.Barred, []strength.Cause{{Code: "part_not_allowed", Part: "air line"}}},
		{func(s *strength.SheetRisk) { s.Parts[1].Decision = "" }, strength.Barred, []strength.Cause{{Code: "part_not_allowed", Part: "air line"}}},
		{func(s *strength.SheetRisk) { s.Parts[0].Blocked = true }, strength.Barred, []strength.Cause{{Code: "part_fault", Part: "downcomer"}}},
	}
	for _, c := range cases {
		class, causes := strength.Class(sheet(c.change))
		require.Equal(t, c.class, class, causes)
		require.Equal(t, c.causes, causes)
	}
}

// The distance on a sheet by section 5.3 of the specification: 30 m from gas and
// 5 m from water, the gas floor from ASME PCC-2, the rest the group's own rule.
func TestSheetDistance(t *testing.T) {
	gas := func(e float64, barrier bool) strength.ExclusionIn {
		return strength.ExclusionIn{EJ: e, Medium: "gas", RScaled: 20, MinGasM: 30, MinWaterM: 5, Barrier: barrier}
	}
	water := gas(1e6, false)
	water.Medium = "water"
	cases := []struct {
		in     strength.ExclusionIn
		p      float64
		strict bool
		rule   string
		floor  float64
	}{
		{gas(79, false), 10001, false, "gas_floor", 30},
		{gas(79, true), 10001, false, "water_floor_low_energy_behind_barrier", 5},
		{gas(79.01, true), 10001, false, "gas_floor", 30},
		{gas(1e6, false), 10000, false, "water_floor_low_pressure", 5},
		{gas(79, true), 10000, true, "gas_floor", 30},
		{water, 3e5, true, "water_floor", 5},
	}
	for _, c := range cases {
		out, rule, fault := strength.SheetDistance(c.in, c.p, strength.DefaultGasConfig, c.strict)
		require.Nil(t, fault)
		require.Equal(t, c.rule, rule)
		require.Equal(t, c.floor, out.RMinM)
		require.GreaterOrEqual(t, out.RM, out.RBlastM)
	}
	short := gas(79, false)
	short.MinGasM = 10
	_, _, fault := strength.SheetDistance(short, 0, strength.DefaultGasConfig, false)
	require.Equal(t, calc.Inconsistent, fault.Code, "a short distance takes its barrier on a sheet too")
}
