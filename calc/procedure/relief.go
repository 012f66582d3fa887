package procedure

import (
	"math"
	"slices"

	"leat/calc"
	"leat/calc/build"
	"leat/calc/pressuretest"
	"leat/calc/sheet"
	"leat/calc/strength"
)

// reliefNames supplies whether a relief is needed and what it may be set to. It
// is needed where a part may hold gas only with one, where a part could see more
// than it may hold, and where the sheet counts on one. In the last two cases the
// blow-off of the machine is not enough.
func (b *basis) reliefNames() {
	needed := false
	b.Relief.Device = b.facts.ReliefSetPa != nil
	most := math.Inf(1)
	for _, p := range b.all {
		j := p.judged
		needed = needed || slices.ContainsFunc(j.Conditions, func(s build.Said) bool { return s.Code == strength.ReliefRequired })
		b.Relief.Device = b.Relief.Device || j.DesignPa != nil && j.AllowPa != nil && *j.DesignPa > *j.AllowPa
		if p.gas && !b.beforeBooster(p) {
			most = min(most, mayHold(p))
		}
	}
	b.Fixed["relief_needed"] = Yes(needed || b.Relief.Device)
	switch lowest, ok := b.lowestGas(); {
	case b.facts.ReliefSetPa != nil:
		most = min(most, *b.facts.ReliefSetPa)
	case ok:
		most = min(most, lowest)
	default:
		most = min(most, b.working())
	}
	if most > 0 && !math.IsInf(most, 1) {
		b.Relief.MaxPa = most
	}
	b.name("relief_set_max_bar", bar(most), b.Relief.MaxPa > 0, "What the relief may be set to is not known: no part has a pressure that it must be good for.")
	b.source()
}

// blowOff is the choice that the machine's own blow-off is the relief.
const blowOff = "blow_off"

// mayHold is the gas pressure that a part may have: what is left of its rating,
// but for plastic that splinters and for parts without a rating the pressure that
// was judged, no more.
func mayHold(p part) float64 {
	g, ok := asked(p.judged, "safety/gas")
	if !ok || p.judged.AllowPa == nil || g.text("gas_class") == strength.Brittle || g.text("gas_class") == strength.NonPressure {
		return p.gasPa
	}
	return *p.judged.AllowPa
}

// source works out what a relief must keep up with: all air that the machine can
// make, at whatever level of its chamber; where none stands in it, its water.
func (b *basis) source() {
	b.Relief.Fluid, b.Relief.Kd, b.Relief.HotC, b.Relief.BoreM = pressuretest.Water, b.facts.ReliefKd, 40, b.supplyBore()
	if b.facts.HotC != nil {
		b.Relief.HotC = *b.facts.HotC
	}
	gist := b.rep.Gist
	if gist == nil {
		return
	}
	if has, _ := b.Fixed["has_gas_parts"].Yes(); has && b.in.Machine != sheet.Ram {
		b.Relief.Fluid = pressuretest.Air
		if gist.FreeAirM3S != nil {
			air := *gist.FreeAirM3S
			if t := b.rep.Trompe; t != nil && t.Numbers != nil {
				for _, d := range t.DeliveryCurve {
					air = max(air, d.FreeAirM3S)
				}
			}
			air *= airDensity
			b.Relief.SourceKgS = &air
		}
		return
	}
	if gist.WaterM3S != nil {
		water := *gist.WaterM3S * calc.WaterDensity
		b.Relief.SourceKgS = &water
	}
}

// supplyBore is the bore of what brings the water; nil where it is not known.
func (b *basis) supplyBore() *float64 {
	if d := numberIn(b.in.Pipe, "D"); d != nil {
		return d
	}
	if d := numberIn(b.in.Ram, "cycle", "D"); d != nil {
		return d
	}
	if b.trompe == nil {
		return nil
	}
	bore := b.trompe.Downcomer.BoreM * math.Sqrt(float64(max(1, b.trompe.NParallel)))
	return &bore
}

// bore is the least bore, in m, of a relief that is set to this.
func (r Relief) bore(setPa float64) (m float64, ok bool) {
	if r.SourceKgS == nil || setPa <= 0 || r.Kd <= 0 {
		return 0, false
	}
	out, _, _ := pressuretest.Relief(pressuretest.ReliefIn{
		Fluid: r.Fluid, SetPa: setPa, DesignPa: setPa, OrificeM2: 1e-4, Kd: r.Kd, TempC: r.HotC, SourceKgS: *r.SourceKgS, PAtmPa: calc.Atmosphere, RhoKgM3: calc.WaterDensity,
	})
	return math.Sqrt(4 * out.RequiredM2 / math.Pi), true
}
