package notebook

import (
	"context"

	"leat/domain"
	"leat/domain/store"
)

// Revisions returns a page of the revisions of a design, newest first.
func (n *Notebook) Revisions(ctx context.Context, who domain.Actor, project domain.ProjectID, design domain.DesignID, page domain.Page) ([]domain.Revision, error) {
	return read(ctx, n, func(tx *store.Tx) ([]domain.Revision, error) { return tx.Revisions(project, design, page) })
}

// StartRevision starts the next letter of a design with a copy of a sheet,
// calculated again with today's calculation. It returns a Stale error when
// somebody took a step since the version was read, and a Conflict while the
// newest letter is a draft or in check.
func (n *Notebook) StartRevision(ctx context.Context, who domain.Actor, cmd domain.StartRevision) (domain.Design, error) {
	from, err := n.toCopy(ctx, who, cmd)
	if err != nil {
		return domain.Design{}, err
	}
	first, err := n.copied(ctx, who, cmd.Project, cmd.Design, from, domain.EditDesign)
	if err != nil {
		return domain.Design{}, err
	}
	first.Design = cmd.Design
	return read(ctx, n, func(tx *store.Tx) (domain.Design, error) {
		_, permit, err := authorize(tx, who, cmd.Project, domain.EditDesign)
		if err != nil {
			return domain.Design{}, err
		}
		if err := tx.StartRevision(permit, cmd.Version, first); err != nil {
			return domain.Design{}, err
		}
		return design(tx, who, cmd.Project, cmd.Design)
	})
}

// toCopy names the sheet that the next letter begins with, or says before
// anything is calculated why none is to begin.
func (n *Notebook) toCopy(ctx context.Context, who domain.Actor, cmd domain.StartRevision) (domain.SheetRef, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.SheetRef, error) {
		if _, _, err := authorize(tx, who, cmd.Project, domain.EditDesign); err != nil {
			return domain.SheetRef{}, err
		}
		d, err := tx.Design(cmd.Project, cmd.Design)
		switch {
		case err != nil:
			return domain.SheetRef{}, err
		case d.Version != cmd.Version:
			return domain.SheetRef{}, domain.Outdated("design")
		case d.Revision.State == domain.Draft:
			return domain.SheetRef{}, domain.StillDraft(d.Revision.Letter)
		case cmd.From != nil:
			return *cmd.From, nil
		}
		return domain.SheetRef{Design: d.ID, Letter: d.Revision.Letter, Number: d.Revision.SheetCount}, nil
	})
}

// copied makes, of a sheet of the project, a new one with today's answers, for
// somebody who may do the action. Into is the design that it is for, 0 for one
// that is still to be made.
func (n *Notebook) copied(ctx context.Context, who domain.Actor, project domain.ProjectID, into domain.DesignID, from domain.SheetRef, action domain.Action) (*domain.Sheet, error) {
	s, err := read(ctx, n, func(tx *store.Tx) (domain.Sheet, error) {
		if _, _, err := authorize(tx, who, project, action); err != nil {
			return domain.Sheet{}, err
		}
		old, err := tx.Sheet(project, from.Design, from.Letter, from.Number)
		if err != nil {
			return domain.Sheet{}, err
		}
		note := "Copy of " + from.String() + "."
		if from.Design != into {
			d, err := tx.Design(project, from.Design)
			if err != nil {
				return domain.Sheet{}, err
			}
			note = "Copy of " + from.String() + " of “" + d.Title + "”."
		}
		return domain.Sheet{SheetHead: domain.SheetHead{Note: note, Gauging: old.Gauging}, Input: old.Input}, nil
	})
	if err != nil {
		return nil, err
	}
	if s.Report, err = n.report(ctx, s.Input); err != nil {
		return nil, err // a broken bound: our defect, nothing is saved
	}
	s.SavedAt = n.now()
	return &s, domain.CopyFault(from, s.Report.Faults)
}
