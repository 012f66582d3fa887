package store

import (
	"time"

	"leat/domain"
)

type sessionRow struct {
	Account   accountRow `gorm:"embedded"`
	SessionID int64      `gorm:"column:session_id"`
	Refresh   []byte     `gorm:"column:refresh_hash"`
	Browser   string     `gorm:"column:browser"`
	BegunAt   time.Time  `gorm:"column:created_at"`
	UsedAt    time.Time  `gorm:"column:used_at"`
	EndsAt    time.Time  `gorm:"column:ends_at"`
}

const sessionQuery = "SELECT " + accountColumns + `, s.id AS session_id, s.refresh_hash, s.browser, s.created_at, s.used_at, s.ends_at
	FROM sessions s JOIN accounts a ON a.id = s.account_id`

func (r sessionRow) session() domain.Session {
	return domain.Session{
		ID: domain.SessionID(r.SessionID), Account: r.Account.account(), Refresh: r.Refresh,
		Browser: r.Browser, BegunAt: r.BegunAt.UTC(), UsedAt: r.UsedAt.UTC(), EndsAt: r.EndsAt.UTC(),
	}
}

// StartSession signs an account in and clears away its sessions that are over.
func (tx *Tx) StartSession(account domain.AccountID, family, refresh []byte, browser string, now time.Time) (domain.SessionID, error) {
	if _, err := run(tx, "DELETE FROM sessions WHERE account_id = ? AND ends_at <= ?", account, now); err != nil {
		return 0, err
	}
	return one[domain.SessionID](tx, "session",
		`INSERT INTO sessions (account_id, family_hash, refresh_hash, browser, created_at, used_at, ends_at)
		VALUES (?, ?, ?, ?, ?, ?, ?) RETURNING id`,
		account, family, refresh, browser, now, now, now.Add(domain.SessionMost))
}

// Session returns a session with its account.
func (tx *Tx) Session(id domain.SessionID) (domain.Session, error) {
	row, err := one[sessionRow](tx, "session", sessionQuery+" WHERE s.id = ?", id)
	return row.session(), err
}

// LockSession returns the session of a family of refresh tokens; who else asks
// for it waits for the end of the transaction.
func (tx *Tx) LockSession(family []byte) (domain.Session, error) {
	row, err := one[sessionRow](tx, "session", sessionQuery+" WHERE s.family_hash = ? FOR UPDATE OF s", family)
	return row.session(), err
}

// RotateSession replaces the refresh secret of a session.
func (tx *Tx) RotateSession(id domain.SessionID, refresh []byte, now time.Time) error {
	return tx.touchOne("session", "UPDATE sessions SET refresh_hash = ?, used_at = ? WHERE id = ?", refresh, now, id)
}

// EndSession ends a session. It is no error when it has ended already.
func (tx *Tx) EndSession(id domain.SessionID) error {
	_, err := run(tx, "DELETE FROM sessions WHERE id = ?", id)
	return err
}

// touchOne executes a statement that must touch one row, else the thing is missing.
func (tx *Tx) touchOne(thing, statement string, args ...any) error {
	n, err := run(tx, statement, args...)
	if err == nil && n != 1 {
		return domain.Missing(thing)
	}
	return err
}
