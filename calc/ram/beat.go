package ram

import (
	"math"

	"leat/calc/pipe"
)

// TerminalSpeed returns the speed in m/s at which a fall is all spent in the
// drive pipe and the open waste valve, which solves
//
//	(1 + ΣK + f·L/D)·V²/(2g) = H
//
// fall is H, l the length, d the bore and eps the roughness of the pipe, all in
// m, nu is in m²/s, k is ΣK, g in m/s². It lies between what friction allows at
// its largest and what it allows at none.
//
// Valid for eps below half of d.
//
// Source: Bernoulli, with the friction of Darcy and Colebrook.
func TerminalSpeed(g, fall, l, d, eps, nu, k float64) float64 {
	const mostTurbulent = 0.4 // Darcy's factor never gets there while eps < d/2
	even, square := 32*nu*l/(g*d*d), (1+k+mostTurbulent*l/d)/(2*g)
	low := math.Log(2 * fall / (even + math.Sqrt(even*even+4*square*fall)))
	high := math.Log(math.Sqrt(2 * g * fall / (1 + k)))
	return math.Exp(root(low, high, func(lnV float64) float64 {
		v := math.Exp(lnV)
		f := pipe.Friction(pipe.Reynolds(v, d, nu), eps/d)
		return math.Log(pipe.HeadLoss(f, l, d, 1+k, v, g) / fall)
	}))
}

// AccelerationTime returns the time in s in which the water in the drive pipe
// gets from rest to the speed v:
//
//	t = L·V∞/(g·H)·artanh(v/V∞)
//
// l and the fall are in m, the terminal speed V∞ and v in m/s.
//
// Valid for v below V∞: a rigid column, losses as the square of the speed.
//
// Source: equation of motion, integrated.
func AccelerationTime(g, l, fall, terminal, v float64) float64 {
	return l * terminal / (g * fall) * math.Atanh(v/terminal)
}

// WasteVolume returns what leaves at the waste valve until the water runs at
// the speed v, in m³:
//
//	W = −(A·L/M)·ln(1 − (v/V∞)²)
//
// area A of the bore is in m², l in m, m is the loss coefficient M of all.
//
// Valid for v below V∞.
//
// Source: equation of motion, integrated over the way.
func WasteVolume(area, l, m, v, terminal float64) float64 {
	x := v / terminal
	return -area * l / m * math.Log1p(-x*x)
}

// Kick returns the head in m by which the pressure rises when the waste valve
// stops the water at the speed v:
//
//	a·v/g, but 2·L·v/(g·t) at most where the valve takes longer than 2·L/a
//
// a is the wave speed in m/s, l in m, closing the time t in s.
//
// Valid for a straight pipe of one bore.
//
// Source: Joukowsky; slow closing as Michaud, from memory.
func Kick(g, a, l, v, closing float64) float64 {
	kick := a * v / g
	if closing > 2*l/a {
		return math.Min(kick, 2*l*v/(g*closing))
	}
	return kick
}

// PumpedVolume returns what a beat lifts, in m³:
//
//	q_b = (A·L/M_d)·ln(1 + M_d·V₀²/(2g·(h − H)))
//
// area A is in m², l and above, the lift h − H above the intake, in m, m is the
// loss coefficient M_d while pumping, v the speed V₀ at its start in m/s.
//
// Valid for above over 0: a rigid column that the lift brings to rest.
//
// Source: equation of motion, integrated over the way.
func PumpedVolume(g, area, l, m, v, above float64) float64 {
	return area * l / m * math.Log1p(m*v*v/(2*g*above))
}

// PumpingTime returns how long a beat pumps, in s:
//
//	t = L·V_d/(g·(h − H))·arctan(V₀/V_d),  V_d = √(2g·(h − H)/M_d)
//
// with the arguments of [PumpedVolume].
//
// Valid for above over 0.
//
// Source: equation of motion, integrated over the time.
func PumpingTime(g, l, m, v, above float64) float64 {
	settled := math.Sqrt(2 * g * above / m)
	return l * settled / (g * above) * math.Atan(v/settled)
}
