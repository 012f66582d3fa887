package source_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/calctest"
	"leat/calc/source"
)

const seed, rounds = 11, 100_000

// chance draws numbers that spread evenly over decades.
func chance() func(low, high float64) float64 {
	rng := rand.New(rand.NewPCG(seed, 0))
	return func(low, high float64) float64 { return low * math.Pow(high/low, rng.Float64()) }
}

// No machine takes more from a tap than its largest power, nor from a roof more
// than all the rain that falls on it gives: both bounds are mechanics.
func TestEnergyBounds(t *testing.T) {
	between := chance()
	for range rounds {
		tap := source.MainsIn{PStatic: between(1e3, 1e7), QTest: between(1e-6, 1)}
		tap.PTest = tap.PStatic * between(1e-3, 0.99)
		tap.Q = new(tap.QTest * math.Sqrt(tap.PStatic/(tap.PStatic-tap.PTest)) * between(1e-3, 0.999999))
		got, _, fault := source.Mains(tap)
		if fault != nil || *got.PAtQ**tap.Q > got.PMaxW*(1+1e-9) || got.PMaxW > tap.PStatic*got.QOpen {
			t.Fatalf("seed %d: %+v gives %+v, %v", seed, tap, got, fault)
		}
		roof := source.RoofIn{APlan: between(1, 1e4), Drop: between(0.1, 100), RainMmYear: between(1, 5000), C: between(0.1, 1),
			FilterEff: between(0.1, 1), Rho: calc.WaterDensity, EventsYear: between(1, 200), FirstFlushMm: between(0.01, 2), ChainEff: new(between(0.01, 1))}
		rain, _, _ := source.Roof(roof)
		most := calc.WaterDensity * calc.Gravity * roof.APlan * roof.RainMmYear / 1000 * roof.Drop
		if rain.EYearJ > most*(1+1e-12) || *rain.EYearUsefulWh > rain.EYearWh || rain.VYearM3 < 0 {
			t.Fatalf("seed %d: %+v gives %+v", seed, roof, rain)
		}
	}
}

// What runs into a tank is drawn, runs over or stays.
func TestTankKeepsItsWater(t *testing.T) {
	between := chance()
	for range 2000 {
		in := source.BalanceIn{APlan: between(10, 1000), Capacity: between(0.1, 100), C: between(0.1, 1), FirstFlushMm: between(0.01, 2)}
		in.Demand, in.VStart = in.Capacity*between(1e-3, 1), in.Capacity*between(1e-3, 1)
		for range 30 {
			in.RainMm = append(in.RainMm, math.Max(0, between(0.1, 100)-2))
		}
		out, _, fault := source.Balance(in)
		require.Nil(t, fault, "seed %d: %+v", seed, in)
		require.InEpsilon(t, in.VStart+out.InflowM3, out.YieldM3+out.OverflowM3+out.VEndM3, 1e-12, "seed %d: %+v", seed, in)
		require.GreaterOrEqual(t, out.OverflowM3, 0.0)
		require.LessOrEqual(t, out.VEndM3, in.Capacity)
		require.GreaterOrEqual(t, out.YieldM3, (30-float64(out.ShortDays))*in.Demand*(1-1e-12))
	}
}

// A tank is worked out by hand over three days: 2 m³ hold, 1 m³ a day, start
// 0.5 m³. Day 1: 0.5 drawn, 1.8 in, 1.5 kept, 0.3 over. Day 2: 1 drawn, none in,
// 0.5 kept. Day 3: 0.5 drawn, none left.
func TestTankByHand(t *testing.T) {
	out, _, _ := source.Balance(source.BalanceIn{APlan: 100, Capacity: 2, Demand: 1, RainMm: []float64{20, 0, 0}, C: 0.9, VStart: 0.5})
	require.InDeltaSlice(t, []float64{1.8, 2, 0.3, 0}, []float64{out.InflowM3, out.YieldM3, out.OverflowM3, out.VEndM3}, 1e-12)
	require.Equal(t, 2, out.ShortDays)
}

// Marching the level down in a hundred thousand steps takes the time that the
// closed form says.
func TestDrainTimeAgainstMarching(t *testing.T) {
	const tank, hole, cd, h1, h2, steps = 0.8, 3e-4, 0.61, 1.5, 0.2, 100_000
	time := 0.0
	for i := range steps {
		h := h1 - (h1-h2)*(float64(i)+0.5)/steps
		time += tank * (h1 - h2) / steps / (cd * hole * math.Sqrt(2*9.80665*h))
	}
	require.InEpsilon(t, time, source.DrainTime(9.80665, cd, hole, tank, h1, h2), 1e-8)
}

// A gutter carries 0.80 of what it would without friction, whatever its size.
// Source: rows R12 and R13 of the published values.
func TestGutterIsBelowItsBound(t *testing.T) {
	between := chance()
	for range 1000 {
		r := between(0.02, 0.3)
		most, _, _ := source.Bound(source.BoundIn{Shape: "half_round", Radius: r})
		real, _, _ := source.Gutter(source.GutterIn{Shape: "half_round", AMm2: math.Pi / 2 * r * r * 1e6, LengthToDepth: 50})
		require.InDelta(t, 0.80, real.QNominalLs/most.QLs, 0.005, "seed %d, radius %g", seed, r)
	}
}

// More head gives more water over every weir, through every hole.
func TestMoreHeadMoreWater(t *testing.T) {
	between := chance()
	for range 10_000 {
		h, angle := between(0.01, 0.5), between(20, 100)
		more := h * between(1.0001, 2)
		a, _, _ := source.VNotch(source.VNotchIn{AngleDeg: angle, H: h})
		b, _, _ := source.VNotch(source.VNotchIn{AngleDeg: angle, H: more})
		require.Greater(t, b.QM3S, a.QM3S, "seed %d", seed)
		weir := source.RectWeirIn{Width: between(0.1, 1), Channel: 1, P: between(0.2, 1), H: h}
		c, _, _ := source.RectWeir(weir)
		weir.H = more
		d, _, _ := source.RectWeir(weir)
		require.Greater(t, d.QM3S, c.QM3S, "seed %d: %+v", seed, weir)
	}
}

// A bucket by hand: 10, 12, 14 s have the mean 12 s and the deviation 2 s, so
// that u² = 0.02² + (0.2/12)² + (2/12)²/3.
func TestBucketByHand(t *testing.T) {
	out, _, _ := source.Bucket(source.BucketIn{Volume: 0.024, Times: []float64{10, 12, 14}, UVRel: 0.02, UT: 0.2})
	u := math.Sqrt(0.0004 + 0.04/144 + 4.0/144/3)
	require.InDeltaSlice(t, []float64{2, 2, u, 4 * u}, []float64{out.QLs, out.ST, out.URel, out.U95Ls}, 1e-12)
}

// Weirs: u² is the sum of squares of its parts, worked out beside each other.
func TestUncertaintyOfWeirs(t *testing.T) {
	notch, _, _ := source.VNotch(source.VNotchIn{AngleDeg: 90, H: 0.2, UH: 0.001, UCeRel: 0.01, UTanRel: 0.005})
	require.InDelta(t, math.Hypot(math.Hypot(0.01, 0.005), 2.5*0.001/0.20085), notch.URel, 1e-12)
	weir, _, _ := source.RectWeir(source.RectWeirIn{Width: 1, Channel: 1, P: 0.5, H: 0.2, UH: 0.001, UB: 0.001, UCeRel: 0.0075})
	require.InDelta(t, math.Hypot(math.Hypot(0.0075, 0.001/0.9991), 1.5*0.001/0.201), weir.URel, 1e-12)
	require.InEpsilon(t, 2*weir.URel*weir.QLS, weir.U95LS, 1e-12)
}

func FuzzSource(f *testing.F) { calctest.Fuzz(f, source.Calculations()) }

func BenchmarkVNotch(b *testing.B) {
	c := source.Calculations()[7]
	require.Equal(b, "system/vnotch", c.Name)
	for b.Loop() {
		answer, _ := c.Run(json.RawMessage(c.Example))
		_, _ = json.Marshal(answer)
	}
}
