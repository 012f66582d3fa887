package use_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/calctest"
	"leat/calc/pipe"
	"leat/calc/use"
)

const seed, rounds = 17, 100_000

// chance draws numbers that spread evenly over decades.
func chance() func(low, high float64) float64 {
	rng := rand.New(rand.NewPCG(seed, 0))
	return func(low, high float64) float64 { return low * math.Pow(high/low, rng.Float64()) }
}

// Nothing that air drives gets more power than air gives at one temperature:
// the second law.
func TestEnergyBounds(t *testing.T) {
	between := chance()
	raised := 0
	for range rounds {
		lift := use.AirliftIn{D: between(0.007, 0.1), S: between(0.1, 20), Lift: between(0.01, 20), QFree: between(1e-6, 0.01),
			PAtm: between(6e4, 1.1e5), Rho: calc.WaterDensity, Sigma: 0.0728, Nu: calc.WaterNu}
		got, _, fault := use.Airlift(lift)
		if fault == nil {
			raised++
		} else if fault.Code == calc.Bound {
			t.Fatalf("seed %d: %+v breaks the bound", seed, lift)
		}
		if got.Efficiency > 1/1.2 { // slip alone costs that much
			t.Fatalf("seed %d: %+v gives %+v", seed, lift, got)
		}

		hole := use.OrificeIn{P1: between(1.0001e5, 2e6), D: between(1e-4, 0.1), P2: 1e5, T1: between(250, 350), Cd: 1, PFree: calc.Atmosphere, TFree: 293.15}
		jet, _, _ := use.Orifice(hole)
		if !jet.Choked { // all the heat content that is lost is speed
			speed := 2 * calc.AirGamma / (calc.AirGamma - 1) * calc.AirR * hole.T1 * -math.Expm1((calc.AirGamma-1)/calc.AirGamma*math.Log(hole.P2/hole.P1)) // squared
			if jet.Qm*speed/2 > jet.Qm*calc.AirR*hole.T1*math.Log(hole.P1/hole.P2) {
				t.Fatalf("seed %d: %+v gives %+v", seed, hole, jet)
			}
		}

		tool := use.ToolIn{PShaft: between(1, 2000), PGauge: between(1e3, 1e6), Eta: between(0.01, 1), PAtm: between(6e4, 1.1e5)}
		air, _, _ := use.Tool(tool)
		if work := tool.PAtm * air.QFreeM3s * math.Log((tool.PAtm+tool.PGauge)/tool.PAtm); tool.PShaft > work*(1+1e-9) {
			t.Fatalf("seed %d: %+v gives %+v of %g W", seed, tool, air, work)
		}
	}
	require.Greater(t, raised, rounds/10, "airlifts that raise something")
}

// The lost pressure of an air pipe is that of marching through it, a thousandth
// of the length at a time: dp·(1 − (G/p)²·R·T) = −f/(2·D)·G²·R·T/p·dx.
func TestAirPipeAgainstMarching(t *testing.T) {
	between := chance()
	for range 300 {
		in := use.PipeIn{P1: between(1.1e5, 1e6), D: between(0.004, 0.1), L: between(1, 300), Qm: new(between(1e-5, 0.05)), T: between(260, 330), Eps: 4.6e-5, Mu: 1.82e-5}
		got, _, fault := use.Pipe(in)
		if fault != nil || got.P2 < 0.3*in.P1 {
			continue // nearly choked: marching in equal steps is too coarse there
		}
		flux := *in.Qm / (math.Pi / 4 * in.D * in.D)
		slope := func(p float64) float64 {
			w := flux * flux * 287.05 * in.T
			return -got.F / (2 * in.D) * w / p / (1 - w/(p*p))
		}
		p, dx := in.P1, in.L/1000
		for range 1000 { // Runge and Kutta, fourth order
			a := slope(p)
			b := slope(p + a*dx/2)
			c := slope(p + b*dx/2)
			d := slope(p + c*dx)
			p += dx * (a + 2*b + 2*c + d) / 6
		}
		require.InEpsilon(t, p, got.P2, 1e-8, "seed %d: %+v", seed, in)
	}
}

// What comes back satisfies the equation, up to the very flow that chokes the end.
func TestAirPipeSolvesItsEquation(t *testing.T) {
	between := chance()
	solved := 0
	for range rounds {
		p1, flux, temp, n := between(1e4, 1e7), between(1e-3, 1e4), between(250, 400), between(1e-3, 1e5)
		share, passes := use.PipeDrop(p1, flux, temp, n)
		if !passes {
			continue
		}
		solved++
		p2 := p1 * (1 - share)
		w := flux * flux * 287.05 * temp
		left, right := p1*p1*share*(2-share), w*(n-2*math.Log1p(-share))
		if math.Abs(left-right) > 1e-11*left || p2 < math.Sqrt(w)*(1-1e-12) {
			t.Fatalf("seed %d: p1 %g, flux %g, T %g, N %g: share %g", seed, p1, flux, temp, n, share)
		}
	}
	require.Greater(t, solved, rounds/10)
}

// A nozzle is steady where it chokes, and gives less the more presses back.
func TestNozzleIsSteadyAndFalls(t *testing.T) {
	require.InDelta(t, use.NozzleFlow(1, 1, 1, use.CriticalRatio, 300), use.NozzleFlow(1, 1, 1, use.CriticalRatio+1e-9, 300), 1e-12)
	require.InDelta(t, 0, use.NozzleFlow(1, 1, 1, 1-1e-15, 300), 1e-7)
	require.Equal(t, use.ComponentFlow(1, 0.3, 1, 0.3, 300), use.ComponentFlow(1, 0.3, 1, 0.1, 300))
	between := chance()
	for range 10_000 {
		p2 := between(0.3, 0.99)
		more := p2 * between(1.0001, 1/p2)
		require.GreaterOrEqual(t, use.NozzleFlow(1, 1, 1, p2, 300), use.NozzleFlow(1, 1, 1, more, 300), "seed %d: %g, %g", seed, p2, more)
		require.GreaterOrEqual(t, use.ComponentFlow(1, 0.5, 1, p2, 300), use.ComponentFlow(1, 0.5, 1, more, 300), "seed %d: %g, %g", seed, p2, more)
	}
}

// ISO 6358 draws the curve of a nozzle as a quarter of an ellipse. With b as for
// a nozzle the two differ by no more than a hundredth: both are isentropic there.
func TestComponentIsNearANozzle(t *testing.T) {
	c := use.Conductance(1, 1e-6)
	for r := 0.05; r < 0.99; r += 0.01 {
		require.InDelta(t, 1, use.ComponentFlow(c, use.CriticalRatio, 7e5, r*7e5, 293.15)/use.NozzleFlow(1, 1e-6, 7e5, r*7e5, 293.15), 0.01, "p2/p1 %g", r)
	}
}

// The equation of the airlift holds for what it raises, set down here anew.
func TestAirliftSolvesItsEquation(t *testing.T) {
	between := chance()
	for range 10_000 {
		in := use.AirliftIn{D: between(0.008, 0.05), S: between(0.2, 5), Lift: between(0.05, 2), QFree: between(1e-5, 1e-3),
			PAtm: 101325, Rho: 998.2, Sigma: 0.0728, Nu: 1.004e-6}
		out, _, fault := use.Airlift(in)
		if fault != nil || out.Water < 1e-9 {
			continue
		}
		area := math.Pi * in.D * in.D / 4
		sig := 0.0728 / (998.2 * 9.80665 * in.D * in.D)
		slug := 0.352 * (1 - 3.18*sig - 14.77*sig*sig) * math.Sqrt(9.80665*in.D)
		j := (in.QFree*101325/(101325+998.2*9.80665*in.S/2) + out.Water) / area
		void := (j - out.Water/area) / (1.2*j + slug)
		f := pipe.Friction(j*in.D/1.004e-6, 0) // that of a smooth pipe, some per cent beside Blasius
		right := (in.S + in.Lift) * (1 - void)
		friction := in.S/right - 1
		require.InDelta(t, void, out.Void, 1e-9, "seed %d: %+v", seed, in)
		require.InDelta(t, friction, f*j*j/(2*9.80665*in.D), 0.1*friction+1e-9, "seed %d: %+v", seed, in)
	}
}

// At full strength, oxygen from air cannot be more than air brings.
func TestOxygenBound(t *testing.T) {
	between := chance()
	for range 10_000 {
		in := use.AerationIn{Depth: between(0.1, 100), QFree: between(1e-6, 1), Rho: 998.2, SOTEPerM: between(0.01, 0.15), TC: 20, Alpha: 1, Beta: 1}
		out, _, fault := use.Aeration(in)
		require.Nil(t, fault)
		require.LessOrEqual(t, out.OTRGph, in.QFree*1.204*0.2315*3.6e6*(1+1e-12), "seed %d: %+v", seed, in)
		require.InEpsilon(t, out.SOTRGph, out.OTRGph, 1e-12, "clean water of 20 °C without oxygen is the standard")
	}
}

func FuzzUse(f *testing.F) { calctest.Fuzz(f, use.Calculations()) }

func BenchmarkAirPipe(b *testing.B)  { bench(b, "system/air_pipe") }
func BenchmarkAirlift(b *testing.B)  { bench(b, "system/airlift") }
func BenchmarkToolAir(b *testing.B)  { bench(b, "system/tool_air") }
func BenchmarkAeration(b *testing.B) { bench(b, "system/aeration") }

func bench(b *testing.B, name string) {
	for _, c := range use.Calculations() {
		for c.Name == name && b.Loop() {
			answer, _ := c.Run(c.Example)
			_, _ = json.Marshal(answer)
		}
	}
}
