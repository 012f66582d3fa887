package store

import (
	"time"

	"leat/domain"
)

type accountRow struct {
	ID       int64      `gorm:"column:id"`
	Name     string     `gorm:"column:name"`
	Address  *string    `gorm:"column:address"`
	Hash     *string    `gorm:"column:password_hash"`
	Checker  bool       `gorm:"column:checker"`
	Steward  bool       `gorm:"column:steward"`
	Keeper   bool       `gorm:"column:keeper"`
	Demo     bool       `gorm:"column:demo"`
	ClosedAt *time.Time `gorm:"column:closed_at"`
	OwnUnits *string    `gorm:"column:own_units"`
	HasCode  bool       `gorm:"column:has_code"`

	GroupUnits    string `gorm:"column:group_units"`
	GroupTimeZone string `gorm:"column:group_time_zone"`
}

const accountColumns = `a.id, a.name, a.address, a.checker, a.steward, a.keeper, a.demo, a.closed_at, a.own_units, a.signing_hash IS NOT NULL AS has_code,
	(SELECT units FROM group_settings) AS group_units, (SELECT time_zone FROM group_settings) AS group_time_zone`

func (r accountRow) account() domain.Account {
	a := domain.Account{
		ID: domain.AccountID(r.ID), Name: r.Name, Roles: r.roles(), Demo: r.Demo, ClosedAt: utc(r.ClosedAt),
		Units: domain.Units(r.GroupUnits), TimeZone: r.GroupTimeZone, HasCode: r.HasCode,
	}
	if r.Address != nil {
		a.Address = *r.Address
	}
	if r.OwnUnits != nil {
		a.Units = domain.Units(*r.OwnUnits)
		a.OwnUnits = &a.Units
	}
	return a
}

func (r accountRow) roles() []domain.Role {
	roles := []domain.Role{domain.Member}
	for _, has := range []struct {
		role domain.Role
		yes  bool
	}{{domain.Checker, r.Checker}, {domain.Steward, r.Steward}, {domain.Keeper, r.Keeper}} {
		if has.yes {
			roles = append(roles, has.role)
		}
	}
	return roles
}

// Account returns an account, closed ones too.
func (tx *Tx) Account(id domain.AccountID) (domain.Account, error) {
	row, err := one[accountRow](tx, "account", "SELECT "+accountColumns+" FROM accounts a WHERE a.id = ?", id)
	return row.account(), err
}

// AccountAt returns the account with an address, in any case of letters, and
// the hash of its password.
func (tx *Tx) AccountAt(address string) (domain.Account, string, error) {
	row, err := one[accountRow](tx, "account",
		"SELECT "+accountColumns+", a.password_hash FROM accounts a WHERE lower(a.address) = lower(?)", address)
	if err != nil {
		return domain.Account{}, "", err
	}
	return row.account(), *row.Hash, nil
}

// Rehash replaces the hash of a password that was just proven, unless somebody
// changed the password meanwhile.
func (tx *Tx) Rehash(id domain.AccountID, old, hash string) error {
	_, err := run(tx, "UPDATE accounts SET password_hash = ? WHERE id = ? AND password_hash = ?", hash, id, old)
	return err
}

// HoldPassword keeps the password of an account from being changed, and the
// account from being closed, until the end of the transaction. It returns a
// NotFound error when that has happened already.
func (tx *Tx) HoldPassword(id domain.AccountID, hash string) error {
	_, err := one[int](tx, "account", "SELECT 1 FROM accounts WHERE id = ? AND password_hash = ? FOR SHARE", id, hash)
	return err
}

// LockAccounts makes everybody else who wants to add an account wait.
func (tx *Tx) LockAccounts() error {
	_, err := run(tx, "LOCK TABLE accounts IN SHARE ROW EXCLUSIVE MODE")
	return err
}

// HasAccounts tells whether there is any account, open or closed.
func (tx *Tx) HasAccounts() (bool, error) { return tx.exists("SELECT 1 FROM accounts") }

// HasKeeper tells whether there is a keeper who can sign in; invented people
// count only where the demo is shown.
func (tx *Tx) HasKeeper(demo bool) (bool, error) {
	return tx.exists("SELECT 1 FROM accounts WHERE keeper AND closed_at IS NULL AND (? OR NOT demo)", demo)
}

func (tx *Tx) exists(query string, args ...any) (bool, error) {
	rows, err := all[bool](tx, "SELECT EXISTS ("+query+")", args...)
	return len(rows) == 1 && rows[0], err
}

// KeepSetupCode stores the hash of the code for the first keeper, in place of
// an earlier one.
func (tx *Tx) KeepSetupCode(hash []byte, ends time.Time) error {
	_, err := run(tx, `INSERT INTO setup_codes (purpose, code_hash, ends_at) VALUES ('first_keeper', ?, ?)
		ON CONFLICT (purpose) DO UPDATE SET code_hash = excluded.code_hash, ends_at = excluded.ends_at`, hash, ends)
	return err
}

// SetupCodeFits tells whether a hash is that of the code for the first keeper,
// still valid now.
func (tx *Tx) SetupCodeFits(hash []byte, now time.Time) (bool, error) {
	return tx.exists("SELECT 1 FROM setup_codes WHERE code_hash = ? AND ends_at > ?", hash, now)
}

// AddFirstKeeper uses up the setup code and adds the account that it was for.
// It returns a NotFound error when the code is not (or no longer) good.
func (tx *Tx) AddFirstKeeper(code []byte, name, address, hash string, now time.Time) (domain.AccountID, error) {
	used, err := run(tx, "DELETE FROM setup_codes WHERE code_hash = ? AND ends_at > ?", code, now)
	if err != nil {
		return 0, err
	}
	if used != 1 {
		return 0, domain.Missing("code")
	}
	return tx.addAccount(domain.Account{Name: name, Address: address, Roles: []domain.Role{domain.Member, domain.Keeper}}, hash, 0, now)
}

// AddDemoAccount adds an invented person, who can sign in only where the demo
// is shown.
func (tx *Tx) AddDemoAccount(a domain.Account, hash string, now time.Time) (domain.AccountID, error) {
	a.Demo = true
	a.Roles = append([]domain.Role{domain.Member}, a.Roles...)
	return tx.addAccount(a, hash, 0, now)
}

// addAccount adds an account and the act of joining; without an invitation that is 0.
func (tx *Tx) addAccount(a domain.Account, hash string, invitation domain.InvitationID, now time.Time) (domain.AccountID, error) {
	id, err := one[domain.AccountID](tx, "account",
		`INSERT INTO accounts (name, address, password_hash, checker, steward, keeper, demo, created_at)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?) RETURNING id`,
		a.Name, a.Address, hash, a.Has(domain.Checker), a.Has(domain.Steward), a.Has(domain.Keeper), a.Demo, now)
	if err != nil {
		return 0, err
	}
	return id, tx.addActOf(id, id, domain.ActJoined, now, domain.ActFacts{}, domain.ActFacts{Invitation: invitation, Roles: a.Roles})
}
