package notebook

import (
	"context"

	"leat/domain"
	"leat/domain/store"
)

// Safety returns the safety settings that are in force and what waits for
// signatures.
func (n *Notebook) Safety(ctx context.Context, who domain.Actor) (domain.Safety, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Safety, error) {
		var s domain.Safety
		v, err := newVoter(tx, who)
		if err != nil {
			return s, err
		}
		s.Allowed = domain.AllowedWithRules(who, v.access)
		if s.ID, s.Settings, err = tx.SafetyInForce(); err != nil {
			return s, err
		}
		if s.ID != 0 {
			p, err := tx.SafetyProposal(s.ID)
			if err != nil {
				return s, err
			}
			s.InForce = &p
		}
		s.Waiting, err = tx.WaitingSafety()
		for i := range s.Waiting {
			v.judgeSafety(&s.Waiting[i])
		}
		return s, err
	})
}

// SafetyProposals returns a page of all settings that were ever proposed, newest
// first.
func (n *Notebook) SafetyProposals(ctx context.Context, who domain.Actor, page domain.Page) ([]domain.SafetyProposal, error) {
	return read(ctx, n, func(tx *store.Tx) ([]domain.SafetyProposal, error) {
		v, err := newVoter(tx, who)
		if err != nil {
			return nil, err
		}
		list, err := tx.SafetyProposals(page)
		for i := range list {
			v.judgeSafety(&list[i])
		}
		return list, err
	})
}

// ProposeSafety proposes other safety settings. A retry with the same key returns
// the first proposal, and made is false.
func (n *Notebook) ProposeSafety(ctx context.Context, who domain.Actor, cmd domain.ProposeSafety) (p domain.SafetyProposal, made bool, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		permit, err := authorizeInGroup(tx, who, domain.SetSafety)
		if err != nil {
			return err
		}
		id, err := tx.SafetyProposed(who.Account, cmd.Key)
		if err != nil {
			return err
		}
		if made = id == 0; made {
			if id, err = n.proposeSafety(tx, permit, cmd); err != nil {
				return err
			}
		}
		p, err = safetyProposal(tx, who, id)
		return err
	})
	return p, made, err
}

func (n *Notebook) proposeSafety(tx *store.Tx, permit domain.Permit, cmd domain.ProposeSafety) (domain.SafetyID, error) {
	if err := cmd.Validate(); err != nil {
		return 0, err
	}
	inForce, before, err := tx.SafetyInForce()
	if err != nil {
		return 0, err
	}
	if err := cmd.Fits(inForce, before); err != nil {
		return 0, err
	}
	return tx.ProposeSafety(permit, cmd, n.now())
}

// ApproveSafety signs proposed settings with the password, as a steward where
// that is missing and the actor is one, else as the second. With both signatures
// they are in force.
func (n *Notebook) ApproveSafety(ctx context.Context, who domain.Actor, id domain.SafetyID, password string) (domain.SafetyProposal, error) {
	if err := n.confirmApproval(ctx, who, password); err != nil {
		return domain.SafetyProposal{}, err
	}
	return read(ctx, n, func(tx *store.Tx) (domain.SafetyProposal, error) {
		v, err := lockedVoter(tx, who)
		if err != nil {
			return domain.SafetyProposal{}, err
		}
		p, err := tx.SafetyProposal(id)
		if err != nil {
			return domain.SafetyProposal{}, err
		}
		permit, role, err := v.approves(domain.ApproveSafety, p.Approvals, p.State)
		if err != nil {
			return domain.SafetyProposal{}, err
		}
		if err := tx.ApproveSafety(permit, id, role, n.now()); err != nil {
			return domain.SafetyProposal{}, err
		}
		return safetyProposal(tx, who, id)
	})
}

func safetyProposal(tx *store.Tx, who domain.Actor, id domain.SafetyID) (domain.SafetyProposal, error) {
	v, err := newVoter(tx, who)
	if err != nil {
		return domain.SafetyProposal{}, err
	}
	p, err := tx.SafetyProposal(id)
	v.judgeSafety(&p)
	return p, err
}
