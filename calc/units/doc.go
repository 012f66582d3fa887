// Package units holds conversion between units, and between the states in which an air flow may be told.
// Start with [Convert].
package units

import "leat/calc"

// Calculations lists the named calculations of this package.
func Calculations() []calc.Calculation { return []calc.Calculation{convert, airReference} }
