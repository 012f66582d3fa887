package store

import (
	"time"

	"leat/domain"
)

// ChangeMe changes name and units of who holds the permit.
func (tx *Tx) ChangeMe(permit domain.Permit, cmd domain.ChangeMe) error {
	if err := permit.For(domain.ChangeSelf); err != nil {
		return err
	}
	var units *domain.Units
	if cmd.Units != nil {
		units = *cmd.Units
	}
	return tx.touchOne("account", `UPDATE accounts SET name = coalesce(?, name), own_units = CASE WHEN ? THEN ? ELSE own_units END
		WHERE id = ? AND closed_at IS NULL`, cmd.Name, cmd.Units != nil, units, permit.Account())
}

// PasswordOf returns the hash of the password of an open account.
func (tx *Tx) PasswordOf(id domain.AccountID) (string, error) {
	return one[string](tx, "account", "SELECT password_hash FROM accounts WHERE id = ? AND closed_at IS NULL", id)
}

// ProofsOf returns the hashes of what a member signs with; code is empty for who
// has none.
func (tx *Tx) ProofsOf(id domain.AccountID) (code, password string, err error) {
	type proofs struct {
		Code     *string `gorm:"column:signing_hash"`
		Password string  `gorm:"column:password_hash"`
	}
	p, err := one[proofs](tx, "member", "SELECT signing_hash, password_hash FROM accounts WHERE id = ? AND closed_at IS NULL", id)
	if p.Code != nil {
		code = *p.Code
	}
	return code, p.Password, err
}

// ChangePassword replaces the password of who holds the permit, and ends all
// their sessions but one. It returns a Conflict when the password is no longer
// the one that was proven.
func (tx *Tx) ChangePassword(permit domain.Permit, old, hash string, keep domain.SessionID) error {
	if err := permit.For(domain.ChangeSelf); err != nil {
		return err
	}
	n, err := run(tx, "UPDATE accounts SET password_hash = ? WHERE id = ? AND password_hash = ?", hash, permit.Account(), old)
	if err != nil {
		return err
	}
	if n != 1 {
		return domain.PasswordChanged()
	}
	return tx.EndOtherSessions(permit, keep)
}

// SessionsOf returns the sessions of an account that are still good, the one
// used last first.
func (tx *Tx) SessionsOf(id domain.AccountID, now time.Time) ([]domain.Session, error) {
	rows, err := all[sessionRow](tx, sessionQuery+" WHERE s.account_id = ? ORDER BY s.used_at DESC, s.id DESC", id)
	var live []domain.Session
	for _, r := range rows {
		if s := r.session(); s.Live(now) {
			live = append(live, s)
		}
	}
	return live, err
}

// EndOwnSession ends one session of who holds the permit.
func (tx *Tx) EndOwnSession(permit domain.Permit, id domain.SessionID) error {
	if err := permit.For(domain.ChangeSelf); err != nil {
		return err
	}
	return tx.touchOne("session", "DELETE FROM sessions WHERE id = ? AND account_id = ?", id, permit.Account())
}

// EndOtherSessions ends all sessions of who holds the permit but one.
func (tx *Tx) EndOtherSessions(permit domain.Permit, keep domain.SessionID) error {
	if err := permit.For(domain.ChangeSelf); err != nil {
		return err
	}
	_, err := run(tx, "DELETE FROM sessions WHERE account_id = ? AND id <> ?", permit.Account(), keep)
	return err
}

// SetSigningCode replaces the signing code of who holds the permit.
func (tx *Tx) SetSigningCode(permit domain.Permit, hash string) error {
	if err := permit.For(domain.ChangeSelf); err != nil {
		return err
	}
	return tx.touchOne("account", "UPDATE accounts SET signing_hash = ? WHERE id = ? AND closed_at IS NULL", hash, permit.Account())
}
