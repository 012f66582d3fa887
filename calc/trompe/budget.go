package trompe

import (
	"math"

	"leat/calc/air"
)

// budget returns where the power of the falling water goes, in W for all units.
// With g(a, b) = R·T·ln((a − p_v)/(b − p_v)) the terms are those of a
// mechanical energy balance over intake, plunge, mixing, downcomer, chamber and
// riser. They add up to ρ·g·q·(z_f − z_t).
//
// Valid for isothermal flow.
//
// Source: our own balance; only mixing, acceleration, riser and air weight may
// be negative.
func (m *machine) budget(w working) Budget {
	t := &w.trial
	q, q1 := t.q, t.q/m.units
	pc := m.chamberPressure(w.point, w.zc)
	g := func(a, b float64) float64 { return air.R * m.tWater * math.Log((a-m.pv)/(b-m.pv)) }
	drawn, reached, pEnd := m.units*t.air.n(), m.reached(t), t.end[atP]
	carried := reached * (1 - t.eta)
	top, _ := m.mix(t.p1, q1, t.air.nO, t.air.nN)
	bottom, _ := m.mix(pEnd, q1, t.end[atOxygen], t.end[atRest])
	eTop, eEnd := m.units*m.kinetic(&top, q1), m.units*m.kinetic(&bottom, q1)
	head := m.rho * t.throat.v * t.throat.v / 2
	plunge := m.c.kRec * m.rho * q1 / m.area * (t.vs - t.throat.v)
	return Budget{
		SupplyLine:         m.kSupply * q * q * q,
		IntakeContraction:  q * t.throat.loss * head,
		SurplusFall:        q * (m.rho*m.g*t.h*m.sin - plunge),
		Mixing:             q*(t.throat.pm+head-t.p1+plunge) - drawn*g(t.p1, t.throat.pm) - eTop,
		AirIntake:          drawn * g(m.pa, t.throat.pm),
		Slip:               m.units * t.end[atSlip],
		DowncomerFriction:  m.units * t.end[atFriction],
		Acceleration:       m.units*t.end[atMomentum] - (eEnd - eTop),
		DowncomerExit:      eEnd - q*(t.pe-pEnd) - reached*g(t.pe, pEnd),
		FallInChamber:      q * (t.pe + m.rho*m.g*m.in.Downcomer.OutletM - pc - m.rho*m.g*w.zc),
		BubbleRise:         reached * g(t.pe, pc),
		DissolvedAir:       m.units*t.end[atExpansion] - reached*g(pEnd, t.p1) + (drawn-reached)*g(t.p1, m.pa),
		CarryOver:          carried * g(pc, m.pa),
		BlowOff:            (reached - w.nD - carried) * g(pc, m.pa),
		Riser:              q * (pc + m.rho*m.g*w.zc - m.pa - m.rho*m.g*m.in.Riser.OutletM),
		AirWeight:          -m.units * t.end[atWeight],
		CompressionDeliver: w.nD * g(pc, m.pa),
	}
}

func (b Budget) terms() [17]float64 {
	return [17]float64{
		b.SupplyLine, b.IntakeContraction, b.SurplusFall, b.Mixing, b.AirIntake, b.Slip, b.DowncomerFriction, b.Acceleration,
		b.DowncomerExit, b.FallInChamber, b.BubbleRise, b.DissolvedAir, b.CarryOver, b.BlowOff, b.Riser, b.AirWeight, b.CompressionDeliver,
	}
}

func (b Budget) sum() (sum float64) {
	for _, x := range b.terms() {
		sum += x
	}
	return sum
}

// over divides every term.
func (b Budget) over(x float64) Budget {
	return Budget{
		b.SupplyLine / x, b.IntakeContraction / x, b.SurplusFall / x, b.Mixing / x, b.AirIntake / x, b.Slip / x, b.DowncomerFriction / x,
		b.Acceleration / x, b.DowncomerExit / x, b.FallInChamber / x, b.BubbleRise / x, b.DissolvedAir / x, b.CarryOver / x, b.BlowOff / x,
		b.Riser / x, b.AirWeight / x, b.CompressionDeliver / x,
	}
}
