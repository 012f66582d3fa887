package store

import (
	"time"

	"leat/domain"
)

type groupRow struct {
	Name     string `gorm:"column:name"`
	Units    string `gorm:"column:units"`
	TimeZone string `gorm:"column:time_zone"`
	Version  int64  `gorm:"column:version"`
}

// Group returns the settings of the group and everybody who is or was in it, but for
// those who came with the archive of another group.
func (tx *Tx) Group() (domain.Group, error) {
	row, err := one[groupRow](tx, "group", "SELECT name, units, time_zone, version FROM group_settings")
	if err != nil {
		return domain.Group{}, err
	}
	g := domain.Group{
		Settings: domain.GroupSettings{Name: row.Name, Units: domain.Units(row.Units), TimeZone: row.TimeZone},
		Version:  row.Version,
	}
	accounts, err := all[accountRow](tx, "SELECT "+accountColumns+` FROM accounts a
		WHERE NOT EXISTS (SELECT 1 FROM import_people i WHERE i.account_id = a.id)
		ORDER BY a.closed_at IS NOT NULL, lower(a.name), a.id`)
	for _, a := range accounts {
		g.Members = append(g.Members, domain.GroupMember{Account: a.account()})
	}
	return g, err
}

// GroupAccess returns what the database says about a person, the group, and the
// account that they want to do something about (0: none). It holds the group
// until the end of the transaction: who else wants to change it, a role or an
// account waits, so what was decided stays true until it is done.
func (tx *Tx) GroupAccess(who domain.Actor, about domain.AccountID) (domain.Access, error) {
	if _, err := run(tx, "SELECT 1 FROM group_settings FOR UPDATE"); err != nil {
		return domain.Access{}, err
	}
	return tx.ReadGroupAccess(who, about)
}

// ReadGroupAccess returns the same as GroupAccess and holds nothing: for
// showing what somebody may do, not for doing it.
func (tx *Tx) ReadGroupAccess(who domain.Actor, about domain.AccountID) (domain.Access, error) {
	access, err := tx.AccountAccess(who)
	if err != nil {
		return access, err
	}
	access.About = about
	if access.Keepers, err = tx.keepers(); err != nil {
		return access, err
	}
	access.Stewards, err = tx.stewards()
	return access, err
}

// touchGroup counts a change of the group. It returns a Stale error when
// somebody changed the group since that version.
func (tx *Tx) touchGroup(version int64) error {
	n, err := run(tx, "UPDATE group_settings SET version = version + 1 WHERE version = ?", version)
	if err == nil && n != 1 {
		return domain.Outdated("group")
	}
	return err
}

// SetGroupSettings replaces the settings of the group.
func (tx *Tx) SetGroupSettings(permit domain.Permit, cmd domain.SetGroupSettings, now time.Time) error {
	if err := permit.For(domain.SetGroup); err != nil {
		return err
	}
	before, err := tx.Group()
	if err != nil {
		return err
	}
	if err := tx.touchGroup(cmd.Version); err != nil {
		return err
	}
	err = tx.addAct(permit, domain.ActSettingsSet, now, settingFacts(before.Settings), settingFacts(cmd.Settings))
	if err != nil {
		return err
	}
	s := cmd.Settings
	_, err = run(tx, "UPDATE group_settings SET name = ?, units = ?, time_zone = ?", s.Name, s.Units, s.TimeZone)
	return err
}

func settingFacts(s domain.GroupSettings) domain.ActFacts {
	return domain.ActFacts{Name: s.Name, Units: s.Units, TimeZone: s.TimeZone}
}

// SetRoles replaces the roles of the account that the permit is about.
func (tx *Tx) SetRoles(permit domain.Permit, version int64, before domain.Account, after []domain.Role, now time.Time) error {
	if err := permit.For(domain.SetRoles); err != nil {
		return err
	}
	if err := tx.touchGroup(version); err != nil {
		return err
	}
	err := tx.addAct(permit, domain.ActRolesSet, now, domain.ActFacts{Roles: before.Roles}, domain.ActFacts{Roles: after})
	if err != nil {
		return err
	}
	a := domain.Account{Roles: after}
	return tx.touchOne("member", "UPDATE accounts SET checker = ?, steward = ?, keeper = ? WHERE id = ? AND closed_at IS NULL",
		a.Has(domain.Checker), a.Has(domain.Steward), a.Has(domain.Keeper), permit.About())
}

// CloseAccount closes the account that the permit is about: it keeps its name
// and loses everything else, its sessions at once.
func (tx *Tx) CloseAccount(permit domain.Permit, before domain.Account, now time.Time) error {
	if err := permit.For(domain.CloseAccount); err != nil {
		return err
	}
	if _, err := run(tx, "UPDATE group_settings SET version = version + 1"); err != nil {
		return err
	}
	if err := tx.addAct(permit, domain.ActAccountClosed, now, domain.ActFacts{Roles: before.Roles}, domain.ActFacts{}); err != nil {
		return err
	}
	id := permit.About()
	err := tx.touchOne("member", `UPDATE accounts SET closed_at = ?, address = NULL, password_hash = NULL, signing_hash = NULL, own_units = NULL,
		checker = false, steward = false, keeper = false WHERE id = ? AND closed_at IS NULL`, now, id)
	if err != nil {
		return err
	}
	for _, statement := range []string{"DELETE FROM sessions WHERE account_id = ?", "DELETE FROM reset_codes WHERE account_id = ?"} {
		if _, err := run(tx, statement, id); err != nil {
			return err
		}
	}
	return nil
}
