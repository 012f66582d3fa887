// Package parts holds what to buy and where to cut: catalogue of pipes, sockets and threads, cut lengths, stock cutting.
// Start with [Stock].
package parts

import "leat/calc"

// Calculations lists the named calculations of this package.
func Calculations() []calc.Calculation { return []calc.Calculation{} }
