package pressuretest_test

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/calctest"
	"leat/calc/pressuretest"
	"leat/calc/water"
)

const seed, rounds = 23, 100_000

// chance draws numbers that spread evenly over decades.
func chance() func(low, high float64) float64 {
	rng := rand.New(rand.NewPCG(seed, 0))
	return func(low, high float64) float64 { return low * math.Pow(high/low, rng.Float64()) }
}

// Wherever the gauge sits, in a test with water every point has its factor over
// the design pressure there, and the stages rise to the whole.
func TestWaterReachesEveryPoint(t *testing.T) {
	between := chance()
	for range rounds {
		in := pressuretest.TestPressureIn{Method: "hydrostatic", DesignTopPa: between(1e3, 1e6), RatingPa: between(1e4, 4e6), FTDesign: between(0.1, 1), FTTest: between(0.1, 1),
			DZM: between(0.1, 50), RhoKgM3: 998.2, GasClass: "metal", Factor: between(1.5, 2)}
		in.DesignLowPa, in.GaugeHeightM = in.DesignTopPa*between(1, 2), in.DZM*between(0.01, 1)
		out, _, _ := pressuretest.TestPressure(in)
		column := 998.2 * 9.80665 * in.DZM
		reached := out.TopPa >= out.Factor*in.DesignTopPa*(1-1e-9) && out.LowPa >= out.Factor*in.DesignLowPa*(1-1e-9)
		if !reached || out.Factor < 1.5 || math.Abs(out.LowPa-out.TopPa-column) > 1e-9*out.LowPa || out.GaugePa < out.TopPa-1e-9*out.LowPa {
			t.Fatalf("seed %d: %+v gives %+v", seed, in, out)
		}
		if out.OK && out.LowPa > 1.5*in.RatingPa*in.FTTest {
			t.Fatalf("seed %d: %+v goes over the cap: %+v", seed, in, out)
		}
	}
}

// A test with air rises in stages that never fall or pass its end, and the first
// is half of it at most.
func TestAirRisesInStages(t *testing.T) {
	between := chance()
	for range 10_000 {
		out, _, _ := pressuretest.TestPressure(pressuretest.TestPressureIn{Method: "pneumatic", DesignLowPa: between(10, 1e8), RatingPa: 1e7, FTDesign: 1, FTTest: 1, GasClass: "metal"})
		last := 0.0
		for _, p := range out.StagesPa {
			require.Greater(t, p, last, "seed %d: %v", seed, out.StagesPa)
			last = p
		}
		require.Equal(t, out.GaugePa, last)
		require.LessOrEqual(t, out.StagesPa[0], min(170e3, out.GaugePa/2))
		require.LessOrEqual(t, *out.ReliefMaxPa, 1.1*out.GaugePa*(1+1e-12))
	}
}

// Air shut in and only warmed or cooled passes, dry or wet: Gay-Lussac's law, the
// vapour by itself. As much as is let out is found as a leak.
func TestDecayFindsTheLeakAlone(t *testing.T) {
	between := chance()
	for range rounds {
		in := pressuretest.DecayIn{P1Pa: between(1e4, 1e6), T1C: between(1, 40), T2C: between(1, 40), PAtm1Pa: between(9e4, 1.05e5), PAtm2Pa: new(between(9e4, 1.05e5)),
			Wet: between(1, 4) > 2, VM3: between(1e-3, 1), DurS: between(60, 1e5), AllowFrac: 0.01}
		vapour := func(tC float64) float64 {
			if in.Wet {
				return water.Magnus(tC)
			}
			return 0
		}
		lost := in.P1Pa * between(1e-4, 1)
		dry := (in.P1Pa + in.PAtm1Pa - vapour(in.T1C) - lost) * (in.T2C + 273.15) / (in.T1C + 273.15)
		in.P2Pa = dry + vapour(in.T2C) - *in.PAtm2Pa
		out, _, fault := pressuretest.Decay(in)
		want := map[bool]string{true: pressuretest.Fail, false: pressuretest.Pass}[lost > 0.01*in.P1Pa]
		if fault != nil || math.Abs(out.DropPa-lost) > 1e-6 || math.Abs(lost-0.01*in.P1Pa) > 1e-3 && out.Verdict != want {
			t.Fatalf("seed %d: %+v lost %g: %+v %v", seed, in, lost, out, fault)
		}
	}
}

// Vapour alone cannot have more pressure than the whole.
func TestDecayRefusesMoreVapourThanPressure(t *testing.T) {
	calctest.Faults(t, all, [][4]string{
		{"safety/decay", `{"p1_pa": 10, "t1_c": 80, "p2_pa": 10, "t2_c": 80, "p_atm1_pa": 40000, "wet": true, "v_m3": 1, "dur_s": 1, "mpe_pa": 0}`, "inconsistent", "/wet"},
	})
}

// A bubble put into the water is found again: water and wall take ΔV, the bubble
// shrinks by Boyle's law.
func TestAirCheckFindsTheBubble(t *testing.T) {
	between := chance()
	for range rounds {
		in := pressuretest.AirCheckIn{VM3: between(1e-3, 1), P1Pa: between(1e3, 1e6), IDM: between(0.01, 0.2), EPa: between(1e9, 2e11), KPa: 2.18e9, Factor: 1.2, PAtmPa: 101325}
		in.P2Pa, in.WallM = in.P1Pa*between(1.1, 10), in.IDM*between(0.02, 0.2)
		bubble := in.VM3 * between(1e-3, 0.1)
		shrunk := bubble - bubble*(in.P1Pa+101325)/(in.P2Pa+101325)
		stiff := in.VM3 * (in.P2Pa - in.P1Pa) / in.KPa
		stretch := in.VM3 * (in.P2Pa - in.P1Pa) * in.IDM / (in.WallM * in.EPa)
		in.AddedM3 = shrunk + stiff + stretch
		out, _, fault := pressuretest.AirCheck(in)
		if fault != nil || math.Abs(out.GasAtP1M3-bubble) > 1e-6*bubble || out.OK != (shrunk <= 0.2*(stiff+stretch)) {
			t.Fatalf("seed %d: %+v with %g: %+v %v", seed, in, bubble, out, fault)
		}
	}
}

// Every row of the table answers for its own corner: the coldest of its range, its
// largest pipe, its highest pressure.
func TestEveryRowOfTheCureTable(t *testing.T) {
	file, err := os.Open("data/cure.csv")
	require.NoError(t, err)
	defer file.Close()
	lines, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	require.Len(t, lines, 13)
	for _, line := range lines[1:] {
		require.NotEmpty(t, line[8], "its source")
		for _, column := range []int{4, 6} {
			if line[column] == "" {
				continue
			}
			in := pressuretest.CureIn{ODM: number(t, line[2]) / 1000, TempMinC: number(t, line[0]), RHPct: 60, TestPa: number(t, line[column]) * 1e5, FloorH: 24}
			out, _, fault := pressuretest.Cure(in)
			require.Nil(t, fault, "%v", line)
			require.Equal(t, number(t, line[column+1]), out.TableH, "%v", line)
		}
	}
}

func number(t *testing.T, text string) float64 {
	x, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return x
}

// Times are written as RFC 3339 says, in UTC with Z.
func TestTimesAreStrict(t *testing.T) {
	for text, good := range map[string]bool{
		"2026-05-01T14:30:00Z": true, "2026-05-01T14:30:00.5Z": true, "2026-05-01T14:30:00,5Z": false, "2026-05-01T4:30:00Z": false,
		"2026-05-01T14:30:00+00:00": false, "2026-02-30T14:30:00Z": false, "2026-05-01": false, "": false, "2026-05-01T14:30:00z": false,
	} {
		in := pressuretest.CertificateIn{Certificate: pressuretest.Certificate{Issued: text, Expires: "2027-01-01T00:00:00Z"}, Now: "2026-06-01T00:00:00Z"}
		_, _, fault := pressuretest.CertificateValid(in)
		require.Equal(t, good, fault == nil, text)
	}
}

// With the riser free to run, only the blow-off counts.
func TestFreeRiser(t *testing.T) {
	out, _, _ := pressuretest.TrompeLimit(pressuretest.TrompeLimitIn{HeadM: 3, BlowM: -8, RatingPa: 1e5, RhoKgM3: calc.WaterDensity})
	require.Equal(t, out.BlowPa, out.DesignMinPa)
	require.False(t, out.ReliefNeeded)
	blocked, _, _ := pressuretest.TrompeLimit(pressuretest.TrompeLimitIn{HeadM: 3, BlowM: -8, RatingPa: 1e5, RhoKgM3: calc.WaterDensity, RiserCanBlock: true})
	require.Equal(t, blocked.BlockedPa, blocked.DesignMinPa)
	require.True(t, blocked.ReliefNeeded)
}

func BenchmarkCertificate(b *testing.B) { bench(b, "safety/certificate") }
func BenchmarkRelief(b *testing.B)      { bench(b, "safety/relief") }

func bench(b *testing.B, name string) {
	for _, c := range all {
		for c.Name == name && b.Loop() {
			answer, _ := c.Run(c.Example)
			_, _ = json.Marshal(answer)
		}
	}
}
