// Package interval predicts a machine together with how far the prediction may
// be off. Start with [Predict]: the machine is solved again and again, each time
// with other values of what is not known for sure, and the spread of the
// answers is the interval.
package interval

import (
	"cmp"
	"encoding/json"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"

	"leat/calc"
	"leat/calc/evidence"
	"leat/calc/trompe"
)

// The number of draws: what every save has, and what may be asked for.
const (
	Draws = 512
	Least = 20
	Most  = 100_000
)

// batchMost is the size from which more batches are made than two.
const batchMost = 5000

// Asked says how an interval is wanted. The zero value is what every save has.
type Asked struct {
	Draws int            // 0: [Draws]; within [Least] and [Most]
	Seed  *evidence.Seed // nil: it follows from the input
	Set   *trompe.Set    // nil: set 0
}

// Calculate answers the named calculation "trompe" with its intervals: JSON
// text in, answer out.
func Calculate(raw json.RawMessage, asked Asked) (calc.Answer, error) {
	in, faults := trompe.Decode(raw)
	if len(faults) > 0 {
		return calc.Refuse(faults), nil
	}
	res, err := Predict(raw, in, asked)
	if err != nil {
		return calc.Answer{}, err
	}
	return calc.Answer{OK: true, Result: res, Warnings: res.Warnings, Evidence: res.Evidence}, nil
}

// Predict solves a machine and adds the intervals of its numbers. A machine
// without an operating point has none. raw is the text that in was read from;
// the seed follows from it unless it is given. An error is a defect of leat.
func Predict(raw json.RawMessage, in trompe.Input, asked Asked) (trompe.Result, error) {
	if asked.Set != nil {
		in = in.Under(asked.Set)
	}
	res, err := trompe.Solve(in)
	if err != nil || res.Numbers == nil {
		return res, err
	}
	seed := asked.Seed
	if seed == nil {
		text, err := calc.Canonical(raw)
		if err != nil {
			return res, err
		}
		own := evidence.SeedOf(string(text), calc.Version, in.Set().Name)
		seed = &own
	}
	draws := cmp.Or(asked.Draws, Draws)
	if draws < Least || draws > Most {
		return res, fmt.Errorf("interval: %d draws are asked for; %d to %d can be made", draws, Least, Most)
	}
	drawn, err := newSample(in, *seed, draws)
	if err != nil {
		return res, err
	}
	u := drawn.uncertainty(res.Values())
	u.Seed, u.Set = seed.String(), in.Set().Name
	res.Uncertainty = &u
	if u.Failed*100 > u.Draws {
		res.Warnings = append(res.Warnings, trompe.FailedTrials(u))
	}
	return res, nil
}

// sample is a machine with its draws and what came of them.
type sample struct {
	unknowns []trompe.Unknown
	batches  int
	x        [][]float64      // the values of the unknowns, a row a draw
	together bool             // some of them hang together
	trials   [][]trompe.Value // nil where there is no operating point
}

func newSample(in trompe.Input, seed evidence.Seed, draws int) (*sample, error) {
	s := &sample{unknowns: in.Unknowns(), batches: max(2, (draws+batchMost-1)/batchMost), trials: make([][]trompe.Value, draws)}
	names := make([]string, len(s.unknowns))
	for i, u := range s.unknowns {
		names[i] = u.At
	}
	s.x = evidence.Draw(seed, draws, s.batches, names)
	if err := s.learned(in); err != nil {
		return nil, err
	}
	for _, row := range s.x {
		for i, u := range s.unknowns {
			row[i] = quantile(u, row[i])
		}
	}
	s.run(in)
	return s, nil
}

// learned turns the draws into those of a new build of the group, where the set
// was learned. A draw stays the number between 0 and 1 at which the distribution
// of set 0 is read.
func (s *sample) learned(in trompe.Input) error {
	m, p, ok := in.Learned(s.unknowns)
	if !ok || len(m) == 0 {
		return nil
	}
	if !evidence.Correlate(s.x, m, p) {
		return fmt.Errorf("interval: the covariance of set %s has no root", in.Set().Name)
	}
	for _, row := range s.x {
		for i, z := range row {
			row[i] = evidence.Probability(z)
		}
	}
	for i, row := range p {
		for k := range i {
			s.together = s.together || row[k] != 0
		}
	}
	return nil
}

func quantile(u trompe.Unknown, p float64) float64 {
	switch {
	case u.Half > 0:
		return evidence.Rectangular(p, u.Best, u.Half)
	case u.Nu > 0 && !math.IsInf(u.Nu, 0):
		return min(max(u.Best+u.U*evidence.StudentQuantile(p, u.Nu), u.Low), u.High)
	}
	return evidence.Normal(p, u.Best, u.U, u.Low, u.High)
}

// run solves every draw, on all processors. Each writes its own place, so the
// outcome does not hang on who comes first.
func (s *sample) run(in trompe.Input) {
	var workers sync.WaitGroup
	n := runtime.GOMAXPROCS(0)
	for w := range n {
		workers.Go(func() {
			for i := w; i < len(s.x); i += n {
				if numbers := trompe.Trial(in.With(s.unknowns, s.x[i])); numbers != nil {
					s.trials[i] = numbers.Values()
				}
			}
		})
	}
	workers.Wait()
}

// tooMany is the share of failed draws above which no interval is given.
const tooMany = 0.2

// uncertainty sums up the draws. The outputs are those that mean something for
// the machine as it was given.
func (s *sample) uncertainty(nominal []trompe.Value) trompe.Uncertainty {
	u := trompe.Uncertainty{Status: "ok", Draws: len(s.x), Outputs: map[string]trompe.Interval{}, Ranking: []trompe.Share{}}
	works := make([]bool, len(s.trials))
	for i, t := range s.trials {
		if works[i] = t != nil; !works[i] {
			u.Failed++
		}
	}
	switch {
	case u.Draws-u.Failed < 2:
		u.Status = "no_valid_trial"
		return u
	case float64(u.Failed) > tooMany*float64(u.Draws):
		u.Status = "too_many_failed"
	}
	regression, ranks := evidence.Regress(s.x, works)
	for i, v := range nominal {
		if math.IsNaN(v.X) {
			continue
		}
		column := s.output(i)
		if interval, ok := s.interval(column, u.Status == "ok"); ok {
			u.Outputs[v.Name] = interval
		}
		if ranks && slices.Contains(ranked, v.Name) {
			rank := regression.Rank
			if s.together {
				rank = regression.Correlations
			}
			u.Ranking = append(u.Ranking, s.shares(v.Name, rank(column))...)
		}
	}
	return u
}

// output returns one output of every draw, NaN where the draw failed.
func (s *sample) output(i int) []float64 {
	column := make([]float64, len(s.trials))
	for d, t := range s.trials {
		column[d] = math.NaN()
		if t != nil {
			column[d] = t[i].X
		}
	}
	return column
}

func (s *sample) interval(column []float64, ends bool) (trompe.Interval, bool) {
	all, ok := evidence.Summarise(column)
	if !ok {
		return trompe.Interval{}, false
	}
	interval := trompe.Interval{Mean: all.Mean, U: all.U}
	if ends {
		interval.Low, interval.High = &all.Low, &all.High
	}
	batches := make([]evidence.Summary, s.batches)
	for b := range batches {
		batches[b], _ = evidence.Summarise(column[evidence.BatchStart(len(column), s.batches, b):evidence.BatchStart(len(column), s.batches, b+1)])
	}
	interval.Coarse = !evidence.Settled(batches, all.U, 1)
	return interval, true
}

// ranked are the outputs for which is said which unknown matters. Every draw
// that works has them.
var ranked = []string{
	"free_air_delivered_m3s", "water_flow_m3s", "chamber_gauge_pa", "blow_off_gauge_pa", "efficiency", "isothermal_air_power_w", "void_max", "surplus_fall_m",
}

// leastShare is the share below which an unknown is not named.
const leastShare = 0.01

// shares lists the unknowns that make the spread of an output, the largest first.
func (s *sample) shares(output string, ranking evidence.Ranking) (shares []trompe.Share) {
	for i, share := range ranking.Share {
		if share >= leastShare {
			shares = append(shares, trompe.Share{Output: output, Input: s.unknowns[i].At, Share: share, Rough: ranking.Rough})
		}
	}
	slices.SortStableFunc(shares, func(a, b trompe.Share) int { return cmp.Compare(b.Share, a.Share) })
	return shares
}
