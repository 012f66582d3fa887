package evidence

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/mat"

	"leat/calc"
)

// Sign says on which side of its prediction a quantity was measured.
type Sign int

// The signs. A quantity that was not measured fits.
const (
	MeasuredLow  Sign = -1
	MeasuredFits Sign = 0
	MeasuredHigh Sign = 1
)

// SignOf returns the side on which a quantity with this [ZetaScore] lies: up to
// 2 it fits.
func SignOf(zeta float64) Sign {
	switch {
	case zeta > 2:
		return MeasuredHigh
	case zeta < -2:
		return MeasuredLow
	}
	return MeasuredFits
}

// Signs are those of what a run measures.
type Signs struct{ Pressure, Air, Head Sign }

// What to look for where no coefficient explains a miss.
const (
	lookLeak      = "a leak between separator and meter: let the pressure decay, and let it off before you touch a joint"
	lookZero      = "a wrong zero: read the gauges with nothing on them"
	lookIntake    = "air that enters the intake again, or an intake that is partly blocked"
	lookTime      = "water measured at another time than the air"
	lookSizes     = "sizes as built that differ from the sheet"
	lookHead      = "a head that was measured elsewhere, or more loss in the pipe"
	lookCarry     = "bubbles carried under, past the separator"
	lookReference = "the reference state of the flow meter"
)

// LookFor returns what to look for, in the order that the signs of what was
// measured suggest. Common practice, no source.
func LookFor(s Signs) []string {
	var first []string
	switch {
	case s.Pressure == MeasuredLow && s.Air == MeasuredLow && s.Head == MeasuredLow:
		first = []string{lookHead}
	case s.Pressure == MeasuredFits && s.Air == MeasuredLow:
		first = []string{lookLeak, lookIntake}
	case s.Pressure == MeasuredLow && s.Air == MeasuredHigh:
		first = []string{lookCarry, lookReference}
	}
	all := first
	for _, cause := range []string{lookLeak, lookZero, lookIntake, lookTime, lookSizes, lookHead, lookCarry, lookReference} {
		if !slices.Contains(first, cause) {
			all = append(all, cause)
		}
	}
	return all
}

// JointShare returns the share of χ² that all coefficients together remove,
// rᵀA(I + AᵀA)⁻¹Aᵀr/rᵀr.
//
// Valid for an answer of [ExplainMiss].
//
// Source: section 4.7 of the specification of evidence; derived here.
func (out ExplainMissOut) JointShare() (share float64) {
	for i, e := range out.Single {
		if e.Shift != 0 { // Removed/Shift is aᵀr/rᵀr
			share += out.JointShift[i] * e.Removed / e.Shift
		}
	}
	return share
}

// Beyond these a miss is not explained, and two coefficients are not told apart.
const (
	farShift    = 3 // standard deviations of what was believed
	leastShare  = 0.5
	alikeCosine = 0.9
	shown       = 3 // coefficients
)

// WhyItMissed says what would explain a miss. It is a pointer, not a finding.
func WhyItMissed(in ExplainMissIn, signs Signs) ([]string, *calc.Fault) {
	out, _, fault := ExplainMiss(in)
	if fault != nil {
		return nil, fault
	}
	best := out.best()
	if len(best) == 0 || math.Abs(best[0].Shift) > farShift || out.JointShare() < leastShare {
		return []string{"No coefficient explains this. Look for: " + strings.Join(LookFor(signs), "; ") + "."}, nil
	}
	all := []string{explained(best)}
	for _, pair := range in.alike(best) {
		all = append(all, fmt.Sprintf("One run can't tell %s and %s apart: they act alike.", pair[0], pair[1]))
	}
	return append(all, "This is a pointer, not a finding."), nil
}

// best are the coefficients that would explain most, as far as it shows.
func (out ExplainMissOut) best() []Explanation {
	best := slices.DeleteFunc(slices.Clone(out.Single), func(e Explanation) bool { return e.Removed < 0.005 })
	slices.SortStableFunc(best, func(a, b Explanation) int { return cmp.Compare(b.Removed, a.Removed) })
	return best[:min(len(best), shown)]
}

func explained(best []Explanation) string {
	side := "higher"
	if best[0].Shift < 0 {
		side = "lower"
	}
	text := fmt.Sprintf("%s %.1f sd %s than believed would explain %s of the miss", capital(best[0].Name), math.Abs(best[0].Shift), side, percent(best[0].Removed))
	for _, e := range best[1:] {
		text += fmt.Sprintf("; %s %s", e.Name, percent(e.Removed))
	}
	return text + "."
}

// alike are the pairs among these whose patterns one run can't tell apart.
func (in ExplainMissIn) alike(best []Explanation) (pairs [][2]string) {
	_, a, _ := in.inUnitsOfMeasurement()
	var named []int
	for c := range in.J[0] {
		if slices.ContainsFunc(best, func(e Explanation) bool { return e.Name == in.name(c) }) {
			named = append(named, c)
		}
	}
	for i, c := range named {
		for _, d := range named[:i] {
			x, y := a.ColView(d), a.ColView(c)
			if cosine := mat.Dot(x, y) / mat.Norm(x, 2) / mat.Norm(y, 2); math.Abs(cosine) > alikeCosine {
				pairs = append(pairs, [2]string{in.name(d), in.name(c)})
			}
		}
	}
	return pairs
}
