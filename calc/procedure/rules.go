package procedure

import "leat/calc/strength"

// Rules are the limits that a group may set, within bounds that are not known
// here.
type Rules struct {
	Gas            strength.GasConfig `json:"gas"`
	HydroFactor    float64            `json:"hydro_factor"`     // test over design pressure
	GasFloorM      float64            `json:"gas_floor_m"`      // least distance from gas; below 30 m only behind a barrier
	WaterFloorM    float64            `json:"water_floor_m"`    // least distance from water
	GasFloorAlways bool               `json:"gas_floor_always"` // the floor of water never replaces that of gas
	HoldPlasticMin float64            `json:"hold_plastic_min"` // minutes
	HoldMetalMin   float64            `json:"hold_metal_min"`   // minutes, where no part is of plastic
	GaugeAgeDays   float64            `json:"gauge_age_days"`   // most since its calibration
	CureFloorH     float64            `json:"cure_floor_h"`     // least wait for cement
	LifeMonths     int                `json:"life_months"`      // of a certificate
	LifeGasMonths  int                `json:"life_gas_months"`  // of one with gas on conditions
}

// DefaultRules are what counts where a group has set nothing: common practice,
// no source.
var DefaultRules = Rules{
	Gas: strength.DefaultGasConfig, HydroFactor: 1.5, GasFloorM: 30, WaterFloorM: 5, HoldPlasticMin: 60, HoldMetalMin: 30,
	GaugeAgeDays: 365, CureFloorH: 24, LifeMonths: 12, LifeGasMonths: 3,
}

// Figures of the procedure that no group may change: common practice, no source.
const (
	airFractionMaxPct = 1.0  // of the volume, air left in a machine under water
	scaledDistance    = 20.0 // m/kg^(1/3)
	gasFloorM         = 30.0 // m, less only behind a barrier
	barrierEnoughJ    = 1356.0
	waterModulus      = 2.18e9 // Pa
	manometerBelowPa  = 50e3   // gauge; from there on a dial gauge
	airDensity        = 1.29   // kg/m³ of free air, what a relief must keep up with
)
