package water_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/water"
)

// Reference values of IAPWS-IF97 (density and viscosity at 101 325 Pa,
// saturation pressure) and of the IAPWS release on surface tension, worked out
// with the general library iapws 1.5.3 as Debian ships it.
var iapws = []struct{ t, rho, mu, ps, sigma float64 }{
	{1, 999.9029578513013, 0.0017310167354846785, 657.0880491178995, 0.07550766158583765},
	{10, 999.7015401695024, 0.0013059014206489705, 1228.1838693402237, 0.07422104407784691},
	{15, 999.101114187188, 0.0011375693361148573, 1705.7448743923737, 0.0734858035333309},
	{20, 998.2060924679477, 0.00100159685462303, 2339.214766776897, 0.07273614042160757},
	{30, 995.6520542439986, 0.0007972216809163389, 4246.688340548065, 0.07119415109567316},
	{40, 992.2242580187883, 0.0006527309856540374, 7384.42748706953, 0.06959631235370246},
}

func TestPropertiesAgainstIAPWS(t *testing.T) {
	for _, w := range iapws {
		require.InEpsilon(t, w.rho, water.Density(w.t), 2e-5, "density at %v °C", w.t)
		require.InEpsilon(t, w.mu, water.Viscosity(w.t), 0.02, "viscosity at %v °C", w.t)
		require.InEpsilon(t, w.ps, water.SaturationPressure(w.t), 1e-3, "saturation pressure at %v °C", w.t)
		require.InEpsilon(t, w.sigma, water.SurfaceTension(w.t), 1e-4, "surface tension at %v °C", w.t)
	}
}

func TestDewPointInvertsSaturationPressure(t *testing.T) {
	for _, at := range []float64{-30, -5, 0, 0.5, 12, 45} {
		require.InDelta(t, at, water.DewPoint(water.SaturationPressure(at)), 1e-9)
	}
}

// Colebrook's equation, solved here by iteration, is what Haaland's stands for.
func TestFrictionFactorAgainstColebrook(t *testing.T) {
	for _, rough := range []float64{0, 1e-5, 1e-3, 0.02} {
		for _, re := range []float64{5e3, 3e4, 1e6, 1e8} {
			x := 7.0 // 1/√f
			for range 100 {
				x = -2 * math.Log10(rough/3.7+2.51*x/re)
			}
			require.InEpsilon(t, 1/(x*x), water.FrictionFactor(re, water.Roughness(rough)), 0.03, "Re %v, ε/D %v", re, rough)
		}
	}
}

// Laminar flow is Hagen and Poiseuille's: 64/Re; the three ranges meet.
func TestFrictionFactorRangesMeet(t *testing.T) {
	wall := water.Roughness(1e-4)
	require.Zero(t, water.FrictionFactor(0, wall))
	require.InEpsilon(t, 0.064, water.FrictionFactor(1000, wall), 1e-12)
	for _, re := range []float64{2300, 4000} {
		require.InEpsilon(t, water.FrictionFactor(re*(1-1e-9), wall), water.FrictionFactor(re*(1+1e-9), wall), 1e-6)
	}
}

// Stokes' law, v = g·d²·Δρ/(18 μ), holds for the finest bubbles (air's density
// neglected); coarse ones follow Mendelson's wave.
func TestBubbleRiseSpeedLimits(t *testing.T) {
	const rho, mu, sigma, g = 998, 1e-3, 0.0728, 9.81
	d := 20e-6
	require.InEpsilon(t, g*d*d*rho/(18*mu), water.BubbleRiseSpeed(d, rho, mu, sigma, g), 0.02)
	d = 5e-3
	require.InEpsilon(t, math.Sqrt(2*sigma/(rho*d)+g*d/2), water.BubbleRiseSpeed(d, rho, mu, sigma, g), 1e-12)
}
