package domain

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"leat/calc"
	"leat/calc/asbuilt"
	"leat/calc/build"
	"leat/calc/sheet"
	"leat/domain/digest"
)

// What is signed when a design is checked.
const (
	LinkIssued  LinkKind = "revision_issued"
	LinkOutcome LinkKind = "check_outcome"
	LinkEnded   LinkKind = "revision_ended" // taken back, or withdrawn
)

// Check is a revision with all that was said about it.
type Check struct {
	Project  ProjectID
	Design   DesignID
	Version  int64 // of the design
	Revision Revision
	Issue    *Issue // nil: it was never issued
	Outcomes []Outcome
	End      *RevisionEnd
	Open     RemarkCount // of the design, this letter and those before
	Again    []Recalculation
	Builds   int      // that stand as this revision has them
	May      []Person // checkers of the group who may still say clear or return
	Lacks    []string // what stands before its next state, in words
	Allowed  []Action // what the reader may do
}

// Issue is what the crew gave to be checked: one sheet of a revision, which is
// frozen with it.
type Issue struct {
	Sheet        int
	Digest       digest.Sum // over its inputs and answers
	PressureHash digest.Sum // over what a pressure test of it is good for
	Class        string     // hazard class: plain or raised
	Checkers     int        // who must say clear
	Note         string
	By           Person
	At           time.Time
	Asked        []Person // nobody: every checker who may
	Link         int64
}

// Said is what a checker says about a revision.
type Said string

// The outcomes of a check.
const (
	Clear  Said = "clear"
	Return Said = "return"
)

// Outcome is what one checker said.
type Outcome struct {
	Said   Said
	Note   string
	Who    Person
	At     time.Time
	Link   int64
	Joined bool // who said it came onto the crew since: it counts no longer
}

// EndKind says how a revision ended other than by a check.
type EndKind string

// The ends of a revision.
const (
	TakenBack    EndKind = "taken_back"
	WithdrawnEnd EndKind = "withdrawn"
)

// RevisionEnd is that the crew took a revision back, or that it was withdrawn.
type RevisionEnd struct {
	Kind   EndKind
	Reason string
	Who    Person
	At     time.Time
	Link   int64
}

// Cleared counts who said clear and is still none of the crew.
func (c Check) Cleared() (n int) {
	for _, o := range c.Outcomes {
		if o.Said == Clear && !o.Joined {
			n++
		}
	}
	return n
}

// Settled returns the state that what was said brings a revision in check to:
// one return returns it; it is cleared when enough have said clear and no query
// or stopper stands open.
func (c Check) Settled() State {
	switch {
	case c.Revision.State != InCheck || c.Issue == nil:
		return c.Revision.State
	case slices.ContainsFunc(c.Outcomes, func(o Outcome) bool { return o.Said == Return }):
		return Returned
	case c.Cleared() >= c.Issue.Checkers && !c.Open.Holds():
		return Cleared
	}
	return InCheck
}

// Said returns what somebody said, and nil for nothing.
func (c Check) Said(who AccountID) *Outcome {
	i := slices.IndexFunc(c.Outcomes, func(o Outcome) bool { return o.Who.ID == who })
	if i < 0 {
		return nil
	}
	return &c.Outcomes[i]
}

// Allows keeps, of what somebody may do in the project, what is possible with
// this revision as it stands.
func (c Check) Allows(who AccountID, inProject []Action) []Action {
	possible := map[Action]bool{
		EditDesign: c.Revision.State == Draft,
		PutToCheck: c.Revision.State == Draft,
		FetchBack:  c.Revision.State == InCheck && len(c.Outcomes) == 0,
		SayOutcome: c.Revision.State == InCheck && c.Said(who) == nil,
		Withdraw:   c.Revision.State == Cleared || c.Revision.State == Superseded,
	}
	return slices.DeleteFunc(slices.Clone(inProject), func(a Action) bool {
		can, depends := possible[a]
		return depends && !can
	})
}

// Waits says in words what stands before the next state of a revision in check.
// Keepers are who can give the role that lacks.
func (c Check) Waits(keepers []Person) (lacks []string) {
	if c.Revision.State != InCheck || c.Issue == nil {
		return nil
	}
	if missing := c.Issue.Checkers - c.Cleared(); missing > 0 {
		lacks = append(lacks, fmt.Sprintf("%s must still say clear: %s.", count(missing, "checker", "checkers"), c.whoMay()))
		if len(c.May) < missing {
			lacks = append(lacks, fmt.Sprintf("The group lacks %s who never was on the crew of this project. A keeper can give somebody the role: %s.",
				count(missing-len(c.May), "checker", "checkers"), names(keepers)))
		}
	}
	if c.Open.Holds() {
		lacks = append(lacks, fmt.Sprintf("%s and %s stand open. Whoever raised a remark lays it to rest.",
			count(c.Open.Stoppers, "stopper", "stoppers"), count(c.Open.Queries, "query", "queries")))
	}
	return lacks
}

func (c Check) whoMay() string {
	if len(c.May) == 0 {
		return "nobody in the group may"
	}
	return names(c.May)
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// IssueRevision gives the last sheet of a draft to be checked.
type IssueRevision struct {
	Project ProjectID
	Design  DesignID
	Letter  string
	Version int64 // of the design, as it was read
	Sheet   int   // the last one, as it was read
	Note    string
	Ask     []AccountID // nobody: every checker who may
}

const noteMost = 2000

// Validate trims the note and refuses to ask somebody twice.
func (c *IssueRevision) Validate() error {
	faults := prose("/note", &c.Note, noteMost)
	for i, id := range c.Ask {
		if slices.Contains(c.Ask[:i], id) {
			faults = append(faults, Field{fmt.Sprintf("/ask/%d", i), "given_twice", "This person is named twice. Name each once."})
		}
	}
	return Faulty(faults)
}

// Stands refuses an issue that the design is not ready for: it was changed since
// it was read, is no draft, or its last sheet is another.
func (c *IssueRevision) Stands(stands Check) error {
	switch {
	case stands.Version != c.Version:
		return Outdated("design")
	case stands.Revision.State != Draft:
		return NoDraft()
	case stands.Revision.SheetCount == 0:
		return &Error{Kind: Conflict, Code: "revision-empty", Message: "This letter has no sheet yet, so there is nothing to check. Save a sheet under it first."}
	case c.Sheet != stands.Revision.SheetCount:
		return Faulty([]Field{{"/sheet", "unknown_value", fmt.Sprintf("The last sheet of this letter is %d. Reload the page, look at it, and issue that.", stands.Revision.SheetCount)}})
	}
	return nil
}

// Issue makes the issue of a sheet, or says what keeps it from being issued. may
// are the checkers who may check it.
func (c *IssueRevision) Issue(s Sheet, may []Person, settings SafetySettings) (Issue, error) {
	if reasons := Unissuable(s.Report); len(reasons) > 0 {
		return Issue{}, &Error{Kind: Conflict, Code: "not-issuable", Message: "This sheet can’t be issued. " + strings.Join(reasons, " "), Fields: sheetFaults(reasons)}
	}
	if limitsOf(s.Report, settings.Limits) != settings.Limits {
		return Issue{}, &Error{Kind: Conflict, Code: "not-issuable", Fields: sheetFaults([]string{otherLimits}), Message: "This sheet can’t be issued. " + otherLimits}
	}
	i := Issue{Sheet: c.Sheet, Class: string(s.Report.Build.Class), Note: c.Note}
	i.Checkers = max(s.Report.Build.Checkers, settings.checkers(i.Class))
	for at, id := range c.Ask {
		k := slices.IndexFunc(may, func(p Person) bool { return p.ID == id })
		if k < 0 {
			return Issue{}, Faulty([]Field{{fmt.Sprintf("/ask/%d", at), "unknown_value", "This person may not check this design. " + whoMayCheck(may)}})
		}
		i.Asked = append(i.Asked, may[k])
	}
	object, err := asbuilt.Pressure(s.Input, s.Report.Build, nil)
	if err != nil {
		return Issue{}, err
	}
	if i.PressureHash, err = digest.Of(object); err != nil {
		return Issue{}, err
	}
	i.Digest, err = s.Digest()
	return i, err
}

const otherLimits = "The group’s limits of safety were changed since it was saved: save it again, and look at the new answer."

// limitsOf are the limits of safety that a report was made within, but for the
// number of checkers: that is looked up when it is issued.
func limitsOf(r sheet.Report, now build.Limits) build.Limits {
	used := build.DefaultLimits()
	if r.Build.Limits != nil {
		used = *r.Build.Limits
	}
	used.CheckersPlain, used.CheckersRaised = now.CheckersPlain, now.CheckersRaised
	return used
}

// checkers is how many must clear a machine of a hazard class.
func (s SafetySettings) checkers(class string) int {
	if class == "plain" {
		return s.CheckersPlain
	}
	return s.CheckersRaised
}

func sheetFaults(faults []string) []Field {
	fields := make([]Field, len(faults))
	for i, f := range faults {
		fields[i] = Field{Pointer: "/sheet", Code: "not_issuable", Message: f}
	}
	return fields
}

// Digest returns the digest of a sheet: where it stands, its inputs and its
// answers, which name the calculation and the set of coefficients.
func (s Sheet) Digest() (digest.Sum, error) {
	type signed struct {
		Design DesignID     `json:"design"`
		Letter string       `json:"letter"`
		Number int          `json:"number"`
		Input  sheet.Input  `json:"input"`
		Report sheet.Report `json:"report"`
	}
	return digest.Of(signed{s.Design, s.Letter, s.Number, s.Input, s.Report})
}

// Unissuable says in words what keeps a sheet from being issued; nothing when
// it can be.
func Unissuable(r sheet.Report) (reasons []string) {
	if r.CalcVersion != calc.Version {
		reasons = append(reasons, "It was answered by an older calculation: save it again, and look at the new answer.")
	}
	if !works(r) {
		reasons = append(reasons, "The machine has no operating point: change it until the sheet says that it works.")
	}
	switch {
	case r.Build == nil:
		reasons = append(reasons, "No part is described, so nobody can tell whether it may be built: describe its parts.")
	case len(r.Build.Barred()) > 0:
		reasons = append(reasons, "Not allowed: "+strings.Join(r.Build.Barred(), ", ")+". Beside each part stands the nearest change that would be.")
	case r.Build.Checkers < 1:
		reasons = append(reasons, "Its hazard class does not let it be issued.")
	}
	if r.Build == nil {
		return reasons
	}
	if lacks := undescribed(r); len(lacks) > 0 {
		reasons = append(reasons, "Nobody has described: "+strings.Join(lacks, ", ")+". What is not described is not judged.")
	}
	return reasons
}

// undescribed names what every machine of a kind is made of and the report has
// not judged.
func undescribed(r sheet.Report) (lacks []string) {
	var needs []string
	if r.Trompe != nil {
		needs = []string{build.Downcomer, build.Chamber, build.Riser}
	}
	if r.Gist != nil && r.Gist.Machine != sheet.Trompe {
		needs = append(needs, build.DrivePipe)
	}
	for _, role := range needs {
		if !slices.ContainsFunc(r.Build.Parts, func(p build.Judged) bool { return p.Role == role }) {
			lacks = append(lacks, strings.ReplaceAll(role, "_", " "))
		}
	}
	return lacks
}

// works tells whether the machine of a report has an operating point.
func works(r sheet.Report) bool {
	return slices.Contains([]string{"ok", "surplus"}, statusOf(r))
}

// statusOf is the status of a report; sheets from before there was more than a
// trompe have no gist.
func statusOf(r sheet.Report) string {
	switch {
	case r.Gist != nil:
		return string(r.Gist.Status)
	case r.Trompe != nil:
		return string(r.Trompe.Status)
	}
	return ""
}

// TakeBackRevision takes a revision back before any outcome.
type TakeBackRevision struct {
	Project ProjectID
	Design  DesignID
	Letter  string
	Version int64 // of the design, as it was read
}

// Fits returns a Conflict unless the revision is in check and nobody has said
// anything yet.
func (c TakeBackRevision) Fits(stands Check) error {
	if stands.Version != c.Version {
		return Outdated("design")
	}
	if stands.Revision.State != InCheck {
		return NotInCheck(stands.Revision.State)
	}
	if len(stands.Outcomes) > 0 {
		return &Error{Kind: Conflict, Code: "outcome-there", Message: stands.Outcomes[0].Who.Name + " has given an outcome, so this can be taken back no longer. Wait for the check, or ask a checker to return it."}
	}
	return nil
}

// CheckDesign says clear or return.
type CheckDesign struct {
	Project  ProjectID
	Design   DesignID
	Letter   string
	Version  int64 // of the design, as it was read
	Outcome  Said
	Note     string
	Password string
}

// Validate trims the note and finds all faults.
func (c *CheckDesign) Validate() error {
	faults := prose("/note", &c.Note, noteMost)
	switch {
	case c.Outcome != Clear && c.Outcome != Return:
		faults = append(faults, Field{"/outcome", "unknown_value", "An outcome is clear or return."})
	case c.Outcome == Return && c.Note == "":
		faults = append(faults, Field{"/note", "missing", "Say in words why it goes back, so that the crew can mend it."})
	}
	return Faulty(append(faults, Proof{Password: c.Password}.Validate("", true)...))
}

// Fits returns a Conflict unless the revision is in check and who checks has
// said nothing yet.
func (c *CheckDesign) Fits(stands Check, who AccountID) error {
	if stands.Version != c.Version {
		return Outdated("design")
	}
	if stands.Revision.State != InCheck {
		return NotInCheck(stands.Revision.State)
	}
	if said := stands.Said(who); said != nil {
		return OutcomeGiven()
	}
	return nil
}

// WithdrawRevision says that what was cleared must not be built.
type WithdrawRevision struct {
	Project ProjectID
	Design  DesignID
	Letter  string
	Version int64 // of the design, as it was read
	Reason  string
}

// Validate trims the reason, which must be given.
func (c *WithdrawRevision) Validate() error {
	faults := prose("/reason", &c.Reason, noteMost)
	if c.Reason == "" && len(faults) == 0 {
		faults = []Field{{"/reason", "missing", "Say in words why it must not be built: whoever built from it reads this."}}
	}
	return Faulty(faults)
}

// Fits returns a Conflict unless the revision was cleared.
func (c *WithdrawRevision) Fits(stands Check) error {
	if stands.Version != c.Version {
		return Outdated("design")
	}
	if s := stands.Revision.State; s != Cleared && s != Superseded {
		return &Error{Kind: Conflict, Code: "not-cleared", Message: "Only a revision that was cleared can be withdrawn; this one is " + stateWords[s] + ". Nothing was changed."}
	}
	return nil
}

var stateWords = map[State]string{
	Draft: "a draft", InCheck: "in check", Returned: "returned", Cleared: "cleared", Superseded: "superseded", Withdrawn: "withdrawn",
}

// NoDraft returns the Conflict of a revision that is no draft any more.
func NoDraft() error {
	return &Error{Kind: Conflict, Code: "revision-frozen", Message: "This revision is frozen: only a draft can be issued. Start the next revision to go on."}
}

// NotInCheck returns the Conflict of a revision that nobody checks now.
func NotInCheck(s State) *Error {
	return &Error{Kind: Conflict, Code: "not-in-check", Message: "This revision is not in check: it is " + stateWords[s] + ". Nothing was changed."}
}

// OutcomeGiven returns the Conflict of a checker who said something before.
func OutcomeGiven() *Error {
	return &Error{Kind: Conflict, Code: "outcome-given", Message: "You have given your outcome for this revision already, and it stands. What else you find, leave as a remark."}
}

// WaitingCheck is a revision that waits for the outcome of a checker.
type WaitingCheck struct {
	Project      ProjectID
	ProjectTitle string
	Design       DesignID
	DesignTitle  string
	Letter       string
	IssuedBy     Person
	IssuedAt     time.Time
	Asked        bool // by name
}

// WaitingRecalculation is a cleared revision that a newer calculation answers
// otherwise, for its crew to look at.
type WaitingRecalculation struct {
	Project      ProjectID
	ProjectTitle string
	Design       DesignID
	DesignTitle  string
	Letter       string
	CalcVersion  string
}
