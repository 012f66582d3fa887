// Package strength holds whether a part may hold what it is to hold: rating, hoop stress, surge, collapse, stored energy, distance, gas in plastic.
// Start with [Gas].
package strength

import "leat/calc"

// Calculations lists the named calculations of this package.
func Calculations() []calc.Calculation { return []calc.Calculation{} }
