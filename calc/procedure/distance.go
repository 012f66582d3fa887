package procedure

import (
	"math"

	"leat/calc"
	"leat/calc/strength"
)

// keepClear supplies the distances: that of the water test from the energy of
// the water, the walls and the air that may be left in them, that of the air run
// from the energy of all gas. A plain machine has one zone for both.
func (b *basis) keepClear() {
	air, airOK := b.airDistance()
	if has, _ := b.Fixed["has_gas_parts"].Yes(); has {
		b.name("exclusion_air_m", Number(air), airOK, "How far to keep away from the gas cannot be worked out: its volume, or its pressure, is not known or too great.")
	}
	water, why := b.waterDistance()
	if b.Plain && airOK {
		water = max(water, air)
	}
	b.name("exclusion_m", Number(water), why == "", "%s", why)
}

func (b *basis) waterDistance() (m float64, why string) {
	if b.Test.LowPa <= 0 {
		return 0, "How far to keep away cannot be worked out: the test pressure is not known."
	}
	energy, gas := 0.0, 0.0
	for _, p := range b.tested {
		length, ok := b.length(p)
		switch {
		case ok && p.od > 0:
			energy += b.energy(p, math.Pi/4*p.od*p.od*length*b.times(p))
		case p.gas && p.gasM3 > 0:
			gas = max(gas, p.gasM3)
		default:
			return 0, p.said("its length or its outside diameter is not known, and with it how much water stands under pressure. Give it on the sheet.")
		}
	}
	energy += b.energy(part{}, gas)
	out, _, fault := strength.Exclusion(strength.ExclusionIn{EJ: energy, Medium: strength.MediumWater, RScaled: scaledDistance, MinGasM: gasFloorM, MinWaterM: b.Rules.WaterFloorM})
	if fault != nil {
		return 0, fault.Message
	}
	return out.RM, ""
}

// energy is what a volume under test lets go, with the air that may be left in
// it.
func (b *basis) energy(p part, volume float64) float64 {
	const left = airFractionMaxPct / 100
	in := strength.EnergyIn{PPa: b.Test.LowPa, VGasM3: left * volume, VLiqM3: (1 - left) * volume, Gamma: calc.AirGamma, PAtmPa: calc.Atmosphere, KPa: waterModulus}
	if c, ok := asked(p.judged, "safety/collapse"); ok {
		od, wall, e, nu := c.number("od_m"), c.number("wall_m"), c.number("e_pa"), c.number("nu")
		in.ODM, in.WallM, in.EPa, in.Nu = &od, &wall, &e, &nu
	}
	out, _, _ := strength.Energy(in)
	return out.TotalJ
}

func (b *basis) airDistance() (m float64, ok bool) {
	ok = true
	for _, p := range b.all {
		if !p.gas {
			continue
		}
		if p.decided == "" {
			return 0, false
		}
		energy := strength.IsentropicEnergy(p.gasPa, p.gasM3, calc.AirGamma, calc.Atmosphere)
		in := strength.ExclusionIn{EJ: energy, Medium: strength.MediumGas, RScaled: scaledDistance, MinWaterM: b.Rules.WaterFloorM, Barrier: b.facts.Barrier}
		in.MinGasM = strength.GasFloor(b.Rules.GasFloorM, energy, in.Barrier)
		out, _, fault := strength.SheetDistance(in, p.gasPa, b.Rules.GasConfig, b.Rules.GasFloorAlways)
		if fault != nil {
			return 0, false
		}
		m = max(m, out.RM)
	}
	return m, ok
}
