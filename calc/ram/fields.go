package ram

import "leat/calc"

// Fields that several calculations have.
var (
	fall       = calc.Positive("/H", "m", "supply fall: from the water at the intake down to the waste valve").Need()
	rise       = calc.Positive("/h", "m", "delivery height over the waste valve, friction of the delivery pipe included").Need()
	density    = calc.Positive("/rho", "kg/m³", "density of the water").Preset("998.2")
	atmosphere = calc.Positive("/p_atm", "Pa", "pressure of the air around, absolute").Preset("101325")
)

// notAbove refuses a lift that a ram has not to make.
func notAbove(fall, rise float64) *calc.Fault {
	if rise > fall {
		return nil
	}
	return &calc.Fault{Code: calc.Infeasible, At: "/h",
		Message: "The delivery stands no higher than the intake, so water runs there by itself. A ram is for a delivery height above the fall; both count from the waste valve."}
}

// broken tells that a bound of physics does not hold: leat itself is wrong.
func broken() *calc.Fault {
	return &calc.Fault{Code: calc.Bound, At: "",
		Message: "More energy would come out than went in. This is a defect of leat and not of your machine; no number is shown. Please report what you typed."}
}

const perMinute = 60_000 // L/min in a m³/s

const (
	jennings  = "G. D. Jennings, Hydraulic Ram Pumps, NC Cooperative Extension EBAE 161-92, as quoted"
	defined   = "definition"
	continued = "continuity"
)
