package confront

import (
	"maps"
	"math"
	"slices"
	"strings"

	"leat/calc"
	"leat/calc/evidence"
	"leat/calc/trompe"
)

// together says what the quantities say in common, and the run as a whole.
func (j *judging) together() error {
	independent := j.independent()
	var chi2P *float64
	if len(independent) > 1 {
		d, measured, predicted := j.deviations(independent)
		out, _, _ := evidence.Joint(evidence.JointIn{D: d, CMeas: measured, CPred: predicted})
		j.verdict.Joint = &Joint{out.Chi2, out.Rank, out.P}
		chi2P = out.P
	}
	j.verdict.Outcome = j.whole(chi2P)
	j.patterns(independent)
	return j.why(independent)
}

// independent are the items that count in common: those with prediction and
// uncertainty, and not worked out of others.
func (j *judging) independent() (places []int) {
	for i, item := range j.verdict.Items {
		if item.Predicted != nil && j.measured[i].usable() && !item.Derived && item.Reason != evidence.RunTooShort && item.Reason != evidence.NotSteady {
			places = append(places, i)
		}
	}
	return places
}

// deviations returns how far items are off, and the covariances of that.
func (j *judging) deviations(items []int) (d []float64, measured, predicted [][]float64) {
	measured, predicted = square(len(items)), square(len(items))
	for a, i := range items {
		d = append(d, *j.verdict.Items[i].Y-*j.verdict.Items[i].Predicted)
		for b, k := range items {
			measured[a][b] = j.sharedUncertainty(i, k)
			predicted[a][b] = covarianceOf(j.column(i), j.column(k))
		}
	}
	return d, measured, predicted
}

func square(n int) [][]float64 {
	rows := make([][]float64, n)
	for i := range rows {
		rows[i] = make([]float64, n)
	}
	return rows
}

// sharedUncertainty is the covariance of what was measured of two items, each
// widened for its degrees of freedom.
func (j *judging) sharedUncertainty(i, k int) float64 {
	a, b := j.measured[i], j.measured[k]
	wide := evidence.HeavyTailed(1, float64(a.Nu)) * evidence.HeavyTailed(1, float64(b.Nu))
	if i == k {
		return wide * *a.U * *a.U
	}
	return wide * covariance(a, b)
}

func (j *judging) column(i int) []float64 { return j.columns[[2]int{j.verdict.Items[i].Point, i}] }

// covarianceOf takes the draws in which both have an operating point.
func covarianceOf(x, y []float64) float64 {
	var n, mx, my float64
	for i := range x {
		if !math.IsNaN(x[i]) && !math.IsNaN(y[i]) {
			n++
			mx += (x[i] - mx) / n
			my += (y[i] - my) / n
		}
	}
	var sum float64
	for i := range x {
		if !math.IsNaN(x[i]) && !math.IsNaN(y[i]) {
			sum += (x[i] - mx) * (y[i] - my)
		}
	}
	return sum / (n - 1)
}

// whole is the verdict on the run. A quantity that was required and not measured
// is open.
func (j *judging) whole(chi2P *float64) Outcome {
	in := evidence.BuildVerdictIn{Chi2P: chi2P, Alpha: 0.05}
	for _, item := range j.verdict.Items {
		tail := calc.Reading(item.Tail())
		in.Items = append(in.Items, evidence.Judged{Name: j.called(item), Outcome: item.VerdictOut.Outcome, PTail: &tail, Required: &item.Required})
	}
	for _, name := range j.Required {
		if len(in.Items) > 0 && !slices.ContainsFunc(j.verdict.Items, func(i Item) bool { return i.Name == name }) {
			in.Items = append(in.Items, evidence.Judged{Name: Words(name), Outcome: evidence.Undecided})
		}
	}
	out, _, _ := evidence.BuildVerdict(in)
	return Outcome{out, out.Words()}
}

// called names an item: with its point, where there are several.
func (j *judging) called(item Item) string {
	if len(j.Points) == 1 {
		return Words(item.Name)
	}
	return Words(item.Name) + " at " + j.Points[item.Point].Name
}

// patterns says how the curve of a quantity lies, where it was measured at three
// points or more: over the pressure that was held, or else over the first
// condition that differs.
func (j *judging) patterns(independent []int) {
	for _, name := range []string{DeliveryPressure, HighestPressure, FreeAir, WaterFlow} {
		var items []int
		for _, i := range independent {
			if j.verdict.Items[i].Name == name {
				items = append(items, i)
			}
		}
		x, over := j.operating(items)
		if len(items) < 3 || x == nil {
			continue
		}
		d, measured, predicted := j.deviations(items)
		relative, s := make([]float64, len(d)), square(len(d))
		for a, i := range items {
			relative[a] = d[a] / *j.verdict.Items[i].Predicted
			for b, k := range items {
				s[a][b] = (measured[a][b] + predicted[a][b]) / *j.verdict.Items[i].Predicted / *j.verdict.Items[k].Predicted
			}
		}
		if p, ok := evidence.PatternOf(x, relative, s); ok {
			j.verdict.Patterns = append(j.verdict.Patterns, p.Words(Words(name), over))
		}
	}
}

// operating returns the operating variable of items; nil: there is none that all
// of them have, with different values.
func (j *judging) operating(items []int) (x []float64, called string) {
	for _, condition := range []struct{ at, called string }{{heldPressure, "pressure held"}, {"/supply/level_m", "head"}, {"/supply/z_m", "head"}, {"/site/t_water_c", "water temperature"}} {
		x = nil
		for _, i := range items {
			if q := j.Points[j.verdict.Items[i].Point].condition(condition.at); q != nil {
				x = append(x, *q.Value)
			}
		}
		if len(x) == len(items) && len(x) > 0 && slices.Min(x) < slices.Max(x) {
			return x, condition.called
		}
	}
	return nil, ""
}

// step of z for the slopes of predictions: section 5.5 of the specification of
// evidence.
const step = 0.25

// why says what would explain a miss, or a disagreement.
func (j *judging) why(independent []int) error {
	off := slices.ContainsFunc(j.verdict.Items, func(i Item) bool { return i.EN != nil && math.Abs(*i.EN) > 1 })
	if j.verdict.Outcome.BuildVerdictOut.Outcome != evidence.Missed && !off || len(independent) == 0 {
		return nil
	}
	d, measured, _ := j.deviations(independent)
	names := j.names()
	if len(names) == 0 {
		return nil
	}
	in := evidence.ExplainMissIn{D: d, R: measured, J: square(len(d)), Names: make([]string, len(names))}
	for c, name := range names {
		in.Names[c] = aboutCoefficient(name)
	}
	for a, i := range independent {
		in.J[a] = j.slopes(i, names)
	}
	text, fault := evidence.WhyItMissed(in, j.signs())
	if fault == nil {
		j.verdict.Why = text
	}
	return nil
}

// names are the coefficients that are not known for sure.
func (j *judging) names() (names []string) {
	given := slices.Collect(maps.Keys(j.points[0].Machine.Params)) // what the builder gave stays
	for _, u := range j.points[0].Machine.Unknowns() {
		if name, ok := strings.CutPrefix(u.At, "/params/"); ok && !slices.Contains(given, name) {
			names = append(names, name)
		}
	}
	return names
}

// slopes are ∂ŷ/∂z of an item; 0 where the machine does not run beside.
func (j *judging) slopes(i int, names []string) []float64 {
	item := j.verdict.Items[i]
	in := j.points[slices.Index(j.number, item.Point)].Machine
	z0, row := make([]float64, len(names)), make([]float64, len(names))
	if l := in.Set().Learned; l != nil {
		for c, name := range names {
			if k := slices.Index(l.Names, name); k >= 0 {
				z0[c] = l.M[k]
			}
		}
	}
	at := func(c int, by float64) float64 {
		z := slices.Clone(z0)
		z[c] += by
		if n := trompe.Trial(in.At(names, z)); n != nil {
			return outputs[item.Name](n)
		}
		return math.NaN()
	}
	for c := range names {
		if slope := (at(c, step) - at(c, -step)) / (2 * step); !math.IsNaN(slope) {
			row[c] = slope
		}
	}
	return row
}

// signs are on which side what was measured lies, of the item that is farthest off.
func (j *judging) signs() (s evidence.Signs) {
	far := map[string]float64{}
	for _, item := range j.verdict.Items {
		if item.Zeta != nil && math.Abs(*item.Zeta) > math.Abs(far[item.Name]) {
			far[item.Name] = *item.Zeta
		}
	}
	pressure := far[DeliveryPressure]
	if math.Abs(far[HighestPressure]) > math.Abs(pressure) {
		pressure = far[HighestPressure]
	}
	return evidence.Signs{Pressure: evidence.SignOf(pressure), Air: evidence.SignOf(far[FreeAir])}
}

// aboutCoefficient says what a coefficient is, in words.
func aboutCoefficient(name string) string {
	set, _ := trompe.SetZero()
	for _, c := range set.Coefficients {
		if c.Name == name {
			return c.About
		}
	}
	return name
}
