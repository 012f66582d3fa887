package domain

import "time"

// ProjectID names a project.
type ProjectID int64

// Project is one machine and the people who build it. In a list Site and
// Designs are absent.
type Project struct {
	ID        ProjectID
	Title     string
	Purpose   string
	Crew      []Person // who started it first; nobody when all have left or closed their account
	Former    []Person // who was on the crew once
	Asks      []Ask    // that wait, oldest first; absent in a list
	Keepers   []Person // of the group: who can add somebody to a crew that has died out
	StartedAt time.Time
	ClosedAt  *time.Time
	Version   int64
	Site      *Site
	Designs   []Design // each with Newest, without Sheet
	Origin    *Import  // nil: it was begun here
	Allowed   []Action // what the reader may do
}

// Access returns what the loaded project says about a person.
func (p Project) Access(who Actor) Access {
	return Access{Account: who.Account, Roles: who.Roles, Project: p.ID, Crew: p.Crew, Former: p.Former, Closed: p.ClosedAt != nil, Keepers: p.Keepers}
}

// Page asks for a part of a list, newest first.
type Page struct {
	Before int64 // only what is older than this id or number; 0: from the newest
	Limit  int   // at most this many; 0: 50; never more than 100
}

// Size returns how many entries the page holds.
func (p Page) Size() int {
	if p.Limit <= 0 {
		return 50
	}
	return min(p.Limit, 100)
}

// StartProject makes a project, with an empty site.
type StartProject struct {
	Title   string
	Purpose string
	Key     string // made by the client; a retry with it makes no second project
}

// Validate trims the texts and finds all faults.
func (c *StartProject) Validate() error {
	faults := line("/title", &c.Title, 1, titleMost)
	faults = append(faults, prose("/purpose", &c.Purpose, purposeMost)...)
	return Faulty(append(faults, clientKey("/client_key", c.Key)...))
}

const (
	titleMost   = 120
	purposeMost = 2000
)

// ChangeProject changes what is given and leaves the rest.
type ChangeProject struct {
	Project ProjectID
	Version int64 // what was read
	Title   *string
	Purpose *string
	Closed  *bool
}

// Validate trims the texts and finds all faults.
func (c *ChangeProject) Validate() error {
	var faults []Field
	if c.Title != nil {
		title := *c.Title
		faults = append(faults, line("/title", &title, 1, titleMost)...)
		c.Title = &title
	}
	if c.Purpose != nil {
		purpose := *c.Purpose
		faults = append(faults, prose("/purpose", &purpose, purposeMost)...)
		c.Purpose = &purpose
	}
	return Faulty(faults)
}

// Reopens tells whether the change opens a closed project again.
func (c *ChangeProject) Reopens() bool { return c.Closed != nil && !*c.Closed }

// ProjectClosed returns the Conflict that a closed project answers with.
func ProjectClosed() error {
	return &Error{Kind: Conflict, Code: "project-closed", Message: "This project is closed. Its crew can reopen it, then it can be changed."}
}
