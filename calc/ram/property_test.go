package ram_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/calctest"
	"leat/calc/ram"
)

const seed, rounds = 7, 100_000

// chance draws numbers that spread evenly over decades.
type chance struct{ *rand.Rand }

func draw() chance { return chance{rand.New(rand.NewPCG(seed, 0))} }

func (c chance) between(low, high float64) float64 { return low * math.Pow(high/low, c.Float64()) }

func (c chance) ram() ram.CycleIn {
	in := ram.CycleIn{Fall: c.between(0.3, 30), L: c.between(1, 100), D: c.between(0.01, 0.3), A: new(c.between(200, 1500)), VCloseRatio: c.between(0.05, 1),
		Rho: c.between(950, 1050), Nu: c.between(5e-7, 2e-6), Eps: c.between(1e-7, 1e-3), KDrive: c.between(0.01, 5), KWaste: c.between(0.1, 20),
		KDelivery: c.between(0.01, 30), TClose: c.between(1e-4, 0.2), Recoil: c.between(0.01, 2), Ripple: c.between(0.01, 1)}
	in.Rise = in.Fall * c.between(1.01, 40)
	return in
}

// What a beat lifts above the intake is less than what the water moved with,
// and that less than what fell to move it: mechanics. Rankine's efficiency is
// below 1 for that reason.
func cycleEnergyBounds(t *testing.T, _ calctest.Value) {
	c, answered := draw(), 0
	for range rounds {
		in := c.ram()
		out, _, fault := ram.Cycle(in)
		if fault != nil {
			continue
		}
		answered++
		const g, all = 9.80665, 1 + 1e-9
		moving := in.L * out.Area * out.VClose * out.VClose / (2 * g)
		speedingUp := out.WasteBeat - out.Area*out.VClose*in.TClose/2
		if out.LiftBeat*(in.Rise-in.Fall) > moving*all || moving > speedingUp*in.Fall*all || out.EtaR >= 1 || out.EtaD >= 1 || out.EtaR > out.EtaD || !(out.Q > 0) {
			t.Fatalf("seed %d: %+v gives %+v", seed, in, out)
		}
	}
	require.Greater(t, answered, rounds/4)
}

// The air gains no more than the water gives up: second law.
func pulseEnergyBound(t *testing.T, _ calctest.Value) {
	c, answered := draw(), 0
	for range rounds {
		in := ram.PulseIn{Ram: c.ram(), PAtm: c.between(6e4, 1.1e5), Trompe: c.between(1, 3e5), T: c.between(260, 320), N: min(1.4, 0.9+c.between(0.1, 0.6)), Coupling: c.between(0.1, 1)}
		in.P2Gauge = (in.PAtm+in.Trompe)*c.between(1.01, 8) - in.PAtm
		in.Stroke = c.between(1e-3, 0.3) * in.Ram.L * in.Ram.D * in.Ram.D
		in.Clearance = in.Stroke * c.between(1e-3, 1)
		out, _, fault := ram.Pulse(in)
		if fault != nil && fault.Code != calc.Bound {
			continue
		}
		answered++
		if fault != nil || out.ExergyBeat > out.WaterBeat || out.AirMassBeat <= 0 || out.StrokeUsed > in.Stroke || out.PDeadEnd < out.P1 {
			t.Fatalf("seed %d: %+v gives %+v, %v", seed, in, out, fault)
		}
	}
	require.Greater(t, answered, rounds/50)
}

// A falling column gives no more than its weight does, with what the air taken
// in pushes; a lift gives no more than both efficiencies leave.
func TestColumnAndLiftEnergyBounds(t *testing.T) {
	c, answered := draw(), 0
	for range rounds {
		in := ram.ColumnIn{Fall: c.between(1, 300), Stroke: c.between(1e-4, 10), PAtm: c.between(6e4, 1.1e5), Rho: 998.2, Coupling: c.between(0.2, 1), T: 288.15, Intake: c.between(1, 3e5)}
		if c.IntN(2) == 0 {
			in.Intake = 0
		}
		in.P2Gauge, in.Clearance = (in.PAtm+in.Intake)*c.between(1.01, 20)-in.PAtm, in.Stroke*c.between(1e-3, 1)
		out, _, fault := ram.Column(in)
		if fault == nil {
			answered++
		}
		if fault != nil && fault.Code == calc.Bound || out.ExergyBeat > out.WaterBeat+in.Intake*in.Stroke {
			t.Fatalf("seed %d: %+v gives %+v, %v", seed, in, out, fault)
		}
		up := ram.LiftIn{Q: c.between(1e-5, 1), Fall: c.between(0.3, 30), EtaRam: c.between(0.01, 1), EtaTrompe: c.between(0.01, 1), PAtm: in.PAtm, Rho: 998.2}
		up.Feed = up.Fall * c.between(1.001, 30)
		up.Outlet = up.Feed * c.between(0.01, 0.999)
		air, _, fault := ram.Lift(up)
		most := up.EtaRam * up.EtaTrompe * air.PWaterW * (up.Feed - up.Outlet) / up.Feed
		if fault != nil || air.PLiftedW > air.PWaterW*(1+1e-12) || air.PAirW > most*(1+1e-12) || air.LossVsDirect < 0 {
			t.Fatalf("seed %d: %+v gives %+v, %v", seed, up, air, fault)
		}
	}
	require.Greater(t, answered, rounds/10)
}

func FuzzRam(f *testing.F) { calctest.Fuzz(f, ram.Calculations()) }

func BenchmarkCycle(b *testing.B) { bench(b, 2, "system/ram_cycle") }

func BenchmarkPulse(b *testing.B) { bench(b, 5, "system/boost_pulse") }

func bench(b *testing.B, i int, name string) {
	c := ram.Calculations()[i]
	require.Equal(b, name, c.Name)
	for b.Loop() {
		answer, _ := c.Run(c.Example)
		_, _ = json.Marshal(answer)
	}
}
