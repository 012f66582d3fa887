package lessons

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"leat/calc/evidence"
	"leat/calc/trompe"
)

// What a proposal must hold to, beside those of evidence.
const (
	NotConverged = "not_converged"
	TooFewCrews  = "too_few_crews"
	Nonlinear    = "nonlinear"
	OutOfRange   = "out_of_range"

	fewestBuilds = 3
	fewestCrews  = 2
	worthALook   = 0.5 // weight of a build
)

// Check is one condition of a proposal.
type Check struct {
	Code  string `json:"code"`
	Holds bool   `json:"holds"`
	Words string `json:"words"`
}

// crews counts the crews that made the builds that were learned from. Two count as two
// when each has somebody who is not on the other: a crew with a helper more builds as
// it did before.
func (l *learning) crews(builds []Build) (most int) {
	if l.lesson == nil {
		return 0
	}
	for _, first := range l.lesson.Used {
		apart := [][]string{builds[first].People}
		for _, b := range l.lesson.Used {
			people := builds[b].People
			if !slices.ContainsFunc(apart, func(other []string) bool { return within(people, other) || within(other, people) }) {
				apart = append(apart, people)
			}
		}
		most = max(most, len(apart))
	}
	return most
}

// within tells whether all of some people are among others.
func within(some, others []string) bool {
	return !slices.ContainsFunc(some, func(p string) bool { return !slices.Contains(others, p) })
}

// ofCrews says how many crews there are, and of too few what is wanted.
func ofCrews(crews int) string {
	words := fmt.Sprintf("They were made by %s; at least %d are needed.", counted(crews, "crew", "crews"), fewestCrews)
	if crews < fewestCrews {
		words += " Two crews count as two when each has somebody who is not on the other."
	}
	return words
}

// check says of each condition whether it holds, and sums up.
func (l *learning) check(crews int) {
	p := &l.proposal
	if l.failure != nil {
		p.Checks = []Check{{NotConverged, false, "Nothing could be learned: " + l.failure.Error() + "."}}
		p.Words = []string{p.Checks[0].Words}
		return
	}
	n := len(l.lesson.Used)
	add := func(code string, holds bool, words string) { p.Checks = append(p.Checks, Check{code, holds, words}) }
	against := func(code string) bool { return slices.Contains(l.adoption.Reasons, code) }
	add(NotConverged, true, "The coefficients settled.")
	add(evidence.TooFewBuilds, !against(evidence.TooFewBuilds), fmt.Sprintf("%s learned from; at least %d are needed.", counted(n, "build was", "builds were"), fewestBuilds))
	add(TooFewCrews, crews >= fewestCrews, ofCrews(crews))
	add(evidence.LowWeight, !against(evidence.LowWeight), l.lightest())
	add(evidence.MovedFar, !against(evidence.MovedFar), l.farthest())
	add(evidence.LeaveOneOutWorse, !against(evidence.LeaveOneOutWorse), l.scored())
	add(evidence.CoverageTooLow, !against(evidence.CoverageTooLow), fmt.Sprintf("%d of %d builds lay within the 95 %% that the others predicted: a share of %.0f to %.0f %%. It may not lie below 95 %%.", p.Inside, n, 100*p.Lower, 100*p.Upper))
	add(Nonlinear, *p.Effective >= evidence.EffectiveLeast, fmt.Sprintf("Of %d draws %.0f count once they are weighed by the machines themselves; %d are needed. Fewer: the model bends too much for what was learned to hold.", evidence.EffectiveDraws, *p.Effective, evidence.EffectiveLeast))
	holds, words := p.inRange()
	add(OutOfRange, holds, words)
	p.Adoptable = true
	for _, c := range p.Checks {
		p.Adoptable = p.Adoptable && c.Holds
	}
	l.say()
}

// lightest says which build has the least weight.
func (l *learning) lightest() string {
	least, name := math.Inf(1), ""
	for i, b := range l.lesson.Used {
		if w := l.lesson.Weights[i]; w < least {
			least, name = w, l.shown.Records[b].Name
		}
	}
	if name == "" {
		return "No build has a weight."
	}
	return fmt.Sprintf("The least weight of a build is %.2f, that of %s; below 0.20 nothing is adopted.", least, name)
}

// farthest says which coefficient moved most.
func (l *learning) farthest() string {
	var far Moved
	for _, c := range l.proposal.Coefficients {
		if math.Abs(c.Shift) >= math.Abs(far.Shift) {
			far = c
		}
	}
	return fmt.Sprintf("The farthest that a coefficient moved is %.1f standard deviations, %s; it may be 3.", math.Abs(far.Shift), far.About)
}

// scored says whether builds are predicted better by the others than by the set
// in force.
func (l *learning) scored() string {
	var fresh, current []float64
	for _, r := range l.adoption.Rows {
		fresh, current = append(fresh, r.CRPSNew), append(current, r.CRPSCurrent)
	}
	if len(fresh) < 2 {
		return "No build can be left out: there are too few."
	}
	d, half := evidence.PairedDifference(fresh, current)
	return fmt.Sprintf("Each build predicted by the others scores %.2f %% of its values on average, by set %s %.2f %% (less is better). The difference is %s ± %.2f %% (95 %%); the middle of it may not be above 0.",
		100*mean(fresh), l.proposal.Current, 100*mean(current), strings.Replace(fmt.Sprintf("%+.2f", 100*d), "-", "−", 1), 100*half)
}

// inRange tells whether all coefficients lie within what their input may hold.
func (p Proposal) inRange() (holds bool, words string) {
	limits := map[string][2]float64{}
	for _, f := range trompe.Inputs() {
		limit := [2]float64{math.Inf(-1), math.Inf(1)}
		if f.Low != nil {
			limit[0] = *f.Low
		}
		if f.High != nil {
			limit[1] = *f.High
		}
		limits[f.At] = limit
	}
	for _, c := range p.Coefficients {
		l := limits["/params/"+c.Name]
		if !(c.After.Low >= l[0] && c.After.High <= l[1]) {
			return false, fmt.Sprintf("%s would be %.3g (%.3g to %.3g), and can be %.3g to %.3g only.", c.About, c.After.Middle, c.After.Low, c.After.High, l[0], l[1])
		}
	}
	if _, err := p.Set("1", ""); err != nil {
		return false, "No set can be made of it: " + err.Error() + "."
	}
	return true, "Every coefficient stays within its physical range."
}

// say sums up in words.
func (l *learning) say() {
	p := &l.proposal
	for _, b := range p.Builds {
		switch {
		case b.Skipped:
			p.Words = append(p.Words, fmt.Sprintf("%s was left out: the model gives it no number at set 0, or near it.", b.Name))
		case *b.Weight < worthALook:
			p.Words = append(p.Words, fmt.Sprintf("%s is unlike the others, weight %.2f: have a look at it.", b.Name, *b.Weight))
		}
	}
	if *p.Factor > 1 {
		p.Words = append(p.Words, fmt.Sprintf("The builds differ by more than was assumed: their scatter was widened %.1f times.", *p.Factor))
	}
	for _, c := range p.Coefficients {
		if c.NotInformed {
			continue
		}
		text := fmt.Sprintf("%s: %.3g (%.3g to %.3g), was %.3g (%.3g to %.3g).", c.About, c.After.Middle, c.After.Low, c.After.High, c.Before.Middle, c.Before.Low, c.Before.High)
		if c.Known != "" {
			text += " Only in combination with " + c.Known + "."
		}
		p.Words = append(p.Words, text)
	}
	if p.Directions == 0 {
		p.Words = append(p.Words, "The builds know no combination of coefficients better than set 0 does.")
	}
}

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
