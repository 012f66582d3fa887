// Package use holds what compressed air does at its far end: orifices, air pipes, diffusers, airlifts, forges, tools.
// Start with [Orifice].
package use

import "leat/calc"

// Calculations lists the named calculations of this package.
func Calculations() []calc.Calculation { return []calc.Calculation{} }
