package evidence

import (
	"sort"

	"leat/calc"
)

// HolmAdjusted returns the probabilities p of several tests made together,
// adjusted so that each may be compared with the level of all: sorted from the
// smallest, the j-th of m is multiplied by m − j + 1, at most 1 and never below
// the one before. The order is that of p.
//
// Valid for p within 0 and 1, whatever hangs together among the tests.
//
// Source: S. Holm, Scand. J. Stat. 6, 65 (1979), from memory.
func HolmAdjusted(p []float64) []float64 {
	order := make([]int, len(p))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(i, j int) bool { return p[order[i]] < p[order[j]] })
	adjusted := make([]float64, len(p))
	before := 0.0
	for j, i := range order {
		before = max(before, min(1, p[i]*float64(len(p)-j)))
		adjusted[i] = before
	}
	return adjusted
}

// HolmIn is the probabilities of tests made together.
type HolmIn struct {
	P     []float64 `json:"p"`
	Alpha float64   `json:"alpha"`
}

// HolmOut is those that may be compared with the level of all.
type HolmOut struct {
	Adjusted []float64 `json:"adjusted"`
	Reject   []bool    `json:"reject"`
}

// Holm adjusts the probabilities of tests made together.
func Holm(in HolmIn) (HolmOut, []calc.Warning, *calc.Fault) {
	out := HolmOut{Adjusted: HolmAdjusted(in.P)}
	for _, p := range out.Adjusted {
		out.Reject = append(out.Reject, p <= in.Alpha)
	}
	return out, nil, nil
}
