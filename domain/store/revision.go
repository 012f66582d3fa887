package store

import (
	"time"

	"leat/domain"
)

type revisionRow struct {
	Position   int       `gorm:"column:position"`
	Letter     string    `gorm:"column:letter"`
	State      string    `gorm:"column:state"`
	SheetCount int       `gorm:"column:sheet_count"`
	StartedAt  time.Time `gorm:"column:started_at"`
	StartedBy  int64     `gorm:"column:started_by"`
	Starter    string    `gorm:"column:starter"`
}

func (r revisionRow) revision() domain.Revision {
	return domain.Revision{
		Position: r.Position, Letter: r.Letter, State: domain.State(r.State), SheetCount: r.SheetCount, StartedAt: r.StartedAt.UTC(),
		StartedBy: domain.Person{ID: domain.AccountID(r.StartedBy), Name: r.Starter},
	}
}

// Revisions returns a page of the revisions of a design, newest first; the page
// counts by their positions.
func (tx *Tx) Revisions(project domain.ProjectID, design domain.DesignID, page domain.Page) ([]domain.Revision, error) {
	there, err := tx.exists("SELECT 1 FROM designs WHERE id = ? AND project_id = ?", design, project)
	if err == nil && !there {
		err = domain.Missing("design")
	}
	if err != nil {
		return nil, err
	}
	return tx.revisions(design, page)
}

func (tx *Tx) revisions(design domain.DesignID, page domain.Page) ([]domain.Revision, error) {
	rows, err := all[revisionRow](tx, `SELECT r.position, r.letter, r.state, r.sheet_count, r.started_at, r.started_by, a.name AS starter
		FROM revisions r JOIN accounts a ON a.id = r.started_by WHERE r.design_id = ? AND `+newest("r.position", page), design, below(page))
	list := make([]domain.Revision, len(rows))
	for i, r := range rows {
		list[i] = r.revision()
	}
	return list, err
}

// StartRevision adds the next letter with its first sheet. It fills in the letter
// and the number of the sheet. It returns a Stale error when somebody saved since
// the version was read, and a Conflict while the newest letter is a draft or in
// check.
func (tx *Tx) StartRevision(permit domain.Permit, version int64, s *domain.Sheet) error {
	if err := permit.For(domain.EditDesign); err != nil {
		return err
	}
	if err := tx.bumpDesign(permit, s.Design, version); err != nil {
		return err
	}
	type newest struct {
		Position int    `gorm:"column:position"`
		Letter   string `gorm:"column:letter"`
		State    string `gorm:"column:state"`
	}
	r, err := one[newest](tx, "revision", `SELECT position, letter, state FROM revisions
		WHERE design_id = ? ORDER BY position DESC LIMIT 1 FOR UPDATE`, s.Design)
	if err != nil {
		return err
	}
	if domain.State(r.State) == domain.Draft {
		return domain.StillDraft(r.Letter)
	}
	return tx.addRevision(permit.Account(), s.Design, r.Position+1, s, s.SavedAt)
}

// addRevision adds a revision in state draft, and its first sheet unless that
// is nil.
func (tx *Tx) addRevision(by domain.AccountID, design domain.DesignID, position int, first *domain.Sheet, now time.Time) error {
	letter, count := domain.Letter(position), 0
	if first != nil {
		count = 1
		first.Design, first.Letter, first.Number = design, letter, 1
	}
	id, err := one[int64](tx, "revision", `INSERT INTO revisions (design_id, position, letter, state, sheet_count, started_by, started_at)
		VALUES (?, ?, ?, 'draft', ?, ?, ?) RETURNING id`, design, position, letter, count, by, now)
	if err != nil || first == nil {
		return err
	}
	return tx.addSheet(by, id, first)
}
