package use

import (
	"fmt"

	"leat/calc"
)

const (
	room      = 293.15         // K, 20 °C
	cubicFoot = 0.028316846592 // m³, by definition
	roomText  = "293.15"
	atmText   = "101325"
)

// Fields that several calculations have.

func inlet(about string) calc.Field { return calc.Positive("/p1", "Pa", about+", absolute").Need() }

func outlet() calc.Field {
	return calc.Positive("/p2", "Pa", "pressure behind it, absolute; the open air unless given").Preset(atmText)
}

func inletK() calc.Field {
	return calc.Positive("/T1", "K", "temperature of the air before it").Preset(roomText)
}

func coefficient(preset, about string) calc.Field { return calc.Share("/Cd", about).Preset(preset) }

// freeAir declares the state in which air is counted.
func freeAir() []calc.Field {
	return []calc.Field{
		calc.Positive("/p_free", "Pa", "pressure of the free air in which flow is counted, absolute").Preset(atmText),
		calc.Positive("/T_free", "K", "temperature of the free air in which flow is counted").Preset(roomText),
	}
}

func openAir() calc.Field {
	return calc.Positive("/p_atm", "Pa", "pressure of the open air, absolute").Preset(atmText)
}

func water() calc.Field {
	return calc.Positive("/rho", "kg/m³", "density of the water").Preset("998.2")
}

// FreeFlow returns the flow of free air in m³/s that is a mass flow in kg/s, the
// free air at a pressure in Pa and a temperature in K:
//
//	Q = q_m·R·T/p
//
// Valid for dry air as an ideal gas; humidity counts for 1.5 % at most.
//
// Source: ideal gas.
func FreeFlow(mass, p, t float64) float64 { return mass * calc.AirR * t / p }

// backwards refuses a pressure behind a hole that is not below that before it.
func backwards(p1, p2 float64) *calc.Fault {
	if p2 < p1 {
		return nil
	}
	return &calc.Fault{Code: calc.Infeasible, At: "/p2", Message: fmt.Sprintf(
		"Air flows only from the higher pressure to the lower: behind the hole are %.6g Pa, before it %.6g Pa. Both are absolute: add the pressure of the open air, some 100000 Pa, to what a gauge reads.", p2, p1)}
}
