package trompe

import (
	"math"

	"leat/calc/air"
	"leat/calc/water"
)

// Bubbles are neither finer nor coarser than this, m.
const (
	finestBubble   = 1e-3
	coarsestBubble = 6e-3
)

// bubbleSize returns the Sauter diameter in m of the bubbles in a downcomer:
//
//	d_32 = k_b·0.725·(σ/ρ)^0.6·ε^−0.4,  ε = f·j_l³/(2 D)
//
// held within 1 and 6 mm.
//
// Valid for turbulent pipe flow.
//
// Source: J. O. Hinze, AIChE J. 1, 289 (1955), from memory; k_b after R. P.
// Hesketh et al. 1987, from memory.
func (m *machine) bubbleSize(q1 float64) float64 {
	jl := q1 / m.area
	f := water.FrictionFactor(m.rho*jl*m.bore/m.mu, m.wallPipe)
	eps := f * jl * jl * jl / (2 * m.bore)
	if eps <= 0 {
		return coarsestBubble
	}
	d := m.c.kB * 0.725 * math.Pow(m.sigma/m.rho, 0.6) * math.Pow(eps, -0.4)
	return min(max(d, finestBubble), coarsestBubble)
}

// fallingPath is the full-bore part of one downcomer.
//
//	dn_i/ds = −k_L,i·a·A·(H_i y_i (p − p_v) − c_i)
//	dp/ds = (ρ_m g·sinθ − F − M_n)/(1 + M_p)
//
// with F = (k_f f/D + k_minor/l)·ρ_m j²/2 and M_p, M_n the change of the
// momentum flux with pressure and with dissolution.
//
// Source: one-dimensional momentum balance; absorption controlled by rate after
// L.-T. Chen and W. Rice 1983 (abstract), transfer by penetration theory.
type fallingPath struct {
	m          *machine
	q1         float64
	nO0, nN0   float64
	perVoidO   float64 // k_L·a·A over the void, m²/s
	perVoidN   float64
	start      [2]float64 // dissolved at entry, mol/m³
	minorPerM  float64
	branch     branch
	fullResult bool // carry the integrals too
}

func (m *machine) falling(q1, d32, length float64, a drawn) *fallingPath {
	rise := water.BubbleRiseSpeed(d32, m.rho, m.mu, m.sigma, m.g)
	transfer := func(dif float64) float64 {
		return m.c.kAbs * 2 * math.Sqrt(dif*rise/(math.Pi*d32)) * 6 / d32 * m.area
	}
	w := m.in.Site.WaterSaturation * (m.pa - m.pv)
	return &fallingPath{
		m: m, q1: q1, nO0: a.nO, nN0: a.nN,
		perVoidO: transfer(m.difO), perVoidN: transfer(m.difN),
		start:     [2]float64{w * m.henryO * air.OxygenShare, w * m.henryN * (1 - air.OxygenShare)},
		minorPerM: m.in.Downcomer.KMinor / length,
	}
}

func (f *fallingPath) slope(y, dy *state) Status {
	m := f.m
	p, nO, nN := y[atP], y[atOxygen], y[atRest]
	n := nO + nN
	if !(nO > 0 && nN > 0 && p > m.pv) { // a trial step too far; a shorter one will do
		return Blocked
	}
	x := m.fluxes(p, f.q1, nO, nN)
	x.branch = f.branch
	x, st := m.slip(x)
	if st != "" {
		return st
	}
	partial := (p - m.pv) / n
	dnO := -f.perVoidO * x.void * (m.henryO*nO*partial - f.start[0] - (f.nO0-nO)/f.q1)
	dnN := -f.perVoidN * x.void * (m.henryN*nN*partial - f.start[1] - (f.nN0-nN)/f.q1)

	drhoP := (x.rhoG - m.rhoV) / (p - m.pv)
	djP := -x.jg / (p - m.pv)
	mp := m.momentumChange(&x, djP, drhoP, m.rhoV*djP)
	dn := dnO + dnN
	dmass := dnO*air.MolarOxygen + dnN*air.MolarRest
	djN := x.jg * dn / n
	mn := m.momentumChange(&x, djN, (dmass-(x.rhoG-m.rhoV)*x.qg*dn/n)/x.qg, dmass/m.area+m.rhoV*djN)
	if 1+mp < 0.1 {
		return Choked
	}
	wall := m.c.kF * water.FrictionFactor(m.rho*x.j*m.bore/m.mu, m.wallPipe) / m.bore
	loss := (wall + f.minorPerM) * x.rhoM * x.j * x.j / 2
	weight := m.g * m.sin
	dp := (x.rhoM*weight - loss - mn) / (1 + mp)
	dy[atP], dy[atOxygen], dy[atRest] = dp, dnO, dnN
	if f.fullResult {
		dy[atSlip] = weight * (m.rho - x.rhoG) * (x.void*m.area*x.j - x.qg)
		dy[atFriction] = (f.q1 + x.qg) * loss
		dy[atMomentum] = (f.q1 + x.qg) * (mp*dp + mn)
		dy[atExpansion] = x.qg * dp
		dy[atWeight] = weight * x.rhoG * x.qg
	}
	return ""
}

// inside is positive while the branch of C0 holds, see [distribution].
func (f *fallingPath) inside(y *state) float64 {
	m := f.m
	x := m.fluxes(y[atP], f.q1, y[atOxygen], y[atRest])
	ratio := x.j / m.drift
	raw, _, _ := distribution(rawBranch(ratio), m.c.kC0, ratio, math.Sqrt(x.rhoG/m.rho))
	switch f.branch {
	case capped:
		return raw - 1
	case fast:
		return min(1-raw, ratio/driftSlowTo-1)
	default:
		return min(1-raw, 1-ratio/driftSlowTo)
	}
}

func (f *fallingPath) turn(y *state) {
	x := f.m.fluxes(y[atP], f.q1, y[atOxygen], y[atRest])
	f.branch = f.m.branchAt(x.j, math.Sqrt(x.rhoG/f.m.rho))
}

// fall carries the mixture from the top of the full bore at pressure p1 down
// the length l. With stations it also returns the states at equal distances.
func (m *machine) fall(q1, p1, l float64, a drawn, acc accuracy, stations int) (end state, at []state, st Status) {
	end[atP], end[atOxygen], end[atRest] = p1, a.nO, a.nN
	at = append(at, end)
	if a.n() <= 0 {
		return m.fallOfWater(end, q1, l, stations)
	}
	f := m.falling(q1, m.bubbleSize(q1), l, a)
	f.turn(&end)
	scale := state{p1 * 0.01, a.nO * 0.01, a.nN * 0.01}
	used, parts := 3, 1
	if stations > 0 {
		f.fullResult, used, parts = true, len(end), stations-1
	}
	for range parts {
		if st = integrate(f, &end, &scale, l/float64(parts), acc, 3, used); st != "" {
			return end, nil, st
		}
		at = append(at, end)
	}
	return end, at, ""
}

// fallOfWater is the downcomer without air.
func (m *machine) fallOfWater(top state, q1, l float64, stations int) (end state, at []state, st Status) {
	j := q1 / m.area
	wall := m.c.kF * water.FrictionFactor(m.rho*j*m.bore/m.mu, m.wallPipe) / m.bore
	loss := (wall + m.in.Downcomer.KMinor/l) * m.rho * j * j / 2
	for i := range max(stations, 2) {
		s := l * float64(i) / float64(max(stations, 2)-1)
		end = top
		end[atP] += (m.rho*m.g*m.sin - loss) * s
		end[atFriction] = q1 * loss * s
		at = append(at, end)
	}
	return end, at, ""
}
