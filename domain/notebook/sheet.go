package notebook

import (
	"context"

	"leat/calc/sheet"
	"leat/domain"
	"leat/domain/store"
)

// SaveSheet calculates a design sheet and saves it, inputs and answers
// together, as the next one under the draft revision. It returns the sheet and
// the new version of the design. An input that can't be read as a machine is
// an Invalid error; a machine that can't work is saved, with that as its answer.
func (n *Notebook) SaveSheet(ctx context.Context, who domain.Actor, cmd domain.SaveSheet) (s domain.Sheet, version int64, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) (err error) {
		s, version, err = n.saveSheet(tx, who, cmd)
		return err
	})
	return s, version, err
}

func (n *Notebook) saveSheet(tx *store.Tx, who domain.Actor, cmd domain.SaveSheet) (domain.Sheet, int64, error) {
	_, permit, err := authorize(tx, who, cmd.Project, domain.EditDesign)
	if err != nil {
		return domain.Sheet{}, 0, err
	}
	if err := cmd.Validate(); err != nil {
		return domain.Sheet{}, 0, err
	}
	report, err := sheet.Run(cmd.Input)
	if err != nil {
		return domain.Sheet{}, 0, err // a broken bound: our defect, nothing is saved
	}
	if err := domain.InputFaults(report.Faults); err != nil {
		return domain.Sheet{}, 0, err
	}
	s := domain.Sheet{Input: cmd.Input, Report: report}
	s.Design, s.Letter, s.Note, s.Gauging, s.SavedAt = cmd.Design, cmd.Letter, cmd.Note, cmd.Gauging, n.now()
	version, err := tx.SaveSheet(permit, cmd.Version, &s)
	if err != nil {
		return domain.Sheet{}, 0, err
	}
	saved, err := tx.Sheet(cmd.Project, cmd.Design, cmd.Letter, s.Number)
	return saved, version, err
}

// Sheets returns a page of the sheets of a revision, newest first.
func (n *Notebook) Sheets(ctx context.Context, who domain.Actor, project domain.ProjectID, design domain.DesignID, letter string, page domain.Page) ([]domain.SheetHead, error) {
	return read(ctx, n, func(tx *store.Tx) ([]domain.SheetHead, error) {
		return tx.Sheets(project, design, letter, page)
	})
}

// Sheet returns one sheet in full.
func (n *Notebook) Sheet(ctx context.Context, who domain.Actor, project domain.ProjectID, design domain.DesignID, letter string, number int) (domain.Sheet, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Sheet, error) {
		return tx.Sheet(project, design, letter, number)
	})
}

// Preview calculates a sheet and stores nothing. What is wrong with the input
// is in the report.
func (n *Notebook) Preview(_ context.Context, _ domain.Actor, in sheet.Input) (sheet.Report, error) {
	return sheet.Run(in)
}
