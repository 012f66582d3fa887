package store

import (
	"encoding/json"
	"fmt"
	"time"

	"leat/domain"
)

// headRow is what a list says about a sheet; all nil where there is none.
type headRow struct {
	Number      *int       `gorm:"column:number"`
	Note        *string    `gorm:"column:note"`
	CalcVersion *string    `gorm:"column:calc_version"`
	Gauging     *int64     `gorm:"column:gauging_id"`
	Set         *string    `gorm:"column:coefficient_set"`
	SavedAt     *time.Time `gorm:"column:saved_at"`
	SavedBy     *int64     `gorm:"column:saved_by"`
	Saver       *string    `gorm:"column:saver"`
	Machine     *string    `gorm:"column:machine"`
	Status      *string    `gorm:"column:status"`
	ChamberPa   *float64   `gorm:"column:chamber_pa"`
	FreeAirM3S  *float64   `gorm:"column:free_air_m3s"`
	WaterM3S    *float64   `gorm:"column:water_m3s"`
	LiftedM3S   *float64   `gorm:"column:lifted_m3s"`
	Warnings    *int       `gorm:"column:warnings"`
}

const headColumns = `s.number, s.note, s.calc_version, s.coefficient_set, s.gauging_id, s.saved_at, s.saved_by, sa.name AS saver,
	coalesce(s.report #>> '{gist,machine}', 'trompe') AS machine,
	coalesce(s.report #>> '{gist,status}', s.report #>> '{trompe,status}') AS status,
	coalesce(s.report #>> '{gist,gauge_pa}', s.report #>> '{trompe,chamber_gauge_pa}')::double precision AS chamber_pa,
	coalesce(s.report #>> '{gist,free_air_m3s}', s.report #>> '{trompe,free_air_delivered_m3s}')::double precision AS free_air_m3s,
	coalesce(s.report #>> '{gist,water_m3s}', s.report #>> '{trompe,water_flow_m3s}')::double precision AS water_m3s,
	(s.report #>> '{gist,lifted_m3s}')::double precision AS lifted_m3s,
	jsonb_array_length(coalesce(nullif(s.report #> '{trompe,warnings}', 'null'), '[]')) AS warnings`

// head returns the head of a sheet that is there.
func (r headRow) head(design domain.DesignID, letter string) domain.SheetHead {
	h := domain.SheetHead{
		Design: design, Letter: letter, Number: *r.Number, Note: *r.Note, CalcVersion: *r.CalcVersion, CoefficientSet: *r.Set, Gauging: (*domain.GaugingID)(r.Gauging), SavedAt: r.SavedAt.UTC(),
		SavedBy: domain.Person{ID: domain.AccountID(*r.SavedBy), Name: *r.Saver},
		Answer: domain.SheetAnswer{
			ChamberGaugePa: r.ChamberPa, FreeAirM3S: r.FreeAirM3S, WaterFlowM3S: r.WaterM3S, LiftedM3S: r.LiftedM3S, WarningCount: *r.Warnings,
		},
	}
	if r.Status != nil {
		h.Answer.Machine, h.Answer.Status = *r.Machine, *r.Status
	}
	return h
}

// SaveSheet adds the next sheet to the draft revision of a design and bumps the
// version of the design, which it returns. It fills in the number of the sheet.
// It returns a Stale error when somebody saved since the version was read, and
// a Conflict when the revision is no draft.
func (tx *Tx) SaveSheet(permit domain.Permit, version int64, s *domain.Sheet) (int64, error) {
	if err := permit.For(domain.EditDesign); err != nil {
		return 0, err
	}
	if err := tx.bumpDesign(permit, s.Design, version); err != nil {
		return 0, err
	}
	revision, err := tx.nextSheet(s)
	if err != nil {
		return 0, err
	}
	return version + 1, tx.addSheet(permit.Account(), revision, s)
}

// bumpDesign gives a design its next version, and holds it.
func (tx *Tx) bumpDesign(permit domain.Permit, design domain.DesignID, version int64) error {
	n, err := run(tx, "UPDATE designs SET version = version + 1 WHERE id = ? AND project_id = ? AND version = ?",
		design, permit.Project(), version)
	if err == nil && n != 1 {
		return tx.staleOrMissing(permit.Project(), design)
	}
	return err
}

func (tx *Tx) staleOrMissing(project domain.ProjectID, design domain.DesignID) error {
	there, err := tx.exists("SELECT 1 FROM designs WHERE id = ? AND project_id = ?", design, project)
	if err != nil {
		return err
	}
	if !there {
		return domain.Missing("design")
	}
	return domain.Outdated("design")
}

// nextSheet counts the sheet at its revision and returns the revision's id.
func (tx *Tx) nextSheet(s *domain.Sheet) (int64, error) {
	type counted struct {
		ID    int64  `gorm:"column:id"`
		Count int    `gorm:"column:sheet_count"`
		State string `gorm:"column:state"`
	}
	r, err := one[counted](tx, "revision",
		"UPDATE revisions SET sheet_count = sheet_count + 1 WHERE design_id = ? AND letter = ? RETURNING id, sheet_count, state", s.Design, s.Letter)
	if err != nil {
		return 0, err
	}
	if domain.State(r.State) != domain.Draft {
		return 0, &domain.Error{Kind: domain.Conflict, Code: "revision-frozen", Message: frozen}
	}
	s.Number = r.Count
	return r.ID, nil
}

func (tx *Tx) addSheet(by domain.AccountID, revision int64, s *domain.Sheet) error {
	input, err := json.Marshal(s.Input)
	if err != nil {
		return fmt.Errorf("store: encode input: %w", err)
	}
	report, err := json.Marshal(s.Report)
	if err != nil {
		return fmt.Errorf("store: encode report: %w", err)
	}
	_, err = run(tx, `INSERT INTO sheets (revision_id, number, input, report, calc_version, gauging_id, note, saved_by, saved_at)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		revision, s.Number, string(input), string(report), s.Report.CalcVersion, s.Gauging, s.Note, by, s.SavedAt)
	return err
}

const sheetFrom = `
	FROM sheets s
	JOIN revisions r ON r.id = s.revision_id
	JOIN designs d ON d.id = r.design_id
	JOIN accounts sa ON sa.id = s.saved_by
	WHERE d.project_id = ? AND d.id = ? AND r.letter = ?`

// Sheets returns a page of the sheets of a revision, newest first.
func (tx *Tx) Sheets(project domain.ProjectID, design domain.DesignID, letter string, page domain.Page) ([]domain.SheetHead, error) {
	revision, err := one[int64](tx, "revision", `SELECT r.id FROM revisions r JOIN designs d ON d.id = r.design_id
		WHERE d.project_id = ? AND d.id = ? AND r.letter = ?`, project, design, letter)
	if err != nil {
		return nil, err
	}
	// By the revision itself, so that an index has them in order.
	rows, err := all[headRow](tx, "SELECT "+headColumns+" FROM sheets s JOIN accounts sa ON sa.id = s.saved_by WHERE s.revision_id = ? AND "+newest("s.number", page),
		revision, below(page))
	heads := make([]domain.SheetHead, len(rows))
	for i, r := range rows {
		heads[i] = r.head(design, letter)
	}
	return heads, err
}

// Sheet returns one sheet in full.
func (tx *Tx) Sheet(project domain.ProjectID, design domain.DesignID, letter string, number int) (domain.Sheet, error) {
	type sheetRow struct {
		Head   headRow `gorm:"embedded"`
		Input  []byte  `gorm:"column:input"`
		Report []byte  `gorm:"column:report"`
	}
	row, err := one[sheetRow](tx, "sheet", "SELECT "+headColumns+", s.input, s.report"+sheetFrom+" AND s.number = ?",
		project, design, letter, number)
	if err != nil {
		return domain.Sheet{}, err
	}
	s := domain.Sheet{SheetHead: row.Head.head(design, letter)}
	if err := json.Unmarshal(row.Input, &s.Input); err != nil {
		return domain.Sheet{}, fmt.Errorf("store: decode the input of sheet %s.%d of design %d: %w", letter, number, design, err)
	}
	if err := json.Unmarshal(row.Report, &s.Report); err != nil {
		return domain.Sheet{}, fmt.Errorf("store: decode the report of sheet %s.%d of design %d: %w", letter, number, design, err)
	}
	return s, nil
}

// LastSheet returns the last sheet of a revision: the one that was issued, once
// it is frozen. It returns a Conflict when it has none.
func (tx *Tx) LastSheet(project domain.ProjectID, ref domain.RevisionRef) (domain.Sheet, error) {
	type last struct {
		State string `gorm:"column:state"`
		Count int    `gorm:"column:sheet_count"`
	}
	r, err := one[last](tx, "revision", `SELECT r.state, r.sheet_count FROM revisions r JOIN designs d ON d.id = r.design_id
		WHERE d.project_id = ? AND d.id = ? AND r.letter = ?`, project, ref.Design, ref.Letter)
	if err != nil {
		return domain.Sheet{}, err
	}
	if r.Count == 0 {
		return domain.Sheet{}, domain.NotCleared(ref.Letter, domain.State(r.State))
	}
	return tx.Sheet(project, ref.Design, ref.Letter, r.Count)
}
