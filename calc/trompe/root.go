package trompe

import "math"

// root finds a zero of f between a and b, at which its values fa and fb have
// opposite signs, to the tolerance or to what a double can hold. It returns the
// better end of the last bracket, or the failure that f met.
//
// Source: T. R. Chandrupatla, Adv. Eng. Softw. 28, 145 (1997): inverse
// quadratic interpolation where it is safe, else bisection.
func root(f func(float64) (float64, Status), a, fa, b, fb, tolerance float64) (float64, Status) {
	const eps = 0x1p-52
	if fa == 0 {
		return a, ""
	}
	if fb == 0 {
		return b, ""
	}
	t := 0.5
	for range 200 {
		x := a + t*(b-a)
		fx, st := f(x)
		if st != "" {
			return x, st
		}
		var c, fc float64
		if (fx > 0) == (fa > 0) {
			c, fc = a, fa
		} else {
			c, fc = b, fb
			b, fb = a, fa
		}
		a, fa = x, fx
		best, fBest := a, fa
		if math.Abs(fb) < math.Abs(fa) {
			best, fBest = b, fb
		}
		least := (eps*math.Abs(best) + tolerance/2) / math.Abs(b-a)
		if fBest == 0 || least > 0.5 {
			return best, ""
		}
		xi, phi := (a-b)/(c-b), (fa-fb)/(fc-fb)
		t = 0.5
		if phi*phi < xi && (1-phi)*(1-phi) < 1-xi {
			t = fa/(fb-fa)*fc/(fb-fc) + (c-a)/(b-a)*fa/(fc-fa)*fb/(fc-fb)
		}
		t = min(1-least, max(least, t))
	}
	return a, ""
}

// surely makes a function that cannot fail fit root.
func surely(f func(float64) float64) func(float64) (float64, Status) {
	return func(x float64) (float64, Status) { return f(x), "" }
}
