package ram_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/pipe"
	"leat/calc/ram"
)

const gravity = 9.80665

// march moves a column of water step by step (Runge and Kutta, fourth order)
// until it has the speed end; it returns the time and the way.
func march(v, end float64, force func(v float64) float64) (time, way float64) {
	const dt = 1e-4
	for {
		k1 := force(v)
		k2 := force(v + dt/2*k1)
		k3 := force(v + dt/2*k2)
		k4 := force(v + dt*k3)
		next := v + dt/6*(k1+2*k2+2*k3+k4)
		if (next-end)*(v-end) <= 0 {
			part := (end - v) / (next - v)
			return time + part*dt, way + part*dt*(v+end)/2
		}
		time, way, v = time+dt, way+dt*(v+next)/2, next
	}
}

// The closed forms of a beat against the equation of motion, step by step.
func TestBeatFollowsFromTheEquationOfMotion(t *testing.T) {
	const l, fall, above, terminal, closing, area, m = 15.0, 3.0, 17.0, 2.0, 1.2, 0.002, 12.0
	open := 2 * gravity * fall / (terminal * terminal)
	time, way := march(0, closing, func(v float64) float64 { return (gravity*fall - open*v*v/2) / l })
	require.InEpsilon(t, time, ram.AccelerationTime(gravity, l, fall, terminal, closing), 1e-6)
	require.InEpsilon(t, way*area, ram.WasteVolume(area, l, open, closing, terminal), 1e-6)
	time, way = march(1.1, 0, func(v float64) float64 { return -(gravity*above + m*v*v/2) / l })
	require.InEpsilon(t, time, ram.PumpingTime(gravity, l, m, 1.1, above), 1e-5)
	require.InEpsilon(t, way*area, ram.PumpedVolume(gravity, area, l, m, 1.1, above), 1e-5)
}

// With the waste valve open the pipe carries what a pipe under that head
// carries, whether the flow is laminar, in between or turbulent.
func TestTerminalSpeedIsThatOfAPipe(t *testing.T) {
	for _, d := range []float64{0.003, 0.006, 0.02, 0.3} {
		v := ram.TerminalSpeed(gravity, 1, 20, d, 4.6e-5, 1e-6, 7.5)
		flow, _, fault := pipe.Flow(pipe.FlowIn{D: d, L: 20, H: 1, Eps: 4.6e-5, K: 8.5, Nu: 1e-6, Rho: 1000})
		require.Nil(t, fault)
		require.InEpsilon(t, flow.V, v, 1e-12, "bore %g", d)
		f := pipe.Friction(v*d/1e-6, 4.6e-5/d)
		require.InEpsilon(t, 1, (8.5+f*20/d)*v*v/(2*gravity), 1e-12, "bore %g", d)
	}
}

// A rough pipe at the edge of what is allowed, and a hair of a pipe, are solved too.
func TestTerminalSpeedAtTheEdges(t *testing.T) {
	for _, eps := range []float64{0, 0.0049999} {
		for _, l := range []float64{1e-3, 1e6} {
			v := ram.TerminalSpeed(gravity, 2, l, 0.01, eps, 1e-6, 0)
			f := pipe.Friction(v*0.01/1e-6, eps/0.01)
			require.InEpsilon(t, 2, (1+f*l/0.01)*v*v/(2*gravity), 1e-9)
		}
	}
}

// The dead end is where the work done on the air less that of the standing
// pressure, ∫(p − p_s)dS, uses up the energy of the water: added up by
// Simpson's rule, for slow and for fast air.
func TestDeadEndUsesUpTheEnergy(t *testing.T) {
	for _, n := range []float64{1, 1.2, 1.4} {
		in := fmt.Sprintf(`{"ram": %s, "p_trompe_gauge": 50000, "p2_gauge": 200000, "stroke_volume": 0.000117, "clearance_volume": 0.00003, "n": %g}`, small, n)
		p1, whole := 151325.0, 0.000147
		static, end := number(t, "boost_pulse", in, "p_static"), number(t, "boost_pulse", in, "p_deadend")
		travel := whole * (1 - math.Pow(p1/end, 1/n))
		const steps = 2000
		var sum float64
		for i := 0; i <= steps; i++ {
			weight := float64(2 + 2*(i%2))
			if i == 0 || i == steps {
				weight = 1
			}
			sum += weight * (p1*math.Pow(whole/(whole-travel*float64(i)/steps), n) - static)
		}
		require.InEpsilon(t, 0.6*number(t, "ram_cycle", small, "KE_beat_J"), sum*travel/steps/3, 1e-9, "n = %g", n)
	}
}

// The energy of the moving water and of the standing pressure is all spent on
// squeezing and pushing out the air, and the best stroke is used just to its end.
func TestPulseSpendsItsEnergy(t *testing.T) {
	for _, n := range []float64{1, 1 + 1e-8, 1.3} {
		in := ram.PulseIn{Ram: ram.CycleIn{Fall: 3, Rise: 20, L: 15, D: 0.0525, A: new(1340.0), VCloseRatio: 0.6, Rho: 998.2, Nu: 1e-6, Eps: 4.6e-5, KDrive: 1.5, KWaste: 6, KDelivery: 10, TClose: 0.02, Recoil: 1, Ripple: 0.1},
			Trompe: 5e4, P2Gauge: 2e5, Stroke: 1.3e-4, Clearance: 1.3e-5, PAtm: 101325, T: 288.15, N: n, Coupling: 0.6}
		beat, _, _ := ram.Cycle(in.Ram)
		out, _, fault := ram.Pulse(in)
		require.Nil(t, fault)
		spent := ram.CompressionWork(out.P1, 1.43e-4, out.Ratio, n) + out.P2*(out.StrokeUsed-out.StrokeCompress)
		require.InEpsilon(t, 0.6*beat.KEBeat+out.PStatic*out.StrokeUsed, spent, 1e-12)
		in.Stroke, in.Clearance = *out.StrokeBest, *out.StrokeBest/10
		best, _, fault := ram.Pulse(in)
		require.Nil(t, fault)
		require.InEpsilon(t, *out.StrokeBest, best.StrokeUsed, 1e-12)
	}
}
