package procedure

import "leat/calc/build"

// Rules are the limits that a group may set, as far as a test asks for them. How
// far each may be set is not judged here.
type Rules struct {
	build.Limits
	LifeMonths    int `json:"life_months"`     // of a certificate
	LifeGasMonths int `json:"life_gas_months"` // of one with gas on conditions
}

// DefaultRules returns what counts where a group has set nothing.
func DefaultRules() Rules {
	return Rules{Limits: build.DefaultLimits(), LifeMonths: 12, LifeGasMonths: 3}
}

// Figures of the procedure that no group may change: common practice, no source.
const (
	airFractionMaxPct = 1.0    // of the volume, air left in a machine under water
	scaledDistance    = 20.0   // m/kg^(1/3)
	gasFloorM         = 30.0   // m, which counts for no water
	waterModulus      = 2.18e9 // Pa
	manometerBelowPa  = 50e3   // gauge; from there on a dial gauge
	airDensity        = 1.29   // kg/m³ of free air, what a relief must keep up with
	shortestHold      = 10.0   // minutes
)
