package domain

import (
	"fmt"
	"regexp"
	"strings"
	"time"
	"unicode"

	"leat/calc/procedure"
)

// TestRef names a test sheet.
type TestRef struct {
	Project ProjectID
	Build   BuildID
	Number  int
}

// TestSign is who signs in which role, and what proves it.
type TestSign struct {
	Member AccountID
	Role   string
	Proof  Proof
}

// RecordItem records an item of a test, and signs it.
type RecordItem struct {
	Test     TestRef
	Item     string
	Values   procedure.Values
	Sign     TestSign
	Sure     bool   // a value outside limits is no slip of a finger
	Stop     string // why the item cannot be met, though no value says so; it ends the test
	DeviceAt *time.Time
	Paper    *Paper
	Key      string // made by the client; a retry with it records nothing twice
}

// SignItem signs what is recorded for an item.
type SignItem struct {
	Test     TestRef
	Entry    TestEntryID
	Sign     TestSign
	DeviceAt *time.Time
	Key      string
}

const stopMost = 1000

var itemName = regexp.MustCompile(`^[A-Z][0-9]{2}$`)

// Validate trims the texts and finds the faults that show without the test.
func (c *RecordItem) Validate() error {
	faults := prose("/stop", &c.Stop, stopMost)
	if !itemName.MatchString(c.Item) {
		faults = append(faults, Field{"/item", "unknown_value", "Name an item of the test sheet."})
	}
	faults = append(faults, plainValues("/values", c.Values)...)
	if c.Paper != nil && c.Paper.File < 1 {
		faults = append(faults, Field{"/from_paper/file", "missing", "Photograph the signed paper, and send the picture first."})
	}
	return Faulty(append(append(faults, c.Sign.faults()...), clientKey("/client_key", c.Key)...))
}

// Validate finds the faults that show without the test.
func (c *SignItem) Validate() error {
	return Faulty(append(c.Sign.faults(), clientKey("/client_key", c.Key)...))
}

func (s TestSign) faults() []Field {
	faults := s.Proof.Validate("/sign", false)
	if s.Member == 0 {
		faults = append(faults, Field{"/sign/member", "missing", "Say who signs."})
	}
	if _, known := roleLacks[s.Role]; !known {
		faults = append(faults, Field{"/sign/role", "unknown_value", "One signs as builder, as second or as competent."})
	}
	return faults
}

// plainValues refuses texts that cannot be kept.
func plainValues(at string, values procedure.Values) (faults []Field) {
	for name, v := range values {
		if odd(v) || strings.ContainsFunc(name, unicode.IsControl) {
			return []Field{{at, "text", "Use plain text, without control characters."}}
		}
	}
	return nil
}

func odd(v procedure.Value) bool {
	if s, ok := v.Text(); ok {
		return strings.ContainsFunc(s, func(r rune) bool { return unicode.IsControl(r) && r != '\n' && r != '\t' })
	}
	if entries, ok := v.List(); ok {
		for _, entry := range entries {
			if odd(entry) {
				return true
			}
		}
	}
	for name, field := range v.Fields() {
		if odd(field) || strings.ContainsFunc(name, unicode.IsControl) {
			return true
		}
	}
	return false
}

// Judged is what becomes of something recorded.
type Judged struct {
	Outcome string // procedure.Met, Attempt or Failed
	Refused *Error // of what is only an attempt
	Why     string
}

func attempt(e *Error) Judged { return Judged{procedure.Attempt, e, clipped(e.told())} }

// told is everything that an error says to people.
func (e *Error) told() string {
	text := e.Message
	for _, f := range e.Fields {
		text += " " + f.Message
	}
	return text
}

// clipped keeps a text within what is stored.
func clipped(text string) string {
	const most = 4000
	if runes := []rune(text); len(runes) > most {
		return string(runes[:most-1]) + "…"
	}
	return text
}

// Judge says what becomes of an entry, on a day in the time zone of the group;
// faults are its pictures and instruments that are not there, or will not do. It is
// kept in any case.
func (t Test) Judge(c RecordItem, faults []Field, signer Signer, now, day time.Time) Judged {
	if refused := t.mayRecord(c, signer, now); refused != nil {
		return attempt(refused)
	}
	if c.Stop != "" {
		return Judged{Outcome: procedure.Failed, Why: "Stopped at " + c.Item + ": " + c.Stop}
	}
	if len(faults) > 0 {
		return attempt(unready(faults))
	}
	findings := t.Attempt().Judge(day, c.Item, c.Values)
	switch {
	case len(findings) == 0:
		return Judged{Outcome: procedure.Met}
	case !procedure.Outside(findings):
		return attempt(unready(findingFields("not_met", findings)))
	case !c.Sure:
		return attempt(outsideLimits(findings))
	case t.Ended == TestFailed:
		return attempt(testRefused("test-refused", "This is not as it must be yet. Go on until it is, and record that: "+texts(findings)))
	}
	return Judged{Outcome: procedure.Failed, Why: clipped(texts(findings))}
}

func (t Test) mayRecord(c RecordItem, signer Signer, now time.Time) *Error {
	if refused := t.maySignNow(c.Item, c.Sign.Role, signer); refused != nil {
		return refused
	}
	if c.Paper != nil {
		if why := t.wrongPaper(c.Item, c.Paper.At, now); why != nil {
			return why
		}
	}
	if c.Stop != "" {
		if task, err := t.Item(c.Item); err != nil || task.StaysOpen() || t.Ended != "" {
			return testRefused("test-refused", "A test is not stopped here: letting the pressure go is always left to do.")
		}
		return nil
	}
	return refusal(t.Attempt().MayRecord(c.Item))
}

// maySignNow returns why somebody may not sign an item in a role now.
func (t Test) maySignNow(item, role string, signer Signer) *Error {
	return refusal(t.Attempt().MaySign(signer.person(), item, role))
}

// MaySign returns what becomes of a signature under what is recorded.
func (t Test) MaySign(e TestEntry, role string, signer Signer, now time.Time) Judged {
	refused := t.maySignNow(e.Item, role, signer)
	if refused == nil && e.Outcome != procedure.Met {
		refused = testRefused("test-refused", "This entry does not count: it was refused, or ended the test. Sign the one that counts.")
	}
	if refused == nil && e.Paper != nil {
		refused = t.wrongPaper(e.Item, e.Paper.At, now)
	}
	if refused != nil {
		return attempt(refused)
	}
	return Judged{Outcome: procedure.Met}
}

func refusal(r *procedure.Refusal) *Error {
	if r == nil {
		return nil
	}
	text := r.Why
	if r.Who != "" {
		text += " Who could: " + r.Who + "."
	}
	return testRefused("test-refused", text)
}

func texts(findings []procedure.Finding) string {
	all := make([]string, len(findings))
	for i, f := range findings {
		all[i] = f.Text
	}
	return strings.Join(all, " ")
}

func findingFields(code string, findings []procedure.Finding) (fields []Field) {
	for _, f := range findings {
		fields = append(fields, Field{"/values" + f.At, code, f.Text})
	}
	return fields
}

// unready is the answer to an entry that is not complete, or not right.
func unready(faults []Field) *Error {
	return &Error{Kind: Invalid, Code: "invalid", Message: "This can’t be signed yet. What was typed is kept as an attempt; each place is named.", Fields: faults}
}

// outsideLimits is the question whether a finger slipped.
func outsideLimits(findings []procedure.Finding) *Error {
	return &Error{
		Kind: Conflict, Code: "outside-limits", Fields: findingFields("outside_limits", findings),
		Message: texts(findings) + " Look again. If a finger slipped, correct it. If it is so, say that you are sure: the test ends here, only letting the pressure go and recording the failure are left, and a new test sheet is needed.",
	}
}

// NonconformanceText says what a failed entry leaves to be dealt with.
func NonconformanceText(task procedure.Task, why string) string {
	return clipped(fmt.Sprintf("%s %s: %s", task.ID, task.Title, why))
}

// CloseFailure says what became of what failed.
type CloseFailure struct {
	Test  TestRef
	Text  string
	Proof Proof
}

// Validate trims the text and finds all faults.
func (c *CloseFailure) Validate() error {
	faults := prose("/text", &c.Text, purposeMost)
	if c.Text == "" {
		faults = append(faults, Field{"/text", "missing", "Say what was done: what was cut out, replaced or scrapped, and how you know."})
	}
	return Faulty(append(faults, c.Proof.Validate("", true)...))
}

// Closable returns the disposition that was recorded for the failure, or a
// Conflict when its nonconformance cannot be closed.
func (t Test) Closable() (disposition string, err error) {
	switch {
	case t.Nonconformance == nil:
		return "", Missing("nonconformance")
	case t.Nonconformance.Closed != nil:
		return "", testRefused("nonconformance-closed", "This nonconformance was closed already, by "+t.Nonconformance.Closed.By.Name+".")
	case !t.Attempt().WrittenUp():
		return "", testRefused("nonconformance-open", "What failed is not written up yet: let the pressure go, then record the failure on the test sheet, and sign it.")
	}
	for _, e := range t.Entries {
		if e.Outcome != procedure.Met {
			continue
		}
		if text, ok := e.Values["disposition"].Text(); ok {
			disposition = text
		}
	}
	return disposition, nil
}
