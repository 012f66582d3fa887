package trompe

import (
	"math"

	"leat/calc/air"
	"leat/calc/water"
)

// plungeSpeed returns the speed in m/s at which water that left the throat at v
// has fallen part full over a length h along the pipe, as a film on its wall:
//
//	dv/ds = g·sinθ/v − B v²,  B = f π D/(8 q1)
//
// The Reynolds number of a film does not change as it thins, so f is constant
// and the fall has a closed form in x = v/v_T with v_T³ = g·sinθ/B:
//
//	G(x) = G(v/v_T) + h g·sinθ/v_T²
//	G(x) = ln[(1 + x + x²)/(1 − x)²]/6 − atan[(2x + 1)/√3]/√3
//
// Valid for pipes up to 30° from plumb; jets, core drag and the weight of the
// air are left out.
//
// Source: our integration of the momentum balance; terminal speed agrees with
// the drainage-stack rule (from memory).
func (m *machine) plungeSpeed(q1, v, h float64) float64 {
	if h <= 0 {
		return v
	}
	f := m.c.kF * water.FrictionFactor(4*m.rho*q1/(math.Pi*m.bore*m.mu), m.wallFilm)
	if f <= 0 {
		return math.Sqrt(v*v + 2*m.g*m.sin*h)
	}
	terminal := math.Cbrt(m.g * m.sin * 8 * q1 / (f * math.Pi * m.bore))
	x0 := v / terminal
	if x0 == 1 {
		return terminal
	}
	end := 1 - 1e-12
	if x0 > 1 {
		end = 1 + 1e-12
	}
	target := fallen(x0) + h*m.g*m.sin/(terminal*terminal)
	if target >= fallen(end) {
		return terminal
	}
	x, _ := root(surely(func(x float64) float64 { return fallen(x) - target }), x0, fallen(x0)-target, end, fallen(end)-target, 0)
	return x * terminal
}

func fallen(x float64) float64 {
	return math.Log((1+x+x*x)/((1-x)*(1-x)))/6 - math.Atan((2*x+1)/math.Sqrt(3))/math.Sqrt(3)
}

// saturated returns the pressure below the plunge and the air that the full
// bore takes when it is as full of bubbles as it can be:
//
//	α_sat·[C0·j − k_v·V·sinθ] = j_g
//	p = p_m + k_rec·[ρ q1 v_s + ṁ v_t − A·M]/A
//
// iterated from p = p_m. vs is the plunge speed in m/s.
//
// Valid below a plunge; α_sat has evidence C.
//
// Source: [mixture] at the saturation void; saturation void by [AlphaSat].
func (m *machine) saturated(pm, q1, vs float64) (float64, drawn, Status) {
	molar := air.OxygenShare*air.MolarOxygen + (1-air.OxygenShare)*air.MolarRest
	jl := q1 / m.area
	p := pm
	for range 200 {
		rhoG := (p-m.pv)*molar/(air.R*m.tWater) + m.rhoV
		jg, st := m.saturatedGas(jl, rhoG)
		if st != "" {
			return 0, drawn{}, st
		}
		n := jg * m.area * (p - m.pv) / (air.R * m.tWater)
		mass := n * air.R * m.tAir * m.rhoAir / (m.pa - m.pva)
		momentum := m.rho*jl*jl/(1-m.c.alphaSat) + rhoG*jg*jg/m.c.alphaSat
		speed := m.tubeSpeed(mass, pm)
		next := pm + m.c.kRec*((m.rho*q1*vs+mass*speed)/m.area-momentum)
		if next <= m.pv+500 {
			return 0, drawn{}, Blocked
		}
		if math.Abs(next-p) < 1e-9 {
			return next, drawn{mass, speed, n * air.OxygenShare, n * (1 - air.OxygenShare)}, ""
		}
		p = next
	}
	return 0, drawn{}, Blocked
}

// saturatedGas solves for the superficial gas velocity at the saturation void.
func (m *machine) saturatedGas(jl, rhoG float64) (float64, Status) {
	r := math.Sqrt(rhoG / m.rho)
	a := m.c.alphaSat
	excess := func(jg float64) float64 {
		j := jl + jg
		c0 := 1.0
		if b := m.branchAt(j, r); b != capped {
			c0, _, _ = distribution(b, m.c.kC0, j/m.drift, r)
		}
		return a*(c0*j-m.c.kV*m.drift*m.sin) - jg
	}
	top := a * jl / (1 - a)
	low := excess(0)
	if low <= 0 {
		return 0, NotCarried
	}
	jg, _ := root(surely(excess), 0, low, top, min(excess(top), 0), 0)
	if jg/a < slowestGas {
		return 0, NotCarried
	}
	return jg, ""
}

// saturationFlow returns the flow in m³/s at which the air drawn from the level
// zf first equals what the full bore can hold below a part-full length h. Where
// there is none, found is false and the status, if any, says why.
func (m *machine) saturationFlow(zf, h float64) (q float64, found bool, st Status) {
	if m.tubes == 0 {
		return 0, false, ""
	}
	first, ok := m.flowAtMouth(zf, m.pa-m.capillary)
	if !ok {
		return 0, false, NotCarried
	}
	last, ok := m.flowAtMouth(zf, leastMouth*m.pa)
	if !ok {
		return 0, false, ""
	}
	spare := func(q float64) (float64, Status) { return m.airToSpare(q, zf, h) }
	before, fBefore := first, math.NaN()
	for i := 1; i <= 48; i++ {
		x := float64(i) / 48
		at := first + (last-first)*x*x*x
		f, st := spare(at)
		if st != "" {
			return 0, false, st
		}
		if f > 0 {
			if i == 1 {
				if fBefore, st = spare(first); st != "" {
					return 0, false, st
				}
			}
			if fBefore > 0 {
				return before, true, ""
			}
			q, st = root(spare, before, fBefore, at, f, 0)
			return q, st == "", st
		}
		before, fBefore = at, f
	}
	return 0, false, ""
}

// airToSpare is the molar flow drawn less what the saturated full bore holds.
func (m *machine) airToSpare(q, zf, h float64) (float64, Status) {
	t := m.throatFlow(q, zf)
	q1 := q / m.units
	_, full, st := m.saturated(t.pm, q1, m.plungeSpeed(q1, t.v, h))
	return m.draw(t.pm).n() - full.n(), st
}

// flowAtMouth returns the flow that brings the mouths to the pressure pm from
// the level zf, or false where they are below it without any flow.
func (m *machine) flowAtMouth(zf, pm float64) (float64, bool) {
	over := func(q float64) float64 { return m.throatFlow(q, zf).pm - pm }
	start := over(0)
	if start <= 0 {
		return 0, false
	}
	high := m.units * m.throat * math.Sqrt(2*start/(m.rho*(1+m.c.kIn)))
	if f := over(high); f < 0 {
		q, _ := root(surely(over), 0, start, high, f, 0)
		return q, true
	}
	return high, true // no other loss: it is the closed form
}

// saturationLevel returns the inlet level in m at which the flow q draws just
// the air that the full bore can hold below a part-full length h.
func (m *machine) saturationLevel(q, h float64) (zf float64, found bool, st Status) {
	if m.tubes == 0 {
		return 0, false, ""
	}
	q1 := q / m.units
	vs := m.plungeSpeed(q1, m.throatLoss(q).v, h)
	spare := func(pm float64) (float64, Status) {
		_, full, st := m.saturated(pm, q1, vs)
		return m.draw(pm).n() - full.n(), st
	}
	low, high := leastMouth*m.pa, m.pa-m.capillary
	fLow, st := spare(low)
	if st != "" || fLow <= 0 {
		return 0, false, st
	}
	fHigh, st := spare(high)
	if st != "" {
		return 0, false, st
	}
	pm, st := root(spare, low, fLow, high, fHigh, 0)
	return m.levelFor(q, pm), st == "", st
}
