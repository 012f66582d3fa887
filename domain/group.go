package domain

import (
	"regexp"
	"slices"
	"strings"
	"time"
)

// Group is the people of one installation and what they have in common.
type Group struct {
	Settings GroupSettings
	Version  int64         // counts changes of settings, roles and closed accounts
	Members  []GroupMember // by name, closed accounts last
	Allowed  []Action      // what the reader may do in the group
}

// GroupMember is an account as the group's page shows it, closed ones too.
type GroupMember struct {
	Account
	Allowed []Action // what the reader may do to it
}

// GroupSettings are what a keeper sets for all.
type GroupSettings struct {
	Name     string // empty until a keeper gave one
	Units    Units  // of those who chose none of their own
	TimeZone string // IANA name; dates begin and end there
}

// SetGroupSettings replaces the settings of the group.
type SetGroupSettings struct {
	Version  int64 // of the group, as it was read
	Settings GroupSettings
}

// Validate trims the texts and finds all faults.
func (c *SetGroupSettings) Validate() error {
	faults := line("/name", &c.Settings.Name, 1, nameMost)
	if !slices.Contains([]Units{Metric, US, SI}, c.Settings.Units) {
		faults = append(faults, Field{"/units", "unknown", "Choose metric, us or si."})
	}
	c.Settings.TimeZone = strings.TrimSpace(c.Settings.TimeZone)
	if !knownZone(c.Settings.TimeZone) {
		faults = append(faults, Field{"/time_zone", "unknown", "There is no such time zone. Type its name as in Europe/Oslo, America/Denver or UTC."})
	}
	return Faulty(faults)
}

const nameMost = 80

// zoneName is how the IANA time zone database names places. The other folders
// of an installed copy, posix and right, begin with a small letter.
var zoneName = regexp.MustCompile(`^[A-Z][A-Za-z0-9_+-]*(/[A-Z][A-Za-z0-9_+-]*){0,2}$`)

func knownZone(name string) bool {
	if !zoneName.MatchString(name) || name == "Local" || len(name) > 64 {
		return false
	}
	_, err := time.LoadLocation(name)
	return err == nil
}

// SetMemberRoles replaces the roles of somebody.
type SetMemberRoles struct {
	Member  AccountID
	Version int64  // of the group, as it was read
	Roles   []Role // with or without Member
}

// Validate refuses roles that don't exist.
func (c *SetMemberRoles) Validate() error {
	c.Roles = append([]Role{Member}, beyondMember(c.Roles)...)
	return Faulty(roles("/roles", c.Roles))
}

// Fits refuses what nobody may do, whatever roles they hold: to give a role to
// oneself, and to take its last keeper from the group. before is the account
// as it stands.
func (c *SetMemberRoles) Fits(access Access, before Account) error {
	for _, role := range c.Roles {
		if access.About == access.Account && !before.Has(role) {
			return &Error{Kind: Forbidden, Code: "own-role", Message: "Nobody gives a role to themselves. Ask another keeper to do it; nothing was changed."}
		}
	}
	if !slices.Contains(c.Roles, Keeper) && access.lastKeeper() {
		return LastKeeper()
	}
	return nil
}

// FitsClosing refuses to close the account of the last keeper.
func (a Access) FitsClosing() error {
	if a.lastKeeper() {
		return LastKeeper()
	}
	return nil
}

// lastKeeper tells whether the person it is about is the only keeper.
func (a Access) lastKeeper() bool {
	return len(a.Keepers) == 1 && a.Keepers[0].ID == a.About
}

// LastKeeper returns the Conflict that keeps a group from being left without.
func LastKeeper() *Error {
	return &Error{Kind: Conflict, Code: "last-keeper", Message: "This is the only keeper of the group, and a group needs one. Make somebody else keeper first; nothing was changed."}
}

// AccountClosed returns the Conflict of an account that is closed.
func AccountClosed() error {
	return &Error{Kind: Conflict, Code: "account-closed", Message: "This account is closed, and closed for good. To have the person back, invite them anew."}
}

func beyondMember(roles []Role) []Role {
	return slices.DeleteFunc(slices.Clone(roles), func(r Role) bool { return r == Member })
}

func roles(pointer string, roles []Role) []Field {
	for i, role := range roles {
		if !slices.Contains([]Role{Member, Checker, Steward, Keeper}, role) {
			return []Field{{pointer, "unknown", "The roles are member, checker, steward and keeper."}}
		}
		if slices.Contains(roles[:i], role) {
			return []Field{{pointer, "given_twice", "Name each role once."}}
		}
	}
	return nil
}
