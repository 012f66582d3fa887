// Package pipe holds what full pipes do to water: friction, flow under a head, pressure waves.
// Start with [Loss]; other packages take [Friction], [HeadLoss] and [WaveSpeed].
package pipe

import "leat/calc"

// Calculations lists the named calculations of this package.
func Calculations() []calc.Calculation { return []calc.Calculation{loss, flow, wave} }
