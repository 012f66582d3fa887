package trompe_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/trompe"
)

// seed makes the random designs the same in every run.
const seed = 20261125

func ptr(x float64) *float64 { return &x }

// span draws between low and high, evenly in the logarithm.
func span(r *rand.Rand, low, high float64) float64 {
	return low * math.Exp(r.Float64()*math.Log(high/low))
}

func between(r *rand.Rand, low, high float64) float64 { return low + r.Float64()*(high-low) }

// randomMachine draws a machine of any kind: bores of 25 mm to 1.6 m, 8 to 80
// bores long, all supplies, chambers, risers, ports and take-offs.
func randomMachine(r *rand.Rand) trompe.Input {
	in, _ := trompe.Decode(json.RawMessage(`{}`)) // the defaults
	in.NParallel = trompe.Whole(1 + r.IntN(5)/4)
	in.Site.AltitudeM, in.Site.AirC, in.Site.WaterC = between(r, 0, 3000), between(r, -5, 35), between(r, 2, 30)
	in.Site.Humidity, in.Site.WaterSaturation = r.Float64(), between(r, 0.5, 1)
	bore := span(r, 0.025, 1.6)
	drop := bore * between(r, 8, 80)
	randomIntake(r, &in, bore, drop)
	in.Downcomer.BoreM, in.Downcomer.KMinor, in.Downcomer.RoughnessM = bore, between(r, 0, 1), span(r, 1.5e-6, 1e-3)
	if r.IntN(4) == 0 {
		in.Downcomer.LengthM = ptr(drop * between(r, 1, 1.5))
	}
	if r.IntN(5) == 0 {
		in.Downcomer.OutletBoreM = ptr(bore * between(r, 1, 2))
	}
	randomChamber(r, &in, bore)
	head := between(r, 0.02, 0.7) * drop
	submergence := between(r, 0.03, 0.4) * math.Sqrt(bore/0.1)
	randomSupply(r, &in, drop+submergence, head, bore)
	in.Riser.OutletM = max(drop+submergence-head, in.Chamber.LipM+0.01*drop)
	randomRiser(r, &in, bore)
	randomTakeoff(r, &in, head)
	return in
}

func randomIntake(r *rand.Rand, in *trompe.Input, bore, drop float64) {
	i := &in.Intake
	i.MouthM = drop
	i.TubeBoreM = span(r, 0.004, 0.02)
	i.TubeOutsideM = i.TubeBoreM * between(r, 1.1, 1.4)
	i.TubeLengthM, i.BundleLengthM = between(r, 0.1, 1.5), between(r, 0, 0.2)
	share := between(r, 0.3, 0.85)
	i.NTubes = trompe.Whole(share * bore * bore / (i.TubeOutsideM * i.TubeOutsideM))
	if r.IntN(20) == 0 {
		i.NTubes = 0
	}
	if r.IntN(6) == 0 {
		i.ThroatAreaM2 = ptr(bore * bore * between(r, 0.1, 0.6))
	}
	if r.IntN(3) == 0 {
		i.PortCdAM2 = ptr(bore * bore * span(r, 1e-4, 0.1))
	}
}

func randomChamber(r *rand.Rand, in *trompe.Input, bore float64) {
	c := &in.Chamber
	size := bore * between(r, 1.5, 6)
	switch r.IntN(3) {
	case 0:
		c.Kind, c.BoreM, c.LengthM, c.FloorM = trompe.Horizontal, size, size*between(r, 2, 8), -0.2*size
	case 1:
		c.Kind, c.BoreM, c.InnerODM = trompe.Vertical, size, bore*1.05
	default:
		c.Kind, c.PlanAreaM2 = trompe.Plan, size*size*between(r, 0.5, 10)
	}
	c.LipM = bore * between(r, -0.3, 1)
	c.HighM = c.LipM + bore*between(r, 0, 2)
}

func randomSupply(r *rand.Rand, in *trompe.Input, level, head, bore float64) {
	s := &in.Supply
	flow := bore * bore * between(r, 0.2, 1.5)
	switch r.IntN(4) {
	case 0:
		s.Type, s.LevelM = trompe.Forebay, level
		s.KPaS2M6 = between(r, 0, 0.2) * head * 9810 / (flow * flow)
	case 1:
		s.Type, s.LevelM, s.FlowMaxM3 = trompe.Forebay, level, ptr(flow*float64(in.NParallel))
	case 2:
		s.Type, s.LevelMaxM, s.ZM, s.StaticPa = trompe.HoseOpen, level, 0.1, level*9810+between(r, 1e4, 4e5)
		s.KPaS2M6 = (s.StaticPa - level*9810) / (flow * flow)
	default:
		s.Type, s.ZM = trompe.HoseClosed, level-2
		s.StaticPa = 2*9810 + between(r, 0, 2)*head*9810
		s.KPaS2M6 = between(r, 0, 2) * head * 9810 / (flow * flow)
	}
}

func randomRiser(r *rand.Rand, in *trompe.Input, bore float64) {
	o := &in.Riser
	o.BoreM, o.KMinor = bore*between(r, 0.8, 2.5), between(r, 0.5, 2)
	o.Count = trompe.Whole(1 + r.IntN(2))
	if r.IntN(4) == 0 {
		o.Kind, o.BoreM, o.Count, o.OuterBoreM, o.InnerODM = trompe.Annulus, 0, 0, bore*between(r, 1.5, 3), bore*1.1
	}
}

func randomTakeoff(r *rand.Rand, in *trompe.Input, head float64) {
	t := &in.Takeoff
	rise := in.Riser.OutletM - in.Chamber.LipM
	switch r.IntN(5) {
	case 0:
		t.Mode, t.ReceiverGaugePa = trompe.ToReceiver, between(r, 0, 1.1)*rise*9810
	case 1:
		t.Mode = trompe.ToOpenAir
	case 2:
		t.Mode, t.BlowOffRoute = trompe.ValveShut, trompe.RouteRiser
		if r.IntN(2) == 0 {
			t.BlowOffRoute = trompe.RoutePipe
		}
	default:
		return
	}
	if r.IntN(2) == 0 {
		t.BoreM, t.LengthM = ptr(span(r, 0.004, 0.1)), between(r, 0, 30)
	}
	if r.IntN(2) == 0 {
		t.ValveCdAM2 = ptr(span(r, 1e-6, 1e-3))
	}
}

// encoded passes a machine through JSON, so that only what a builder could type
// reaches the solver; false when leat refuses it.
func encoded(t *testing.T, in trompe.Input) (trompe.Input, bool) {
	t.Helper()
	text, err := json.Marshal(in)
	require.NoError(t, err)
	out, faults := trompe.Decode(text)
	for _, f := range faults {
		require.Contains(t, []string{"inconsistent", "range"}, string(f.Code), "%v in %s", f, text)
	}
	return out, len(faults) == 0
}

// Energy is neither lost nor made, whatever the machine: a check against the
// first law, which no coefficient of the model can bend.
func TestEnergyOnRandomMachines(t *testing.T) {
	r := rand.New(rand.NewPCG(seed, 1))
	count := map[trompe.Status]int{}
	for i := range 10000 {
		in, ok := encoded(t, randomMachine(r))
		if !ok {
			count["refused"]++
			continue
		}
		res, err := trompe.Solve(in)
		if err != nil {
			text, _ := json.Marshal(in)
			require.NoError(t, err, "design %d: %s", i, text)
		}
		count[res.Status]++
		if res.Numbers == nil {
			continue
		}
		text, _ := json.Marshal(in)
		n := res.Numbers
		require.Less(t, n.BudgetClosure, 1e-6, "design %d: %s", i, text)
		requireNoGain(t, n, string(text))
		if in.Downcomer.OutletM <= n.ChamberLevelM {
			require.InDelta(t, 0, n.BudgetHeadM.FallInChamber, 1e-6, "design %d: %s", i, text)
		}
		if n.IdealFreeAirM3S != nil {
			require.LessOrEqual(t, n.FreeAirM3S, *n.IdealFreeAirM3S*(1+1e-9), "design %d: %s", i, text)
		}
	}
	t.Logf("seed %d: %v", seed, count)
	for _, st := range []trompe.Status{trompe.OK, trompe.Surplus, trompe.NoInduction, trompe.NotCarried, trompe.NoHead, trompe.Starved} {
		require.Positive(t, count[st], "no design ended as %s", st)
	}
}

// requireNoGain demands that no loss gives energy back, but for the four terms
// that may: mixing, acceleration, riser (an air-lift) and the weight of the air.
func requireNoGain(t *testing.T, n *trompe.Numbers, design string) {
	t.Helper()
	b := n.BudgetHeadM
	losses := map[string]float64{
		"supply line": b.SupplyLine, "intake": b.IntakeContraction, "surplus": b.SurplusFall, "air intake": b.AirIntake, "slip": b.Slip,
		"friction": b.DowncomerFriction, "exit": b.DowncomerExit, "fall in chamber": b.FallInChamber, "bubble rise": b.BubbleRise,
		"carry-over": b.CarryOver, "blow-off": b.BlowOff,
	}
	if n.MixedGaugePa >= 0 { // under suction, water gives air back
		losses["dissolved"] = b.DissolvedAir
	}
	for name, x := range losses {
		require.GreaterOrEqual(t, x, -1e-6*math.Max(1, n.HeadM), "%s in %s", name, design)
	}
}

// surplusSlack is by how much the air may fall with more head once the pipe is
// in surplus: the head no longer matters there, but water that left the throat
// faster than a film can fall is slowed on a longer way, and plunges more gently.
const surplusSlack = 0.02

// More fall never draws less air, all else equal: a machine that runs on little
// fall can waste the rest.
func TestMoreHeadNeverDrawsLessAir(t *testing.T) {
	r := rand.New(rand.NewPCG(seed, 2))
	tried := 0
	for i := 0; i < 600; i++ {
		in := randomMachine(r)
		in.Supply = trompe.Supply{Type: trompe.Forebay, LevelM: in.Intake.MouthM + between(r, 0.05, 0.4)}
		in.Takeoff.Mode, in.Takeoff.BlowOffRoute, in.Takeoff.ReceiverGaugePa = trompe.BlowOffLevel, "", 0
		in.Intake.PortCdAM2 = nil // a throttled port can hold two steady states
		before := -1.0
		for _, lower := range []float64{0, 0.05, 0.2, 0.6} {
			low := in
			low.Riser.OutletM = in.Riser.OutletM - lower*(in.Riser.OutletM-in.Chamber.LipM)
			low, ok := encoded(t, low)
			if !ok {
				break
			}
			res, err := trompe.Solve(low)
			require.NoError(t, err)
			if res.Numbers == nil || res.Status == trompe.OutOfRange {
				break
			}
			text, _ := json.Marshal(low)
			slack := 1e-6
			if res.Status == trompe.Surplus {
				slack = surplusSlack
			}
			require.GreaterOrEqual(t, res.FreeAirInducedM3S, before*(1-slack), "design %d: %s", i, text)
			before = res.FreeAirInducedM3S
			tried++
		}
	}
	require.Greater(t, tried, 1000)
}
