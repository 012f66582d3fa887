// Package receiver holds air kept under pressure: what it holds, how long it takes to fill and lasts, leaks, moisture.
// Start with [Tank].
package receiver

import "leat/calc"

// Calculations lists the named calculations of this package.
func Calculations() []calc.Calculation {
	return []calc.Calculation{tank, fillTime, runtime, leakTest, constPressure, condensate, everyday, roundTrip}
}
