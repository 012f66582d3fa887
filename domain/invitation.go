package domain

import (
	"strings"
	"time"
	"unicode/utf8"
)

// How long a code is good.
const (
	InvitationLives = 7 * 24 * time.Hour
	ResetCodeLives  = 24 * time.Hour
)

// InvitationID names an invitation.
type InvitationID int64

// Invitation lets one person in, once. Its code is told only when it is made.
type Invitation struct {
	ID     InvitationID
	Name   string // whom it is for; may be empty
	Roles  []Role // what the person will hold, with Member, first
	By     Person
	At     time.Time
	EndsAt time.Time
}

// InvitePerson makes an invitation.
type InvitePerson struct {
	Name  string
	Roles []Role // with or without Member
}

// Validate trims the name and finds all faults.
func (c *InvitePerson) Validate() error {
	c.Roles = append([]Role{Member}, beyondMember(c.Roles)...)
	return Faulty(append(line("/name", &c.Name, 0, nameMost), roles("/roles", c.Roles)...))
}

// AcceptInvitation makes an account with the code of an invitation.
type AcceptInvitation struct {
	Code     string
	Name     string
	Address  string
	Password string
	From     string // network address the request came from, for the limit
	Browser  string // in a few words, to know the session by
}

// Validate trims what people type around a value and finds all faults.
func (c *AcceptInvitation) Validate() error {
	faults := code(&c.Code)
	faults = append(faults, line("/name", &c.Name, 1, nameMost)...)
	faults = append(faults, address("/address", &c.Address)...)
	return Faulty(append(faults, password("/password", c.Password, c.Name, c.Address)...))
}

// CodeState is what became of the code of an invitation.
type CodeState int

// What may become of a code.
const (
	CodeUnknown CodeState = iota
	CodeGood
	CodeUsed
	CodeLate
	CodeWithdrawn
)

// Refusal returns why a code lets nobody in, and nil for a good one.
func (s CodeState) Refusal() error {
	switch s {
	case CodeGood:
		return nil
	case CodeUsed:
		return badCode("used_code", "This invitation was used already. If that was you, sign in with the address and password you chose then; if not, tell your keeper at once and ask for a new one.")
	case CodeLate:
		return badCode("late_code", "This invitation is older than 7 days and no longer good. Ask your keeper for a new one.")
	case CodeWithdrawn:
		return badCode("withdrawn_code", "This invitation was withdrawn. Ask your keeper about it.")
	case CodeUnknown:
	}
	return badCode("wrong_code", "There is no invitation with this code. Compare it with what you were given, sign by sign; it is three groups of four.")
}

// BadResetCode returns the Invalid error of a reset code that is not good.
func BadResetCode() error {
	return badCode("wrong_code", "This code is not good: mistyped, used already, replaced by a newer one, or older than a day. Compare it sign by sign, or ask a keeper for a new one.")
}

// NoSuchKeeper returns the NotFound error of an address that no keeper has.
func NoSuchKeeper() error {
	return &Error{Kind: NotFound, Code: "not-found", Message: "No keeper has this address. Other members get their code from a keeper, on the page Group."}
}

func badCode(kind, message string) error {
	return Faulty([]Field{{Pointer: "/code", Code: kind, Message: message}})
}

// ResetPassword sets a new password with a code from a keeper.
type ResetPassword struct {
	Code     string
	Password string
	From     string // network address the request came from, for the limit
	Browser  string // in a few words, to know the session by
}

// Validate finds all faults. Whose code it is is known only once it was looked
// up; until then the account is empty.
func (c *ResetPassword) Validate(of Account) error {
	return Faulty(append(code(&c.Code), password("/password", c.Password, of.Name, of.Address)...))
}

// code trims a one-time code in place and returns what is wrong with it.
func code(text *string) []Field {
	*text = strings.ToUpper(strings.TrimSpace(*text))
	if utf8.RuneCountInString(*text) == 0 {
		return []Field{{"/code", "missing", "Type the code that you were given."}}
	}
	return line("/code", text, 1, 40)
}

// ResetCode is what a keeper hands to somebody who lost their password.
type ResetCode struct {
	Code   string
	EndsAt time.Time
}

// NewInvitation is an invitation with its code, told once.
type NewInvitation struct {
	Invitation
	Code string
}
