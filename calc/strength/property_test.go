package strength_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/strength"
)

// seed makes the random parts the same in every run.
const (
	seed  = 20261125
	draws = 100_000
)

func pick[T any](r *rand.Rand, of ...T) T { return of[r.IntN(len(of))] }

// span draws between low and high, evenly in the logarithm.
func span(r *rand.Rand, low, high float64) float64 {
	return low * math.Exp(r.Float64()*math.Log(high/low))
}

func randomConfig(r *rand.Rand) strength.GasConfig {
	share := func() float64 { return pick(r, 0, r.Float64(), 1) }
	return strength.GasConfig{
		PLowPa: 1e4 * share(), PBrittleMaxPa: 5e4 * share(), ELowJ: 79 * share(),
		EBrittleMaxJ: 1356 * share(), ECompetentJ: 5000 * share(), PVHomeJ: 5000 * share(),
	}
}

func randomPart(r *rand.Rand) strength.GasIn {
	return strength.GasIn{
		GasClass: pick(r, "brittle", "nonpressure", "ductile", "metal", "flexible"),
		PPa:      pick(r, 0, 1e4, 5e4, span(r, 1e3, 1e6), span(r, 1e3, 6e4)),
		VGasM3:   pick(r, 0, span(r, 1e-6, 1e-3), span(r, 1e-4, 1)),
		Location: pick(r, "exposed", "guarded", "buried", "submerged"),
		ODM:      pick(r, 0.05, 0.152, 0.2), TempC: pick(r, -10, 4.9, 5, 20.0),
		AllowPa: pick(r, 0, 1e4, 1e6, 1e7), Joint: pick(r, "solvent", "push_ring"),
		GasStatement: r.IntN(3) > 0, Vessel: r.IntN(3) == 0, Certified: r.IntN(2) == 0,
		Config: randomConfig(r),
	}
}

var rank = map[string]int{strength.Allowed: 0, strength.Conditional: 1, strength.NotAllowed: 2}

func decide(in strength.GasIn) strength.GasOut {
	out, _, _ := strength.Gas(in)
	return out
}

// tighten lowers one setting of the group.
func tighten(r *rand.Rand, in strength.GasIn) strength.GasIn {
	c := &in.Config
	setting := pick(r, &c.PLowPa, &c.PBrittleMaxPa, &c.ELowJ, &c.EBrittleMaxJ, &c.ECompetentJ, &c.PVHomeJ)
	*setting *= pick(r, 0, r.Float64(), 0.999)
	return in
}

// worsen raises pressure or volume.
func worsen(r *rand.Rand, in strength.GasIn) strength.GasIn {
	if r.IntN(2) == 0 {
		in.PPa += pick(r, 1, span(r, 1, 1e6))
	} else {
		in.VGasM3 += span(r, 1e-6, 1)
	}
	return in
}

// A tighter setting, more pressure or more gas never loosens a decision.
func TestWorseIsNeverLooser(t *testing.T) {
	r := rand.New(rand.NewPCG(seed, 1))
	seen := map[string]int{}
	for range draws {
		in := randomPart(r)
		before := decide(in)
		seen[before.Decision]++
		for _, worse := range []strength.GasIn{tighten(r, in), worsen(r, in)} {
			if after := decide(worse); rank[after.Decision] < rank[before.Decision] {
				t.Fatalf("seed %d: %+v gives %v, %+v gives %v", seed, in, before, worse, after)
			}
		}
	}
	for decision := range rank {
		require.Greater(t, seen[decision], draws/100, "the draws reach %s", decision)
	}
}

// Brittle plastic above half a bar is never allowed, whatever a group sets.
func TestBrittleAboveHalfABarIsNeverAllowed(t *testing.T) {
	r := rand.New(rand.NewPCG(seed, 2))
	for range draws {
		in := randomPart(r)
		in.GasClass, in.PPa = strength.Brittle, math.Nextafter(5e4, 1e9)+pick(r, 0, span(r, 1e-3, 1e6))
		if out := decide(in); out.Decision != strength.NotAllowed || len(out.Conditions) > 0 {
			t.Fatalf("seed %d: %+v gives %v", seed, in, out)
		}
	}
}

// A gas lets go no more than its expansion at one temperature gives, nor more
// than it took to heat it; what is available is less than the first.
func TestEnergyBounds(t *testing.T) {
	r := rand.New(rand.NewPCG(seed, 3))
	for range draws {
		in := strength.EnergyIn{
			PPa: span(r, 1e-6, 1e8), VGasM3: span(r, 1e-6, 10), VLiqM3: span(r, 1e-6, 10),
			Gamma: 1.0001 + 0.6999*r.Float64(), PAtmPa: span(r, 5e4, 2e5), KPa: span(r, 1e8, 5e9),
		}
		out, _, _ := strength.Energy(in)
		more := in
		more.PPa *= 1.001
		after, _, _ := strength.Energy(more)
		const slack = 1 + 1e-12
		ok := out.IsentropicJ > 0 && out.AvailabilityJ > 0 &&
			out.IsentropicJ <= slack*min(out.IsothermalJ, out.BrodeJ) && out.AvailabilityJ <= out.IsothermalJ*slack &&
			out.TotalJ >= out.IsentropicJ+out.LiquidJ && after.IsentropicJ > out.IsentropicJ && after.AvailabilityJ > out.AvailabilityJ
		if !ok {
			t.Fatalf("seed %d: %+v gives %+v", seed, in, out)
		}
	}
}

// Warmer, threaded or full of gas, a part never holds more.
func TestRatingNeverRises(t *testing.T) {
	r := rand.New(rand.NewPCG(seed, 4))
	for range draws {
		table := pick(r, strength.Tables()...)
		d, _ := strength.DeratingOf(table)
		in := strength.RatingIn{RatingPa: span(r, 1e4, 1e7), Table: table, TempC: -40 + (d.Last()+40)*r.Float64()}
		before, _, _ := strength.Rating(in)
		worse := in
		worse.TempC += (d.Last() - in.TempC) * r.Float64()
		worse.Gas, worse.Threaded = r.IntN(2) == 0, r.IntN(2) == 0
		after, _, _ := strength.Rating(worse)
		if after.AllowPa > before.AllowPa || before.AllowPa > in.RatingPa || after.AllowPa <= 0 {
			t.Fatalf("seed %d: %+v gives %+v, %+v gives %+v", seed, in, before, worse, after)
		}
	}
}
