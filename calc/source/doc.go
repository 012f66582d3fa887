// Package source holds where the water of a machine comes from: rain, roofs and
// gutters, tanks, weirs, buckets, orifices, mains. Start with [VNotch].
package source

import "leat/calc"

// Calculations lists the named calculations of this package.
func Calculations() []calc.Calculation {
	return []calc.Calculation{runoff, roof, gutter, gutterBound, downpipe, tankBalance, tankDrain,
		vnotch, rectWeir, bucket, orifice, residual, mains}
}
