// Package pressuretest holds pressure tests and what they need: test pressure, hold, decay, air check, gauge, relief, cure, certificate.
// Start with [Pressure].
package pressuretest

import "leat/calc"

// Calculations lists the named calculations of this package.
func Calculations() []calc.Calculation { return []calc.Calculation{} }
