package domain

import (
	"strings"
	"unicode/utf8"
)

// ChangeMe changes what is given of the member's own account and leaves the
// rest.
type ChangeMe struct {
	Name  *string
	Units **Units // nil behind the pointer: as the group has it
}

// Validate trims the name and finds all faults.
func (c *ChangeMe) Validate() error {
	var faults []Field
	if c.Name != nil {
		name := *c.Name
		faults = append(faults, line("/name", &name, 1, 80)...)
		c.Name = &name
	}
	if c.Units != nil && *c.Units != nil && !(**c.Units).known() {
		faults = append(faults, Field{"/own_units", "unknown_value", "Choose metric, us or si, or null for the units of the group."})
	}
	return Faulty(faults)
}

func (u Units) known() bool { return u == Metric || u == US || u == SI }

// ChangePassword replaces the member's own password.
type ChangePassword struct {
	Present string
	New     string
}

// Validate finds all faults, as far as they show without the present password.
func (c *ChangePassword) Validate(of Account) error {
	var faults []Field
	switch {
	case c.Present == "":
		faults = append(faults, Field{"/present", "missing", "Type the password that you have now."})
	case utf8.RuneCountInString(c.Present) > passwordMost:
		faults = append(faults, Field{"/present", "too_long", "A password has at most 128 characters."})
	}
	faults = append(faults, password("/new", c.New, of.Name, of.Address)...)
	if c.New != "" && c.New == c.Present {
		faults = append(faults, Field{"/new", "same", "This is the password that you have now. Choose another one."})
	}
	return Faulty(faults)
}

// WrongPassword returns the Invalid error of a present password that isn't it.
func WrongPassword() error {
	return Faulty([]Field{{"/present", "wrong_password", "This isn't the password of your account. Type the one that you sign in with; a keeper can help when it is lost."}})
}

// PasswordChanged returns the Conflict of a password that was changed meanwhile.
func PasswordChanged() error {
	return &Error{Kind: Conflict, Code: "password-changed", Message: "Your password was changed elsewhere a moment ago, and stays as it was set there. Sign in with that one."}
}

// SetSigningCode sets the code with which the member signs items of a test, on
// any device.
type SetSigningCode struct {
	Password string
	Code     string
}

const (
	codeLeast = 6
	codeMost  = 20
)

// Validate finds all faults, as far as they show without the password.
func (c *SetSigningCode) Validate() error {
	var faults []Field
	switch {
	case c.Password == "":
		faults = append(faults, Field{"/password", "missing", "Type your password: it proves that the code is yours."})
	case utf8.RuneCountInString(c.Password) > passwordMost:
		faults = append(faults, Field{"/password", "too_long", "A password has at most 128 characters."})
	}
	return Faulty(append(faults, signingCode("/code", c.Code)...))
}

func signingCode(pointer, code string) []Field {
	switch {
	case code == "":
		return []Field{{pointer, "missing", "Type a code of six digits or more."}}
	case strings.ContainsFunc(code, func(r rune) bool { return r < '0' || r > '9' }):
		return []Field{{pointer, "digits", "Use digits only, without spaces: the code is typed with a wet thumb."}}
	case len(code) < codeLeast || len(code) > codeMost:
		return []Field{{pointer, "range", "Use six digits or more, and at most 20."}}
	case repeats(code) || runs(code):
		return []Field{{pointer, "common", "This code is one of the first that others would try: it counts up or down, or repeats itself. Choose another one."}}
	}
	return nil
}
