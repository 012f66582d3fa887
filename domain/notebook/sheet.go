package notebook

import (
	"context"

	"leat/calc/build"
	"leat/calc/sheet"
	"leat/calc/trompe"
	"leat/domain"
	"leat/domain/store"
)

// SaveSheet calculates a design sheet and saves it, inputs and answers with
// their intervals together, as the next one under the draft revision. It
// returns the sheet and the new version of the design. An input that can't be read as a machine is
// an Invalid error; a machine that can't work is saved, with that as its answer.
func (n *Notebook) SaveSheet(ctx context.Context, who domain.Actor, cmd domain.SaveSheet) (s domain.Sheet, version int64, err error) {
	report, err := n.calculate(ctx, who, &cmd)
	if err != nil {
		return domain.Sheet{}, 0, err
	}
	err = n.db.InTx(ctx, func(tx *store.Tx) (err error) {
		s, version, err = n.saveSheet(tx, who, cmd, report)
		return err
	})
	return s, version, err
}

// calculate makes the report of a sheet for somebody who may save it. It is
// made outside the transaction that saves: the draws take some tenths of a
// second, and nobody should wait on a lock for them.
func (n *Notebook) calculate(ctx context.Context, who domain.Actor, cmd *domain.SaveSheet) (sheet.Report, error) {
	err := n.db.InTx(ctx, func(tx *store.Tx) error {
		_, _, err := authorize(tx, who, cmd.Project, domain.EditDesign)
		return err
	})
	if err == nil {
		err = cmd.Validate()
	}
	if err != nil {
		return sheet.Report{}, err
	}
	report, err := n.report(ctx, cmd.Input)
	if err != nil {
		return sheet.Report{}, err
	}
	return report, domain.InputFaults(report.Faults)
}

// report calculates a sheet with its intervals, as the group calculates now, when
// it is its turn. An error is a defect of leat, or that nobody waits any more.
func (n *Notebook) report(ctx context.Context, in sheet.Input) (sheet.Report, error) {
	by, err := read(ctx, n, termsOf)
	if err != nil {
		return sheet.Report{}, err
	}
	if err := n.drawing.take(ctx); err != nil {
		return sheet.Report{}, err
	}
	defer n.drawing.end()
	return sheet.RunWithIntervals(in, by.limits, by.set, n.draws)
}

// terms are what the group calculates by: its limits, and its set of coefficients.
type terms struct {
	limits build.Limits
	set    *trompe.Set
}

func termsOf(tx *store.Tx) (terms, error) {
	settings, err := tx.SafetySettings()
	if err != nil {
		return terms{}, err
	}
	set, err := tx.SetInForce()
	return terms{settings.Limits, set}, err
}

func (n *Notebook) saveSheet(tx *store.Tx, who domain.Actor, cmd domain.SaveSheet, report sheet.Report) (domain.Sheet, int64, error) {
	_, permit, err := authorize(tx, who, cmd.Project, domain.EditDesign)
	if err != nil {
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

// Preview calculates a sheet without intervals and stores nothing. What is
// wrong with the input is in the report.
func (n *Notebook) Preview(ctx context.Context, _ domain.Actor, in sheet.Input) (sheet.Report, error) {
	by, err := read(ctx, n, termsOf)
	if err != nil {
		return sheet.Report{}, err
	}
	return sheet.Run(in, by.limits, by.set)
}
