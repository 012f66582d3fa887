package receiver_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/calctest"
	"leat/calc/receiver"
)

const seed, rounds = 4, 100_000

func result(t *testing.T, name, in string) string {
	answer := calctest.Ask(t, receiver.Calculations(), "system/"+name, in)
	require.True(t, answer.OK, "%s %s: %v", name, in, answer.Fault)
	text, err := json.Marshal(answer.Result)
	require.NoError(t, err)
	return string(text)
}

// chance draws numbers that spread evenly over decades.
func chance() func(low, high float64) float64 {
	rng := rand.New(rand.NewPCG(seed, 0))
	return func(low, high float64) float64 { return low * math.Pow(high/low, rng.Float64()) }
}

// integral adds up f from a to b by Simpson's rule.
func integral(a, b float64, f func(float64) float64) float64 {
	const n = 2000
	step, sum := (b-a)/n, f(a)+f(b)
	for i := 1; i < n; i++ {
		sum += float64(2+2*(i%2)) * f(a+float64(i)*step)
	}
	return sum * step / 3
}

// Stored energy is ∫(p − p_a)dV until the air has the pressure around: along
// p·V for slow air, p·V^1.4 for fast air, added up step by step.
func TestStoredEnergyIsPressureTimesVolume(t *testing.T) {
	for _, p := range []float64{1.3e5, 3e5, 1e6} {
		const pa, v = 101325.0, 0.05
		slow := integral(v, v*p/pa, func(x float64) float64 { return p*v/x - pa })
		fast := integral(v, v*math.Pow(p/pa, 1/1.4), func(x float64) float64 { return p*math.Pow(v/x, 1.4) - pa })
		require.InEpsilon(t, slow, receiver.IsothermalExergy(p, pa, v), 1e-9)
		require.InEpsilon(t, fast, receiver.AdiabaticWork(p, pa, v, 1.4), 1e-9)
	}
}

// Fast air never gives more than slow air, a regulator never more than there
// is, and more pressure means more energy: both laws of thermodynamics.
func TestEnergyBounds(t *testing.T) {
	between := chance()
	for range rounds {
		in := receiver.TankIn{V: between(1e-4, 100), PAtm: between(5e4, 1.1e5), T: between(250, 320)}
		in.P = in.PAtm * between(1.01, 100)
		in.PMin = new(in.PAtm * math.Pow(in.P/in.PAtm, between(0.01, 0.99)))
		got, _, fault := receiver.Tank(in)
		if fault != nil || got.EAdiabJ > got.EIsoJ || got.EAdiabJ < 0 || *got.ERegulatedWh > got.EIsoWh || *got.EIsoBetweenWh > got.EIsoWh || got.TEndAdiab > in.T {
			t.Fatalf("seed %d: %+v gives %+v, %v", seed, in, got, fault)
		}
		in.P *= between(1.001, 2)
		if more, _, _ := receiver.Tank(in); more.EIsoJ <= got.EIsoJ || more.EAdiabJ <= got.EAdiabJ {
			t.Fatalf("seed %d: %+v holds no more than %+v", seed, in, got)
		}
	}
}

// The time to fill is ∫dp/Q, added up step by step, over a curve with a bend
// and a level stretch.
func TestFillTimeIsTheIntegral(t *testing.T) {
	ps, qs := []float64{1e5, 1.5e5, 1.8e5, 3e5}, []float64{0.002, 0.001, 0.001, 0.0001}
	in := receiver.FillIn{V: 0.1, P1: 1.2e5, P2: 2.7e5, CurveP: ps, CurveQ: qs, PAtm: 101325, T: 300, TRef: 290}
	inverse := func(p float64) float64 { return 1 / calc.Interpolate(p, ps, qs) }
	sum := integral(1.2e5, 1.5e5, inverse) + integral(1.5e5, 1.8e5, inverse) + integral(1.8e5, 2.7e5, inverse)
	got, _, fault := receiver.Fill(in)
	require.Nil(t, fault)
	require.InEpsilon(t, 0.1/101325*290/300*sum, got.TS, 1e-9)
	require.InEpsilon(t, got.TS, 60*got.TMin, 1e-12)
}

// A flow that hardly changes fills as a steady one does; the formula must not
// lose its digits there.
func TestFillTimeOfNearlySteadyFlow(t *testing.T) {
	for _, change := range []float64{0, 1e-15, 1e-12, 1e-9} {
		require.InEpsilon(t, 1e8, receiver.SegmentIntegral(1e5, 1e-3, 1e-3*(1+change)), 1e-8)
	}
}

// What leaks out over the time is what runs back in: at one temperature the
// leak times the time is the free air between both pressures.
func TestLeakIsTheAirThatIsGone(t *testing.T) {
	between := chance()
	for range 1000 {
		in := receiver.LeakIn{V: between(1e-3, 10), PAtm: 101325, P1: between(3e5, 1e6), Time: between(10, 1e5), T1: 293.15, T2: 293.15, TRef: 293.15, UP: 1000, UT: 0.5}
		in.P2, in.PMin = in.P1*between(0.5, 0.999), new(2e5)
		leak, _, fault := receiver.Leak(in)
		require.Nil(t, fault)
		lasts, _, _ := receiver.Runtime(receiver.RuntimeIn{V: in.V, P1: in.P1, P2: in.P2, QLoad: leak.LeakM3S, PAtm: in.PAtm})
		require.InEpsilon(t, in.Time, *lasts.TS, 1e-9, "seed %d: %+v", seed, in)
		require.InEpsilon(t, in.P2, in.P1*math.Exp(-in.Time / *leak.TauS), 1e-9)
		require.InEpsilon(t, *in.PMin, in.P1*math.Exp(-**leak.TToPMinS / *leak.TauS), 1e-9)
	}
}

// GUM by hand: the leak falls by V·T_ref/(p_a·t)/T for each Pa of a reading and
// by p/T for each kelvin; the squares of the four parts add up.
func TestUncertaintyOfALeak(t *testing.T) {
	got := number(t, "leak_test", `{"V": 0.05, "p1": 901325, "p2": 881325, "t": 3600}`, "U95_Lmin")
	part := 0.05 / (101325 * 3600.0) * 60_000
	want := 2 * math.Sqrt(2*math.Pow(part*1000, 2)+2*math.Pow(part*901325*0.5/293.15, 2))
	require.InEpsilon(t, want, got, 1e-12)
}

// All the water goes somewhere: as much as came in, or less, falls out; dry air
// leaves none; and air let out dry at 1 atm is as moist as its water says.
func TestMoistureIsKept(t *testing.T) {
	between := chance()
	for range rounds {
		in := receiver.MoistureIn{VFree: between(0.01, 100), RH: between(0.01, 1), TAmb: between(1, 50), TRecv: between(1, 50), PAtm: 101325}
		in.P = in.PAtm * between(1.2, 20)
		got, _, fault := receiver.Moisture(in)
		if fault != nil || got.MCondensate < 0 || got.MCondensate > got.MVapourIn*1.001 { // both gas constants are rounded
			t.Fatalf("seed %d: %+v gives %+v, %v", seed, in, got, fault)
		}
		want := receiver.SaturationPressure(in.TRecv) / in.P * in.PAtm / receiver.SaturationPressure(in.TAmb) // Dalton: shares stay
		require.InEpsilon(t, want, got.RHAfterExpansion, 1e-12, "seed %d", seed)
	}
}

func FuzzReceiver(f *testing.F) { calctest.Fuzz(f, receiver.Calculations()) }
