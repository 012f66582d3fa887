package trompe

import "math"

// state is the vector that is integrated along a pipe: pressure and molar flows
// of oxygen and of the rest, then integrals over the path.
type state [8]float64

const (
	atP = iota
	atOxygen
	atRest
	atSlip
	atFriction
	atMomentum
	atExpansion
	atWeight
)

// path is a system of equations along a pipe whose right side may have kinks.
// Between kinks it stays on one branch of its formulas.
type path interface {
	slope(y, dy *state) Status // derivatives on the present branch
	inside(y *state) float64   // negative beyond the present branch
	turn(y *state)             // take the branch that holds at y
}

// accuracy is how finely a path is integrated.
type accuracy struct {
	relative float64
	shortest float64 // step, as a share of the length, below which a failure counts
}

var (
	loose = accuracy{1e-5, 1e-5} // to see on which side of zero a residual lies
	tight = accuracy{1e-10, 1e-9}
	brief = accuracy{1e-7, 1e-6} // for the draws of an interval, which is a thousand times as wide
)

const mostSteps = 20000

// integrate carries y over a length by the pair of Dormand and Prince, of order
// 5 with an error estimate of order 4. The first used components are carried,
// the first controlled of them, no smaller than scale, decide the step. A step
// that would pass a kink ends on it.
//
// Source: J. R. Dormand and P. J. Prince, J. Comput. Appl. Math. 6, 19 (1980),
// coefficients from memory, checked by their order of convergence.
func integrate(p path, y, scale *state, length float64, acc accuracy, controlled, used int) Status {
	var k [7]state
	if st := p.slope(y, &k[0]); st != "" {
		return st
	}
	h := length
	for s, steps := 0.0, 0; s < length; steps++ {
		if steps > mostSteps {
			return NoOperatingPoint
		}
		last := s+h >= length*(1-1e-12)
		if last {
			h = length - s
		}
		var next state
		st := step(p, y, &next, &k, h, used)
		if st != "" {
			if h < acc.shortest*length {
				return st
			}
			h /= 4
			continue
		}
		err := stepError(&k, y, scale, h, acc.relative, controlled)
		if !(err <= 1) { // NaN too
			h *= shrink(err)
			continue
		}
		if p.inside(&next) < 0 {
			last = false
			if h, st = toKink(p, y, &next, &k, h, used); st != "" {
				return st
			}
			p.turn(&next)
			if st = p.slope(&next, &k[6]); st != "" {
				return st
			}
		}
		s += h
		*y, k[0] = next, k[6]
		if last {
			return ""
		}
		h *= min(8, 0.9*math.Pow(max(err, 1e-9), -0.2))
	}
	return ""
}

// shrink is how much shorter the next try is after an error of so many times
// what is allowed.
func shrink(err float64) float64 {
	if math.IsNaN(err) {
		return 0.2
	}
	return max(0.2, 0.9*math.Pow(err, -0.2))
}

// step makes one trial step. k[0] is given; k[6] becomes the slope at its end.
func step(p path, y, next *state, k *[7]state, h float64, used int) Status {
	for stage := 1; stage < 7; stage++ {
		row := &dormand[stage-1]
		for i := range used {
			sum := 0.0
			for j := range stage {
				sum += row[j] * k[j][i]
			}
			next[i] = y[i] + h*sum
		}
		if st := p.slope(next, &k[stage]); st != "" {
			return st
		}
	}
	return ""
}

// dormand holds the stages; its last row is the result of order 5.
var dormand = [6][6]float64{
	{1. / 5},
	{3. / 40, 9. / 40},
	{44. / 45, -56. / 15, 32. / 9},
	{19372. / 6561, -25360. / 2187, 64448. / 6561, -212. / 729},
	{9017. / 3168, -355. / 33, 46732. / 5247, 49. / 176, -5103. / 18656},
	{35. / 384, 0, 500. / 1113, 125. / 192, -2187. / 6784, 11. / 84},
}

// dormandError is the result of order 5 less that of order 4.
var dormandError = [7]float64{71. / 57600, 0, -71. / 16695, 71. / 1920, -17253. / 339200, 22. / 525, -1. / 40}

func stepError(k *[7]state, y, scale *state, h, relative float64, controlled int) (worst float64) {
	for i := range controlled {
		e := 0.0
		for j, c := range dormandError {
			e += c * k[j][i]
		}
		worst = max(worst, math.Abs(h*e)/(relative*max(math.Abs(y[i]), scale[i])))
	}
	return worst
}

// toKink shortens a step that ends beyond the present branch until it ends just
// beyond the kink, and makes it.
func toKink(p path, y, next *state, k *[7]state, h float64, used int) (float64, Status) {
	near, far := 0.0, h
	trial := func(x float64) (float64, Status) {
		st := step(p, y, next, k, x, used)
		v := p.inside(next)
		if v < 0 {
			far = min(far, x)
		}
		return v, st
	}
	fFar := p.inside(next)
	fNear := p.inside(y)
	if fNear <= 0 { // still on the kink that the last step ended on
		return h, ""
	}
	if _, st := root(trial, near, fNear, far, fFar, 1e-14*h); st != "" {
		return h, st
	}
	st := step(p, y, next, k, far, used)
	return far, st
}
