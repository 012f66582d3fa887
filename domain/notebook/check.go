package notebook

import (
	"context"
	"slices"

	"leat/domain"
	"leat/domain/store"
)

// Check returns a revision with all that was said about it.
func (n *Notebook) Check(ctx context.Context, who domain.Actor, project domain.ProjectID, design domain.DesignID, letter string) (domain.Check, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Check, error) { return n.check(tx, who, project, design, letter) })
}

// check returns a revision with what the actor may do to it, who may check it,
// and what stands before its next state.
func (n *Notebook) check(tx *store.Tx, who domain.Actor, project domain.ProjectID, design domain.DesignID, letter string) (domain.Check, error) {
	c, err := tx.Check(project, design, letter)
	if err != nil {
		return c, err
	}
	access, err := tx.ReadDesignAccess(who, project, design, n.demo)
	if err != nil {
		return c, err
	}
	c.May = slices.DeleteFunc(access.Checkers, func(p domain.Person) bool { return c.Said(p.ID) != nil })
	c.Allowed = c.Allows(who.Account, domain.Allowed(who, access))
	c.Lacks = c.Waits(access.Keepers)
	if c.Revision.State == domain.Draft {
		c.Lacks, err = unissuable(tx, c)
	}
	return c, err
}

// unissuable says what keeps the last sheet of a draft from being issued.
func unissuable(tx *store.Tx, c domain.Check) ([]string, error) {
	if c.Revision.SheetCount == 0 {
		return []string{"No sheet is saved yet: save one first."}, nil
	}
	s, err := tx.Sheet(c.Project, c.Design, c.Revision.Letter, c.Revision.SheetCount)
	return domain.Unissuable(s.Report), err
}

// IssueRevision freezes a draft with its last sheet and gives it to be checked.
func (n *Notebook) IssueRevision(ctx context.Context, who domain.Actor, cmd domain.IssueRevision) (domain.Check, error) {
	return n.step(ctx, who, cmd.Project, cmd.Design, cmd.Letter, domain.PutToCheck, func(s stand) error {
		if err := cmd.Validate(); err != nil {
			return err
		}
		issue, err := n.issue(s, cmd)
		if err != nil {
			return err
		}
		return s.tx.IssueRevision(s.permit, cmd, issue, n.now())
	})
}

func (n *Notebook) issue(s stand, cmd domain.IssueRevision) (domain.Issue, error) {
	if err := cmd.Stands(s.check); err != nil {
		return domain.Issue{}, err
	}
	last, err := s.tx.Sheet(cmd.Project, cmd.Design, cmd.Letter, cmd.Sheet)
	if err != nil {
		return domain.Issue{}, err
	}
	settings, err := s.tx.SafetySettings()
	if err != nil {
		return domain.Issue{}, err
	}
	return cmd.Issue(last, s.access.Checkers, settings)
}

// TakeBackRevision takes a revision back before any outcome.
func (n *Notebook) TakeBackRevision(ctx context.Context, who domain.Actor, cmd domain.TakeBackRevision) (domain.Check, error) {
	return n.step(ctx, who, cmd.Project, cmd.Design, cmd.Letter, domain.FetchBack, func(s stand) error {
		if err := cmd.Fits(s.check); err != nil {
			return err
		}
		return s.tx.TakeBackRevision(s.permit, cmd, n.now())
	})
}

// CheckDesign keeps what a checker says, signed with the password. It is
// cleared or returned when that is enough.
func (n *Notebook) CheckDesign(ctx context.Context, who domain.Actor, cmd domain.CheckDesign) (domain.Check, error) {
	err := n.db.InTx(ctx, func(tx *store.Tx) error { // before the password is hashed, which takes long
		s, err := n.stands(tx, who, cmd.Project, cmd.Design, cmd.Letter, domain.SayOutcome)
		if err != nil {
			return err
		}
		if err := cmd.Validate(); err != nil {
			return err
		}
		return cmd.Fits(s.check, who.Account)
	})
	if err != nil {
		return domain.Check{}, err
	}
	if _, err := n.confirm(ctx, who, who.Account, domain.Proof{Password: cmd.Password}); err != nil {
		return domain.Check{}, err
	}
	return n.step(ctx, who, cmd.Project, cmd.Design, cmd.Letter, domain.SayOutcome, func(s stand) error {
		if err := cmd.Fits(s.check, who.Account); err != nil {
			return err
		}
		return s.tx.CheckDesign(s.permit, cmd, n.now())
	})
}

// WithdrawRevision says that what was cleared must not be built.
func (n *Notebook) WithdrawRevision(ctx context.Context, who domain.Actor, cmd domain.WithdrawRevision) (domain.Check, error) {
	return n.step(ctx, who, cmd.Project, cmd.Design, cmd.Letter, domain.Withdraw, func(s stand) error {
		if err := cmd.Validate(); err != nil {
			return err
		}
		if err := cmd.Fits(s.check); err != nil {
			return err
		}
		return s.tx.WithdrawRevision(s.permit, cmd, n.now())
	})
}

// stand is how things stand with a revision in one transaction, for somebody who
// may take a step.
type stand struct {
	tx     *store.Tx
	access domain.Access
	permit domain.Permit
	check  domain.Check
}

func (n *Notebook) stands(tx *store.Tx, who domain.Actor, project domain.ProjectID, design domain.DesignID, letter string, action domain.Action) (stand, error) {
	access, err := tx.DesignAccess(who, project, design, n.demo)
	if err != nil {
		return stand{}, err
	}
	permit, err := domain.Authorize(who, access, action)
	if err != nil {
		return stand{}, err
	}
	c, err := tx.Check(project, design, letter)
	return stand{tx, access, permit, c}, err
}

// step takes a step with a revision, and returns how it stands then.
func (n *Notebook) step(ctx context.Context, who domain.Actor, project domain.ProjectID, design domain.DesignID, letter string, action domain.Action, do func(stand) error) (domain.Check, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Check, error) {
		s, err := n.stands(tx, who, project, design, letter, action)
		if err != nil {
			return domain.Check{}, err
		}
		if err := do(s); err != nil {
			return domain.Check{}, err
		}
		return n.check(tx, who, project, design, letter)
	})
}
