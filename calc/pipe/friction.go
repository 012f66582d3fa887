package pipe

import "math"

const (
	laminarTo     = 2300
	turbulentFrom = 4000
)

// The regimes of a full pipe.
const (
	Laminar      = "laminar"
	Transitional = "transitional"
	Turbulent    = "turbulent"
)

// Regime names the kind of flow at a Reynolds number.
func Regime(re float64) string {
	switch {
	case re < laminarTo:
		return Laminar
	case re < turbulentFrom:
		return Transitional
	}
	return Turbulent
}

// Reynolds returns the Reynolds number of a full pipe:
//
//	Re = v·D/ν
//
// v is in m/s, d in m, nu in m²/s.
//
// Valid everywhere.
//
// Source: definition.
func Reynolds(v, d, nu float64) float64 { return v * d / nu }

// Friction returns Darcy's friction factor f of a full pipe:
//
//	f = 64/Re         Re < 2300
//	f of [Colebrook]  Re ≥ 4000
//
// and linear in Re between the two. relative is the relative roughness ε/D.
//
// Valid for Re above 0 and ε/D below 0.5; within 10 %, but within 50 % from Re
// 2300 to 4000, where the flow itself is unsteady.
//
// Source: laminar by Hagen and Poiseuille; C. F. Colebrook 1939; both from memory.
func Friction(re, relative float64) float64 {
	switch {
	case re < laminarTo:
		return 64 / re
	case re >= turbulentFrom:
		return Colebrook(re, relative)
	}
	low := 64.0 / laminarTo
	return low + (re-laminarTo)/(turbulentFrom-laminarTo)*(Colebrook(turbulentFrom, relative)-low)
}

// Colebrook returns Darcy's friction factor f of turbulent flow, which solves
//
//	1/√f = −2·log10(ε/(3.7·D) + 2.51/(Re·√f))
//
// relative is the relative roughness ε/D. Newton's method on 1/√f; four rounds
// end it from Haaland's value.
//
// Valid for Re from 4000 and ε/D below 0.5.
//
// Source: C. F. Colebrook, J. Inst. Civ. Eng. 11, 133 (1939), from memory.
func Colebrook(re, relative float64) float64 {
	const perLn = 2 / math.Ln10
	wall, film := relative/3.7, 2.51/re
	x := -1.8 * math.Log10(math.Pow(wall, 1.11)+6.9/re)
	for range 20 {
		inside := wall + film*x
		step := (x + perLn*math.Log(inside)) / (1 + perLn*film/inside)
		x -= step
		if math.Abs(step) < 1e-13*x {
			break
		}
	}
	return 1 / (x * x)
}

// HeadLoss returns the head in m that a full pipe and its fittings take:
//
//	h = (f·L/D + ΣK)·v²/(2g)
//
// f is Darcy's friction factor, l and d are in m, k is ΣK, v in m/s, g in m/s².
//
// Valid for steady flow; f to 10 %, K to 30 %.
//
// Source: Darcy and Weisbach.
func HeadLoss(f, l, d, k, v, g float64) float64 { return (f*l/d + k) * v * v / (2 * g) }

// WaveSpeed returns how fast a pressure wave runs in a full pipe, in m/s:
//
//	a = √(K/ρ)/√(1 + c₁·(K/E)·(D/e))
//
// bulk is the bulk modulus K of the water in Pa, rho in kg/m³, c1 says how the
// pipe is held, modulus is E of the wall in Pa, d bore and wall e in m.
//
// Valid for thin walls and water free of bubbles: a little air makes it far slower.
//
// Source: Korteweg and Joukowsky, as in C. S. Martin, Waterhammer potential in
// pumps and systems, equation 1.
func WaveSpeed(bulk, rho, c1, modulus, d, wall float64) float64 {
	return math.Sqrt(bulk/rho) / math.Sqrt(1+c1*bulk/modulus*d/wall)
}
