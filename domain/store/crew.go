package store

import (
	"time"

	"leat/domain"
)

type crewRow struct {
	Project int64  `gorm:"column:project_id"`
	Account int64  `gorm:"column:account_id"`
	Name    string `gorm:"column:name"`
	Now     bool   `gorm:"column:now"`
}

// crew is who is on the crew of a project and who was.
type crew struct{ now, former []domain.Person }

// crews returns the crews of some projects, in each who started it first.
// Whoever has closed their account is on a crew no longer.
func (tx *Tx) crews(projects []domain.ProjectID) (map[domain.ProjectID]crew, error) {
	if len(projects) == 0 {
		return nil, nil
	}
	rows, err := all[crewRow](tx, `SELECT c.project_id, c.account_id, a.name, c.left_at IS NULL AND a.closed_at IS NULL AS now
		FROM crew c JOIN accounts a ON a.id = c.account_id JOIN projects p ON p.id = c.project_id
		WHERE c.project_id IN (?)
		ORDER BY c.project_id, c.account_id = p.started_by DESC, c.joined_at, c.account_id`, projects)
	crews := make(map[domain.ProjectID]crew)
	for _, r := range rows {
		id, person := domain.ProjectID(r.Project), domain.Person{ID: domain.AccountID(r.Account), Name: r.Name}
		c := crews[id]
		if r.Now {
			c.now = append(c.now, person)
		} else {
			c.former = append(c.former, person)
		}
		crews[id] = c
	}
	return crews, err
}

// keepers returns who keeps the group, by name.
func (tx *Tx) keepers() ([]domain.Person, error) {
	return tx.people("SELECT id, name FROM accounts WHERE keeper AND closed_at IS NULL ORDER BY lower(name), id")
}

type personRow struct {
	ID   int64  `gorm:"column:id"`
	Name string `gorm:"column:name"`
}

func (tx *Tx) people(query string, args ...any) ([]domain.Person, error) {
	rows, err := all[personRow](tx, query, args...)
	people := make([]domain.Person, len(rows))
	for i, r := range rows {
		people[i] = domain.Person{ID: domain.AccountID(r.ID), Name: r.Name}
	}
	return people, err
}

// addCrew gives a project its crew, with what waits.
func (tx *Tx) addCrew(p *domain.Project) error {
	crews, err := tx.crews([]domain.ProjectID{p.ID})
	if err != nil {
		return err
	}
	p.Crew, p.Former = crews[p.ID].now, crews[p.ID].former
	if p.Keepers, err = tx.keepers(); err != nil {
		return err
	}
	p.Asks, err = tx.asks("k.project_id = ? AND k.answer IS NULL AND m.closed_at IS NULL", p.ID)
	return err
}

// Others returns the members who are neither on the crew of a project nor asked,
// by name; invented people only where the demo is shown.
func (tx *Tx) Others(project domain.ProjectID, demo bool) ([]domain.Person, error) {
	return tx.people(`SELECT a.id, a.name FROM accounts a
		WHERE a.closed_at IS NULL AND (? OR NOT a.demo)
			AND NOT EXISTS (SELECT 1 FROM crew c WHERE c.project_id = ? AND c.account_id = a.id AND c.left_at IS NULL)
			AND NOT EXISTS (SELECT 1 FROM crew_asks k WHERE k.project_id = ? AND k.account_id = a.id AND k.answer IS NULL)
		ORDER BY lower(a.name), a.id`, demo, project, project)
}

// HoldMember returns a NotFound error unless there is such an open account, and
// keeps it from being closed until the end of the transaction.
func (tx *Tx) HoldMember(id domain.AccountID, demo bool) error {
	_, err := one[int64](tx, "member", "SELECT id FROM accounts WHERE id = ? AND closed_at IS NULL AND (? OR NOT demo) FOR SHARE", id, demo)
	return err
}

// LeaveCrew takes who holds the permit off the crew. That they were on it stays
// known.
func (tx *Tx) LeaveCrew(permit domain.Permit, now time.Time) error {
	if err := permit.For(domain.LeaveCrew); err != nil {
		return err
	}
	return tx.touchOne("member", "UPDATE crew SET left_at = ? WHERE project_id = ? AND account_id = ? AND left_at IS NULL",
		now, permit.Project(), permit.Account())
}

// AddToCrew puts a member on a crew that has died out. What they were asked
// before counts as answered.
func (tx *Tx) AddToCrew(permit domain.Permit, member domain.AccountID, now time.Time) error {
	if err := permit.For(domain.AddToCrew); err != nil {
		return err
	}
	_, err := run(tx, "UPDATE crew_asks SET answer = 'yes', answered_at = ? WHERE project_id = ? AND account_id = ? AND answer IS NULL",
		now, permit.Project(), member)
	if err != nil {
		return err
	}
	return tx.join(permit.Project(), member, now)
}

func (tx *Tx) join(project domain.ProjectID, member domain.AccountID, now time.Time) error {
	_, err := run(tx, `INSERT INTO crew (project_id, account_id, joined_at) VALUES (?, ?, ?)
		ON CONFLICT (project_id, account_id) DO UPDATE SET left_at = NULL`, project, member, now)
	return err
}
