// Package evidence holds the statistics that leat lives by: how a reading gets
// its uncertainty and a prediction its interval, how the two are compared, and
// how what was measured may change what leat believes. Of readings start with
// [TypeA] and [Combine]; of predictions with [Draw]: it makes the numbers between
// 0 and 1 that a calculation is run with; [Summarise] and [Ranking] say what
// came out.
//
// Nothing is random without a [Seed] that is stored: the same seed gives the
// same bytes in every run and on every machine.
package evidence

import (
	"slices"

	"leat/calc"
)

// Calculations lists the named calculations of this package.
func Calculations() []calc.Calculation {
	return slices.Concat(
		measured,
		series,
		judged,
		learned,
	)
}
