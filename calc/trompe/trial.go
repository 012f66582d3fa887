package trompe

import "math"

// setting is what a trial is made with beside the flow: how far up the water of
// the chamber seals, and whether all air has to leave by the riser.
type setting struct {
	*machine
	seal       float64 // the lower of chamber level and downcomer mouth, m
	allUpRiser bool
}

// setting is that of a chamber level in m.
func (m *machine) setting(zc float64, allUpRiser bool) setting {
	return setting{m, min(zc, m.in.Downcomer.OutletM), allUpRiser}
}

// shutUpRiser says that the valve is shut and all air has to leave by the riser.
func (m *machine) shutUpRiser() bool {
	return m.in.Takeoff.Mode == ValveShut && m.in.Takeoff.BlowOffRoute != RoutePipe
}

// trial is one guess at the operating point: a flow and an inlet level, and
// what follows from them.
type trial struct {
	q, zf float64 // total water m³/s; inlet level m
	h     float64 // part-full length, m

	throat throatAt
	air    drawn // one unit
	vs     float64
	p1     float64

	end      state   // at the mouth of the downcomer, one unit
	at       []state // stations, when asked for
	pe, plip float64
	d32, eta float64

	residual float64 // Pa: what is left at the mouth
}

// try works out a trial with a full-bore downcomer and the air that the tubes
// draw.
func (s setting) try(q, zf float64, acc accuracy) (trial, Status) {
	t := trial{q: q, zf: zf, throat: s.throatFlow(q, zf)}
	if t.throat.pm < leastMouth*s.pa {
		return t, Cavitation
	}
	t.air, t.vs = s.draw(t.throat.pm), t.throat.v
	var st Status
	if t.p1, st = s.mixed(q/s.units, t.throat, t.air); st != "" {
		return t, st
	}
	return s.below(t, acc)
}

// trySaturated works out a trial whose downcomer runs part full over a length
// h and holds below it what it can.
func (s setting) trySaturated(q, zf, h float64, acc accuracy) (trial, Status) {
	t := trial{q: q, zf: zf, h: h, throat: s.throatFlow(q, zf)}
	q1 := q / s.units
	t.vs = s.plungeSpeed(q1, t.throat.v, h)
	var st Status
	if t.p1, t.air, st = s.saturated(t.throat.pm, q1, t.vs); st != "" {
		return t, st
	}
	return s.below(t, acc)
}

// below completes a trial from the top of the full bore down.
func (s setting) below(t trial, acc accuracy) (trial, Status) {
	return s.belowAt(t, acc, 0)
}

func (s setting) belowAt(t trial, acc accuracy, stations int) (trial, Status) {
	q1 := t.q / s.units
	var st Status
	if t.end, t.at, st = s.fall(q1, t.p1, s.length-t.h, t.air, acc, stations); st != "" {
		return t, st
	}
	if t.pe, st = s.outletPressure(q1, t.end); st != "" {
		return t, st
	}
	t.d32, t.eta = s.bubbleSize(q1), 1
	reached := s.units * (t.end[atOxygen] + t.end[atRest])
	carried := 0.0
	if reached > 0 {
		t.eta = s.separation(t.d32, t.q)
		carried = reached * (1 - t.eta)
		if s.allUpRiser {
			carried = reached
		}
	}
	if t.plip, st = s.lipPressure(t.q, carried, acc); st != "" {
		return t, st
	}
	// p_e less p_c + ρ g·max(0, z_c − z_d), with p_c = p_lip − ρ g (z_c − z_lip)
	t.residual = t.pe - t.plip - s.rho*s.g*(s.in.Chamber.LipM-s.seal)
	return t, ""
}

// outletPressure is the pressure outside the mouth of a downcomer: a flared end
// gives back k_dif·(1 − (D/D_o)⁴)·M/2.
//
// Source: diffuser recovery, k_dif as in the table of coefficients.
func (m *machine) outletPressure(q1 float64, end state) (float64, Status) {
	if m.outletBore == m.bore {
		return end[atP], ""
	}
	x, st := m.mix(end[atP], q1, end[atOxygen], end[atRest])
	return end[atP] + m.c.kDif*(1-math.Pow(m.bore/m.outletBore, 4))*x.momentum/2, st
}

// withoutAir returns the residual that q would leave if no air were drawn.
func (s setting) withoutAir(q, zf float64) float64 {
	t := trial{q: q, zf: zf, throat: s.throatFlow(q, zf)}
	t.p1, _ = s.mixed(q/s.units, t.throat, drawn{})
	t, _ = s.below(t, s.fine)
	return t.residual
}
