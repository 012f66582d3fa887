package store

import (
	"time"

	"leat/domain"
)

// designRow is a design with its newest revision and, where there is one, the
// newest sheet of that.
type designRow struct {
	ID        int64     `gorm:"column:id"`
	Project   int64     `gorm:"column:project_id"`
	Title     string    `gorm:"column:title"`
	StartedAt time.Time `gorm:"column:started_at"`
	StartedBy int64     `gorm:"column:started_by"`
	Starter   string    `gorm:"column:starter"`
	Version   int64     `gorm:"column:version"`

	Letter     string    `gorm:"column:letter"`
	State      string    `gorm:"column:state"`
	RevisedAt  time.Time `gorm:"column:revised_at"`
	RevisedBy  int64     `gorm:"column:revised_by"`
	Reviser    string    `gorm:"column:reviser"`
	SheetCount int       `gorm:"column:sheet_count"`

	Head headRow `gorm:"embedded"`
}

const designQuery = `SELECT d.id, d.project_id, d.title, d.started_at, d.started_by, da.name AS starter, d.version,
		r.letter, r.state, r.started_at AS revised_at, r.started_by AS revised_by, ra.name AS reviser, r.sheet_count, ` + headColumns + `
	FROM designs d
	JOIN accounts da ON da.id = d.started_by
	JOIN LATERAL (SELECT * FROM revisions WHERE design_id = d.id ORDER BY position DESC LIMIT 1) r ON true
	JOIN accounts ra ON ra.id = r.started_by
	LEFT JOIN sheets s ON s.revision_id = r.id AND s.number = r.sheet_count
	LEFT JOIN accounts sa ON sa.id = s.saved_by`

func (r designRow) design() domain.Design {
	d := domain.Design{
		ID: domain.DesignID(r.ID), Project: domain.ProjectID(r.Project), Title: r.Title, StartedAt: r.StartedAt.UTC(),
		StartedBy: domain.Person{ID: domain.AccountID(r.StartedBy), Name: r.Starter}, Version: r.Version,
		Revision: domain.Revision{
			Letter: r.Letter, State: domain.State(r.State), StartedAt: r.RevisedAt.UTC(),
			StartedBy: domain.Person{ID: domain.AccountID(r.RevisedBy), Name: r.Reviser}, SheetCount: r.SheetCount,
		},
	}
	if r.Head.Number != nil {
		head := r.Head.head(d.ID, r.Letter)
		d.Newest = &head
	}
	return d
}

// designsMost is how many designs a project shows: the newest.
const designsMost = 200

// designs returns the designs of a project, newest first.
func (tx *Tx) designs(project domain.ProjectID) ([]domain.Design, error) {
	rows, err := all[designRow](tx, designQuery+" WHERE d.project_id = ? ORDER BY d.id DESC"+limit(designsMost), project)
	designs := make([]domain.Design, len(rows))
	for i, r := range rows {
		designs[i] = r.design()
	}
	return designs, err
}

// Design returns a design of a project with a page of its revisions and its
// newest sheet in full.
func (tx *Tx) Design(project domain.ProjectID, id domain.DesignID) (domain.Design, error) {
	row, err := one[designRow](tx, "design", designQuery+" WHERE d.project_id = ? AND d.id = ?", project, id)
	if err != nil {
		return domain.Design{}, err
	}
	d := row.design()
	if d.Revisions, err = tx.revisions(id, domain.Page{}); err != nil || d.Newest == nil {
		return d, err
	}
	s, err := tx.Sheet(project, id, d.Newest.Letter, d.Newest.Number)
	d.Sheet = &s
	return d, err
}

// StartDesign adds a design with revision A in state draft, and its first sheet
// unless that is nil. When the client's key was used before it returns the
// design of that time, and made is false.
func (tx *Tx) StartDesign(permit domain.Permit, cmd domain.StartDesign, first *domain.Sheet, now time.Time) (id domain.DesignID, made bool, err error) {
	if err := permit.For(domain.BeginDesign); err != nil {
		return 0, false, err
	}
	who := permit.Account()
	ids, err := all[domain.DesignID](tx, `INSERT INTO designs (project_id, title, started_by, started_at, version, client_key)
		VALUES (?, ?, ?, ?, 1, ?) ON CONFLICT (started_by, client_key) DO NOTHING RETURNING id`,
		permit.Project(), cmd.Title, who, now, cmd.Key)
	if err != nil {
		return 0, false, err
	}
	if len(ids) == 0 {
		id, err = one[domain.DesignID](tx, "design",
			"SELECT id FROM designs WHERE started_by = ? AND client_key = ? AND project_id = ?", who, cmd.Key, permit.Project())
		if domain.KindOf(err) == domain.NotFound {
			err = keyUsed("a design in another project", "start the design again")
		}
		return id, false, err
	}
	return ids[0], true, tx.addRevision(who, ids[0], 1, first, now)
}

func keyUsed(thing, remedy string) error {
	return &domain.Error{
		Kind: domain.Conflict, Code: "client-key-used",
		Message: "This was sent with the key of " + thing + ". Reload the page and " + remedy + ".",
	}
}
