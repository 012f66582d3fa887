package store

import (
	"time"

	"leat/domain"
)

type invitationRow struct {
	ID        int64      `gorm:"column:id"`
	Name      string     `gorm:"column:name"`
	Checker   bool       `gorm:"column:checker"`
	Steward   bool       `gorm:"column:steward"`
	Keeper    bool       `gorm:"column:keeper"`
	By        int64      `gorm:"column:invited_by"`
	ByName    string     `gorm:"column:by_name"`
	ByDemo    bool       `gorm:"column:by_demo"`
	At        time.Time  `gorm:"column:invited_at"`
	EndsAt    time.Time  `gorm:"column:ends_at"`
	Used      *time.Time `gorm:"column:used_at"`
	Withdrawn *time.Time `gorm:"column:withdrawn_at"`
}

const invitationQuery = `SELECT i.id, i.name, i.checker, i.steward, i.keeper, i.invited_by, b.name AS by_name, b.demo AS by_demo,
		i.invited_at, i.ends_at, i.used_at, i.withdrawn_at
	FROM invitations i JOIN accounts b ON b.id = i.invited_by`

func (r invitationRow) roles() []domain.Role {
	return accountRow{Checker: r.Checker, Steward: r.Steward, Keeper: r.Keeper}.roles()
}

func (r invitationRow) invitation() domain.Invitation {
	return domain.Invitation{
		ID: domain.InvitationID(r.ID), Name: r.Name, Roles: r.roles(), By: domain.Person{ID: domain.AccountID(r.By), Name: r.ByName},
		At: r.At.UTC(), EndsAt: r.EndsAt.UTC(),
	}
}

func (r invitationRow) facts() domain.ActFacts {
	return domain.ActFacts{Invitation: domain.InvitationID(r.ID), Name: r.Name, Roles: r.roles()}
}

func (r invitationRow) state(now time.Time) domain.CodeState {
	switch {
	case r.ID == 0:
		return domain.CodeUnknown
	case r.Used != nil:
		return domain.CodeUsed
	case r.Withdrawn != nil:
		return domain.CodeWithdrawn
	case !now.Before(r.EndsAt):
		return domain.CodeLate
	}
	return domain.CodeGood
}

// Invitations returns a page of those that still let somebody in, newest first.
func (tx *Tx) Invitations(page domain.Page, now time.Time) ([]domain.Invitation, error) {
	rows, err := all[invitationRow](tx, invitationQuery+` WHERE i.used_at IS NULL AND i.withdrawn_at IS NULL AND i.ends_at > ?
		AND `+newest("i.id", page), now, below(page))
	list := make([]domain.Invitation, len(rows))
	for i, r := range rows {
		list[i] = r.invitation()
	}
	return list, err
}

// Invite adds an invitation with the hash of its code.
func (tx *Tx) Invite(permit domain.Permit, cmd domain.InvitePerson, code []byte, now time.Time) (domain.Invitation, error) {
	if err := permit.For(domain.Invite); err != nil {
		return domain.Invitation{}, err
	}
	a := domain.Account{Roles: cmd.Roles}
	// The hash is not the first value: gorm takes a slice right after "(" apart.
	id, err := one[domain.InvitationID](tx, "invitation",
		`INSERT INTO invitations (name, code_hash, checker, steward, keeper, invited_by, invited_at, ends_at)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?) RETURNING id`,
		cmd.Name, code, a.Has(domain.Checker), a.Has(domain.Steward), a.Has(domain.Keeper), permit.Account(), now, now.Add(domain.InvitationLives))
	if err != nil {
		return domain.Invitation{}, err
	}
	row, err := one[invitationRow](tx, "invitation", invitationQuery+" WHERE i.id = ?", id)
	if err != nil {
		return domain.Invitation{}, err
	}
	return row.invitation(), tx.addAct(permit, domain.ActInvited, now, domain.ActFacts{}, row.facts())
}

// WithdrawInvitation makes the code of an invitation good for nothing. It is no
// error when it was withdrawn before, and a Conflict when somebody used it.
func (tx *Tx) WithdrawInvitation(permit domain.Permit, id domain.InvitationID, now time.Time) error {
	if err := permit.For(domain.Invite); err != nil {
		return err
	}
	row, err := one[invitationRow](tx, "invitation", invitationQuery+" WHERE i.id = ? FOR UPDATE OF i", id)
	if err != nil || row.Withdrawn != nil {
		return err
	}
	if row.Used != nil {
		return &domain.Error{Kind: domain.Conflict, Code: "invitation-used", Message: "Somebody joined with this invitation already. Load the page again; an account that should not be there can be closed."}
	}
	if err := tx.addAct(permit, domain.ActInvitationWithdrawn, now, row.facts(), domain.ActFacts{}); err != nil {
		return err
	}
	_, err = run(tx, "UPDATE invitations SET withdrawn_at = ? WHERE id = ?", now, id)
	return err
}

// CodeState tells what became of the invitation with the hash of a code.
func (tx *Tx) CodeState(code []byte, now time.Time) (domain.CodeState, error) {
	row, err := tx.invitationWith(code, "")
	return row.state(now), err
}

// invitationWith returns the invitation with the hash of a code, or an empty row.
func (tx *Tx) invitationWith(code []byte, lock string) (invitationRow, error) {
	row, err := one[invitationRow](tx, "invitation", invitationQuery+" WHERE i.code_hash = ?"+lock, code)
	if domain.KindOf(err) == domain.NotFound {
		return invitationRow{}, nil
	}
	return row, err
}

// AcceptInvitation uses up an invitation and adds the account that it was for.
// Whoever an invented person invites is counted as invented too. It refuses a
// code that is not (or no longer) good.
func (tx *Tx) AcceptInvitation(code []byte, cmd domain.AcceptInvitation, hash string, now time.Time) (domain.AccountID, error) {
	row, err := tx.invitationWith(code, " FOR UPDATE OF i")
	if err != nil {
		return 0, err
	}
	if err := row.state(now).Refusal(); err != nil {
		return 0, err
	}
	id, err := tx.addAccount(domain.Account{Name: cmd.Name, Address: cmd.Address, Roles: row.roles(), Demo: row.ByDemo}, hash, domain.InvitationID(row.ID), now)
	if err != nil {
		return 0, err
	}
	return id, tx.touchOne("invitation", "UPDATE invitations SET used_by = ?, used_at = ? WHERE id = ?", id, now, row.ID)
}

// GiveResetCode stores the hash of a code for the account that the permit is
// about, in place of an earlier one.
func (tx *Tx) GiveResetCode(permit domain.Permit, code []byte, now time.Time) error {
	if err := permit.For(domain.GiveResetCode); err != nil {
		return err
	}
	if err := tx.addAct(permit, domain.ActResetCodeGiven, now, domain.ActFacts{}, domain.ActFacts{}); err != nil {
		return err
	}
	_, err := run(tx, `INSERT INTO reset_codes (account_id, code_hash, given_by, given_at, ends_at) VALUES (?, ?, ?, ?, ?)
		ON CONFLICT (account_id) DO UPDATE SET code_hash = excluded.code_hash, given_by = excluded.given_by,
			given_at = excluded.given_at, ends_at = excluded.ends_at`,
		permit.About(), code, permit.Account(), now, now.Add(domain.ResetCodeLives))
	return err
}

// ResetAccount returns the account that the hash of a reset code is for, or a
// NotFound error when the code is not good.
func (tx *Tx) ResetAccount(code []byte, now time.Time) (domain.Account, error) {
	row, err := one[accountRow](tx, "code", "SELECT "+accountColumns+` FROM reset_codes r JOIN accounts a ON a.id = r.account_id
		WHERE r.code_hash = ? AND r.ends_at > ?`, code, now)
	return row.account(), err
}

// ResetPassword uses up a reset code, sets the password and ends all sessions
// of the account. It returns a NotFound error when the code is no longer good.
func (tx *Tx) ResetPassword(id domain.AccountID, code []byte, hash string, now time.Time) error {
	err := tx.touchOne("code", "UPDATE accounts SET password_hash = ? WHERE id = ? AND closed_at IS NULL", hash, id)
	if err != nil {
		return err
	}
	err = tx.touchOne("code", "DELETE FROM reset_codes WHERE account_id = ? AND code_hash = ? AND ends_at > ?", id, code, now)
	if err != nil {
		return err
	}
	if err := tx.addActOf(id, id, domain.ActPasswordReset, now, domain.ActFacts{}, domain.ActFacts{}); err != nil {
		return err
	}
	_, err = run(tx, "DELETE FROM sessions WHERE account_id = ?", id)
	return err
}
