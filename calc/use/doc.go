// Package use holds what compressed air does at its far end: orifices, air
// pipes, diffusers, airlifts, forges, tools. Start with [Orifice].
//
// Pressures are absolute unless the name says gauge; free air is air of 101325
// Pa and 20 °C unless another state is given.
package use

import "leat/calc"

// Calculations lists the named calculations of this package.
func Calculations() []calc.Calculation {
	return []calc.Calculation{orifice, component, fromArea, airPipe, empirical, aeration, airlift, airliftRule, forge, tool}
}
