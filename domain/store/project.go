package store

import (
	"slices"
	"time"

	"leat/domain"
)

type projectRow struct {
	ID        int64      `gorm:"column:id"`
	Title     string     `gorm:"column:title"`
	Purpose   string     `gorm:"column:purpose"`
	StartedAt time.Time  `gorm:"column:started_at"`
	ClosedAt  *time.Time `gorm:"column:closed_at"`
	Version   int64      `gorm:"column:version"`
}

const projectColumns = "p.id, p.title, p.purpose, p.started_at, p.closed_at, p.version"

func (r projectRow) project() domain.Project {
	return domain.Project{
		ID: domain.ProjectID(r.ID), Title: r.Title, Purpose: r.Purpose,
		StartedAt: r.StartedAt.UTC(), ClosedAt: utc(r.ClosedAt), Version: r.Version,
	}
}

// AccountAccess returns what the database says now about a person and what
// belongs to no project.
func (tx *Tx) AccountAccess(who domain.Actor) (domain.Access, error) {
	a, err := tx.Account(who.Account)
	if domain.KindOf(err) == domain.NotFound || err == nil && a.ClosedAt != nil {
		return domain.Access{}, domain.SignedOut()
	}
	return domain.Access{Account: a.ID, Roles: a.Roles}, err
}

// Access returns what the database says now about a person and a project, and
// holds the project until the end of the transaction: who else wants to change
// something in it waits, so what was decided stays true until it is done.
func (tx *Tx) Access(who domain.Actor, project domain.ProjectID) (domain.Access, error) {
	return tx.access(who, project, " FOR NO KEY UPDATE OF p")
}

// ReadAccess returns the same as Access and holds nothing: for showing what
// somebody may do, not for doing it.
func (tx *Tx) ReadAccess(who domain.Actor, project domain.ProjectID) (domain.Access, error) {
	return tx.access(who, project, "")
}

func (tx *Tx) access(who domain.Actor, project domain.ProjectID, lock string) (domain.Access, error) {
	row, err := one[projectRow](tx, "project", "SELECT "+projectColumns+" FROM projects p WHERE p.id = ?"+lock, project)
	if err != nil {
		return domain.Access{}, err
	}
	access, err := tx.AccountAccess(who) // after the project was waited for: roles may have changed meanwhile
	if err != nil {
		return access, err
	}
	crews, err := tx.crews([]domain.ProjectID{project})
	if err != nil {
		return domain.Access{}, err
	}
	access.Project, access.Closed = project, row.ClosedAt != nil
	access.Crew, access.Former = crews[project].now, crews[project].former
	if access.Keepers, err = tx.keepers(); err != nil {
		return domain.Access{}, err
	}
	access.Stewards, err = tx.stewards()
	return access, err
}

// StartProject adds a project with its crew of one and its empty site. When
// the client's key was used before it returns the project of that time, and
// made is false.
func (tx *Tx) StartProject(permit domain.Permit, cmd domain.StartProject, now time.Time) (id domain.ProjectID, made bool, err error) {
	if err := permit.For(domain.BeginProject); err != nil {
		return 0, false, err
	}
	who := permit.Account()
	ids, err := all[domain.ProjectID](tx, `INSERT INTO projects (title, purpose, started_by, started_at, version, client_key)
		VALUES (?, ?, ?, ?, 1, ?) ON CONFLICT (started_by, client_key) DO NOTHING RETURNING id`,
		cmd.Title, cmd.Purpose, who, now, cmd.Key)
	if err != nil {
		return 0, false, err
	}
	if len(ids) == 0 {
		id, err = one[domain.ProjectID](tx, "project", "SELECT id FROM projects WHERE started_by = ? AND client_key = ?", who, cmd.Key)
		return id, false, err
	}
	if _, err = run(tx, "INSERT INTO crew (project_id, account_id, joined_at) VALUES (?, ?, ?)", ids[0], who, now); err != nil {
		return 0, false, err
	}
	_, err = run(tx, "INSERT INTO sites (project_id, version, name, note) VALUES (?, 1, '', '')", ids[0])
	return ids[0], true, err
}

// Projects returns a page of all projects, newest first, each with its crew and where
// it came from.
func (tx *Tx) Projects(page domain.Page) ([]domain.Project, error) {
	rows, err := all[projectRow](tx, "SELECT "+projectColumns+` FROM projects p
		WHERE `+newest("p.id", page), below(page))
	if err != nil {
		return nil, err
	}
	projects := make([]domain.Project, len(rows))
	ids := make([]domain.ProjectID, len(rows))
	for i, r := range rows {
		projects[i], ids[i] = r.project(), domain.ProjectID(r.ID)
	}
	crews, err := tx.crews(ids)
	if err != nil || len(ids) == 0 {
		return projects, err
	}
	origins, err := tx.imports("i.project_id IN ?", ids)
	for i := range projects {
		p := &projects[i]
		p.Crew, p.Former = crews[p.ID].now, crews[p.ID].former
		if at := slices.IndexFunc(origins, func(o domain.Import) bool { return o.Project == p.ID }); at >= 0 {
			p.Origin = &origins[at]
		}
	}
	return projects, err
}

// Project returns a project with its crew, its site and its designs.
func (tx *Tx) Project(id domain.ProjectID) (domain.Project, error) {
	row, err := one[projectRow](tx, "project", "SELECT "+projectColumns+" FROM projects p WHERE p.id = ?", id)
	if err != nil {
		return domain.Project{}, err
	}
	p := row.project()
	if err := tx.addCrew(&p); err != nil {
		return domain.Project{}, err
	}
	site, err := tx.Site(id)
	if err != nil {
		return domain.Project{}, err
	}
	p.Site = &site
	if p.Origin, err = tx.ImportOf(id); err != nil {
		return domain.Project{}, err
	}
	p.Designs, err = tx.designs(id)
	return p, err
}

// ChangeProject changes what the command gives. It returns a Stale error when
// somebody changed the project since it was read.
func (tx *Tx) ChangeProject(permit domain.Permit, cmd domain.ChangeProject, now time.Time) error {
	if err := permit.For(domain.AlterProject); err != nil {
		return err
	}
	n, err := run(tx, `UPDATE projects SET version = version + 1,
			title = coalesce(?, title), purpose = coalesce(?, purpose),
			closed_at = CASE WHEN ?::boolean IS NULL THEN closed_at WHEN ?::boolean THEN coalesce(closed_at, ?) END
		WHERE id = ? AND version = ?`,
		cmd.Title, cmd.Purpose, cmd.Closed, cmd.Closed, now, permit.Project(), cmd.Version)
	if err == nil && n != 1 {
		return domain.Outdated("project")
	}
	return err
}
