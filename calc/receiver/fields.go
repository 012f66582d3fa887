package receiver

import "leat/calc"

// Fields that several calculations have.
var (
	volume     = calc.Positive("/V", "m³", "what the receiver holds when empty of water").Need()
	atmosphere = calc.Positive("/p_atm", "Pa", "pressure of the air around, absolute").Preset("101325")
	density    = calc.Positive("/rho", "kg/m³", "density of the water").Preset("998.2")
	airTemp    = calc.Positive("/T", "K", "temperature of the air in the receiver").Preset("293.15")
	freeTemp   = calc.Positive("/T_ref", "K", "temperature at which free air is counted").Preset("293.15")
)

// roomTemp is 20 °C in K, the usual temperature of a receiver and of free air.
const roomTemp = 293.15

const (
	idealGas     = "ideal gas"
	availability = "work that a closed ideal gas can give, as in Moran and Shapiro, from memory"
)
