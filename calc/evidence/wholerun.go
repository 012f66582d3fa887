package evidence

import "leat/calc"

// BuildVerdictIn is the verdicts on the quantities of a run, and what they say
// together.
type BuildVerdictIn struct {
	Items []Judged `json:"items"`
	Chi2P *float64 `json:"chi2_p"` // of [Joint]
	Alpha float64  `json:"alpha"`
}

// Judged is the verdict on one quantity.
type Judged struct {
	Name     string        `json:"name"`
	Outcome  Outcome       `json:"outcome"`
	PTail    *calc.Reading `json:"p_tail"`   // 1 less the larger of P_low and P_high; missing: 1
	Required *bool         `json:"required"` // nil: it is
}

// BuildVerdictOut is the verdict on the whole run. Which names the quantities
// that the verdict rests on.
type BuildVerdictOut struct {
	Outcome Outcome  `json:"outcome"`
	Reason  Reason   `json:"reason"`
	Which   []string `json:"which"` // never nil
}

// BuildVerdict says whether a run met its promises. Where many quantities are
// looked at, one seems missed by chance: a miss counts only if it stands after
// Holm's adjustment.
func BuildVerdict(in BuildVerdictIn) (BuildVerdictOut, []calc.Warning, *calc.Fault) {
	var required []Judged
	var tails []float64
	for _, item := range in.Items {
		if item.Required == nil || *item.Required {
			required = append(required, item)
			tails = append(tails, item.tail())
		}
	}
	adjusted := HolmAdjusted(tails)
	missed, open := []string{}, []string{}
	for i, item := range required {
		if item.missed() && adjusted[i] <= in.Alpha/2 {
			missed = append(missed, item.Name)
		}
		if item.Outcome != Met {
			open = append(open, item.Name)
		}
	}
	switch {
	case len(required) == 0:
		return BuildVerdictOut{Undecided, NothingMeasured, []string{}}, nil, nil
	case len(missed) > 0:
		return BuildVerdictOut{Missed, "", missed}, nil, nil
	case len(open) > 0:
		return BuildVerdictOut{Undecided, SomeUndecided, open}, nil, nil
	case in.Chi2P != nil && *in.Chi2P < in.Alpha:
		return BuildVerdictOut{Undecided, PatternDisagrees, []string{}}, nil, nil
	}
	return BuildVerdictOut{Met, "", []string{}}, nil, nil
}

func (j Judged) missed() bool { return j.Outcome == MissedLow || j.Outcome == MissedHigh }

func (j Judged) tail() float64 {
	if j.PTail == nil || *j.PTail != *j.PTail { // NaN
		return 1
	}
	return float64(*j.PTail)
}
