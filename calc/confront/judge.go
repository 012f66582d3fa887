package confront

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"leat/calc"
	"leat/calc/evidence"
	"leat/calc/interval"
	"leat/calc/trompe"
)

// Judge works out the verdict of a case. progress is told how much of the least
// work is done, and may be nil. It takes some seconds for each point, on all
// processors but one, and ends early with the error of ctx. Any other error is a defect
// of leat.
func Judge(ctx context.Context, c Case, progress func(done, of int)) (Verdict, error) {
	j := &judging{Case: c, verdict: Verdict{CalcVersion: calc.Version, Set: c.SetName, Items: []Item{}, Patterns: []string{}, Why: []string{}, Faults: []PointFault{}}}
	seed, err := c.seed()
	if err != nil {
		return Verdict{}, err
	}
	j.verdict.Seed = seed.String()
	if err := j.prepare(); err != nil {
		return Verdict{}, err
	}
	if len(j.points) > 0 {
		if err := j.draw(ctx, seed, progress); err != nil {
			return Verdict{}, err
		}
	}
	j.items()
	if err := j.together(); err != nil {
		return Verdict{}, err
	}
	return j.verdict, nil
}

// judging is a case at work.
type judging struct {
	Case
	verdict Verdict

	points   []interval.Point
	asked    [][]string // by point that can be predicted: the quantities that are wanted
	number   []int      // of the point in the case
	ensemble *interval.Ensemble
	columns  map[[2]int][]float64 // by item's point and place: the draws
	measured []Quantity           // of each item
}

// prepare finds what can be predicted of each point.
func (j *judging) prepare() error {
	if len(j.Machine) == 0 || string(j.Machine) == "null" {
		return nil
	}
	fields := fieldsOf()
	for i, p := range j.Points {
		if p.Setting == Held && p.condition(heldPressure) == nil {
			j.verdict.Faults = append(j.verdict.Faults, PointFault{i, heldPressure, "The pressure that was held was not measured: without it nothing can be predicted for this point."})
			continue
		}
		in, faults, err := j.machineAt(p)
		if err != nil {
			return err
		}
		if len(faults) > 0 {
			j.verdict.Faults = append(j.verdict.Faults, PointFault{i, faults[0].At, faults[0].Message})
			continue
		}
		var asked []string
		for _, q := range p.Measured {
			if Predicted(q.Name) && !p.holds(q.Name) {
				asked = append(asked, q.Name)
			}
		}
		if len(asked) > 0 {
			j.points = append(j.points, interval.Point{Machine: in, Conditions: p.uncertain(fields)})
			j.asked, j.number = append(j.asked, asked), append(j.number, i)
		}
	}
	return nil
}

// holds tells whether a quantity was held at the point, so that nothing is
// promised of it.
func (p Point) holds(name string) bool { return p.Setting == Held && name == DeliveryPressure }

// leastBatches and digits: JCGM 101:2008, 7.9.4, from memory; two digits.
const (
	leastBatches = 2
	digits       = 2
)

func (j *judging) draw(ctx context.Context, seed evidence.Seed, progress func(done, of int)) error {
	j.ensemble = interval.NewEnsemble(j.points, seed, j.Draws.Batch, func(point int, n *trompe.Numbers) []float64 {
		values := make([]float64, len(j.asked[point]))
		for i, name := range j.asked[point] {
			values[i] = outputs[name](n)
		}
		return values
	})
	each := j.Draws.Batch * len(j.points)
	for b := 0; b < leastBatches || b < j.Draws.Most && !j.settled(); b++ {
		err := j.ensemble.Add(ctx, func(solved int) {
			if progress != nil {
				progress(b*each+solved, max(leastBatches, b+1)*each)
			}
		})
		if err != nil {
			return fmt.Errorf("confront: %w", err)
		}
	}
	j.verdict.Draws, j.verdict.Settled = j.ensemble.Draws(), j.settled()
	for d := range j.verdict.Draws {
		if slices.ContainsFunc(j.ensemble.Trials, func(point [][]float64) bool { return point[d] == nil }) {
			j.verdict.Failed++
		}
	}
	return nil
}

func (j *judging) settled() bool {
	for p, names := range j.asked {
		for o := range names {
			if !j.ensemble.Settled(j.ensemble.Output(p, o), digits) {
				return false
			}
		}
	}
	return true
}

// tooManyFailed is the share of draws without operating point above which nothing
// is promised.
const tooManyFailed = 0.2

// items judges each quantity that was measured.
func (j *judging) items() {
	j.columns = map[[2]int][]float64{}
	for i, p := range j.Points {
		at := slices.Index(j.number, i)
		for _, q := range p.Measured {
			if p.holds(q.Name) {
				continue
			}
			item := Item{Point: i, Name: q.Name, Required: slices.Contains(j.Required, q.Name), Derived: q.Name == Efficiency, Y: q.Value, U: q.U, Nu: q.Nu}
			var column []float64
			if at >= 0 {
				if o := slices.Index(j.asked[at], q.Name); o >= 0 {
					column = j.ensemble.Output(at, o)
				}
			}
			j.promise(&item, column)
			j.judge(&item, q, column)
			j.columns[[2]int{i, len(j.measured)}] = column
			j.verdict.Items, j.measured = append(j.verdict.Items, item), append(j.measured, q)
		}
	}
}

// promise says what the machine was to do: the symmetric interval of the
// prediction, or what was declared instead.
func (j *judging) promise(item *Item, column []float64) {
	if s, ok := evidence.Summarise(column); ok && float64(len(column)-s.Valid) <= tooManyFailed*float64(len(column)) {
		middle := median(column)
		item.Predicted, item.UPred, item.Low, item.High = &middle, &s.U, &s.Low, &s.High
	}
	i := slices.IndexFunc(j.Limits, func(l Limit) bool { return l.Name == item.Name })
	if i >= 0 {
		item.Low, item.High, item.Declared = j.Limits[i].Lower, j.Limits[i].Upper, true
	}
}

func median(column []float64) float64 {
	x := evidence.Measured(column)
	slices.Sort(x)
	return (x[(len(x)-1)/2] + x[len(x)/2]) / 2
}

func (j *judging) judge(item *Item, q Quantity, column []float64) {
	if q.Reason != "" && q.usable() {
		item.VerdictOut = evidence.VerdictOut{Outcome: evidence.Undecided, Reason: q.Reason}
	} else {
		var warnings []calc.Warning
		item.VerdictOut, warnings, _ = evidence.Verdict(evidence.VerdictIn{
			Y: calc.Reading(q.value()), U: calc.Reading(q.u()), Nu: q.Nu, Lower: item.Low, Upper: item.High, Pred: item.Predicted, UPred: item.UPred,
			PMet: 0.95, PMiss: 0.975, RepeatabilityKnown: true,
		})
		item.PromisedLittle = len(warnings) > 0
	}
	item.Words = item.VerdictOut.Words()
	if item.PromisedLittle {
		item.Words = append([]string{evidence.PromisedLittle}, item.Words...)
	}
	if item.UNeeded != nil {
		item.Decides = deciding(*item, q)
	}
	if item.Predicted != nil && q.usable() {
		item.PIT = new(evidence.PIT(column, *q.Value, *q.U))
		item.CRPS = new(j.score(column, *q.Value, *q.U) / math.Abs(*item.Predicted))
		if math.IsInf(*item.CRPS, 0) || math.IsNaN(*item.CRPS) {
			item.CRPS = nil
		}
	}
}

func (j *judging) score(column []float64, y, u float64) float64 {
	seed, _ := evidence.ParseSeed(j.verdict.Seed) // it was written by us
	return evidence.EnsembleCRPS(evidence.Blurred(column, u, seed), y)
}

// deciding says which instrument, how many repeats, or how long a record would
// decide.
func deciding(item Item, q Quantity) string {
	var instrument, window, rest float64
	for _, l := range q.apart() {
		switch square := *l.Signed * *l.Signed; {
		case l.Instrument:
			instrument += square
		case strings.HasPrefix(l.Name, OfWindow):
			window += square
			rest += square
		default:
			rest += square
		}
	}
	in := evidence.InstrumentNeededIn{UNeeded: *item.UNeeded, UOther: math.Sqrt(rest), S: q.S}
	if q.S != nil && q.N > 0 && window == 0 { // the samples of a logger are no repeats
		repeats := *q.S * *q.S / float64(q.N)
		in.UB = new(math.Sqrt(max(0, *q.U**q.U-repeats)))
	}
	needed, _, _ := evidence.InstrumentNeeded(in)
	d := evidence.Deciding{Y: *q.Value, UNeeded: *item.UNeeded, InstrumentNeededOut: needed}
	d.Longer = window > 0 && instrument+rest-window < *item.UNeeded**item.UNeeded
	if instrument > 0 {
		d.Used = evidence.Instrument{Name: "instrument that was read", Limit: math.Sqrt(3 * instrument)}
	}
	if item.Name == DeliveryPressure || item.Name == HighestPressure {
		d.Instruments = evidence.GaugesFor(*q.Value)
	}
	return d.Words()
}
