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

// StartRevision freezes the draft of a design as returned, with all its sheets
// to be read, and starts the next letter with a copy of a sheet, calculated
// again with today's calculation.
func (n *Notebook) StartRevision(ctx context.Context, who domain.Actor, cmd domain.StartRevision) (domain.Design, error) {
	from := cmd.From
	if from == nil {
		newest, err := n.newestSheet(ctx, who, cmd)
		if err != nil {
			return domain.Design{}, err
		}
		from = &newest
	}
	first, err := n.copied(ctx, who, cmd.Project, cmd.Design, *from, domain.EditDesign)
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

// newestSheet names the newest sheet of the design, which must be as it was
// read.
func (n *Notebook) newestSheet(ctx context.Context, who domain.Actor, cmd domain.StartRevision) (domain.SheetRef, error) {
	d, err := n.Design(ctx, who, cmd.Project, cmd.Design)
	switch {
	case err != nil:
		return domain.SheetRef{}, err
	case d.Version != cmd.Version:
		return domain.SheetRef{}, domain.Outdated("design")
	case d.Newest == nil:
		return domain.SheetRef{}, domain.NothingToCopy()
	}
	return domain.SheetRef{Design: d.ID, Letter: d.Newest.Letter, Number: d.Newest.Number}, nil
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
