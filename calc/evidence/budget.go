package evidence

import (
	"math"
	"slices"
)

// States of a budget, beside [OK].
const (
	Incomplete = "incomplete" // a line cannot be evaluated: there is no uncertainty
	AllZero    = "zero"       // every line is zero: nothing is known that well
)

// Line is one contribution to an uncertainty.
type Line struct {
	Name   string
	U      float64 // standard uncertainty in the unit of what it is about; NaN: it cannot be evaluated
	Sens   float64 // how much the result changes with it, of either sign
	Nu     float64 // degrees of freedom of U, +Inf where it is known for certain
	Source string  // lines with the same source are one error; empty: a source of its own
}

// Size is the contribution to the result, |c|·u, in the unit of the result.
//
// Valid for every line; NaN where it cannot be evaluated.
//
// Source: JCGM 100:2008, 5.1.3, from memory.
func (l Line) Size() float64 { return math.Abs(l.Sens) * l.U }

// Budget is a combined uncertainty. What does not exist is NaN.
type Budget struct {
	U        float64 // combined standard uncertainty
	NuEff    float64 // effective degrees of freedom as computed
	NuUsed   float64 // as used for K
	K        float64 // coverage factor
	Expanded float64 // K·U
	Missing  []string
	Status   string
}

// Combine adds up the lines of a budget for a level p.
//
//	u² = Σ(c·u)², ν = u⁴/Σ((c·u)⁴/ν), U = k·u
//
// Lines with the same source are first added with their sign: they are the same
// error; the smallest of their degrees of freedom counts.
//
// Source: JCGM 100:2008, 5.1, 5.2 and G.4 (Welch and Satterthwaite), from memory.
func Combine(lines []Line, p float64) Budget {
	none := math.NaN()
	b := Budget{none, none, none, none, none, []string{}, OK}
	if b.Missing = lacking(lines); len(b.Missing) > 0 {
		b.Status = Incomplete
		return b
	}
	merged := merge(lines)
	b.U = 0
	for _, l := range merged {
		b.U = math.Hypot(b.U, l.Sens*l.U)
	}
	if b.U == 0 {
		b.Status, b.Expanded = AllZero, 0
		return b
	}
	if math.IsInf(b.U, 0) {
		return b
	}
	b.NuEff = welch(merged, b.U)
	b.NuUsed = FreedomUsed(b.NuEff)
	b.K = CoverageFactor(p, b.NuUsed)
	b.Expanded = b.K * b.U
	return b
}

// lacking names the lines that cannot be evaluated: those that lack something
// themselves or, where none does, those of a result that is not there.
func lacking(lines []Line) []string {
	own, all := []string{}, []string{}
	for _, l := range lines {
		if math.IsNaN(l.U) {
			own = append(own, l.Name)
		}
		if math.IsNaN(l.Size()) {
			all = append(all, l.Name)
		}
	}
	if len(own) > 0 {
		return own
	}
	return all
}

// merge adds lines of one source with their sign.
func merge(lines []Line) (merged []Line) {
	for _, l := range lines {
		one := Line{Name: l.Name, U: 1, Sens: l.Sens * l.U, Nu: l.Nu, Source: l.Source}
		i := slices.IndexFunc(merged, func(m Line) bool { return l.Source != "" && m.Source == l.Source })
		if i < 0 {
			merged = append(merged, one)
			continue
		}
		merged[i].Sens += one.Sens
		merged[i].Nu = math.Min(merged[i].Nu, l.Nu)
	}
	return merged
}

// welch is the formula of Welch and Satterthwaite; what is known for certain adds nothing.
func welch(lines []Line, u float64) float64 {
	var sum float64
	for _, l := range lines {
		sum += math.Pow(l.Sens*l.U/u, 4) / l.Nu
	}
	return 1 / sum
}

// FreedomUsed returns the degrees of freedom by which a coverage factor is looked
// up: infinite from 1000 up, else rounded to one decimal, then down, at least 1.
//
// Valid for every number above 0.
//
// Source: JCGM 100:2008, G.4.1 (next lower integer), from memory; the rounding
// before, so that 15.9999 is 16, is derived here.
func FreedomUsed(nu float64) float64 {
	if nu >= 1000 {
		return math.Inf(1)
	}
	return math.Max(1, math.Floor(math.Round(nu*10)/10))
}
