// Package ram holds hydraulic rams, and machines that join a ram with a trompe.
// Start with [Cycle].
package ram

import "leat/calc"

// Calculations lists the named calculations of this package.
func Calculations() []calc.Calculation {
	return []calc.Calculation{steady, band, cycle, wasteValve, column, pulse, lift}
}
