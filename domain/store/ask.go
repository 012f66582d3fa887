package store

import (
	"time"

	"leat/domain"
)

type askRow struct {
	ID      int64     `gorm:"column:id"`
	Project int64     `gorm:"column:project_id"`
	Title   string    `gorm:"column:title"`
	Member  int64     `gorm:"column:account_id"`
	Asked   string    `gorm:"column:member"`
	By      int64     `gorm:"column:asked_by"`
	Asker   string    `gorm:"column:asker"`
	At      time.Time `gorm:"column:asked_at"`
	Answer  *string   `gorm:"column:answer"`
}

func (r askRow) ask() domain.Ask {
	a := domain.Ask{
		ID: domain.AskID(r.ID), Project: domain.ProjectID(r.Project), Title: r.Title, At: r.At.UTC(),
		Member: domain.Person{ID: domain.AccountID(r.Member), Name: r.Asked},
		By:     domain.Person{ID: domain.AccountID(r.By), Name: r.Asker},
	}
	if r.Answer != nil {
		a.Answer = domain.AskAnswer(*r.Answer)
	}
	return a
}

// asks returns the asks that a condition finds, oldest first.
func (tx *Tx) asks(condition string, args ...any) ([]domain.Ask, error) {
	rows, err := all[askRow](tx, `SELECT k.id, k.project_id, p.title, k.account_id, m.name AS member, k.asked_by, b.name AS asker, k.asked_at, k.answer
		FROM crew_asks k JOIN projects p ON p.id = k.project_id
		JOIN accounts m ON m.id = k.account_id JOIN accounts b ON b.id = k.asked_by
		WHERE `+condition+` ORDER BY k.id`, args...)
	asks := make([]domain.Ask, len(rows))
	for i, r := range rows {
		asks[i] = r.ask()
	}
	return asks, err
}

// AsksOf returns what waits for the answer of a member, oldest first.
func (tx *Tx) AsksOf(member domain.AccountID) ([]domain.Ask, error) {
	return tx.asks("k.account_id = ? AND k.answer IS NULL", member)
}

// Ask returns an ask of a project, answered or not.
func (tx *Tx) Ask(project domain.ProjectID, id domain.AskID) (domain.Ask, error) {
	asks, err := tx.asks("k.project_id = ? AND k.id = ?", project, id)
	if err == nil && len(asks) == 0 {
		err = domain.Missing("ask")
	}
	if err != nil {
		return domain.Ask{}, err
	}
	return asks[0], nil
}

// AskMember asks a member to join; nothing changes when an ask waits already.
func (tx *Tx) AskMember(permit domain.Permit, member domain.AccountID, now time.Time) error {
	if err := permit.For(domain.AskCrew); err != nil {
		return err
	}
	_, err := run(tx, `INSERT INTO crew_asks (project_id, account_id, asked_by, asked_at) VALUES (?, ?, ?, ?)
		ON CONFLICT (project_id, account_id) WHERE answer IS NULL DO NOTHING`,
		permit.Project(), member, permit.Account(), now)
	return err
}

// WithdrawAsk takes back an ask of the project that waits.
func (tx *Tx) WithdrawAsk(permit domain.Permit, id domain.AskID, now time.Time) error {
	if err := permit.For(domain.AskCrew); err != nil {
		return err
	}
	return tx.touchOne("ask", `UPDATE crew_asks SET answer = 'withdrawn', answered_at = ?
		WHERE id = ? AND project_id = ? AND answer IS NULL`, now, id, permit.Project())
}

// AnswerAsk answers an ask to who holds the permit, and with yes puts them on
// the crew.
func (tx *Tx) AnswerAsk(permit domain.Permit, id domain.AskID, answer domain.AskAnswer, now time.Time) error {
	if err := permit.For(domain.ReplyCrew); err != nil {
		return err
	}
	err := tx.touchOne("ask", `UPDATE crew_asks SET answer = ?, answered_at = ?
		WHERE id = ? AND project_id = ? AND account_id = ? AND answer IS NULL`, answer, now, id, permit.Project(), permit.Account())
	if err != nil || answer != domain.AskYes {
		return err
	}
	return tx.join(permit.Project(), permit.Account(), now)
}
