package domain

import (
	"slices"
	"time"
)

// ApprovalRole is as what somebody signs a change of the rules: of the safety
// settings, or of the test procedure.
type ApprovalRole string

// Both are needed, of two different people.
const (
	ApprovalSteward ApprovalRole = "steward"
	ApprovalSecond  ApprovalRole = "second" // any member
)

// Approval is one signature under a proposed change of the rules.
type Approval struct {
	Role ApprovalRole
	By   Person
	At   time.Time
}

// Approvals are the signatures under one proposal.
type Approvals []Approval

// Complete tells whether a steward and a second member have signed.
func (a Approvals) Complete() bool { return a.has(ApprovalSteward) && a.has(ApprovalSecond) }

func (a Approvals) has(role ApprovalRole) bool {
	return slices.ContainsFunc(a, func(one Approval) bool { return one.Role == role })
}

// RoleOf returns as what the person signs. It returns an error when nothing that
// they could sign is left: the second signature is somebody else's, and one of
// the two is a steward's.
func (a Approvals) RoleOf(access Access) (ApprovalRole, error) {
	switch {
	case slices.ContainsFunc(a, func(one Approval) bool { return one.By.ID == access.Account }):
		return "", ApprovedBefore()
	case a.Complete():
		return "", ApprovalComplete()
	case !a.has(ApprovalSteward) && slices.Contains(access.Roles, Steward):
		return ApprovalSteward, nil
	case !a.has(ApprovalSecond):
		return ApprovalSecond, nil
	}
	return "", &Error{Kind: Forbidden, Code: "not-steward", Message: "What is left is the signature of a steward. " + access.whoIsSteward()}
}

// ApprovedBefore returns the Conflict of somebody who signs a second time.
func ApprovedBefore() *Error {
	return &Error{Kind: Conflict, Code: "approved-before", Message: "You have signed this already. The other signature has to be somebody else’s."}
}

// ApprovalComplete returns the Conflict of a signature that is there already.
func ApprovalComplete() *Error {
	return &Error{Kind: Conflict, Code: "approval-complete", Message: "Somebody has given this signature already. Nothing is left to sign."}
}

// Lacks says in words whose signature is missing and who could give it; empty
// when none is, or when somebody can.
func (a Approvals) Lacks(stewards []Person, members int) string {
	signed := func(p Person) bool {
		return slices.ContainsFunc(a, func(one Approval) bool { return one.By.ID == p.ID })
	}
	switch {
	case a.Complete():
		return ""
	case !a.has(ApprovalSteward) && !slices.ContainsFunc(stewards, func(p Person) bool { return !signed(p) }):
		return "Nobody who has not signed is a steward: a keeper has to give that role to somebody before this can take effect."
	case members < 2:
		return "It takes two people, and the group has one: a keeper has to invite somebody before this can take effect."
	}
	return ""
}

// The kinds of link that proposals make, and the signatures under them.
const (
	LinkSafetyProposed   LinkKind = "safety_proposed"
	LinkSafetySigned     LinkKind = "safety_signed"
	LinkTemplateProposed LinkKind = "template_proposed"
	LinkTemplateSigned   LinkKind = "template_signed"
)

// ApprovalState is what became of a proposed change of the rules.
type ApprovalState string

// The states of a proposal.
const (
	ApprovalWaiting   ApprovalState = "waiting"
	ApprovalInForce   ApprovalState = "in_force"
	ApprovalPast      ApprovalState = "past"      // was in force once
	ApprovalOvertaken ApprovalState = "overtaken" // another one took effect first
)

// stateOf tells what became of the proposal with this number, that follows
// another one, while a third is in force.
func (a Approvals) stateOf(number, follows, inForce int64) ApprovalState {
	switch {
	case number == inForce:
		return ApprovalInForce
	case a.Complete():
		return ApprovalPast
	case follows == inForce:
		return ApprovalWaiting
	}
	return ApprovalOvertaken
}

// Overtaken returns the Conflict of a proposal that another one has overtaken.
func Overtaken() error {
	return &Error{Kind: Conflict, Code: "proposal-overtaken", Message: "Something else took effect after this was proposed, so that it would undo what nobody meant to undo. Nothing was signed: propose it again from what is in force now."}
}
