// Package pressuretest holds pressure tests and what they need: test pressure,
// hold, decay, air check, gauge, relief, cure, certificate. Start with
// [TestPressure].
//
// Pressures are gauge and in Pa, unless a name ends in Abs.
package pressuretest

import "leat/calc"

// Calculations lists the named calculations of this package.
func Calculations() []calc.Calculation {
	return []calc.Calculation{testPressure, decay, hydroHold, airCheck, gauge, relief, trompeLimit, cure, certificate}
}

// The verdicts of a test. Inconclusive is not a pass.
const (
	Pass         = "pass"
	Fail         = "fail"
	Inconclusive = "inconclusive"
)

func density() calc.Field {
	return calc.Positive("/rho_kg_m3", "kg/m³", "density of the water").Preset("998.2")
}

func barometer(at string) calc.Field {
	return calc.Positive(at, "Pa", "pressure of the open air, absolute").Preset("101325")
}

func largestError() calc.Field {
	return calc.AtLeast("/mpe_pa", "Pa", 0, "largest error that the gauge may have").Need()
}

// reasons is a list of codes, never null.
type reasons []string

func (r *reasons) add(code string, applies bool) {
	if applies {
		*r = append(*r, code)
	}
}
