package procedure

import (
	"fmt"
	"math"
	"slices"

	"leat/calc/pressuretest"
	"leat/calc/sheet"
	"leat/calc/strength"
)

// test works out the one pressure with which the whole machine is tested, filled
// with water:
//
//	p_low = max over the parts of k·p_D,low + ρ·g·z_low and, where gas stands in it, of k·p_D,top + ρ·g·z_top
//	cap   = min over the parts of 1.5·rating·f_thread·f_T + ρ·g·z_low
//
// at the lowest point of the machine, z above it, k by
// [pressuretest.HydrostaticFactor] for a wall that is cold in the test. So every
// part sees at least its own test pressure where it stands, and the weakest one
// bounds it. Where a sheet does not give the level of a part, it counts as the
// highest for what it must see and as the lowest for what it may see.
//
// Valid for parts with a rating; what has none is filled to overflow only.
//
// Source: rule of this procedure, common practice; the factors as those of
// [pressuretest.TestPressure].
func (b *basis) test() {
	height, ok := b.height()
	if !ok {
		b.name("p_test_low_bar", Value{}, false, "The height of the machine is not known. Give the height of the water above the lowest part, a fact of the site.")
		return
	}
	b.levels(b.tested, height)
	b.Test.HeightM, b.Test.Humidity, b.Test.ColdC = height, b.facts.Humidity, b.facts.ColdC
	for _, p := range b.tested {
		if p.hot <= 0 {
			b.bar(p.said("at the hottest wall in use nothing is left of its rating."))
			return
		}
		k := pressuretest.HydrostaticFactor(b.Rules.HydroFactor, 1, p.hot)
		b.Test.LowPa = max(b.Test.LowPa, k*p.designL+weight(p.low))
		if p.gas {
			b.Test.LowPa = max(b.Test.LowPa, k*p.designTop+weight(p.high))
		}
		b.Test.Tested = append(b.Test.Tested, Tested{p.name, p.rating, p.table, p.hot, p.lowest, p.Joint == "solvent", p.od})
	}
	b.name("p_test_low_bar", bar(b.Test.LowPa), b.Test.LowPa > 0, "No part has a pressure that it must be tested for.")
	if b.Test.LowPa <= 0 {
		return
	}
	most, weakest := b.Test.most(func(Tested) float64 { return 1 })
	if b.Test.LowPa > most {
		why := fmt.Sprintf("To test every part where it stands takes %.2f bar at the lowest point, more than may come to %s there: %.2f bar. Take a part with a higher rating, or lower the pressure that the machine can reach.",
			b.Test.LowPa/1e5, weakest, most/1e5)
		if b.in.Machine == sheet.Pulse || b.in.Machine == sheet.Lift {
			why += " The ram and the trompe can also be two builds, each with a sheet and a test of its own."
		}
		b.bar(why)
	}
	b.name("p_work_bar", bar(b.working()), true, "")
}

// working is the pressure up to which the machine works: the highest that gas may
// have in all of it; without gas, the highest that water has at the lowest point.
func (b *basis) working() float64 {
	if pa, ok := b.lowestGas(); ok {
		return pa
	}
	var pa float64
	for _, p := range b.tested {
		pa = max(pa, p.designL)
	}
	return pa
}

// most is what the lowest point may see at most, and the part that bounds it;
// factor is what the temperature of the test leaves of a rating.
func (p Pressure) most(factor func(Tested) float64) (pa float64, weakest string) {
	pa = math.Inf(1)
	for _, t := range p.Tested {
		if limit := 1.5*t.RatingPa*factor(t) + weight(t.LowestM); limit < pa {
			pa, weakest = limit, t.Name
		}
	}
	return pa, weakest
}

// mostAt is what the lowest point may see at most while the walls have this
// temperature; without one, they count as hot as they get in use.
func (p Pressure) mostAt(wallC *float64) float64 {
	pa, _ := p.most(func(t Tested) float64 {
		if wallC == nil {
			return t.Hot
		}
		d, ok := strength.DeratingOf(t.Table)
		if !ok {
			return 0
		}
		return d.TemperatureFactor(*wallC)
	})
	return pa
}

// cold tells whether a wall under test is so cold that it gets brittle.
func (p Pressure) cold(wallC *float64) bool {
	return wallC != nil && slices.ContainsFunc(p.Tested, func(t Tested) bool { return strength.Cold(t.Table, *wallC) })
}

// cureHours is the longest wait of all cemented joints; ok is false where the
// table has no answer. Without cement there is none.
func (p Pressure) cureHours(coldest *float64, floor float64) (hours float64, ok bool) {
	for _, t := range p.Tested {
		if !t.Cemented {
			continue
		}
		if coldest == nil || t.ODM <= 0 || p.LowPa <= 0 {
			return 0, false
		}
		out, _, fault := pressuretest.Cure(pressuretest.CureIn{ODM: t.ODM, TempMinC: *coldest, RHPct: p.Humidity, TestPa: p.LowPa, FloorH: floor})
		if fault != nil {
			return 0, false
		}
		hours = max(hours, out.Hours)
	}
	return hours, true
}
