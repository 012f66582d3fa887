// Package parts holds what to buy and where to cut: the catalogue of pipes,
// sockets and threads, cut lengths, and plans by which pieces come out of the
// stock at hand and the bars to be bought. Start with [PlanCuts], [List] and [Catalogue].
package parts

import "leat/calc"

// Calculations lists the named calculations of this package.
func Calculations() []calc.Calculation { return []calc.Calculation{cut, tubes, stock} }
