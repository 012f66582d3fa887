package notebook

import (
	"context"
	"encoding/json"
	"fmt"

	"leat/calc/lessons"
	"leat/domain"
	"leat/domain/store"
)

// Evidence returns what the confirmed runs of the group say of its predictions,
// with all that are not counted and why.
func (n *Notebook) Evidence(ctx context.Context, who domain.Actor) (domain.Evidence, error) {
	return read(ctx, n, func(tx *store.Tx) (e domain.Evidence, err error) {
		access, err := tx.ReadGroupAccess(who, 0)
		if err != nil {
			return e, err
		}
		e.Allowed = domain.AllowedWithSets(who, access)
		if e.Runs, err = tx.EvidenceRuns(); err != nil {
			return e, err
		}
		if e.Summary, err = domain.SumEvidence(e.Runs); err != nil {
			return e, err
		}
		set, err := tx.SetInForce()
		if err != nil {
			return e, err
		}
		e.InForce = set.Name
		e.Changed, err = tx.ChangedSets()
		return e, err
	})
}

// SetProposals returns a page of the proposals of sets of coefficients, newest
// first, the name of the set in force, and what the actor may do.
func (n *Notebook) SetProposals(ctx context.Context, who domain.Actor, page domain.Page) (list []domain.SetProposal, inForce string, allowed []domain.Action, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		s, err := newSetReader(tx, who)
		if err != nil {
			return err
		}
		inForce, allowed = s.inForce, domain.AllowedWithSets(who, s.access)
		list, err = tx.SetProposals(page)
		for i := range list {
			n.showSet(s, &list[i])
		}
		return err
	})
	return list, inForce, allowed, err
}

// SetProposal returns a proposal in full, with what its runs say.
func (n *Notebook) SetProposal(ctx context.Context, who domain.Actor, id domain.SetProposalID) (domain.SetProposal, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.SetProposal, error) { return n.setProposal(tx, who, id) })
}

func (n *Notebook) setProposal(tx *store.Tx, who domain.Actor, id domain.SetProposalID) (domain.SetProposal, error) {
	s, err := newSetReader(tx, who)
	if err != nil {
		return domain.SetProposal{}, err
	}
	p, err := tx.SetProposal(id)
	n.showSet(s, &p)
	return p, err
}

// setReader is somebody who reads proposals.
type setReader struct {
	who     domain.Actor
	access  domain.Access
	inForce string
}

func newSetReader(tx *store.Tx, who domain.Actor) (setReader, error) {
	access, err := tx.ReadGroupAccess(who, 0)
	if err != nil {
		return setReader{}, err
	}
	set, err := tx.SetInForce()
	if err != nil {
		return setReader{}, err
	}
	return setReader{who, access, set.Name}, nil
}

// showSet fills in how far a proposal is and what the reader may do.
func (n *Notebook) showSet(s setReader, p *domain.SetProposal) {
	if p.Failure = n.learning.failure(p.ID); p.Failure != "" && p.Lesson == nil {
		p.State = domain.SetFailed
	}
	p.InForce = p.Adoption != nil && p.Adoption.Set == s.inForce
	p.Shown(s.who, s.access)
}

// ProposeSet asks what the runs that count say of the coefficients; that is worked
// out afterwards, one proposal at a time. A retry with the same key returns the
// first proposal, and made is false.
func (n *Notebook) ProposeSet(ctx context.Context, who domain.Actor, cmd domain.ProposeCoefficients) (p domain.SetProposal, made bool, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		permit, err := authorizeInGroup(tx, who, domain.ProposeSet)
		if err != nil {
			return err
		}
		if err := cmd.Validate(); err != nil {
			return err
		}
		id, err := tx.SetProposed(who.Account, cmd.Key)
		if err != nil {
			return err
		}
		if made = id == 0; made {
			if id, err = n.proposeSet(tx, permit, cmd); err != nil {
				return err
			}
		}
		p, err = n.setProposal(tx, who, id)
		return err
	})
	if err == nil && made {
		n.learning.wake()
	}
	return p, made, err
}

func (n *Notebook) proposeSet(tx *store.Tx, permit domain.Permit, cmd domain.ProposeCoefficients) (domain.SetProposalID, error) {
	if err := n.learnsNothing(tx); err != nil {
		return 0, err
	}
	runs, err := tx.EvidenceRuns()
	if err != nil {
		return 0, err
	}
	if runs, err = domain.Teaching(runs); err != nil {
		return 0, err
	}
	set, err := tx.SetInForce()
	if err != nil {
		return 0, err
	}
	p := domain.SetProposal{Current: set.Name, At: n.now()}
	if p.Runs, err = tx.TaughtBy(runs); err != nil {
		return 0, err
	}
	if err := p.MayBeProposed(permit.Account()); err != nil {
		return 0, err
	}
	return tx.ProposeSet(permit, cmd, p)
}

// learnsNothing returns the Conflict of a proposal that is being worked out, or
// waits for it; one that leat failed at stands in nobody's way.
func (n *Notebook) learnsNothing(tx *store.Tx) error {
	for at := domain.SetProposalID(0); ; {
		p, err := tx.ToLearn(at)
		switch {
		case domain.KindOf(err) == domain.NotFound:
			return nil
		case err != nil:
			return err
		case n.learning.failure(p.ID) == "":
			return p.SetWorkedOut()
		}
		at = p.ID
	}
}

// AdoptSet signs a proposal, with the password: a steward does who did not propose
// it, and new answers are worked out with it from then on. What was issued is
// answered anew beside its own answer.
func (n *Notebook) AdoptSet(ctx context.Context, who domain.Actor, cmd domain.AdoptCoefficients) (domain.SetProposal, error) {
	_, err := read(ctx, n, func(tx *store.Tx) (domain.Permit, error) {
		permit, _, err := mayAdopt(tx, who, cmd.Proposal)
		if err == nil {
			err = cmd.Validate()
		}
		return permit, err
	})
	if err != nil {
		return domain.SetProposal{}, err
	}
	if _, err := n.confirm(ctx, who, who.Account, cmd.Proof); err != nil {
		return domain.SetProposal{}, err
	}
	p, err := read(ctx, n, func(tx *store.Tx) (domain.SetProposal, error) {
		permit, p, err := mayAdopt(tx, who, cmd.Proposal)
		if err != nil {
			return p, err
		}
		if err := n.adoptSet(tx, permit, p); err != nil {
			return p, err
		}
		return n.setProposal(tx, who, cmd.Proposal)
	})
	if err == nil {
		n.learning.adopt()
	}
	return p, err
}

// mayAdopt returns a proposal to somebody who may adopt it as it stands; who else
// adopts one meanwhile waits.
func mayAdopt(tx *store.Tx, who domain.Actor, id domain.SetProposalID) (domain.Permit, domain.SetProposal, error) {
	access, err := tx.GroupAccess(who, 0)
	if err != nil {
		return domain.Permit{}, domain.SetProposal{}, err
	}
	permit, err := domain.Authorize(who, access, domain.AdoptSet)
	if err != nil {
		return permit, domain.SetProposal{}, err
	}
	p, err := tx.SetProposal(id)
	if err != nil {
		return permit, p, err
	}
	return permit, p, p.MayBeAdopted(access)
}

func (n *Notebook) adoptSet(tx *store.Tx, permit domain.Permit, p domain.SetProposal) error {
	var lesson lessons.Proposal
	if err := json.Unmarshal(p.Lesson.Body, &lesson); err != nil {
		return fmt.Errorf("notebook: read what was learned: %w", err)
	}
	name, err := tx.NextSet()
	if err != nil {
		return err
	}
	set, err := lesson.Set(name, fmt.Sprintf("Learned from set 0 and %d runs of the group, as %s proposed: %s", len(p.Runs), p.By.Name, p.Why))
	if err != nil {
		return fmt.Errorf("notebook: make a set of what was learned: %w", err)
	}
	body, err := set.Text()
	if err != nil {
		return fmt.Errorf("notebook: write a set: %w", err)
	}
	return tx.AdoptSet(permit, p.ID, name, body, n.now())
}

// waitingSets are proposed sets that the actor could adopt.
func (n *Notebook) waitingSets(tx *store.Tx, who domain.Actor) (list []domain.Awaited, err error) {
	access, err := tx.ReadGroupAccess(who, 0)
	if err != nil {
		return nil, err
	}
	proposals, err := tx.WaitingSets()
	for _, p := range proposals {
		if p.Shown(who, access); len(p.Allowed) > 0 {
			list = append(list, domain.Awaited{Kind: domain.AwaitsSet, Number: int64(p.ID), Thing: p.Why, By: &p.By, At: &p.At})
		}
	}
	return list, err
}
