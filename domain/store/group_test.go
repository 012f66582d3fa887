package store_test

import (
	"errors"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/store/storetest"
)

// peopled is a group of one member, with one act, one invitation and one reset
// code, by hand.
func peopled(t *testing.T) *storetest.DB {
	db := storetest.New(t)
	db.Person(t, "Petra Lindahl")
	db.Exec(t, actByHand("joined", "id", "id", `'{}'`, `'{"roles": ["member"]}'`))
	db.Exec(t, invitationByHand("sha256('code')", "''"))
	db.Exec(t, `INSERT INTO reset_codes SELECT id, sha256('code'), id, now(), now() + interval '1 day' FROM accounts`)
	return db
}

func actByHand(kind, who, about, before, after string) string {
	return `INSERT INTO acts (kind, at, who, about, before, after)
		SELECT '` + kind + `', now(), ` + who + `, ` + about + `, ` + before + `, ` + after + ` FROM accounts`
}

func invitationByHand(hash, name string) string {
	return `INSERT INTO invitations (name, code_hash, checker, steward, keeper, invited_by, invited_at, ends_at)
		SELECT ` + name + `, ` + hash + `, false, false, false, id, now(), now() + interval '7 days' FROM accounts`
}

// refuses demands that each statement breaks the constraint that it is listed
// under; a statement that is let through fails the test.
func refuses(t *testing.T, db *storetest.DB, broken map[string][]string) {
	t.Helper()
	for name, statements := range broken {
		for _, statement := range statements {
			_, err := db.SQL.Exec(statement)
			pg, ok := errors.AsType[*pgconn.PgError](err)
			require.True(t, ok, "%s let through: %s (%v)", name, statement, err)
			require.Equal(t, name, pg.ConstraintName, statement)
		}
	}
}

func TestGroupConstraintsHold(t *testing.T) {
	t.Parallel()
	refuses(t, peopled(t), map[string][]string{
		"acts_append_only":                  {"UPDATE acts SET at = now()", "DELETE FROM acts"},
		"acts_append_only_truncate":         {"TRUNCATE acts"},
		"group_settings_sole_check":         {"UPDATE group_settings SET sole = false"},
		"group_settings_sole_key":           {"INSERT INTO group_settings SELECT * FROM group_settings"},
		"group_settings_name_check":         {"UPDATE group_settings SET name = repeat('x', 81)"},
		"group_settings_units_check":        {"UPDATE group_settings SET units = 'feet'"},
		"group_settings_time_zone_check":    {"UPDATE group_settings SET time_zone = ''"},
		"group_settings_version_check":      {"UPDATE group_settings SET version = 0"},
		"invitations_code_hash_check":       {invitationByHand("'x'", "''")},
		"invitations_code_hash_key":         {invitationByHand("sha256('code')", "''")},
		"invitations_name_check":            {invitationByHand("sha256('other')", "repeat('x', 81)")},
		"invitations_invited_by_fk":         {"UPDATE invitations SET invited_by = -1"},
		"invitations_used_by_fk":            {"UPDATE invitations SET used_by = -1, used_at = now()"},
		"invitations_used_by_used_at_check": {"UPDATE invitations SET used_at = now()"},
		"invitations_used_at_ends_at_check": {"UPDATE invitations SET used_by = invited_by, used_at = ends_at"},
		"invitations_used_at_withdrawn_at_check": {
			"UPDATE invitations SET used_by = invited_by, used_at = now(), withdrawn_at = now()",
		},
		"invitations_invited_at_ends_at_check": {"UPDATE invitations SET ends_at = invited_at"},
		"reset_codes_account_id_key":           {"INSERT INTO reset_codes SELECT account_id, sha256('other'), given_by, given_at, ends_at FROM reset_codes"},
		"reset_codes_account_id_fk":            {"UPDATE reset_codes SET account_id = -1"},
		"reset_codes_given_by_fk":              {"UPDATE reset_codes SET given_by = -1"},
		"reset_codes_code_hash_check":          {"UPDATE reset_codes SET code_hash = 'x'"},
		"reset_codes_code_hash_key":            {"INSERT INTO reset_codes SELECT -1, code_hash, given_by, given_at, ends_at FROM reset_codes"},
		"reset_codes_given_at_ends_at_check":   {"UPDATE reset_codes SET ends_at = given_at"},
		"acts_who_fk":                          {actByHand("password_reset", "-1", "-1", `'{}'`, `'{}'`)},
		"acts_before_check":                    {actByHand("joined", "id", "id", `'[]'`, `'{}'`)},
		"acts_after_check":                     {actByHand("joined", "id", "id", `'{}'`, `'1'`)},
		"acts_of_keepers": {
			actByHand("invited", "id", "NULL", `'{}'`, `'{}'`), // Petra is no keeper
			actByHand("settings_set", "id", "NULL", `'{}'`, `'{}'`),
			actByHand("roles_set", "id", "id", `'{}'`, `'{}'`),
			actByHand("reset_code_given", "id", "id", `'{}'`, `'{}'`),
			actByHand("account_closed", "id", "-1", `'{}'`, `'{}'`),
			actByHand("joined", "id", "-1", `'{}'`, `'{}'`),
			actByHand("melted_down", "id", "id", `'{}'`, `'{}'`),
		},
	})
}

// What a keeper can't do even by hand.
func TestKeepersAreBoundToo(t *testing.T) {
	t.Parallel()
	db := peopled(t)
	db.Exec(t, "UPDATE accounts SET keeper = true")
	refuses(t, db, map[string][]string{
		"accounts_last_keeper": {
			"UPDATE accounts SET keeper = false",
			"UPDATE accounts SET closed_at = now(), address = NULL, password_hash = NULL",
		},
		"acts_own_roles_check": {
			actByHand("roles_set", "id", "id", `'{"roles": ["member"]}'`, `'{"roles": ["member", "steward"]}'`),
			actByHand("roles_set", "id", "id", `'{}'`, `'{"roles": ["member"]}'`),
			actByHand("roles_set", "id", "id", `'{"roles": ["member"]}'`, `'{}'`),
		},
		"acts_kind_about_check": {actByHand("roles_set", "id", "NULL", `'{}'`, `'{}'`), actByHand("invited", "id", "id", `'{}'`, `'{}'`)},
		"acts_about_fk":         {actByHand("reset_code_given", "id", "-1", `'{}'`, `'{}'`)},
		"acts_kind_check":       {actByHand("melted_down", "id", "id", `'{}'`, `'{}'`)},
	})
	db.Exec(t, actByHand("roles_set", "id", "id", `'{"roles": ["member", "keeper"]}'`, `'{"roles": ["member"]}'`))
}

// An invented keeper does not count for a real group, a real one counts for both.
func TestLastKeeperAmongInventedPeople(t *testing.T) {
	t.Parallel()
	db := storetest.New(t)
	ines, bram := db.Person(t, "Ines Calloway", domain.Keeper), db.Person(t, "Bram Oduya", domain.Keeper)
	db.Exec(t, "UPDATE accounts SET demo = true WHERE id = $1", bram.Account)
	_, err := db.SQL.Exec("UPDATE accounts SET keeper = false WHERE id = $1", ines.Account)
	pg, ok := errors.AsType[*pgconn.PgError](err)
	require.True(t, ok, "%v", err)
	require.Equal(t, "accounts_last_keeper", pg.ConstraintName)
	db.Exec(t, "UPDATE accounts SET keeper = false WHERE id = $1", bram.Account)
}

// Without the trigger's lock each of two would still see the other as keeper.
func TestTwoKeepersDroppedByHandAtOnce(t *testing.T) {
	t.Parallel()
	db := storetest.New(t)
	ines, bram := db.Person(t, "Ines Calloway", domain.Keeper), db.Person(t, "Bram Oduya", domain.Keeper)
	first, err := db.SQL.Begin()
	require.NoError(t, err)
	_, err = first.Exec("UPDATE accounts SET keeper = false WHERE id = $1", ines.Account)
	require.NoError(t, err)
	second := make(chan error)
	go func() {
		_, err := db.SQL.Exec("UPDATE accounts SET keeper = false WHERE id = $1", bram.Account)
		second <- err
	}()
	require.Eventually(t, func() bool {
		return db.Number(t, "SELECT count(*) FROM pg_locks WHERE NOT granted") > 0
	}, 10*time.Second, 5*time.Millisecond, "the second one does not wait")
	require.NoError(t, first.Commit())
	pg, ok := errors.AsType[*pgconn.PgError](<-second)
	require.True(t, ok)
	require.Equal(t, "accounts_last_keeper", pg.ConstraintName)
}
