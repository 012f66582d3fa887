package domain

import (
	"encoding/json"
	"time"

	"leat/calc"
	"leat/calc/sheet"
)

// DesignID names a design.
type DesignID int64

// Design is a sequence of revisions of one machine.
type Design struct {
	ID        DesignID
	Project   ProjectID
	Title     string
	StartedAt time.Time
	StartedBy Person
	Version   int64
	Revision  Revision   // the newest
	Revisions []Revision // a page, newest first; nil in a list
	Newest    *SheetHead // the sheet that counts; nil until one is saved
	Sheet     *Sheet     // the same in full; nil in a list
	Allowed   []Action   // what the reader may do
}

// Allows keeps, of what somebody may do in the project, what the state of the
// design's newest revision leaves. What was said about it is asked for with the
// revision.
func (d Design) Allows(who AccountID, inProject []Action) []Action {
	return Check{Revision: d.Revision}.Allows(who, inProject)
}

// State is how far a revision has come.
type State string

// The states of a revision.
const (
	Draft      State = "draft"
	InCheck    State = "in_check"
	Returned   State = "returned"
	Cleared    State = "cleared"
	Superseded State = "superseded"
	Withdrawn  State = "withdrawn"
)

// Revision is one lettered revision of a design.
type Revision struct {
	Position   int // of the letter, from 1; 0 where it is not needed
	Letter     string
	State      State
	StartedAt  time.Time
	StartedBy  Person
	SheetCount int // its sheets are numbered from 1 to this
}

// SheetHead is what a list says about a sheet.
type SheetHead struct {
	Design         DesignID
	Letter         string
	Number         int
	Note           string
	CalcVersion    string
	CoefficientSet string     // name of the set of coefficients it was calculated with
	Gauging        *GaugingID // that the flow is from; nil when none is named
	SavedAt        time.Time
	SavedBy        Person
	Answer         SheetAnswer
}

// SheetAnswer is the gist of a report. A pointer is nil where the machine has
// no operating point.
type SheetAnswer struct {
	Machine        string // one of the kinds of machine
	Status         string // one of the statuses of the trompe
	ChamberGaugePa *float64
	FreeAirM3S     *float64
	WaterFlowM3S   *float64
	LiftedM3S      *float64 // by a ram
	WarningCount   int
}

// Sheet is one save: all inputs with all answers. It never changes.
type Sheet struct {
	SheetHead
	Input  sheet.Input
	Report sheet.Report
}

// StartDesign makes a design with revision A in state draft.
type StartDesign struct {
	Project ProjectID
	Title   string
	From    *SheetRef // a sheet to begin with a copy of; nil: none
	Key     string    // made by the client; a retry with it makes no second design
}

// Validate trims the title and finds all faults.
func (c *StartDesign) Validate() error {
	return Faulty(append(line("/title", &c.Title, 1, titleMost), clientKey("/client_key", c.Key)...))
}

// SaveSheet saves the next sheet under the draft revision of a design.
type SaveSheet struct {
	Project ProjectID
	Design  DesignID
	Letter  string
	Version int64 // of the design, as it was read
	Input   sheet.Input
	Gauging *GaugingID // of the project's site, that the flow is from
	Note    string
}

// Validate trims the note and refuses what holds no machine at all.
func (c *SaveSheet) Validate() error {
	faults := prose("/note", &c.Note, 500)
	return Faulty(append(faults, machineGiven(c.Input)...))
}

func machineGiven(in sheet.Input) []Field {
	if none(in.Trompe) && none(in.Ram) && none(in.Lift) && none(in.Pulse) {
		return []Field{{"/input/trompe", "missing", "Send the machine: an object with its inputs."}}
	}
	return nil
}

func none(part json.RawMessage) bool { return len(part) == 0 || string(part) == "null" }

// InputFaults returns the Invalid error for the faults of a report, with
// pointers into the request, or nil when it has none.
func InputFaults(faults []calc.Fault) error {
	fields := make([]Field, len(faults))
	for i, f := range faults {
		fields[i] = Field{Pointer: "/input" + f.At, Code: string(f.Code), Message: f.Message}
	}
	return Faulty(fields)
}
