package air_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/air"
)

// The constants of the standard atmosphere (ISO 2533, from memory): 101 325 Pa
// at sea level, a lapse of 6.5 K/km to 11 km, where it reaches 22 632 Pa.
func TestAtmosphere(t *testing.T) {
	require.Equal(t, 101325.0, air.Atmosphere(0))
	require.InEpsilon(t, 22632, air.Atmosphere(11000), 1e-3)
}

// Dry air at 15 °C and 101 325 Pa has 1.225 kg/m³ (ISO 2533, from memory); damp
// air is lighter.
func TestMoistAir(t *testing.T) {
	dry, vapour := air.Moist(101325, 15, 0)
	require.InEpsilon(t, 1.225, dry, 1e-3)
	require.Zero(t, vapour)
	damp, vapour := air.Moist(101325, 15, 1)
	require.Less(t, damp, dry)
	require.InEpsilon(t, 1705.7, vapour, 1e-3, "IAPWS-IF97 at 15 °C, by iapws 1.5.3")
}

// Sander's table has 1.3e-5 and 6.4e-6 mol/(m³·Pa) at 298.15 K, exactly there.
func TestHenryAtReferenceTemperature(t *testing.T) {
	o, n := air.Henry(25)
	require.InEpsilon(t, 1.3e-5, o, 1e-12)
	require.InEpsilon(t, 6.4e-6, n, 1e-12)
	cold, _ := air.Henry(5)
	require.Greater(t, cold, o, "cold water holds more")
}

// 1.716e-5 Pa·s at 0 °C is Sutherland's reference point (from memory).
func TestViscosityAtReferenceTemperature(t *testing.T) {
	require.InEpsilon(t, 1.716e-5, air.Viscosity(0), 1e-6)
}

func TestDiffusivityAtReferenceTemperature(t *testing.T) {
	o, n := air.Diffusivity(25)
	require.InEpsilon(t, 2.10e-9, o, 1e-12)
	require.InEpsilon(t, 1.88e-9, n, 1e-12)
}
