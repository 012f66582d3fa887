package evidence

import (
	"fmt"
	"math"
	"strings"
)

// PromisedLittle is said beside a quantity that met a promise too wide to say
// much.
const PromisedLittle = "Met, but little was promised: the limits are wider than half of the predicted value."

// DisagreeUndecided is said beside an undecided quantity with |E_n| above 1.
const DisagreeUndecided = "The two disagree beyond their uncertainties, but it can't be said that the machine is outside its promise."

// undecidedWords say why nothing is decided.
var undecidedWords = map[Reason]string{
	IncompleteRecord:     "the record is not complete. A value or a part of its uncertainty is missing, or the uncertainty is nothing, and nothing is known that well.",
	NoPromise:            "nothing was promised. Limits count only if they were declared and frozen before the run.",
	RepeatabilityUnknown: "it is not known how far repeats scatter. Repeat the reading, at best three times or more.",
	RunTooShort:          "the run was too short. Let the logger run longer: its samples hang together, and few of them are worth anything of their own.",
	NotSteady:            "the machine was not steady. Wait until nothing drifts, then take the readings again.",
	TooCoarse:            "the measurement is too coarse. Even a value in the middle of the promise would decide nothing.",
	Borderline:           "the value is too close to a limit for this measurement.",
	NothingMeasured:      "nothing that was promised was measured.",
	PatternDisagrees:     "each quantity met its promise, but together they do not look like what was predicted.",
	SomeUndecided:        "some quantities are open.",
}

// Words says what a verdict means, in sentences.
func (v VerdictOut) Words() []string {
	var all []string
	switch v.Outcome {
	case Met:
		all = append(all, fmt.Sprintf("Met: the true value is within the promise with a probability of %s.", chance(v.PConform)),
			"Met does not say that all is understood: several errors can cancel.")
	case MissedLow:
		all = append(all, fmt.Sprintf("Missed: the true value is below the promise with a probability of %s.", chance(v.PLow)))
	case MissedHigh:
		all = append(all, fmt.Sprintf("Missed: the true value is above the promise with a probability of %s.", chance(v.PHigh)))
	default:
		all = append(all, "Undecided: "+undecidedWords[v.Reason])
		if v.EN != nil && math.Abs(*v.EN) > 1 {
			all = append(all, DisagreeUndecided)
		}
	}
	return all
}

// Words says what the verdict on a run means.
func (v BuildVerdictOut) Words() string {
	which := strings.Join(v.Which, ", ")
	switch {
	case v.Outcome == Met:
		return "Met: every quantity that was promised. It does not say that all is understood: several errors can cancel."
	case v.Outcome == Missed:
		return "Missed: " + which + "."
	case v.Reason == SomeUndecided:
		return "Undecided: these are open: " + which + "."
	}
	return "Undecided: " + undecidedWords[v.Reason]
}

// Words says what a planned run promises to tell.
func (p PDecideOut) Words() string {
	if p.Decided < 0.1 {
		return fmt.Sprintf("This run can decide next to nothing: the probability of a verdict is %s. The instrument is too coarse for the promise.", chance(&p.Decided))
	}
	return fmt.Sprintf("This run decides with a probability of %s: met %s, missed %s.", chance(&p.Decided), chance(&p.Met), chance(&p.Missed))
}

// chance is a probability in words. It never says that anything is certain.
func chance(p *float64) string {
	switch {
	case p == nil:
		return "unknown size"
	case *p > 0.999:
		return "more than 99.9 %"
	case *p < 0.001:
		return "less than 0.1 %"
	case *p > 0.985, *p < 0.015:
		return fmt.Sprintf("%.1f %%", 100**p)
	}
	return percent(*p)
}

// percent is a share in whole percent.
func percent(share float64) string { return points(share) + " %" }

// points is the number of whole percent, with a minus sign.
func points(share float64) string {
	whole := math.Round(100 * share)
	if whole < 0 {
		return fmt.Sprintf("−%.0f", -whole)
	}
	return fmt.Sprintf("%.0f", math.Abs(whole)) // no minus before nothing
}

// capital begins a sentence.
func capital(s string) string {
	for i, first := range s {
		if i == 0 {
			return strings.ToUpper(string(first)) + s[len(string(first)):]
		}
	}
	return s
}
