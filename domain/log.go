package domain

import (
	"fmt"
	"maps"
	"slices"
	"time"
)

// EntryID names an entry of the log.
type EntryID int64

// Entry is what somebody wrote into the log of a project, or of one of its
// builds. It is never changed or removed; a correction strikes it through.
type Entry struct {
	ID         EntryID
	Project    ProjectID
	Build      *BuildID // nil: about the project as a whole
	Text       string
	HappenedAt time.Time
	By         Person
	At         time.Time
	Strikes    *EntryID // what it corrects
	StruckBy   *EntryID // its correction
	Files      []File
	Incident   *Incident // nil: it is none
	Allowed    []Action
}

// Incident says that an entry tells of something that went wrong with a machine:
// over-pressure, a leak, a blow, frost, a relief that lifted, somebody hurt.
type Incident struct {
	By      Person // who marked it
	At      time.Time
	Rest    *IncidentRest
	Lacking string // why nobody can lay it to rest; empty when somebody can
}

// LinkIncidentRest is the kind of link that signs that an incident was harmless.
const LinkIncidentRest LinkKind = "incident_rest"

// IncidentRest is the signature of a steward who did not build the machine, that
// the incident was harmless.
type IncidentRest struct {
	By     Person
	At     time.Time
	Reason string
}

// Open tells whether the incident still counts.
func (i *Incident) Open() bool { return i != nil && i.Rest == nil }

// Builders returns who built what the entry is about, given the builders of each
// build of its project: of an entry that names no build, of all of them.
func (e Entry) Builders(of map[BuildID][]Person) []Person {
	if e.Build != nil {
		return of[*e.Build]
	}
	var all []Person
	for _, build := range slices.Sorted(maps.Keys(of)) {
		all = append(all, of[build]...)
	}
	return all
}

// Log is a page of the entries of a project, newest first.
type Log struct {
	Entries []Entry
	Allowed []Action
}

// Shown fills in what the reader may do to the entry, given who built the
// machine that it is about.
func (e *Entry) Shown(who Actor, access Access) {
	e.Allowed = []Action{}
	if e.StruckBy == nil {
		e.Allowed = allowed(who, access, CorrectLog)
	}
	switch {
	case e.Incident == nil:
		e.Allowed = append(e.Allowed, allowed(who, access, CallIncident)...)
	case e.Incident.Open():
		e.Allowed = append(e.Allowed, allowed(who, access, LayIncident)...)
		e.Incident.Lacking = access.lacksSteward()
	}
	for i := range e.Files {
		e.Files[i].Allowed = e.Files[i].Allows(who, access)
	}
}

// AllowedInLog lists what somebody may do in the log as a whole.
func AllowedInLog(who Actor, access Access) []Action {
	return allowed(who, access, WriteLog, AddFile)
}

// lacksSteward says that no steward is left who did not build the machine.
func (a Access) lacksSteward() string {
	if len(a.apartStewards()) > 0 {
		return ""
	}
	if len(a.Stewards) == 0 {
		return "Nobody in the group is a steward: a keeper can give somebody that role."
	}
	return "All stewards of the group built this machine: another steward is needed, who did not."
}

// apartStewards are the stewards who did not build the machine.
func (a Access) apartStewards() []Person {
	return slices.DeleteFunc(slices.Clone(a.Stewards), func(p Person) bool { return slices.ContainsFunc(a.Builders, p.is) })
}

func (p Person) is(q Person) bool { return p.ID == q.ID }

// judging returns why somebody may not lay an incident to rest, or hide a file;
// nil for other actions.
func (r rule) judging(access Access) error {
	steward := slices.Contains(access.Roles, Steward)
	if r.either && !steward && !slices.Contains(access.Roles, Keeper) {
		both := append(slices.Clone(access.Keepers), access.Stewards...)
		return &Error{Kind: Forbidden, Code: "not-keeper", Message: "Only a keeper and a steward together may do this: " + names(both) + ". Ask one of them to begin."}
	}
	if !r.apart {
		return nil
	}
	who := access.lacksSteward()
	if who == "" {
		who = "Ask one of them: " + names(access.apartStewards()) + "."
	}
	if !steward {
		return &Error{Kind: Forbidden, Code: "not-steward", Message: "Only a steward who did not build this machine may do this. " + who}
	}
	if access.among(access.Builders) {
		return &Error{Kind: Forbidden, Code: "built-it", Message: "You are one of those who built this machine, so somebody else must judge it: a steward who did not. " + who}
	}
	return nil
}

const (
	entryMost      = 4000
	entryFilesMost = 20
	restReasonMost = 2000
)

// WriteEntry writes into the log.
type WriteEntry struct {
	Project    ProjectID
	Build      *BuildID
	Text       string
	Incident   bool
	Strikes    *EntryID   // the entry that this one corrects
	HappenedAt *time.Time // nil: now
	Files      []FileID   // kept before
	Key        string     // made by the client; a retry with it makes no second entry
}

// tolerance is how far the clock of a device may be ahead.
const tolerance = 10 * time.Minute

// Validate trims the text and finds all faults.
func (c *WriteEntry) Validate(now time.Time) error {
	faults := prose("/text", &c.Text, entryMost)
	switch {
	case c.Text == "" && c.Incident:
		faults = append(faults, Field{"/text", "missing", "Say in a few words what happened, and whether somebody is hurt."})
	case c.Text == "" && len(c.Files) == 0:
		faults = append(faults, Field{"/text", "missing", "Write what happened, or add a picture."})
	}
	if at := c.HappenedAt; at != nil && (at.Before(earliestGauging) || at.After(now.Add(tolerance))) {
		faults = append(faults, Field{"/happened_at", "range", "This is still to come, or too long ago. Say when it happened, or leave it empty for now."})
	}
	return Faulty(append(append(faults, c.fileFaults()...), clientKey("/client_key", c.Key)...))
}

func (c *WriteEntry) fileFaults() (faults []Field) {
	if len(c.Files) > entryFilesMost {
		faults = append(faults, Field{"/files", "range", fmt.Sprintf("An entry takes at most %d files. Send the others with a second one.", entryFilesMost)})
	}
	for i, f := range c.Files {
		if slices.Contains(c.Files[:i], f) {
			faults = append(faults, Field{fmt.Sprintf("/files/%d", i), "given_twice", "This file is in the list already. Send it once."})
		}
	}
	return faults
}

// Corrects returns the Conflict of a correction of what was struck through
// before, and takes on where the old entry stands.
func (c *WriteEntry) Corrects(old Entry) error {
	if old.StruckBy != nil {
		return EntryStruck()
	}
	if c.Build != nil && (old.Build == nil || *c.Build != *old.Build) {
		return Faulty([]Field{{"/build", "inconsistent", "A correction stands where the entry stands that it corrects. Leave this empty."}})
	}
	c.Build = old.Build
	return nil
}

// EntryStruck returns the Conflict of an entry that has its correction already.
func EntryStruck() *Error {
	return &Error{Kind: Conflict, Code: "entry-struck", Message: "Somebody has corrected this entry already. Nothing was saved; what you typed stays. Read the correction, and correct that if it is wrong too."}
}

// Rests returns a Conflict when there is nothing to lay to rest.
func (e Entry) Rests() error {
	switch {
	case e.Incident == nil:
		return &Error{Kind: Conflict, Code: "no-incident", Message: "This entry is not marked as an incident, so there is nothing to lay to rest."}
	case e.Incident.Rest != nil:
		return &Error{Kind: Conflict, Code: "incident-rested", Message: "This incident was laid to rest already, by " + e.Incident.Rest.By.Name + ". Nothing was changed."}
	}
	return nil
}

// RestIncident signs that an incident was harmless.
type RestIncident struct {
	Project ProjectID
	Entry   EntryID
	Reason  string
	Proof   Proof
}

// Validate trims the reason and finds all faults.
func (c *RestIncident) Validate() error {
	faults := prose("/reason", &c.Reason, restReasonMost)
	if c.Reason == "" {
		faults = append(faults, Field{"/reason", "missing", "Say what was looked at, and why it did no harm."})
	}
	return Faulty(append(faults, c.Proof.Validate("", true)...))
}
