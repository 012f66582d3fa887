package trompe

import (
	"math"

	"leat/calc/air"
	"leat/calc/water"
)

// classes are the standard normal deviates of nine classes of equal volume.
var classes = [9]float64{-1.5932188, -0.9674216, -0.5894558, -0.2822161, 0, 0.2822161, 0.5894558, 0.9674216, 1.5932188}

// separation returns the share η of the bubbles' volume that reaches the water
// surface of the chamber:
//
//	η = mean over classes of 1 − exp(−v_t(d_k)·A_s/q)
//	d_k = d_32·exp(ln²(σ_g)/2)·exp(ln(σ_g)·z_k)
//
// d32 is the Sauter diameter in m, q the water of all units in m³/s.
//
// Valid for a well-mixed depth.
//
// Source: overflow rate with Deutsch's form, from memory.
func (m *machine) separation(d32, q float64) float64 {
	spread := math.Log(m.c.sigG)
	median := d32 * math.Exp(spread*spread/2)
	sum := 0.0
	for _, z := range classes {
		v := water.BubbleRiseSpeed(median*math.Exp(spread*z), m.rho, m.mu, m.sigma, m.g)
		sum += 1 - math.Exp(-v*m.plan/q)
	}
	return sum / float64(len(classes))
}

// leastCarried is the molar flow of air in the riser over that of the water's
// volume flow, in mol/m³, below which it changes no digit of the pressure.
const leastCarried = 1e-11

// lipPressure returns the pressure at the riser's lip in Pa when q in m³/s of
// water and n in mol/s of air go up. Without air:
//
//	p_lip = p_a + ρ g (z_t − z_lip) + (1 + k_minor + k_f f L/D)·ρ w²/2
//
// with air the weight and the friction are integrated down the riser, see
// [risingPath].
//
// Valid for full pipes.
//
// Source: Bernoulli's equation with losses.
func (m *machine) lipPressure(q, n float64, acc accuracy) (float64, Status) {
	r := m.in.Riser
	w := q / m.riserArea
	head := m.rho * w * w / 2
	if n <= leastCarried*q {
		f := m.c.kF * water.FrictionFactor(m.rho*w*m.riserDh/m.mu, m.wallRiser)
		return m.pa + m.rho*m.g*(r.OutletM-m.in.Chamber.LipM) + (1+r.KMinor+f*m.riserLength/m.riserDh)*head, ""
	}
	up := &risingPath{m: m, w: w, n: n}
	y, scale := state{m.pa}, state{1}
	if st := integrate(up, &y, &scale, m.riserLength, acc, 1, 1); st != "" {
		return 0, st
	}
	return y[atP] + (1+r.KMinor)*head, ""
}

// risingPath is the riser followed downwards, with air in it:
//
//	dp/ds = ρ_m g·sinθ + (k_f f/D)·ρ_m j²/2
//	α = j_g/[(1.2 − 0.2·√(ρ_g/ρ))·j + k_v·V·sinθ]
//
// Valid for bubbly and churn upflow; air that comes out of solution is left out.
//
// Source: M. Ishii, ANL-77-47 (1977), from memory.
type risingPath struct {
	m    *machine
	w, n float64
}

func (u *risingPath) slope(y, dy *state) Status {
	m := u.m
	if y[atP] <= m.pv {
		return Blocked
	}
	jg := u.n * air.R * m.tWater / ((y[atP] - m.pv) * m.riserArea)
	j := u.w + jg
	rhoG := (y[atP]-m.pv)*air.MolarDry/(air.R*m.tWater) + m.rhoV
	void := jg / ((1.2-0.2*math.Sqrt(rhoG/m.rho))*j + m.c.kV*m.drift*m.riserSin)
	rhoM := m.rho*(1-void) + rhoG*void
	f := m.c.kF * water.FrictionFactor(m.rho*j*m.riserDh/m.mu, m.wallRiser)
	dy[atP] = rhoM*m.g*m.riserSin + f/m.riserDh*rhoM*j*j/2
	return ""
}

func (u *risingPath) inside(*state) float64 { return 1 }
func (u *risingPath) turn(*state)           {}
