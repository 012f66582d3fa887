package confront

import (
	"leat/calc"
	"leat/calc/evidence"
)

// Verdict says whether a machine did what was predicted for it. Nothing in it
// hangs on the hour at which it is worked out.
type Verdict struct {
	CalcVersion string       `json:"calc_version"`
	Set         string       `json:"set"`
	Seed        string       `json:"seed"`
	Draws       int          `json:"draws"`
	Failed      int          `json:"failed"`  // draws in which some point has no operating point
	Settled     bool         `json:"settled"` // two digits of the uncertainties stand; else there were as many draws as may be
	Items       []Item       `json:"items"`
	Joint       *Joint       `json:"joint"` // nil: fewer than two independent quantities
	Outcome     Outcome      `json:"outcome"`
	Patterns    []string     `json:"patterns"`
	Why         []string     `json:"why"` // it missed
	Faults      []PointFault `json:"faults"`
}

// Item is the verdict on one quantity at one point.
type Item struct {
	Point    int          `json:"point"` // from 0
	Name     string       `json:"name"`
	Required bool         `json:"required"`
	Derived  bool         `json:"derived"`
	Y        *float64     `json:"y"`
	U        *float64     `json:"u"`
	Nu       calc.Freedom `json:"nu"`

	Predicted *float64 `json:"predicted"` // middle of the draws' distribution: its median
	UPred     *float64 `json:"u_predicted"`
	Low       *float64 `json:"low"` // of the promise
	High      *float64 `json:"high"`
	Declared  bool     `json:"declared"` // the promise was declared, not the interval of the prediction

	evidence.VerdictOut
	PromisedLittle bool     `json:"promised_little"`
	Words          []string `json:"words"`
	Decides        string   `json:"decides"` // what would decide; empty: it is decided, or nothing would

	PIT  *float64 `json:"pit"`
	CRPS *float64 `json:"crps"` // over |predicted|
}

// Joint is what all independent quantities say together.
type Joint struct {
	Chi2 *float64 `json:"chi2"`
	Rank *int     `json:"rank"`
	P    *float64 `json:"p"`
}

// Outcome is the verdict on the run.
type Outcome struct {
	evidence.BuildVerdictOut
	Words string `json:"words"`
}

// PointFault says why nothing can be predicted for a point.
type PointFault struct {
	Point int    `json:"point"`
	At    string `json:"at"`
	Text  string `json:"text"`
}
