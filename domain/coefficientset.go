package domain

import (
	"slices"
	"time"

	"leat/calc"
	"leat/domain/digest"
)

// SetProposalID names a proposal of a set of coefficients.
type SetProposalID int64

// SetProposal asks what the runs that count say of the coefficients, and what came
// of it. It is kept whether or not it is adopted.
type SetProposal struct {
	ID       SetProposalID
	Why      string
	Current  string // name of the set that it is compared with
	By       Person
	At       time.Time
	Link     int64 // of the record
	Runs     []TaughtRun
	Lesson   *SetLesson // nil: it is being worked out
	Adoption *SetAdoption

	// Worked out at every showing.
	InForce bool       // its set is calculated with
	State   ProposalOf // how far it is
	Failure string     // why it could not be worked out
	Lacking string     // why nobody in the group can adopt it
	Allowed []Action
}

// TaughtRun is a run that coefficients are learned from, as its verdict stood.
type TaughtRun struct {
	Run     RunRef
	ID      RunID
	Machine string // title of the build
	Title   string
	Verdict digest.Sum
	Aside   bool // it was set aside since
	Authors []Person
}

// SetLesson is what the runs say.
type SetLesson struct {
	Body      []byte // JSON of [leat/calc/lessons.Proposal]
	Digest    digest.Sum
	Adoptable bool   // nothing speaks against it
	Calc      string // version of the calculation that worked it out
	At        time.Time
}

// SetAdoption says who adopted a proposal, and as which set.
type SetAdoption struct {
	Set  string
	Body []byte // JSON of the set; nil in a list
	By   Person
	At   time.Time
	Link int64
}

// ProposalOf says how far a proposal of a set is.
type ProposalOf string

// The states of a proposal of a set.
const (
	SetWorking   ProposalOf = "working"
	SetFailed    ProposalOf = "failed"
	SetRefused   ProposalOf = "refused"   // something in it speaks against adopting
	SetWaiting   ProposalOf = "waiting"   // for a steward
	SetOvertaken ProposalOf = "overtaken" // another set was adopted since, a run was set aside, or the calculation is newer
	SetAdopted   ProposalOf = "adopted"
)

// The kinds of link that a set makes.
const (
	LinkSetProposed LinkKind = "set_proposed"
	LinkSetAdopted  LinkKind = "set_adopted"
)

// Aside lists the runs that were set aside since.
func (p SetProposal) Aside() (runs []TaughtRun) {
	for _, r := range p.Runs {
		if r.Aside {
			runs = append(runs, r)
		}
	}
	return runs
}

// Judge works out the state, given the link of the newest adoption; 0 for none.
func (p *SetProposal) Judge(lastAdopted int64) {
	switch {
	case p.Adoption != nil:
		p.State = SetAdopted
	case p.Lesson == nil && p.Failure != "":
		p.State = SetFailed
	case p.Lesson == nil:
		p.State = SetWorking
	case !p.Lesson.Adoptable:
		p.State = SetRefused
	case len(p.Aside()) > 0 || lastAdopted > p.Link || p.Lesson.Calc != calc.Version:
		p.State = SetOvertaken
	default:
		p.State = SetWaiting
	}
}

// soleAuthor returns who alone took part in all the runs; nil where several did.
func (p SetProposal) soleAuthor() *Person {
	var only *Person
	for _, r := range p.Runs {
		for _, a := range r.Authors {
			if only != nil && only.ID != a.ID {
				return nil
			}
			only = &a
		}
	}
	return only
}

// MayBeProposed returns why somebody may not propose a set of these runs.
func (p SetProposal) MayBeProposed(by AccountID) error {
	if len(p.Runs) == 0 {
		return &Error{Kind: Conflict, Code: "nothing-learned", Message: "No confirmed run counts yet, so there is nothing to learn from. Measure a machine, and let a steward confirm the run."}
	}
	if sole := p.soleAuthor(); sole != nil && sole.ID == by {
		return &Error{Kind: Forbidden, Code: "sole-author", Message: "You alone took part in all the runs that this would be learned from. Somebody else has to propose it."}
	}
	return nil
}

// MayBeAdopted returns why the proposal may not be adopted by this person.
func (p SetProposal) MayBeAdopted(access Access) error {
	refused := func(message string) error {
		return &Error{Kind: Conflict, Code: "set-refused", Message: message}
	}
	switch p.State {
	case SetAdopted:
		return refused("This was adopted already, by " + p.Adoption.By.Name + ", as set " + p.Adoption.Set + ".")
	case SetWorking, SetFailed:
		return refused("What the runs say is not worked out yet. Wait for it, and look at it first.")
	case SetRefused:
		return refused("Something speaks against this set, so it can't be adopted: the proposal says what. Propose another once more was measured.")
	case SetOvertaken:
		return refused("Another set was adopted after this was proposed, one of its runs was set aside, or the calculation has a newer version. Nothing was signed: propose it again.")
	case SetWaiting:
	}
	return p.mayAdopt(access)
}

// SetWorkedOut returns the Conflict of a proposal while another one is worked out.
func (p SetProposal) SetWorkedOut() error {
	return &Error{Kind: Conflict, Code: "set-working", Message: "What the runs say is being worked out, as " + p.By.Name + " proposed. Nothing was proposed a second time: wait for the answer, and look at that."}
}

func (p SetProposal) mayAdopt(access Access) error {
	sole := p.soleAuthor()
	switch {
	case access.Account == p.By.ID:
		return &Error{Kind: Forbidden, Code: "own-proposal", Message: "You proposed this, so another steward has to adopt it. " + access.whoElseIsSteward(p.By)}
	case sole != nil && sole.ID == access.Account:
		return &Error{Kind: Forbidden, Code: "sole-author", Message: "You alone took part in all the runs that this was learned from, so another steward has to adopt it. " + access.whoElseIsSteward(*sole)}
	}
	return nil
}

func (a Access) whoElseIsSteward(who Person) string {
	a.Stewards = slices.DeleteFunc(slices.Clone(a.Stewards), who.is)
	return a.whoIsSteward()
}

// Shown fills in what the reader may do about the proposal, and whether anybody
// can adopt it.
func (p *SetProposal) Shown(who Actor, access Access) {
	p.Allowed = []Action{}
	if p.State != SetWaiting {
		return
	}
	if p.mayAdopt(access) == nil {
		p.Allowed = append(p.Allowed, allowed(who, access, AdoptSet)...)
	}
	could := func(s Person) bool { return p.mayAdopt(Access{Account: s.ID}) == nil }
	if !slices.ContainsFunc(access.Stewards, could) {
		p.Lacking = "Nobody in the group can adopt this: it takes a steward who did not propose it, and who did not alone make the runs that it was learned from. A keeper can give somebody that role."
	}
}

// AllowedWithSets lists what the person may do about sets of coefficients.
func AllowedWithSets(who Actor, access Access) []Action { return allowed(who, access, ProposeSet) }

// ProposeCoefficients asks what the runs that count say.
type ProposeCoefficients struct {
	Why string
	Key string // made by the client; a retry with it makes no second proposal
}

// Validate trims the text and finds all faults.
func (c *ProposeCoefficients) Validate() error {
	faults := prose("/why", &c.Why, purposeMost)
	if c.Why == "" {
		faults = append(faults, Field{"/why", "missing", "Say why: what was measured since, and what you hope for."})
	}
	return Faulty(append(faults, clientKey("/client_key", c.Key)...))
}

// AdoptCoefficients signs that a proposal is calculated with from now on.
type AdoptCoefficients struct {
	Proposal SetProposalID
	Proof    Proof
}

// Validate finds all faults.
func (c *AdoptCoefficients) Validate() error { return Faulty(c.Proof.Validate("", true)) }
