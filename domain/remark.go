package domain

import (
	"slices"
	"strings"
	"time"
)

// RemarkID names a remark.
type RemarkID int64

// Weight says how much a remark matters.
type Weight string

// The weights of a remark. A query or a stopper that stands open keeps a
// revision from being cleared.
const (
	Note    Weight = "note"
	Query   Weight = "query"
	Stopper Weight = "stopper"
)

// Pin says what a remark is about.
type Pin struct {
	Kind PinKind
	At   string // JSON pointer into inputs or answers, or name of a part; empty for the whole
}

// PinKind says what a pin sits on.
type PinKind string

// The kinds of pin.
const (
	OnInput  PinKind = "input"
	OnResult PinKind = "result"
	OnPart   PinKind = "part" // of the drawing
	OnWhole  PinKind = "whole"
)

// Remark is what a member says about a revision. It stands until it is laid to
// rest, on later letters too.
type Remark struct {
	ID      RemarkID
	Design  DesignID
	Letter  string // that it was left on
	Pin     Pin
	Weight  Weight
	Text    string
	Who     Person
	Left    bool // the account of who raised it is closed
	At      time.Time
	Answers []RemarkAnswer // oldest first
	Laid    *LaidToRest    // nil while it stands open
	Allowed []Action       // what the reader may do
}

// RemarkAnswer is what the crew, or who raised a remark, says under it.
type RemarkAnswer struct {
	ID   int64
	Text string
	Who  Person
	At   time.Time
}

// LaidToRest is that a remark needs no more.
type LaidToRest struct {
	By     Person
	At     time.Time
	Reason string
}

// RemarkCount is how many remarks stand open.
type RemarkCount struct{ Notes, Queries, Stoppers int }

// Holds tells whether they keep a revision from being cleared.
func (c RemarkCount) Holds() bool { return c.Queries+c.Stoppers > 0 }

// Access adds to what the database says about a person what it says about a remark.
func (r Remark) Access(access Access) Access {
	access.Raiser, access.RaiserLeft = r.Who, r.Left
	return access
}

// Allows lists what somebody may do with the remark as it stands.
func (r Remark) Allows(who Actor, access Access) []Action {
	if r.Laid != nil {
		return []Action{}
	}
	return allowed(who, r.Access(access), ReplyRemark, RestRemark)
}

const remarkMost = 4000

// RaiseRemark leaves a remark on a revision.
type RaiseRemark struct {
	Project ProjectID
	Design  DesignID
	Letter  string
	Pin     Pin
	Weight  Weight
	Text    string
	Key     string // made by the client; a retry with it makes no second remark
}

// Validate trims the text and finds all faults.
func (c *RaiseRemark) Validate() error {
	faults := said("/text", &c.Text)
	if !slices.Contains([]Weight{Note, Query, Stopper}, c.Weight) {
		faults = append(faults, Field{"/weight", "unknown_value", "A remark is a note, a query or a stopper."})
	}
	faults = append(faults, c.Pin.faults()...)
	return Faulty(append(faults, clientKey("/client_key", c.Key)...))
}

func (p *Pin) faults() []Field {
	switch p.Kind {
	case OnWhole:
		if p.At != "" {
			return []Field{{"/pin/at", "inconsistent", "A remark on the whole names no place: leave this empty."}}
		}
		return nil
	case OnInput, OnResult:
		if !strings.HasPrefix(p.At, "/") {
			return []Field{{"/pin/at", "text", "Name the input or the answer by its pointer, such as /trompe/riser/outlet_m."}}
		}
	case OnPart:
	default:
		return []Field{{"/pin/kind", "unknown_value", "A remark is pinned to an input, a result, a part or the whole."}}
	}
	return line("/pin/at", &p.At, 1, 200)
}

func said(pointer string, text *string) []Field {
	faults := prose(pointer, text, remarkMost)
	if *text == "" && len(faults) == 0 {
		return []Field{{pointer, "missing", "Fill this in."}}
	}
	return faults
}

// AnswerRemark says something under a remark.
type AnswerRemark struct {
	Project ProjectID
	Design  DesignID
	Remark  RemarkID
	Text    string
	Key     string // made by the client; a retry with it makes no second answer
}

// Validate trims the text and finds all faults.
func (c *AnswerRemark) Validate() error {
	return Faulty(append(said("/text", &c.Text), clientKey("/client_key", c.Key)...))
}

// LayRemark lays a remark to rest.
type LayRemark struct {
	Project ProjectID
	Design  DesignID
	Remark  RemarkID
	Reason  string
}

// Validate trims the reason.
func (c *LayRemark) Validate() error { return Faulty(prose("/reason", &c.Reason, noteMost)) }

// Fits tells whether the remark is to be laid to rest: not when the same person
// did that before, by a request whose answer got lost. It returns a Conflict when
// somebody else did, and an Invalid error when the remark is somebody else's and
// no reason is given.
func (c *LayRemark) Fits(r Remark, who AccountID) (bool, error) {
	if r.Laid != nil && r.Laid.By.ID == who {
		return false, nil
	}
	if r.Laid != nil {
		return false, AtRest(r.Laid.By.Name)
	}
	if r.Who.ID != who && c.Reason == "" {
		return false, Faulty([]Field{{"/reason", "missing", "Say in words why it needs no more: " + r.Who.Name + ", who raised it, has left."}})
	}
	return true, nil
}

// AtRest returns the Conflict of a remark that was laid to rest.
func AtRest(by string) *Error {
	return &Error{Kind: Conflict, Code: "remark-at-rest", Message: by + " has laid this remark to rest. What still matters, raise as a new one."}
}

// WaitingRemark is a remark that waits for somebody.
type WaitingRemark struct {
	Project      ProjectID
	ProjectTitle string
	DesignTitle  string
	Remark       Remark // without its answers
	For          WaitsFor
}

// WaitsFor says what a remark waits for.
type WaitsFor string

// What a remark may wait for.
const (
	ForAnswer WaitsFor = "answer" // by the crew
	ForRest   WaitsFor = "rest"   // who raised it looks at the answer
	ForOther  WaitsFor = "left"   // a steward: who raised it has left
)
