package strength_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/strength"
)

// work integrates p·dv of a gas that expands from one volume to another, by
// Simpson's rule in the logarithm of the volume.
func work(from, to float64, pressure func(v float64) float64) float64 {
	const n = 2000
	step := math.Log(to/from) / n
	sum := 0.0
	for i := 0; i <= n; i++ {
		v := from * math.Exp(step*float64(i))
		weight := 2 + 2*float64(i%2)
		if i == 0 || i == n {
			weight = 1
		}
		sum += weight * pressure(v) * v
	}
	return sum * step / 3
}

// The energies are what an ideal gas does against its surroundings: first law,
// integrated here step by step.
func TestEnergiesAreWork(t *testing.T) {
	const v, open = 0.02, calc.Atmosphere
	for _, p := range []float64{1e3, 5e4, 3e5, 7e6} {
		for _, gamma := range []float64{1.1, 1.4, 5.0 / 3} {
			full := p + open
			adiabat := func(x float64) float64 { return full * math.Pow(v/x, gamma) }
			require.InEpsilon(t, work(v, v*math.Pow(full/open, 1/gamma), adiabat), strength.IsentropicEnergy(p, v, gamma, open), 1e-9)
		}
		full := p + open
		isotherm := func(x float64) float64 { return full * v / x }
		useful := func(x float64) float64 { return full*v/x - open }
		require.InEpsilon(t, work(v, v*full/open, isotherm), strength.IsothermalEnergy(p, v, open), 1e-9)
		require.InEpsilon(t, work(v, v*full/open, useful), strength.AvailableEnergy(p, v, open), 1e-9)
	}
}

// At almost no pressure the energies are p·V/γ, p·V and p²·V/(2·p_a): the first
// terms of their series, worked by hand.
func TestEnergiesOfAlmostNoPressure(t *testing.T) {
	const p, v = 1e-3, 0.02
	require.InEpsilon(t, p*v/1.4, strength.IsentropicEnergy(p, v, 1.4, calc.Atmosphere), 1e-7)
	require.InEpsilon(t, p*v, strength.IsothermalEnergy(p, v, calc.Atmosphere), 1e-7)
	require.InEpsilon(t, p*p*v/(2*calc.Atmosphere), strength.AvailableEnergy(p, v, calc.Atmosphere), 1e-7)
	require.Zero(t, strength.IsentropicEnergy(0, v, 1.4, calc.Atmosphere))
}

// The series of the available energy meets the logarithm where it takes over.
func TestAvailableEnergyHasNoStep(t *testing.T) {
	at := func(y float64) float64 { return strength.AvailableEnergy(y/(1-y), 1, 1) }
	require.InEpsilon(t, at(0.05*(1-1e-12)), at(0.05*(1+1e-12)), 1e-10)
}

// 20 L at 3 bar: water and PVC wall hold 4.4 J, and a hundredth of trapped air
// 65 J more; the figures of the specification, worked from the formulas in it.
func TestTrappedAirOutweighsWater(t *testing.T) {
	od, wall, e, nu := 0.11, 0.0066, 3e9, 0.4
	in := strength.EnergyIn{PPa: 3 * bar, VLiqM3: 0.02, Gamma: 1.4, PAtmPa: calc.Atmosphere, KPa: 2.18e9, ODM: &od, WallM: &wall, EPa: &e, Nu: &nu}
	full, _, _ := strength.Energy(in)
	require.InDelta(t, 4.4, full.TotalJ, 0.05)
	in.VGasM3 = 0.0002
	trapped, _, _ := strength.Energy(in)
	require.InDelta(t, 65, trapped.IsentropicJ, 0.5)
}

// A wall that does not give leaves the speed of sound in water, √(K/ρ); the
// moment of the closing wave parts quick from slow, without a step.
func TestSurgeLimits(t *testing.T) {
	require.InEpsilon(t, math.Sqrt(2.18e9/998.2), strength.WaveSpeed(998.2, 2.18e9, 1e30, 0.05, 0.002, 1), 1e-12)
	require.Equal(t, 1.0, strength.SlowClosure(0.1, 0.1))
	require.InEpsilon(t, 1, strength.SlowClosure(0.1, 0.1*(1+1e-12)), 1e-10)
	require.Equal(t, 0.25, strength.SlowClosure(0.1, 0.4))
	require.Equal(t, 1.0, strength.SlowClosure(0, 5), "without a length nothing is slow")
}

// The ram's drive pipe of the specification, 3.4: 50 x 2.4 mm PVC-U of PN10 at
// 1.5 m/s fails, steel of 25 bar holds.
func TestRamDrivePipes(t *testing.T) {
	judge := func(table string, rating, rise float64) strength.SurgeAllowOut {
		out, _, _ := strength.SurgeAllow(strength.SurgeAllowIn{RatingPa: rating * bar, PeakPa: (0.3 + rise) * bar, RangePa: rise * bar, Table: table, Duty: "ram", RamFactor: 0.25})
		return out
	}
	pvc := judge("PVC", 10, 5.774)
	require.InEpsilon(t, 2.5*bar, pvc.LimitRangePa, 1e-12)
	require.Equal(t, strength.Codes{"range_over_limit"}, pvc.Reasons)
	require.True(t, judge("STEEL", 25, 21.208).OK)
	require.Equal(t, strength.Codes{"peak_over_rating", "range_over_limit"}, judge("ABS", 5, 5.774).Reasons)
}

// How cold is too cold, and which plastics lose strength by threads and gas:
// section 3.3 of the specification, common practice and makers' pages.
func TestRatingFactors(t *testing.T) {
	for table, cold := range map[string]float64{"PVC": 5, "PVC-U-EN1452": 5, "STEEL": -10, "PE100": -20, "ABS": -20, "PA": -20, "COPPER": -20} {
		require.False(t, strength.Cold(table, cold), table)
		require.True(t, strength.Cold(table, cold-0.01), table)
	}
	for table, want := range map[string][2]float64{"PVC": {0.5, 1}, "PE100": {0.5, 0.625}, "PE100-ASNZS": {0.5, 0.625}, "PA": {0.5, 1}, "COPPER": {1, 1}, "STEEL": {1, 1}} {
		require.Equal(t, want, [2]float64{strength.ThreadFactor(table, true), strength.GasFactor(table, true)}, table)
	}
}

// A row that cannot be read, or that does not fit its table, is refused.
func TestDeratingRows(t *testing.T) {
	const heading = "table,temp_c,factor,default,source\n"
	for _, rows := range []string{"PVC,x,1,yes,s", "PVC,20,0,yes,s", "PVC,20,1.1,yes,s", "PVC,20,1,maybe,s", "PVC,20,1,yes,", "PVC,20,1", "PVC,20,1,yes,s\nPVC,20,0.9,yes,s"} {
		_, err := strength.ReadDeratings([]byte(heading + rows))
		require.Error(t, err, rows)
	}
	all, err := strength.ReadDeratings([]byte(heading + "PVC,20,1,yes,s\nPVC,30,0.9,yes,s\nPE,20,1,no,t"))
	require.NoError(t, err)
	require.Len(t, all, 2)
	require.Equal(t, "PVC PVC-U-EN1452 PE100 PE100-ASNZS ABS PA COPPER STEEL", strings.Join(strength.Tables(), " "))
}
