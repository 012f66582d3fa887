package domain

import "time"

// AwaitedKind says for what somebody is waited for.
type AwaitedKind string

// What may wait for a member.
const (
	AwaitsOutcome     AwaitedKind = "check"         // a revision in check
	AwaitsNewAnswer   AwaitedKind = "recalculation" // a newer calculation answers otherwise
	AwaitsAnswer      AwaitedKind = "remark_answer" // by the crew
	AwaitsRest        AwaitedKind = "remark_rest"   // of a remark, by who raised it
	AwaitsOtherRest   AwaitedKind = "remark_left"   // of a remark whose raiser has left
	AwaitsLayUp       AwaitedKind = "build"         // in service without a certificate, or withdrawn
	AwaitsIncident    AwaitedKind = "incident"      // to be looked at by a steward
	AwaitsHide        AwaitedKind = "hide"          // of a file, as the second
	AwaitsSafety      AwaitedKind = "safety"        // a signature under settings
	AwaitsTemplate    AwaitedKind = "template"      // a signature under a procedure
	AwaitsCalibration AwaitedKind = "instrument"    // due, for keepers
	AwaitsSignature   AwaitedKind = "test"          // on a test sheet that runs
	AwaitsCertificate AwaitedKind = "certificate"   // on a test that was passed
	AwaitsSet         AwaitedKind = "coefficients"  // a proposal of a set, by a steward
	AwaitsNewTest     AwaitedKind = "lapse"         // of a certificate that ends soon
	AwaitsConfirming  AwaitedKind = "run"           // by a steward who took no part in it
)

// Awaited is one thing that waits for a member. What does not belong to its kind
// is empty.
type Awaited struct {
	Kind         AwaitedKind
	Project      ProjectID
	ProjectTitle string
	Design       DesignID
	Letter       string
	Build        BuildID
	Number       int64  // of a test sheet, a run, a proposal or an instrument
	Thing        string // in words: the design, the machine, the remark, the instrument
	Title        string // of a run
	By           *Person
	At           *time.Time
}

// calibrationNotice is how long before its last day an instrument is told to be due.
const calibrationNotice = 30 * 24 * time.Hour

// DueSoon tells whether the calibration of an instrument that is used counts no
// more, or not for long.
func (i Instrument) DueSoon(today time.Time) bool {
	return i.Retired == nil && (i.DueOn == nil || today.Add(calibrationNotice).After(*i.DueOn))
}
