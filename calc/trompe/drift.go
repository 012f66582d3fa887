package trompe

import (
	"math"

	"leat/calc/air"
)

// DriftVelocity returns V in m/s, the drift velocity of bubbles in
// churn-turbulent flow with the density of the gas neglected:
//
//	V = √2·(σ g/ρ)^(1/4)
//
// sigma is in N/m, rho in kg/m³, g in m/s².
//
// Valid for bubbly and churn flow in bores of 16 to 102 mm; larger is an
// extrapolation.
//
// Source: M. Ishii, ANL-77-47 (1977), as adopted for downflow by H. Goda et
// al., Int. J. Heat Mass Transfer 46, 4835 (2003), abstract.
func DriftVelocity(sigma, rho, g float64) float64 {
	return math.Sqrt2 * math.Pow(sigma*g/rho, 0.25)
}

// branch is the part of the distribution parameter's formula that holds.
type branch int

const (
	slow   branch = iota // j up to 20 V
	fast                 // above
	capped               // C0 = 1
)

const driftSlowTo = 20

// distribution returns the raw distribution parameter k·C0 of downflow on a
// branch, with its derivatives:
//
//	C0 = (0.0214 x + 0.772) + (−0.0214 x + 0.228)·r   for x ≤ 20
//	C0 = 1 + e − e·r,  e = 0.2·exp(0.00848·(20 − x))  above
//
// x = j/V is the mixture velocity over the drift velocity, r = √(ρ_g/ρ). The
// model holds it at 1 at most, so that the slip never gives energy back.
//
// Valid for bores of 16 to 102 mm, 0.1 to 1.5 MPa, j of 0.45 to 24.6 m/s.
//
// Source: H. Goda et al., Int. J. Heat Mass Transfer 46, 4835 (2003), equations
// from memory, range from the abstract. The cap is our own.
func distribution(b branch, k, x, r float64) (c0, dx, dr float64) {
	if b == fast {
		e := 0.2 * math.Exp(0.00848*(driftSlowTo-x))
		return k * (1 + e - e*r), -0.00848 * k * e * (1 - r), -k * e
	}
	return k * (0.0214*x + 0.772 + (0.228-0.0214*x)*r), k * 0.0214 * (1 - r), k * (0.228 - 0.0214*x)
}

func rawBranch(x float64) branch {
	if x > driftSlowTo {
		return fast
	}
	return slow
}

func (m *machine) branchAt(j, r float64) branch {
	x := j / m.drift
	b := rawBranch(x)
	if c0, _, _ := distribution(b, m.c.kC0, x, r); c0 >= 1 {
		return capped
	}
	return b
}

// mixture is the drift-flux state of water and air at one place of a downcomer.
type mixture struct {
	branch
	qg, jl, jg, j  float64 // gas flow per unit m³/s; superficial velocities m/s
	c0, ug, ul     float64
	void           float64
	rhoG, rhoM     float64 // kg/m³
	momentum       float64 // M, Pa
	dc0dj, dc0drho float64
}

const (
	slowestGas = 0.02 // m/s, below which bubbles are not carried
	fullOfGas  = 0.90 // void above which gas blocks the pipe
)

// mix returns the state at pressure p in Pa with q1 in m³/s of water and molar
// flows of oxygen and the rest in mol/s, on the branch that holds there:
//
//	u_g = C0·j − k_v·V·sinθ,  α = j_g/u_g,  M = ρ j_l u_l + ρ_g j_g u_g
//
// It fails as not carried or blocked.
//
// Valid for full-bore bubbly downflow.
//
// Source: drift-flux model after N. Zuber and J. A. Findlay (1965), with the
// distribution of [distribution] and the drift of [DriftVelocity].
func (m *machine) mix(p, q1, nO, nN float64) (mixture, Status) {
	n := nO + nN
	if n <= 0 {
		j := q1 / m.area
		return mixture{jl: j, j: j, c0: 1, ug: j, ul: j, rhoM: m.rho, momentum: m.rho * j * j}, ""
	}
	x := m.fluxes(p, q1, nO, nN)
	x.branch = m.branchAt(x.j, math.Sqrt(x.rhoG/m.rho))
	return m.slip(x)
}

// fluxes fills in what does not depend on the slip.
func (m *machine) fluxes(p, q1, nO, nN float64) mixture {
	n := nO + nN
	x := mixture{qg: n * air.R * m.tWater / (p - m.pv), jl: q1 / m.area}
	x.jg = x.qg / m.area
	x.j = x.jl + x.jg
	x.rhoG = (nO*air.MolarOxygen+nN*air.MolarRest)/x.qg + m.rhoV
	return x
}

// slip fills in the rest, on the branch of x.
func (m *machine) slip(x mixture) (mixture, Status) {
	if x.jg <= 0 {
		return x, Blocked // below the vapour pressure
	}
	x.c0 = 1
	if x.branch != capped {
		r := math.Sqrt(x.rhoG / m.rho)
		c0, dx, dr := distribution(x.branch, m.c.kC0, x.j/m.drift, r)
		x.c0, x.dc0dj, x.dc0drho = c0, dx/m.drift, dr/(2*m.rho*r)
	}
	x.ug = x.c0*x.j - m.c.kV*m.drift*m.sin
	if x.ug < slowestGas {
		return x, NotCarried
	}
	x.void = x.jg / x.ug
	if x.void > fullOfGas {
		return x, Blocked
	}
	x.ul = x.jl / (1 - x.void)
	x.rhoM = m.rho*(1-x.void) + x.rhoG*x.void
	x.momentum = m.rho*x.jl*x.ul + x.rhoG*x.jg*x.ug
	return x, ""
}

// momentumChange returns dM for small changes of j_g, ρ_g and the gas's mass
// flux ρ_g·j_g.
func (m *machine) momentumChange(x *mixture, djg, drhoG, dflux float64) float64 {
	du := (x.dc0dj*djg+x.dc0drho*drhoG)*x.j + x.c0*djg
	dvoid := (djg - x.void*du) / x.ug
	return m.rho*x.ul*x.ul*dvoid + dflux*x.ug + x.rhoG*x.jg*du
}

// kinetic returns the power of motion per unit in W: (ρ q u_l² + ρ_g Q_g u_g²)/2.
func (m *machine) kinetic(x *mixture, q1 float64) float64 {
	return (m.rho*q1*x.ul*x.ul + x.rhoG*x.qg*x.ug*x.ug) / 2
}
