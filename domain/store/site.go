package store

import (
	"time"

	"leat/domain"
)

type siteRow struct {
	Version   int64      `gorm:"column:version"`
	Name      string     `gorm:"column:name"`
	Source    *string    `gorm:"column:source"`
	FallM     *float64   `gorm:"column:fall_m"`
	StaticPa  *float64   `gorm:"column:static_pa"`
	WaterC    *float64   `gorm:"column:t_water_c"`
	AirC      *float64   `gorm:"column:t_air_c"`
	AltitudeM *float64   `gorm:"column:altitude_m"`
	Note      string     `gorm:"column:note"`
	ChangedBy *int64     `gorm:"column:changed_by"`
	ChangedAt *time.Time `gorm:"column:changed_at"`
	Changer   *string    `gorm:"column:changer"`

	Gauging gaugingRow `gorm:"embedded"`
}

func (r siteRow) site(project domain.ProjectID) domain.Site {
	s := domain.Site{Project: project, Version: r.Version, ChangedAt: utc(r.ChangedAt), SiteFacts: domain.SiteFacts{
		Name: r.Name, Source: (*domain.Source)(r.Source), FallM: r.FallM,
		StaticPa: r.StaticPa, WaterC: r.WaterC, AirC: r.AirC, AltitudeM: r.AltitudeM, Note: r.Note,
	}}
	if r.ChangedBy != nil {
		s.ChangedBy = &domain.Person{ID: domain.AccountID(*r.ChangedBy), Name: *r.Changer}
	}
	if r.Gauging.ID != nil {
		g := r.Gauging.gauging()
		s.Gauging, s.FlowM3S, s.Gauged = &g, &g.FlowM3S, g.How
	}
	return s
}

// Site returns the site of a project with the gauging that counts: the one
// recorded last.
func (tx *Tx) Site(project domain.ProjectID) (domain.Site, error) {
	row, err := one[siteRow](tx, "project", `SELECT s.version, s.name, s.source, s.fall_m, s.static_pa,
			s.t_water_c, s.t_air_c, s.altitude_m, s.note, s.changed_by, s.changed_at, a.name AS changer, `+gaugingColumns+`
		FROM sites s
		LEFT JOIN accounts a ON a.id = s.changed_by
		LEFT JOIN gaugings g ON g.id = (SELECT max(id) FROM gaugings WHERE project_id = s.project_id)
		LEFT JOIN accounts ga ON ga.id = g.recorded_by
		WHERE s.project_id = ?`, project)
	return row.site(project), err
}

// DescribeSite replaces all facts of a site, and keeps a flow that is new as a
// gauging. It returns a Stale error when
// somebody changed them since they were read.
func (tx *Tx) DescribeSite(permit domain.Permit, cmd domain.DescribeSite, now time.Time) error {
	if err := permit.For(domain.RecordSite); err != nil {
		return err
	}
	f := cmd.Facts
	n, err := run(tx, `UPDATE sites SET version = version + 1, name = ?, source = ?, fall_m = ?,
			static_pa = ?, t_water_c = ?, t_air_c = ?, altitude_m = ?, note = ?, changed_by = ?, changed_at = ?
		WHERE project_id = ? AND version = ?`,
		f.Name, f.Source, f.FallM, f.StaticPa, f.WaterC, f.AirC, f.AltitudeM, f.Note,
		permit.Account(), now, permit.Project(), cmd.Version)
	if err == nil && n != 1 {
		return domain.Outdated("site")
	}
	if err != nil {
		return err
	}
	return tx.gaugedAnew(permit, cmd, now)
}
