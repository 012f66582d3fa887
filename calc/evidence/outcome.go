package evidence

import "encoding/json"

// Outcome says how a promise came out.
type Outcome string

// The outcomes. Missed is that of a whole run.
const (
	Met        Outcome = "met"
	MissedLow  Outcome = "missed_low"
	MissedHigh Outcome = "missed_high"
	Missed     Outcome = "missed"
	Undecided  Outcome = "undecided"
)

// Reason says why a promise is undecided. It is empty, in JSON null, where it is
// decided.
type Reason string

// The reasons. Too short a run and one that was not steady are found by its
// record, before a verdict is asked for.
const (
	IncompleteRecord     Reason = "incomplete_record"
	NoPromise            Reason = "no_promise"
	RepeatabilityUnknown Reason = "repeatability_unknown"
	RunTooShort          Reason = "run_too_short"
	NotSteady            Reason = "not_steady"
	TooCoarse            Reason = "too_coarse"
	Borderline           Reason = "borderline"

	// Of a whole run.
	NothingMeasured  Reason = "nothing_measured"
	PatternDisagrees Reason = "pattern_disagrees"
	SomeUndecided    Reason = "some_undecided"
)

// MarshalJSON writes null where there is no reason.
func (r Reason) MarshalJSON() ([]byte, error) {
	if r == "" {
		return []byte("null"), nil
	}
	return json.Marshal(string(r))
}
