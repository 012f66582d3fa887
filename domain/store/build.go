package store

import (
	"time"

	"leat/domain"
)

type buildRow struct {
	ID          int64     `gorm:"column:id"`
	Project     int64     `gorm:"column:project_id"`
	Tag         int       `gorm:"column:tag"`
	Title       string    `gorm:"column:title"`
	Design      int64     `gorm:"column:design_id"`
	DesignTitle string    `gorm:"column:design_title"`
	Letter      string    `gorm:"column:letter"`
	Revision    string    `gorm:"column:revision_state"`
	Reason      string    `gorm:"column:reason"`
	State       string    `gorm:"column:state"`
	Place       string    `gorm:"column:place"`
	StartedAt   time.Time `gorm:"column:started_at"`
	StartedBy   int64     `gorm:"column:started_by"`
	Starter     string    `gorm:"column:starter"`
	Version     int64     `gorm:"column:version"`
	Newest      int       `gorm:"column:newest"`
}

const buildQuery = `SELECT b.id, b.project_id, b.tag, b.title, r.design_id, d.title AS design_title, r.letter, r.state AS revision_state,
		coalesce(e.reason, '') AS reason, b.state, v.place, b.started_at, b.started_by, a.name AS starter, b.version, b.newest
	FROM builds b
	JOIN build_versions v ON v.build_id = b.id AND v.number = b.newest
	JOIN revisions r ON r.id = b.revision_id
	LEFT JOIN revision_ends e ON e.revision_id = r.id
	JOIN designs d ON d.id = r.design_id
	JOIN accounts a ON a.id = b.started_by`

func (r buildRow) build() domain.Build {
	return domain.Build{
		ID: domain.BuildID(r.ID), Project: domain.ProjectID(r.Project), Tag: r.Tag, Title: r.Title,
		Design: domain.DesignID(r.Design), DesignTitle: r.DesignTitle, Letter: r.Letter, Revision: domain.State(r.Revision), Reason: r.Reason,
		State: domain.BuildState(r.State), Place: r.Place, StartedAt: r.StartedAt.UTC(),
		StartedBy: domain.Person{ID: domain.AccountID(r.StartedBy), Name: r.Starter}, Version: r.Version, Newest: r.Newest,
	}
}

// builds returns the builds that a condition finds. Of those in service it says
// whether their certificates hold.
func (tx *Tx) builds(now time.Time, condition string, args ...any) ([]domain.Build, error) {
	rows, err := all[buildRow](tx, buildQuery+" "+condition, args...)
	if err != nil {
		return nil, err
	}
	list := make([]domain.Build, len(rows))
	var inService []domain.BuildID
	for i, r := range rows {
		list[i] = r.build()
		if list[i].State == domain.InService {
			inService = append(inService, list[i].ID)
		}
	}
	holds, err := tx.certificatesNow(inService, now)
	for i, b := range list {
		list[i].Certificate = holds[b.ID]
	}
	return list, err
}

// Builds returns a page of the builds of a project, newest first.
func (tx *Tx) Builds(project domain.ProjectID, page domain.Page, now time.Time) ([]domain.Build, error) {
	there, err := tx.exists("SELECT 1 FROM projects WHERE id = ?", project)
	if err != nil {
		return nil, err
	}
	if !there {
		return nil, domain.Missing("project")
	}
	return tx.builds(now, "WHERE b.project_id = ? AND "+newest("b.id", page), project, below(page))
}

// WaitingBuilds returns the builds that wait for their crew, of the crews that
// somebody is on: in service without a valid certificate, or neither laid up nor
// scrapped though their revision was withdrawn.
func (tx *Tx) WaitingBuilds(who domain.AccountID, now time.Time) ([]domain.Build, error) {
	list, err := tx.builds(now, `JOIN crew c ON c.project_id = b.project_id AND c.account_id = ? AND c.left_at IS NULL
		JOIN projects p ON p.id = b.project_id AND p.closed_at IS NULL
		WHERE b.state = 'in_service' OR r.state = 'withdrawn' AND b.state IN ('being_built', 'built') ORDER BY b.id`, who)
	waiting := list[:0]
	for _, b := range list {
		if b.State != domain.InService || !b.Certificate.Valid || b.Revision == domain.Withdrawn {
			waiting = append(waiting, b)
		}
	}
	return waiting, err
}

// BuildWithTag names the build with a number on its label.
func (tx *Tx) BuildWithTag(tag int) (domain.ProjectID, domain.BuildID, error) {
	type found struct {
		Project domain.ProjectID `gorm:"column:project_id"`
		ID      domain.BuildID   `gorm:"column:id"`
	}
	b, err := one[found](tx, "machine with this number", "SELECT project_id, id FROM builds WHERE tag = ?", tag)
	return b.Project, b.ID, err
}

// Build returns a build of a project in full, but for the input of the machine
// as it stands, which follows from its sheet.
func (tx *Tx) Build(project domain.ProjectID, id domain.BuildID, now time.Time) (domain.Build, error) {
	list, err := tx.builds(now, "WHERE b.project_id = ? AND b.id = ?", project, id)
	if err == nil && len(list) == 0 {
		err = domain.Missing("build")
	}
	if err != nil {
		return domain.Build{}, err
	}
	b := list[0]
	if b.Certificate, err = tx.CertificateNow(id, now); err != nil {
		return domain.Build{}, err
	}
	if b.Versions, err = tx.buildVersions(id); err != nil {
		return domain.Build{}, err
	}
	if b.Now, err = tx.newestVersion(b); err != nil {
		return domain.Build{}, err
	}
	if b.Builders, err = tx.Builders(id); err != nil {
		return domain.Build{}, err
	}
	b.States, err = tx.buildSteps(id)
	return b, err
}

// StartBuild adds a build with its first version, the next tag of the group and
// its starter as the first builder. When the client's key was used before it
// returns the build of that time, and made is false. It returns a Conflict
// unless the revision is cleared.
func (tx *Tx) StartBuild(permit domain.Permit, cmd domain.StartBuild, first domain.BuildVersion) (id domain.BuildID, made bool, err error) {
	if err := permit.For(domain.BeginBuild); err != nil {
		return 0, false, err
	}
	id, found, err := tx.buildOfKey(permit, cmd.Key)
	if err != nil || found {
		return id, false, err
	}
	revision, err := tx.clearedRevision(permit.Project(), domain.RevisionRef{Design: cmd.Design, Letter: cmd.Letter})
	if err != nil {
		return 0, false, err
	}
	// The one row of the group puts the tags in a queue.
	if _, err := one[bool](tx, "group", "SELECT sole FROM group_settings FOR NO KEY UPDATE"); err != nil {
		return 0, false, err
	}
	who := permit.Account()
	id, err = one[domain.BuildID](tx, "build", `INSERT INTO builds
			(project_id, tag, title, revision_id, newest, state, started_by, started_at, version, client_key)
		SELECT ?::bigint, coalesce(max(tag), 0) + 1, ?::text, ?::bigint, 1, 'being_built', ?::bigint, ?::timestamptz, 1, ?::text FROM builds RETURNING id`,
		permit.Project(), cmd.Title, revision, who, first.MadeAt, cmd.Key)
	if err != nil {
		return 0, false, err
	}
	if err := tx.addStep(id, domain.BeingBuilt, "", who, first.MadeAt); err != nil {
		return 0, false, err
	}
	return id, true, tx.addBuildVersion(who, id, revision, first)
}

// buildOfKey finds the build that a key of the client made before.
func (tx *Tx) buildOfKey(permit domain.Permit, key string) (domain.BuildID, bool, error) {
	type keyed struct {
		ID      domain.BuildID   `gorm:"column:id"`
		Project domain.ProjectID `gorm:"column:project_id"`
	}
	rows, err := all[keyed](tx, "SELECT id, project_id FROM builds WHERE started_by = ? AND client_key = ?", permit.Account(), key)
	if err != nil || len(rows) == 0 {
		return 0, false, err
	}
	if rows[0].Project != permit.Project() {
		return 0, false, keyUsed("a build in another project", "start the build again")
	}
	return rows[0].ID, true, nil
}

// clearedRevision returns the id of a revision of the project, and holds it; a
// Conflict unless it is cleared.
func (tx *Tx) clearedRevision(project domain.ProjectID, ref domain.RevisionRef) (int64, error) {
	type found struct {
		ID    int64  `gorm:"column:id"`
		State string `gorm:"column:state"`
	}
	r, err := one[found](tx, "revision", `SELECT r.id, r.state FROM revisions r JOIN designs d ON d.id = r.design_id
		WHERE d.project_id = ? AND d.id = ? AND r.letter = ? FOR SHARE OF r`, project, ref.Design, ref.Letter)
	if err != nil {
		return 0, err
	}
	if state := domain.State(r.State); state != domain.Cleared {
		return 0, domain.NotCleared(ref.Letter, state)
	}
	return r.ID, nil
}

// bumpBuild gives a build its next version, and holds it. It returns a Stale
// error when somebody changed it since it was read.
func (tx *Tx) bumpBuild(permit domain.Permit, id domain.BuildID, version int64) error {
	n, err := run(tx, "UPDATE builds SET version = version + 1 WHERE id = ? AND project_id = ? AND version = ?", id, permit.Project(), version)
	if err != nil || n == 1 {
		return err
	}
	there, err := tx.exists("SELECT 1 FROM builds WHERE id = ? AND project_id = ?", id, permit.Project())
	if err != nil {
		return err
	}
	if !there {
		return domain.Missing("build")
	}
	return domain.Outdated("build")
}

// ChangeBuild adds the next version of a build, made by who holds the permit,
// who is a builder from now on. It returns a Stale error when somebody changed
// the build since it was read, and a Conflict when it is rebuilt to a revision
// that is not cleared.
func (tx *Tx) ChangeBuild(permit domain.Permit, cmd domain.ChangeBuild, next domain.BuildVersion) error {
	if err := permit.For(domain.AlterBuild); err != nil {
		return err
	}
	if err := tx.bumpBuild(permit, cmd.Build, cmd.Version); err != nil {
		return err
	}
	revision, err := one[int64](tx, "build", "SELECT revision_id FROM builds WHERE id = ?", cmd.Build)
	if err == nil && cmd.To != nil {
		revision, err = tx.clearedRevision(permit.Project(), *cmd.To)
	}
	if err != nil {
		return err
	}
	if _, err := run(tx, "UPDATE builds SET newest = ?, revision_id = ? WHERE id = ?", next.Number, revision, cmd.Build); err != nil {
		return err
	}
	return tx.addBuildVersion(permit.Account(), cmd.Build, revision, next)
}

// AddBuilder adds a builder to a build; whom it has already stays once.
func (tx *Tx) AddBuilder(permit domain.Permit, cmd domain.AddBuilder, version int64, now time.Time) error {
	if err := permit.For(domain.AlterBuild); err != nil {
		return err
	}
	if err := tx.bumpBuild(permit, cmd.Build, version); err != nil {
		return err
	}
	return tx.addBuilder(cmd, permit.Account(), now)
}

// ChangeBuildState gives a build another state, with who said so and why. It
// returns a Stale error when somebody changed the build since it was read.
func (tx *Tx) ChangeBuildState(permit domain.Permit, cmd domain.ChangeBuildState, now time.Time) error {
	if err := permit.For(domain.AlterBuild); err != nil {
		return err
	}
	if err := tx.bumpBuild(permit, cmd.Build, cmd.Version); err != nil {
		return err
	}
	if _, err := run(tx, "UPDATE builds SET state = ? WHERE id = ?", cmd.State, cmd.Build); err != nil {
		return err
	}
	return tx.addStep(cmd.Build, cmd.State, cmd.Reason, permit.Account(), now)
}
