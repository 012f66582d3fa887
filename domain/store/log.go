package store

import (
	"time"

	"leat/domain"
)

type entryRow struct {
	ID         int64      `gorm:"column:id"`
	Project    int64      `gorm:"column:project_id"`
	Build      *int64     `gorm:"column:build_id"`
	Text       string     `gorm:"column:text"`
	Strikes    *int64     `gorm:"column:strikes"`
	StruckBy   *int64     `gorm:"column:struck_by"`
	Who        int64      `gorm:"column:who"`
	Writer     string     `gorm:"column:writer"`
	HappenedAt time.Time  `gorm:"column:happened_at"`
	At         time.Time  `gorm:"column:at"`
	MarkedBy   *int64     `gorm:"column:marked_by"`
	Marker     *string    `gorm:"column:marker"`
	MarkedAt   *time.Time `gorm:"column:marked_at"`
	RestedBy   *int64     `gorm:"column:rested_by"`
	Rester     *string    `gorm:"column:rester"`
	RestedAt   *time.Time `gorm:"column:rested_at"`
	Reason     *string    `gorm:"column:reason"`
}

// entriesWhere is the query for the newest so many entries under a condition.
// The entries are found first, by an index, and then what belongs to them.
func entriesWhere(condition string, most int) string {
	return `SELECT e.id, e.project_id, e.build_id, e.text, e.strikes, s.id AS struck_by, e.who, w.name AS writer, e.happened_at, e.at,
			m.who AS marked_by, ma.name AS marker, m.at AS marked_at, r.who AS rested_by, ra.name AS rester, r.at AS rested_at, r.reason
		FROM (SELECT * FROM log_entries WHERE ` + condition + ` ORDER BY id DESC` + limit(most) + `) e
		JOIN accounts w ON w.id = e.who
		LEFT JOIN log_entries s ON s.strikes = e.id
		LEFT JOIN incident_marks m ON m.entry_id = e.id LEFT JOIN accounts ma ON ma.id = m.who
		LEFT JOIN incident_rests r ON r.entry_id = e.id LEFT JOIN accounts ra ON ra.id = r.who
		ORDER BY e.id DESC`
}

func (r entryRow) entry() domain.Entry {
	e := domain.Entry{
		ID: domain.EntryID(r.ID), Project: domain.ProjectID(r.Project), Build: (*domain.BuildID)(r.Build), Text: r.Text,
		HappenedAt: r.HappenedAt.UTC(), By: domain.Person{ID: domain.AccountID(r.Who), Name: r.Writer}, At: r.At.UTC(),
		Strikes: (*domain.EntryID)(r.Strikes), StruckBy: (*domain.EntryID)(r.StruckBy),
	}
	if r.MarkedBy != nil {
		e.Incident = &domain.Incident{By: domain.Person{ID: domain.AccountID(*r.MarkedBy), Name: *r.Marker}, At: r.MarkedAt.UTC()}
	}
	if e.Incident != nil && r.RestedBy != nil {
		e.Incident.Rest = &domain.IncidentRest{By: domain.Person{ID: domain.AccountID(*r.RestedBy), Name: *r.Rester}, At: r.RestedAt.UTC(), Reason: *r.Reason}
	}
	return e
}

func (tx *Tx) entries(most int, condition string, args ...any) ([]domain.Entry, error) {
	rows, err := all[entryRow](tx, entriesWhere(condition, most), args...)
	if err != nil {
		return nil, err
	}
	entries, ids := make([]domain.Entry, len(rows)), make([]int64, len(rows))
	for i, r := range rows {
		entries[i], ids[i] = r.entry(), r.ID
	}
	files, err := tx.filesOf(ids)
	for i := range entries {
		entries[i].Files = files[entries[i].ID]
	}
	return entries, err
}

// Log returns a page of the log of a project, or of one of its builds, newest
// first.
func (tx *Tx) Log(project domain.ProjectID, build *domain.BuildID, page domain.Page) ([]domain.Entry, error) {
	if build == nil {
		return tx.entries(page.Size(), "project_id = ? AND id < ?", project, below(page))
	}
	there, err := tx.exists("SELECT 1 FROM builds WHERE id = ? AND project_id = ?", *build, project)
	if err == nil && !there {
		err = domain.Missing("build")
	}
	if err != nil {
		return nil, err
	}
	return tx.entries(page.Size(), "build_id = ? AND id < ?", *build, below(page))
}

// Entry returns one entry of the log of a project.
func (tx *Tx) Entry(project domain.ProjectID, id domain.EntryID) (domain.Entry, error) {
	entries, err := tx.entries(1, "project_id = ? AND id = ?", project, id)
	if err == nil && len(entries) == 0 {
		err = domain.Missing("entry of the log")
	}
	if err != nil {
		return domain.Entry{}, err
	}
	return entries[0], nil
}

// WriteEntry adds an entry with its files. When the client's key was used before
// it returns the entry of that time, and made is false. It returns a Conflict
// when it corrects what was corrected before.
func (tx *Tx) WriteEntry(permit domain.Permit, cmd domain.WriteEntry, now time.Time) (id domain.EntryID, made bool, err error) {
	if err := permit.For(domain.WriteLog); err != nil {
		return 0, false, err
	}
	happened := now
	if cmd.HappenedAt != nil {
		happened = *cmd.HappenedAt
	}
	ids, err := all[domain.EntryID](tx, `INSERT INTO log_entries (project_id, build_id, text, strikes, who, happened_at, at, client_key)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (who, client_key) DO NOTHING RETURNING id`,
		permit.Project(), cmd.Build, cmd.Text, cmd.Strikes, permit.Account(), happened, now, cmd.Key)
	if err != nil {
		return 0, false, err
	}
	if len(ids) == 0 {
		e, err := tx.EntryOfKey(permit.Account(), permit.Project(), cmd.Key)
		return e, false, err
	}
	if cmd.Incident {
		if err := tx.addMark(permit, ids[0], now); err != nil {
			return 0, false, err
		}
	}
	for i, file := range cmd.Files {
		if _, err := run(tx, "INSERT INTO log_files (entry_id, position, file_id) VALUES (?, ?, ?)", ids[0], i+1, file); err != nil {
			return 0, false, err
		}
	}
	return ids[0], true, nil
}

// EntryOfKey returns the entry that somebody wrote under a key, and a NotFound
// error when there is none.
func (tx *Tx) EntryOfKey(who domain.AccountID, project domain.ProjectID, key string) (domain.EntryID, error) {
	type written struct {
		ID      domain.EntryID   `gorm:"column:id"`
		Project domain.ProjectID `gorm:"column:project_id"`
	}
	w, err := one[written](tx, "entry of the log", "SELECT id, project_id FROM log_entries WHERE who = ? AND client_key = ?", who, key)
	if err == nil && w.Project != project {
		err = keyUsed("an entry in the log of another project", "write the entry again")
	}
	return w.ID, err
}

// MarkIncident marks an entry as an incident, unless it is one already.
func (tx *Tx) MarkIncident(permit domain.Permit, id domain.EntryID, now time.Time) error {
	if err := permit.For(domain.CallIncident); err != nil {
		return err
	}
	return tx.addMark(permit, id, now)
}

func (tx *Tx) addMark(permit domain.Permit, id domain.EntryID, now time.Time) error {
	_, err := run(tx, `INSERT INTO incident_marks (entry_id, who, at) SELECT id, ?, ? FROM log_entries WHERE id = ? AND project_id = ?
		ON CONFLICT (entry_id) DO NOTHING`, permit.Account(), now, id, permit.Project())
	return err
}

// RestIncident signs that an incident was harmless.
func (tx *Tx) RestIncident(permit domain.Permit, cmd domain.RestIncident, now time.Time) error {
	if err := permit.For(domain.LayIncident); err != nil {
		return err
	}
	s := signature{kind: domain.LinkIncidentRest, who: permit.Account(), project: permit.Project(), at: now}
	return tx.sign(s, func(link int64) error {
		_, err := run(tx, "INSERT INTO incident_rests (entry_id, reason, who, at, link) VALUES (?, ?, ?, ?, ?)",
			cmd.Entry, cmd.Reason, permit.Account(), now, link)
		return err
	})
}

// BuildersOfProject returns the members among the builders of each build of a
// project.
func (tx *Tx) BuildersOfProject(project domain.ProjectID) (map[domain.BuildID][]domain.Person, error) {
	type builderRow struct {
		Build   domain.BuildID   `gorm:"column:build_id"`
		Account domain.AccountID `gorm:"column:account_id"`
		Name    string           `gorm:"column:name"`
	}
	rows, err := all[builderRow](tx, `SELECT p.build_id, p.account_id, a.name FROM build_people p JOIN builds b ON b.id = p.build_id
		JOIN accounts a ON a.id = p.account_id WHERE b.project_id = ? ORDER BY p.build_id, p.position`, project)
	of := map[domain.BuildID][]domain.Person{}
	for _, r := range rows {
		of[r.Build] = append(of[r.Build], domain.Person{ID: r.Account, Name: r.Name})
	}
	return of, err
}

const openIncident = `id IN (SELECT m.entry_id FROM incident_marks m
	WHERE NOT EXISTS (SELECT 1 FROM incident_rests r WHERE r.entry_id = m.entry_id))`

// incidentsMost bounds lists of open incidents, of which there are few.
const incidentsMost = 100

// OpenIncidents returns the incidents that count for a build, newest first:
// those of its own log and those of the project that name no build, as long as no
// steward has laid them to rest.
func (tx *Tx) OpenIncidents(project domain.ProjectID, build domain.BuildID) ([]domain.Entry, error) {
	return tx.entries(incidentsMost, openIncident+" AND project_id = ? AND (build_id IS NULL OR build_id = ?)", project, build)
}

// WaitingIncidents returns the open incidents that somebody could lay to rest.
func (tx *Tx) WaitingIncidents(who domain.Actor) ([]domain.Entry, error) {
	return tx.entries(incidentsMost, openIncident+` AND EXISTS (SELECT 1 FROM accounts WHERE id = ? AND steward AND closed_at IS NULL)
		AND NOT EXISTS (SELECT 1 FROM build_people p JOIN builds b ON b.id = p.build_id WHERE p.account_id = ?
			AND b.project_id = log_entries.project_id AND (log_entries.build_id IS NULL OR b.id = log_entries.build_id))`,
		who.Account, who.Account)
}
