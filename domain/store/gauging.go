package store

import (
	"fmt"
	"time"

	"leat/domain"
)

// gaugingRow is a gauging; all nil where there is none.
type gaugingRow struct {
	ID         *int64     `gorm:"column:gauging_id"`
	FlowM3S    *float64   `gorm:"column:flow_m3s"`
	HalfWidth  *float64   `gorm:"column:half_width_m3s"`
	On         *time.Time `gorm:"column:gauged_on"`
	How        *string    `gorm:"column:how"`
	Note       *string    `gorm:"column:gauging_note"`
	RecordedBy *int64     `gorm:"column:recorded_by"`
	RecordedAt *time.Time `gorm:"column:recorded_at"`
	Recorder   *string    `gorm:"column:recorder"`
}

const gaugingColumns = `g.id AS gauging_id, g.flow_m3s, g.half_width_m3s, g.gauged_on, g.how, g.note AS gauging_note,
	g.recorded_by, g.recorded_at, ga.name AS recorder`

// gauging returns a gauging that is there.
func (r gaugingRow) gauging() domain.Gauging {
	return domain.Gauging{
		ID: domain.GaugingID(*r.ID), RecordedAt: r.RecordedAt.UTC(),
		RecordedBy: domain.Person{ID: domain.AccountID(*r.RecordedBy), Name: *r.Recorder},
		GaugingFacts: domain.GaugingFacts{
			FlowM3S: *r.FlowM3S, HalfWidthM3S: r.HalfWidth, On: utc(r.On), How: *r.How, Note: *r.Note,
		},
	}
}

// Gaugings returns a page of the gaugings of a site, the one that counts first.
func (tx *Tx) Gaugings(project domain.ProjectID, page domain.Page) ([]domain.Gauging, error) {
	there, err := tx.exists("SELECT 1 FROM sites WHERE project_id = ?", project)
	if err != nil {
		return nil, err
	}
	if !there {
		return nil, domain.Missing("project")
	}
	rows, err := all[gaugingRow](tx, "SELECT "+gaugingColumns+` FROM gaugings g JOIN accounts ga ON ga.id = g.recorded_by
		WHERE g.project_id = ? AND `+newest("g.id", page), project, below(page))
	list := make([]domain.Gauging, len(rows))
	for i, r := range rows {
		list[i] = r.gauging()
	}
	return list, err
}

// Gauging returns one gauging of a site.
func (tx *Tx) Gauging(project domain.ProjectID, id domain.GaugingID) (domain.Gauging, error) {
	row, err := one[gaugingRow](tx, "gauging", "SELECT "+gaugingColumns+` FROM gaugings g JOIN accounts ga ON ga.id = g.recorded_by
		WHERE g.project_id = ? AND g.id = ?`, project, id)
	if err != nil {
		return domain.Gauging{}, err
	}
	return row.gauging(), nil
}

// RecordGauging keeps a gauging and gives its site the next version. When the
// client's key was used before it returns the gauging of that time, and made is
// false.
func (tx *Tx) RecordGauging(permit domain.Permit, cmd domain.RecordGauging, now time.Time) (id domain.GaugingID, made bool, err error) {
	if err := permit.For(domain.RecordSite); err != nil {
		return 0, false, err
	}
	id, made, err = tx.addGauging(permit, cmd, now)
	if err != nil || !made {
		return id, false, err
	}
	_, err = run(tx, "UPDATE sites SET version = version + 1, changed_by = ?, changed_at = ? WHERE project_id = ?",
		permit.Account(), now, permit.Project())
	return id, true, err
}

func (tx *Tx) addGauging(permit domain.Permit, cmd domain.RecordGauging, now time.Time) (domain.GaugingID, bool, error) {
	f, who := cmd.Facts, permit.Account()
	ids, err := all[domain.GaugingID](tx, `INSERT INTO gaugings
			(project_id, flow_m3s, half_width_m3s, gauged_on, how, note, recorded_by, recorded_at, client_key)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (recorded_by, client_key) DO NOTHING RETURNING id`,
		permit.Project(), f.FlowM3S, f.HalfWidthM3S, f.On, f.How, f.Note, who, now, cmd.Key)
	if err != nil {
		return 0, false, err
	}
	if len(ids) == 1 {
		return ids[0], true, nil
	}
	id, err := one[domain.GaugingID](tx, "gauging",
		"SELECT id FROM gaugings WHERE recorded_by = ? AND client_key = ? AND project_id = ?", who, cmd.Key, permit.Project())
	if domain.KindOf(err) == domain.NotFound {
		err = keyUsed("a gauging of another site", "record the gauging again")
	}
	return id, false, err
}

// gaugedAnew keeps the flow of a described site as a new gauging when it says
// something else than the gauging that counts.
func (tx *Tx) gaugedAnew(permit domain.Permit, cmd domain.DescribeSite, now time.Time) error {
	flow, how := cmd.Facts.FlowM3S, cmd.Facts.Gauged
	if flow == nil {
		return nil
	}
	newest, err := tx.Gaugings(permit.Project(), domain.Page{Limit: 1})
	if err != nil || len(newest) == 1 && newest[0].FlowM3S == *flow && newest[0].How == how {
		return err
	}
	_, err = run(tx, `INSERT INTO gaugings (project_id, flow_m3s, how, note, recorded_by, recorded_at, client_key)
		VALUES (?, ?, ?, '', ?, ?, ?)`, permit.Project(), *flow, how, permit.Account(), now, fmt.Sprintf("site-%d-version-%d", permit.Project(), cmd.Version))
	return err
}
