package strength

import "leat/calc"

// Which rule a distance on a sheet rests on.
const (
	RuleGas       = "gas_floor"
	RuleWater     = "water_floor"
	RuleLow       = "water_floor_low_pressure"
	RuleLowEnergy = "water_floor_low_energy_behind_barrier"
)

// SheetDistance returns how far people keep away on a sheet, and by which rule:
// where the gas can do little, by its gauge pressure p in Pa or by its energy
// behind a barrier that is photographed, the floor of water replaces that of gas.
// A steward may switch this off: strict. All else is as [Exclusion] says. The
// rule is common practice, no source: a distance that no garden has is a
// distance that nobody keeps.
func SheetDistance(in ExclusionIn, p float64, config GasConfig, strict bool) (ExclusionOut, string, *calc.Fault) {
	rule := sheetRule(in, p, config, strict)
	if rule != RuleGas {
		in.Medium = MediumWater
	}
	out, _, fault := Exclusion(in)
	return out, rule, fault
}

func sheetRule(in ExclusionIn, p float64, config GasConfig, strict bool) string {
	switch {
	case in.Medium == MediumWater:
		return RuleWater
	case strict:
		return RuleGas
	case p <= config.PLowPa:
		return RuleLow
	case in.EJ <= config.ELowJ && in.Barrier:
		return RuleLowEnergy
	}
	return RuleGas
}

// GasFloor returns the floor distance from gas, in m, that counts where a group
// has set one.
//
// Valid for a floor below 30 m only behind a barrier that is photographed, and up
// to 1356 J; else 30 m count.
//
// Source: common practice, no source.
func GasFloor(set, energy float64, barrier bool) float64 {
	if set < usualFloor && (energy > barrierEnough || !barrier) {
		return usualFloor
	}
	return set
}
