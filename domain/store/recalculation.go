package store

import (
	"encoding/json"
	"fmt"

	"leat/domain"
)

// ToRecalculate returns the next issued sheet, after a revision, that a
// calculation with a set of coefficients has not answered yet, with the key of its
// revision; 0 when there is none. What was returned is passed over: its crew goes
// on with the next letter.
func (tx *Tx) ToRecalculate(calcVersion, set string, after int64) (int64, domain.Sheet, error) {
	type dueRow struct {
		ID      int64  `gorm:"column:id"`
		Project int64  `gorm:"column:project_id"`
		Design  int64  `gorm:"column:design_id"`
		Letter  string `gorm:"column:letter"`
		Sheet   int    `gorm:"column:sheet_number"`
	}
	rows, err := all[dueRow](tx, `SELECT r.id, d.project_id, r.design_id, r.letter, i.sheet_number
		FROM revision_issues i JOIN revisions r ON r.id = i.revision_id JOIN designs d ON d.id = r.design_id
		JOIN sheets s ON s.revision_id = r.id AND s.number = i.sheet_number
		WHERE i.revision_id > ? AND r.state <> 'returned' AND (s.calc_version, s.coefficient_set) <> (?, ?)
			AND NOT EXISTS (SELECT 1 FROM recalculations c WHERE c.revision_id = r.id AND (c.calc_version, c.coefficient_set) = (?, ?))
		ORDER BY i.revision_id LIMIT 1`, after, calcVersion, set, calcVersion, set)
	if err != nil || len(rows) == 0 {
		return 0, domain.Sheet{}, err
	}
	r := rows[0]
	s, err := tx.Sheet(domain.ProjectID(r.Project), domain.DesignID(r.Design), r.Letter, r.Sheet)
	return r.ID, s, err
}

// Recalculated keeps what a newer calculation answers beside the old answer; the
// first that arrives counts.
func (tx *Tx) Recalculated(again domain.Recalculated) error {
	report, err := json.Marshal(again.Report)
	if err != nil {
		return fmt.Errorf("store: encode report: %w", err)
	}
	differs, err := json.Marshal(again.Differs)
	if err != nil {
		return fmt.Errorf("store: encode differences: %w", err)
	}
	_, err = run(tx, `INSERT INTO recalculations (revision_id, calc_version, coefficient_set, report, differs, at)
		VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT (revision_id, calc_version, coefficient_set) DO NOTHING`,
		again.Revision, again.Report.CalcVersion, again.Report.CoefficientSet, string(report), string(differs), again.At)
	return err
}

// WaitingRecalculations returns the cleared revisions of a member's projects that
// the newest calculation to have looked at them answers otherwise.
func (tx *Tx) WaitingRecalculations(who domain.Actor) ([]domain.WaitingRecalculation, error) {
	type waitingRow struct {
		Project      int64  `gorm:"column:project_id"`
		ProjectTitle string `gorm:"column:project_title"`
		Design       int64  `gorm:"column:design_id"`
		DesignTitle  string `gorm:"column:design_title"`
		Letter       string `gorm:"column:letter"`
		CalcVersion  string `gorm:"column:calc_version"`
	}
	rows, err := all[waitingRow](tx, `SELECT d.project_id, p.title AS project_title, d.id AS design_id, d.title AS design_title, r.letter, n.calc_version
		FROM recalculations n JOIN revisions r ON r.id = n.revision_id AND r.state = 'cleared'
		JOIN designs d ON d.id = r.design_id JOIN projects p ON p.id = d.project_id
		JOIN crew c ON c.project_id = p.id AND c.account_id = ? AND c.left_at IS NULL
		WHERE n.differs <> '[]' AND p.closed_at IS NULL
			AND NOT EXISTS (SELECT 1 FROM recalculations x WHERE x.revision_id = n.revision_id AND x.at > n.at)
			AND NOT EXISTS (SELECT 1 FROM revisions l WHERE l.design_id = d.id AND l.position > r.position)
		ORDER BY r.id`+limit(waitsMost), who.Account)
	list := make([]domain.WaitingRecalculation, len(rows))
	for i, r := range rows {
		list[i] = domain.WaitingRecalculation{
			Project: domain.ProjectID(r.Project), ProjectTitle: r.ProjectTitle, Design: domain.DesignID(r.Design), DesignTitle: r.DesignTitle,
			Letter: r.Letter, CalcVersion: r.CalcVersion,
		}
	}
	return list, err
}
