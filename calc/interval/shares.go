package interval

import (
	"context"
	"errors"
	"math"
	"slices"

	"leat/calc/evidence"
	"leat/calc/trompe"
)

// ShareDraws is how many draws the shares of unknowns are found by; each takes
// two solves and one more an unknown.
const ShareDraws = 1024

// Shares returns which unknowns of a machine make the variance of an output,
// alone and together with others, in the order of its unknowns: where the
// ranking of an interval is rough, as its answer is far from a plane. It may take
// minutes; ctx ends it early, with its error. An error else says that the
// unknowns hang together or that nothing varies.
func Shares(ctx context.Context, in trompe.Input, seed evidence.Seed, output string, n int) (evidence.Sobol, error) {
	unknowns := in.Unknowns()
	names := make([]string, len(unknowns))
	for i, u := range unknowns {
		names[i] = u.At
	}
	s := &sample{unknowns: unknowns}
	if err := s.learned(in); err != nil {
		return evidence.Sobol{}, err
	}
	if s.together {
		return evidence.Sobol{}, errors.New("interval: shares are of unknowns that are independent; those of this set hang together")
	}
	shares, ok := evidence.SobolIndices(seed, n, names, func(u []float64) float64 {
		if ctx.Err() != nil {
			return math.NaN()
		}
		one := &sample{unknowns: unknowns, x: [][]float64{slices.Clone(u)}}
		if one.learned(in) != nil {
			return math.NaN()
		}
		for i, unknown := range unknowns {
			one.x[0][i] = quantile(unknown, one.x[0][i])
		}
		return valueOf(trompe.Trial(in.With(unknowns, one.x[0])), output)
	})
	if ctx.Err() != nil {
		return evidence.Sobol{}, ctx.Err()
	}
	if !ok {
		return evidence.Sobol{}, errors.New("interval: the output does not vary, or the machine does not work in too many draws")
	}
	return shares, nil
}

// valueOf returns a number of a result, NaN where there is none.
func valueOf(numbers *trompe.Numbers, output string) float64 {
	if numbers == nil {
		return math.NaN()
	}
	for _, v := range numbers.Values() {
		if v.Name == output {
			return v.X
		}
	}
	return math.NaN()
}
