package domain

import (
	"net/mail"
	"slices"
	"strings"
	"time"
	"unicode/utf8"
)

// AccountID names an account.
type AccountID int64

// SessionID names a session, one signed-in device.
type SessionID int64

// Account is a person who may sign in.
type Account struct {
	ID       AccountID
	Name     string
	Address  string // e-mail; empty once closed
	Roles    []Role // always with Member, first
	Demo     bool   // an invented person; refused unless the server shows the demo
	ClosedAt *time.Time
	OwnUnits *Units // the member's own choice; nil: as the group has it
	Units    Units  // what that comes to
	TimeZone string // the group's, by its IANA name
	HasCode  bool   // a signing code is set
}

// Has tells whether the account holds a role.
func (a Account) Has(role Role) bool { return slices.Contains(a.Roles, role) }

// Units names the system of units in which pages show and take quantities.
// Whatever it is, everything is kept in SI.
type Units string

// The systems of units.
const (
	Metric Units = "metric" // of a workshop: m, mm, bar, L/min, °C
	US     Units = "us"     // US customary
	SI     Units = "si"     // SI, without the litre and the bar
)

// Person is an account as others see it.
type Person struct {
	ID   AccountID
	Name string
}

// Actor is the signed-in person who does something.
type Actor struct {
	Account AccountID
	Session SessionID
	Name    string
	Roles   []Role
}

// FirstKeeper makes the first account of an installation.
type FirstKeeper struct {
	Code     string // from the start of the server, or the command line
	Name     string
	Address  string
	Password string
	Browser  string // in a few words, to know the session by
}

// Validate trims what people type around a value and finds all faults.
func (c *FirstKeeper) Validate() error {
	c.Code = strings.ToUpper(strings.TrimSpace(c.Code))
	faults := line("/code", &c.Code, 1, 40)
	faults = append(faults, line("/name", &c.Name, 1, 80)...)
	faults = append(faults, address("/address", &c.Address)...)
	return Faulty(append(faults, password("/password", c.Password, c.Name, c.Address)...))
}

// SignIn asks for a session.
type SignIn struct {
	Address  string
	Password string
	From     string // network address the request came from, for the limit
	Browser  string // in a few words, to know the session by
}

// Validate trims the address and refuses what no account can have.
func (c *SignIn) Validate() error {
	var faults []Field
	c.Address = strings.TrimSpace(c.Address)
	if c.Address == "" {
		faults = append(faults, Field{"/address", "missing", "Type the e-mail address of your account."})
	}
	if c.Password == "" {
		faults = append(faults, Field{"/password", "missing", "Type your password."})
	}
	if len(c.Address) > 254 {
		faults = append(faults, Field{"/address", "too_long", "An address has at most 254 characters."})
	}
	if utf8.RuneCountInString(c.Password) > passwordMost {
		faults = append(faults, Field{"/password", "too_long", "A password has at most 128 characters."})
	}
	return Faulty(faults)
}

func address(pointer string, text *string) []Field {
	if faults := line(pointer, text, 1, 254); faults != nil {
		return faults
	}
	a, err := mail.ParseAddress(*text)
	if err != nil || a.Address != *text || strings.ContainsAny(*text, " \"") {
		return []Field{{pointer, "address", "This isn't an e-mail address. Type one such as name@place.example."}}
	}
	return nil
}
