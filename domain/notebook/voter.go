package notebook

import (
	"context"

	"leat/domain"
	"leat/domain/store"
)

// voter is somebody who may sign changes of the rules, with what it takes to say
// whether anybody can.
type voter struct {
	who     domain.Actor
	access  domain.Access
	members int
}

func newVoter(tx *store.Tx, who domain.Actor) (voter, error) {
	access, err := tx.ReadGroupAccess(who, 0)
	if err != nil {
		return voter{}, err
	}
	members, err := tx.MemberCount()
	return voter{who, access, members}, err
}

// lockedVoter is newVoter for somebody who signs: who else changes the group or
// its rules waits.
func lockedVoter(tx *store.Tx, who domain.Actor) (voter, error) {
	access, err := tx.GroupAccess(who, 0)
	return voter{who: who, access: access}, err
}

// approves returns the permit to sign and the role to sign in.
func (v voter) approves(action domain.Action, signed domain.Approvals, state domain.ApprovalState) (domain.Permit, domain.ApprovalRole, error) {
	permit, err := domain.Authorize(v.who, v.access, action)
	if err != nil {
		return domain.Permit{}, "", err
	}
	role, err := signed.RoleOf(v.access)
	switch {
	case err != nil:
		return permit, "", err
	case state == domain.ApprovalOvertaken:
		return permit, "", domain.Overtaken()
	case state != domain.ApprovalWaiting:
		return permit, "", domain.ApprovalComplete()
	}
	return permit, role, nil
}

// judge says what the voter may do to a proposal and what it lacks.
func (v voter) judge(action domain.Action, signed domain.Approvals, state domain.ApprovalState) (allowed []domain.Action, lacks string) {
	if state != domain.ApprovalWaiting {
		return nil, ""
	}
	if _, _, err := v.approves(action, signed, state); err == nil {
		allowed = append(allowed, action)
	}
	return allowed, signed.Lacks(v.access.Stewards, v.members)
}

func (v voter) judgeSafety(p *domain.SafetyProposal) {
	p.Allowed, p.Lacks = v.judge(domain.ApproveSafety, p.Approvals, p.State)
}

func (v voter) judgeTemplate(t *domain.Template) {
	t.Allowed, t.Lacks = v.judge(domain.ApproveTemplate, t.Approvals, t.State)
}

// confirmApproval proves the password of who signs a change of the rules.
func (n *Notebook) confirmApproval(ctx context.Context, who domain.Actor, password string) error {
	proof := domain.Proof{Password: password}
	if err := domain.Faulty(proof.Validate("", true)); err != nil {
		return err
	}
	_, err := n.confirm(ctx, who, who.Account, proof)
	return err
}
