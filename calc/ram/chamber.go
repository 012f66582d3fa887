package ram

import "math"

// Travel returns how far, in m³, the water has moved into a chamber of air when
// its pressure has risen by the factor r:
//
//	S₁ = V·(1 − r^(−1/n))
//
// whole is the volume V of the air at the start, in m³, n the exponent of the compression.
//
// Valid for r of 1 and more, n from 1 to 1.4.
//
// Source: polytropic law of an ideal gas.
func Travel(whole, r, n float64) float64 { return -whole * math.Expm1(-math.Log(r)/n) }

// CompressionWork returns the work in J put into that air:
//
//	p₁·V·ln r                                 n = 1
//	p₁·V/(n − 1)·(r^((n − 1)/n) − 1)          else
//
// p1 is the absolute pressure at the start in Pa, the rest as in [Travel].
//
// Valid for r of 1 and more, n from 1 to 1.4; within 1e-9 of 1 counts as 1.
//
// Source: ∫p·dV along the polytropic law.
func CompressionWork(p1, whole, r, n float64) float64 {
	if math.Abs(n-1) < 1e-9 {
		return p1 * whole * math.Log(r)
	}
	return p1 * whole / (n - 1) * math.Expm1((n-1)/n*math.Log(r))
}

// chamber is air that water compresses. Pressures are absolute.
type chamber struct {
	p1               float64 // Pa, at the start
	stroke, clearing float64 // m³, what water can fill and what stays
	n                float64 // exponent
}

func (c chamber) whole() float64 { return c.stroke + c.clearing }

// mostRatio is the pressure ratio at which the stroke is used up.
func (c chamber) mostRatio() float64 { return math.Pow(c.whole()/c.clearing, c.n) }

// kept is what the air takes up to the pressure p, less what the standing
// pressure of the supply gives, in J.
func (c chamber) kept(p, static float64) float64 {
	r := p / c.p1
	return CompressionWork(c.p1, c.whole(), r, c.n) - static*Travel(c.whole(), r, c.n)
}

// deadEnd returns the pressure to which the air rises with nothing let out, or
// nothing when the water fills the stroke first and strikes solid. What is kept
// first falls, then rises with the pressure, so that it passes the energy once.
func (c chamber) deadEnd(energy, static float64) (p float64, ok bool) {
	low, high := math.Log(c.p1), math.Log(c.p1*c.mostRatio())
	if !(c.kept(math.Exp(high), static) >= energy) {
		return 0, false
	}
	return math.Exp(root(low, high, func(lnP float64) float64 { return c.kept(math.Exp(lnP), static) - energy })), true
}
