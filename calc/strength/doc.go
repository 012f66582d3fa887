// Package strength holds whether a part may hold what it is to hold: rating,
// hoop stress, surge, collapse, stored energy, distance, gas in plastic. Start
// with [Gas], the decision that the others lead to; [Class] draws a whole sheet
// together.
//
// Pressures are gauge and in Pa. What is unknown is not allowed.
package strength

import "leat/calc"

// Calculations lists the named calculations of this package.
func Calculations() []calc.Calculation {
	return []calc.Calculation{pn, hoop, rating, surge, surgeAllow, collapse, energy, exclusion, gas}
}
