package domain

import (
	"fmt"
	"slices"
	"time"

	"leat/calc/procedure"
)

// TestID names a test sheet.
type TestID int64

// Test is a test sheet: one attempt at the pressure test of a build as it stood
// when the test began.
type Test struct {
	ID           TestID
	Project      ProjectID
	Build        BuildID
	Tag          int    // on the label of the build
	Machine      string // its title
	Number       int    // of the test sheets of the build, from 1
	BuildVersion int
	Letter       string // of the revision that the build stood by
	Template     TemplateVersion
	Short        bool // a machine of hazard class plain: the short list
	Pressure     [32]byte
	StartedBy    Person
	StartedAt    time.Time
	Ended        TestEnd // empty while it runs
	EndedAt      *time.Time
	Version      int64
	Over         string // why nothing more is signed though it has not ended; empty when it goes on

	Nonconformance *Nonconformance // nil: none was opened
	Certified      bool            // a certificate was issued on it

	// Nil in a list.
	Title      string    // of the procedure
	Today      time.Time // in the time zone of the group, at 0:00 UTC
	Basis      procedure.Basis
	Tasks      []procedure.Task
	Entries    []TestEntry // attempts too, in the order in which they were made
	Signatures []TestSignature
	Builders   []Person // with an account
	Members    []Signer // of the group, who might sign
	Allowed    []Action
}

// TestEnd is how a test ended.
type TestEnd string

// The ends of a test.
const (
	TestPassed TestEnd = "passed"
	TestFailed TestEnd = "failed"
)

// TestEntryID names what was recorded for an item.
type TestEntryID int64

// TestEntry is what somebody recorded for an item. It never changes.
type TestEntry struct {
	ID       TestEntryID
	Item     string
	Role     string // in which they wanted to sign it
	Values   procedure.Values
	Outcome  string // procedure.Met, Attempt or Failed
	Why      string // it was refused, or ended the test; empty when it is met
	Who      Person
	SentBy   Person // whose device it was
	At       time.Time
	DeviceAt *time.Time
	Paper    *Paper // nil: it was typed where it was read
}

// Paper is the printed sheet that an entry was signed on by hand.
type Paper struct {
	At   time.Time // that stands on it
	File int64     // its photograph
}

// TestSignature is one signature under an entry that is met.
type TestSignature struct {
	Entry    TestEntryID
	Item     string
	Role     string
	Who      Person
	SentBy   Person
	At       time.Time
	DeviceAt *time.Time
	How      SignedBy
}

// ByPaper says that somebody signed by hand, and entered it with code or
// password within a day.
const ByPaper SignedBy = "paper"

// Signer is a member who might sign.
type Signer struct {
	Person
	Steward bool
	HasCode bool // a signing code is set
}

// Nonconformance is what a failed test leaves. It is closed by a steward who did
// not build the machine.
type Nonconformance struct {
	ID     int64
	Test   int // number of the sheet
	Item   string
	Text   string
	By     Person
	At     time.Time
	Closed *NonconformanceClosing
}

// NonconformanceClosing says what became of a nonconformance.
type NonconformanceClosing struct {
	Disposition string
	Text        string
	By          Person
	At          time.Time
}

// The kinds of link that a test makes.
const (
	LinkTestStarted          LinkKind = "test_started"
	LinkTestSigned           LinkKind = "test_signed"
	LinkNonconformance       LinkKind = "nonconformance"
	LinkNonconformanceClosed LinkKind = "nonconformance_closed"
)

// Attempt returns the test with what counts of what was recorded and signed, for
// the rules of the procedure.
func (t Test) Attempt() procedure.Sheet {
	s := procedure.Sheet{Basis: t.Basis, Tasks: t.Tasks, Over: t.Over}
	for _, e := range t.Entries {
		s.Entries = append(s.Entries, procedure.Entry{Item: e.Item, Outcome: e.Outcome, Values: e.Values})
	}
	for _, g := range t.Signatures {
		s.Signatures = append(s.Signatures, procedure.Signature{Item: g.Item, Role: g.Role, Who: int64(g.Who.ID)})
	}
	for _, b := range t.Builders {
		s.Builders = append(s.Builders, int64(b.ID))
	}
	return s
}

// ItemState is how an item stands, and who could sign it now.
type ItemState struct {
	procedure.State
	May     []MaySign
	Lacking string // why nobody in the group can sign it; empty when somebody can, or nothing waits
	UsesUp  []UsesUp
}

// MaySign is a member who could sign an item now, in these roles.
type MaySign struct {
	Signer
	Roles []string
}

// States returns how every item stands, in the order of the tasks.
func (t Test) States() []ItemState {
	sheet := t.Attempt()
	states := []ItemState{}
	for _, state := range sheet.States() {
		s := ItemState{State: state, May: []MaySign{}, UsesUp: []UsesUp{}}
		if state.State == procedure.Open || state.State == procedure.Signing {
			s.May = t.maySign(sheet, state.Item)
			s.Lacking = t.lacking(state, s.May)
			s.UsesUp = t.usesUp(s.May)
		}
		states = append(states, s)
	}
	return states
}

func (t Test) maySign(sheet procedure.Sheet, item string) []MaySign {
	may := []MaySign{}
	for _, m := range t.Members {
		if roles := sheet.RolesOf(m.person(), item); len(roles) > 0 {
			may = append(may, MaySign{m, roles})
		}
	}
	return may
}

func (s Signer) person() procedure.Person {
	return procedure.Person{ID: int64(s.ID), Steward: s.Steward}
}

var roleLacks = map[string]string{
	procedure.Builder:   "somebody with an account who built it: the crew adds who did to the builders",
	procedure.Second:    "a member who did not build it and has not signed this item: a keeper can invite somebody",
	procedure.Competent: "a steward who did not build it, and has not signed this test as second: a keeper can give somebody that role",
}

// lacking says for which role there is nobody left in the group.
func (t Test) lacking(state procedure.State, may []MaySign) string {
	for _, role := range state.Lacks {
		if !slices.ContainsFunc(may, func(m MaySign) bool { return slices.Contains(m.Roles, role) }) {
			return fmt.Sprintf("Nobody in the group can sign this as %s now. It takes %s.", role, roleLacks[role])
		}
	}
	return ""
}

// Item returns what is asked for an item.
func (t Test) Item(id string) (procedure.Task, error) {
	i := slices.IndexFunc(t.Tasks, func(task procedure.Task) bool { return task.ID == id })
	if i < 0 {
		return procedure.Task{}, Missing("item")
	}
	return t.Tasks[i], nil
}

// Entry returns an entry of the test.
func (t Test) Entry(id TestEntryID) (TestEntry, error) {
	i := slices.IndexFunc(t.Entries, func(e TestEntry) bool { return e.ID == id })
	if i < 0 {
		return TestEntry{}, Missing("entry")
	}
	return t.Entries[i], nil
}

// Signer returns a member who might sign.
func (t Test) Signer(id AccountID) (Signer, error) {
	i := slices.IndexFunc(t.Members, func(s Signer) bool { return s.ID == id })
	if i < 0 {
		return Signer{}, Missing("member")
	}
	return t.Members[i], nil
}

// Outdated says in words why a test that has not ended goes on no more: the
// machine is another now, or must not be built. Empty when it goes on.
func (t Test) Outdated(b Build) string {
	const left = " Nothing more is signed here but letting the pressure go and recording a failure."
	switch {
	case b.State == Scrapped:
		return "The machine was scrapped." + left
	case b.Revision == Withdrawn:
		return "Revision " + b.Letter + ", from which the machine is made, was withdrawn: it must not be put under pressure." + left
	case b.Newest != t.BuildVersion:
		return fmt.Sprintf("The machine was changed, moved or rebuilt since: this test was begun for its version %d, and it stands as version %d now.%s Begin a new test sheet.", t.BuildVersion, b.Newest, left)
	}
	return ""
}

// Shown fills in what the reader may do to the test.
func (t *Test) Shown(who Actor, access Access) {
	t.Allowed = []Action{}
	if t.Ended != TestPassed {
		t.Allowed = allowed(who, access, SignTest)
	}
	if t.Ended == TestPassed && t.Over == "" && !t.Certified && t.signedAs(procedure.Second, access.Account) == nil {
		t.Allowed = append(t.Allowed, allowed(who, access, CertifyBuild)...)
	}
	if n := t.Nonconformance; n != nil && n.Closed == nil && t.Attempt().WrittenUp() {
		t.Allowed = append(t.Allowed, allowed(who, access, CloseFailed)...)
	}
}

// signedAs returns a signature of somebody in a role; nil for none.
func (t Test) signedAs(role string, who AccountID) *TestSignature {
	for i, g := range t.Signatures {
		if g.Role == role && g.Who.ID == who {
			return &t.Signatures[i]
		}
	}
	return nil
}

// Tests is a page of the test sheets of a build, newest first, and how the build
// stands.
type Tests struct {
	Items   []Test
	Allowed []Action
	Lacks   []procedure.Lack // that must be known before a test may begin
	Refused string           // why none may begin now, in words; empty when one may
}

// WithAccount are the members among the builders.
func (b Build) WithAccount() (people []Person) {
	for _, p := range b.Builders {
		if p.Account != 0 {
			people = append(people, Person{p.Account, p.Name})
		}
	}
	return people
}

// ReadyForTest returns a Conflict when no test of the build may begin.
func (b Build) ReadyForTest(lacks []procedure.Lack) error {
	switch {
	case b.State == Scrapped:
		return BuildScrapped()
	case b.State == BeingBuilt:
		return testRefused("test-not-ready", "The machine is still being built. Say that it is built, then begin its test.")
	case b.Revision == Withdrawn:
		return testRefused("test-not-ready", "Revision "+b.Letter+", from which it is made, was withdrawn: it must not be put under pressure. Rebuild it to a cleared revision first.")
	case len(lacks) > 0:
		text := "A test may not begin before this is settled:"
		for _, l := range lacks {
			text += " " + l.Text
		}
		return testRefused("test-not-ready", text)
	}
	return nil
}

func testRefused(code, message string) *Error {
	return &Error{Kind: Conflict, Code: code, Message: message}
}

// TestRuns returns the Conflict of a build whose test is not over yet.
func TestRuns(number int) *Error {
	return testRefused("test-runs", fmt.Sprintf("Test sheet %d of this machine, as it stands, is not over yet. Go on with that one.", number))
}

// StartTest begins a test sheet.
type StartTest struct {
	Project ProjectID
	Build   BuildID
	Key     string // made by the client; a retry with it makes no second sheet
}

// Validate finds all faults.
func (c *StartTest) Validate() error { return Faulty(clientKey("/client_key", c.Key)) }

// WaitingTests are the tests and certificates that wait for somebody.
type WaitingTests struct {
	ToSign    []WaitingTest
	ToCertify []Test        // passed, and without a certificate that they could issue
	Lapsing   []Certificate // that hold, and end within 30 days
}

// WaitingTest is a test sheet with the items that somebody could sign now.
type WaitingTest struct {
	Test  Test
	Items []WaitingItem
}

// WaitingItem is an item that somebody could sign now, in these roles.
type WaitingItem struct {
	Item  string
	Title string
	Roles []string
}

// WaitsFor lists the items of the test that somebody could sign now.
func (t Test) WaitsFor(who AccountID) (items []WaitingItem) {
	signer, err := t.Signer(who)
	if err != nil {
		return nil
	}
	sheet := t.Attempt()
	for _, task := range t.Tasks {
		if roles := sheet.RolesOf(signer.person(), task.ID); len(roles) > 0 {
			items = append(items, WaitingItem{task.ID, task.Title, roles})
		}
	}
	return items
}
