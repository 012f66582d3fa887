package trompe

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// spin is y' = x, x' = −y, whose solution is known: a circle.
type spin struct{ turns int }

func (s *spin) slope(y, dy *state) Status { dy[0], dy[1] = y[1], -y[0]; return "" }
func (s *spin) inside(*state) float64     { return 1 }
func (s *spin) turn(*state)               { s.turns++ }

// Ten times finer asks for ten times less error: the pair is of the order it
// says, and its coefficients are right.
func TestIntegrateFollowsACircle(t *testing.T) {
	for _, tol := range []float64{1e-6, 1e-8, 1e-10} {
		y := state{0, 1}
		require.Empty(t, integrate(&spin{}, &y, &state{1, 1}, 10, accuracy{tol, 1e-9}, 2, 2))
		require.InDelta(t, math.Sin(10), y[0], 20*tol)
		require.InDelta(t, math.Cos(10), y[1], 20*tol)
	}
}

// One step of order 5 with half the length has a 64th of the error.
func TestStepIsOfOrderFive(t *testing.T) {
	miss := func(h float64) float64 {
		var k [7]state
		var next state
		y := state{0, 1}
		(&spin{}).slope(&y, &k[0])
		step(&spin{}, &y, &next, &k, h, 2)
		return math.Hypot(next[0]-math.Sin(h), next[1]-math.Cos(h))
	}
	require.InDelta(t, 6, math.Log2(miss(0.4)/miss(0.2)), 0.2)
}

// bend is y' = 1 up to y = 1 and y' = 3 beyond.
type bend struct{ steep bool }

func (b *bend) slope(_, dy *state) Status {
	dy[0] = 1
	if b.steep {
		dy[0] = 3
	}
	return ""
}

func (b *bend) inside(y *state) float64 {
	if b.steep {
		return 1
	}
	return 1 - y[0]
}
func (b *bend) turn(*state) { b.steep = true }

func TestIntegrateEndsAStepOnAKink(t *testing.T) {
	var y state
	require.Empty(t, integrate(&bend{}, &y, &state{1}, 2, tight, 1, 1))
	require.InDelta(t, 4, y[0], 1e-12)
}

func TestRootFindsZeros(t *testing.T) {
	for name, c := range map[string]struct {
		f    func(float64) float64
		a, b float64
		want float64
	}{
		"cubic":    {func(x float64) float64 { return x*x*x - 2 }, 0, 3, math.Cbrt(2)},
		"steep":    {func(x float64) float64 { return math.Sqrt(math.Abs(x-1e-9))*math.Copysign(1, x-1e-9) + 0 }, -1, 1, 1e-9},
		"flat":     {func(x float64) float64 { return math.Pow(x-0.5, 9) }, 0, 2, 0.5},
		"backward": {func(x float64) float64 { return 1 - x }, 7, -3, 1},
	} {
		x, st := root(surely(c.f), c.a, c.f(c.a), c.b, c.f(c.b), 0)
		require.Empty(t, st, name)
		require.InDelta(t, c.want, x, 1e-12, name)
	}
}

// The closed form of the falling film against its own differential equation,
// followed in small steps.
func TestPlungeSpeedAgainstItsEquation(t *testing.T) {
	in := benchInput(t)
	m := newMachine(in)
	const q1, v0, h = 2.6e-4, 0.8, 1.1
	film := m.c.kF * frictionOfFilm(m, q1)
	b := film * math.Pi * m.bore / (8 * q1)
	v := v0
	const n = 200000
	for range n {
		d := func(v float64) float64 { return m.g*m.sin/v - b*v*v }
		mid := v + d(v)*h/n/2
		v += d(mid) * h / n
	}
	require.InEpsilon(t, v, m.plungeSpeed(q1, v0, h), 1e-7)
	require.Equal(t, v0, m.plungeSpeed(q1, v0, 0))
}

// Derivatives in closed form against differences of the state itself.
func TestMomentumChangeAgainstDifferences(t *testing.T) {
	m := newMachine(benchInput(t))
	const q1, p, nO, nN = 2.65e-4, 102000.0, 3e-4, 1.15e-3
	x, st := m.mix(p, q1, nO, nN)
	require.Empty(t, st)
	require.NotEqual(t, capped, x.branch)
	const dp = 1.0
	up, _ := m.mix(p+dp, q1, nO, nN)
	down, _ := m.mix(p-dp, q1, nO, nN)
	djg := -x.jg / (p - m.pv)
	got := m.momentumChange(&x, djg, (x.rhoG-m.rhoV)/(p-m.pv), m.rhoV*djg)
	require.InEpsilon(t, (up.momentum-down.momentum)/(2*dp), got, 1e-6)
}
