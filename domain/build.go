package domain

import (
	"slices"
	"strings"
	"time"

	"leat/calc/sheet"
	"leat/domain/digest"
)

// BuildID names a build.
type BuildID int64

// Build is one physical machine, made from a cleared revision.
type Build struct {
	ID          BuildID
	Project     ProjectID
	Tag         int // on its label; counted across the group
	Title       string
	Design      DesignID
	DesignTitle string
	Letter      string // of the revision that it is made from
	Revision    State  // how that revision stands now
	Reason      string // why it was withdrawn
	State       BuildState
	Place       string
	StartedAt   time.Time
	StartedBy   Person
	Version     int64
	Newest      int // number of its newest version

	Certificate Validity // of one that is in service, or shown in full

	// Nil in a list.
	Drawn    sheet.Input   // the sheet of its revision, without the differences
	Now      *BuildVersion // the newest version, in full
	Versions []BuildVersion
	Builders []Builder
	States   []BuildStep
	Allowed  []Action
}

// BuildState is how far a build has come.
type BuildState string

// The states of a build.
const (
	BeingBuilt BuildState = "being_built"
	Built      BuildState = "built"
	InService  BuildState = "in_service" // only with a valid certificate
	LaidUp     BuildState = "laid_up"
	Scrapped   BuildState = "scrapped"
)

var buildStates = []BuildState{BeingBuilt, Built, InService, LaidUp, Scrapped}

// buildGoesTo is what each state goes to.
var buildGoesTo = map[BuildState][]BuildState{
	BeingBuilt: {Built, Scrapped},
	Built:      {InService, Scrapped},
	InService:  {LaidUp, Scrapped},
	LaidUp:     {InService, Scrapped},
}

// BuildStep is one change of state. The first is the beginning.
type BuildStep struct {
	State  BuildState
	Reason string
	Who    Person
	At     time.Time
}

// Builder is somebody who made or changed a part of a build. Account is 0 for
// who has none.
type Builder struct {
	Account AccountID
	Name    string
	AddedBy Person
	AddedAt time.Time
}

// BuildVersion is a build as it stood. Input, Report and what follows are empty
// in a list.
type BuildVersion struct {
	Number       int
	Letter       string             // of its revision
	Differences  map[string]float64 // from the sheet of the revision, by pointer
	Renewed      map[string]int     // how often a part was replaced like for like or a joint remade, by pointer
	Place        string
	Moves        int
	CalcVersion  string
	PressureHash digest.Sum
	Note         string
	MadeBy       Person
	MadeAt       time.Time

	Sheet  SheetRef    // that it differs from
	Input  sheet.Input // with the differences
	Report sheet.Report
}

// Validity tells whether a certificate holds now, and in words what is lacking.
type Validity struct {
	Valid   bool
	Reasons []string
}

// Allows keeps, of what somebody may do about the builds of the project, what
// the state of this one leaves.
func (b Build) Allows(inProject []Action) []Action {
	return slices.DeleteFunc(slices.Clone(inProject), func(a Action) bool { return a != AlterBuild || b.State == Scrapped })
}

// Mark is something about a build that everybody who comes near must know.
type Mark struct{ Code, Text string }

// Marks lists them, the gravest first.
func (b Build) Marks() (marks []Mark) {
	if b.State == Scrapped {
		return nil
	}
	if b.Revision == Withdrawn {
		text := "Revision " + b.Letter + ", from which it is made, was withdrawn: it must not be built or put under pressure. Lay it up, scrap it, or rebuild it to a cleared revision."
		if b.Reason != "" {
			text += " The reason given: " + b.Reason
		}
		marks = append(marks, Mark{"revision-withdrawn", text})
	}
	if b.State == InService && !b.Certificate.Valid {
		marks = append(marks, Mark{"not-valid", "The crew last said that it is in service, but it has no valid certificate: it must not be under pressure. Lay it up until a test is passed."})
	}
	if b.Revision == Superseded {
		marks = append(marks, Mark{"revision-superseded", "A later revision was cleared since. This machine stands as it was built; it can be rebuilt to the later one."})
	}
	return marks
}

// Way is a state that a build could go to, and what is lacking for it in words;
// nothing where it may.
type Way struct {
	State BuildState
	Lacks string
}

// Ways lists where its state may go from here.
func (b Build) Ways() (ways []Way) {
	for _, to := range buildGoesTo[b.State] {
		way := Way{State: to}
		if e := b.refuses(to); e != nil {
			way.Lacks = e.Message
		}
		ways = append(ways, way)
	}
	return ways
}

// GoesTo returns a Conflict when the state of the build can't become this one.
func (b Build) GoesTo(to BuildState) error {
	if e := b.refuses(to); e != nil {
		return e
	}
	return nil
}

func (b Build) refuses(to BuildState) *Error {
	switch {
	case b.State == Scrapped:
		return BuildScrapped()
	case !slices.Contains(buildGoesTo[b.State], to):
		return &Error{Kind: Conflict, Code: "build-state", Message: "It is " + b.State.words() + " now; from there it does not become " + to.words() + ". " + b.wayWords()}
	case (to == Built || to == InService) && b.Revision == Withdrawn:
		return BuildWithdrawn(b.Letter)
	case to == InService && !b.Certificate.Valid:
		return &Error{Kind: Conflict, Code: "certificate-missing", Message: "It goes into service only with a valid certificate. " + strings.Join(b.Certificate.Reasons, " ")}
	}
	return nil
}

func (b Build) wayWords() string {
	var to []string
	for _, s := range buildGoesTo[b.State] {
		to = append(to, s.words())
	}
	return "It can become " + strings.Join(to, " or ") + "."
}

func (s BuildState) words() string { return strings.ReplaceAll(string(s), "_", " ") }

// BuildScrapped returns the Conflict of a machine that is no more.
func BuildScrapped() *Error {
	return &Error{Kind: Conflict, Code: "build-scrapped", Message: "This machine was scrapped: nothing about it changes any more. What was recorded stays. Start a new build for a new machine."}
}

// BuildWithdrawn returns the Conflict of a machine whose revision was withdrawn.
func BuildWithdrawn(letter string) *Error {
	return &Error{Kind: Conflict, Code: "revision-withdrawn", Message: "Revision " + letter +
		" was withdrawn: it must not be built. Nothing was saved. Rebuild to a cleared revision, lay it up or scrap it; only that it was moved can still be recorded."}
}

// NotCleared returns the Conflict of a revision that nothing may be built from.
func NotCleared(letter string, state State) *Error {
	why := map[State]string{
		Draft: "is a draft: issue it and let it be checked first", InCheck: "is in check: wait for its outcome", Returned: "was returned: start the next revision",
		Superseded: "was followed by a later one that is cleared: build from that", Withdrawn: "was withdrawn: it must not be built",
	}[state]
	return &Error{Kind: Conflict, Code: "revision-not-cleared", Message: "Only a cleared revision is built. Revision " + letter + " " + why + ". Nothing was saved."}
}
