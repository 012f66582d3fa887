package calc

// Constants of the specifications of systems and of strength. A trompe takes
// the properties of its own water and air instead.
const (
	Gravity      = 9.80665  // m/s², standard acceleration, ISO 80000-3
	Atmosphere   = 101325.0 // Pa, standard atmosphere, ISO 2533
	WaterDensity = 998.2    // kg/m³ at 20 °C, handbook value, from memory
	WaterNu      = 1.004e-6 // m²/s, kinematic viscosity at 20 °C, handbook value, from memory
	AirR         = 287.05   // J/(kg K), gas constant of dry air
	AirGamma     = 1.4      // ratio of the heat capacities of air
	Kelvin       = 273.15   // K at 0 °C
)

// Interpolate returns y at x on the straight lines through the points, held
// constant outside the ends. xs rises; both lists are of one length.
//
// Valid everywhere.
//
// Source: linear interpolation.
func Interpolate(x float64, xs, ys []float64) float64 {
	last := len(xs) - 1
	switch {
	case x <= xs[0]:
		return ys[0]
	case x >= xs[last]:
		return ys[last]
	}
	i := 1
	for x > xs[i] {
		i++
	}
	return ys[i-1] + (ys[i]-ys[i-1])*(x-xs[i-1])/(xs[i]-xs[i-1])
}
