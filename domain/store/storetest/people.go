package storetest

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

// Password is the password of everybody whom [DB.Person] adds. Its hash comes
// from Debian's argon2 0~20171227 (argon2 cobblersweir2026 -id -t 2 -k 19456 -p
// 1 -l 32 -e), not from leat.
const Password = "three grey wagtails"

const passwordHash = "$argon2id$v=19$m=19456,t=2,p=1$Y29iYmxlcnN3ZWlyMjAyNg$urnpCIaacmKnkvhKoKpw/fIxMwQgPS1P3LYpU+t8gh4"

// Person adds an account with roles beyond member, signed in on one device.
func (db *DB) Person(t testing.TB, name string, roles ...domain.Role) domain.Actor {
	t.Helper()
	who := domain.Actor{Name: name, Roles: append([]domain.Role{domain.Member}, roles...)}
	err := db.SQL.QueryRow(`INSERT INTO accounts (name, address, password_hash, checker, steward, keeper, demo, created_at)
		VALUES ($1, $2, $3, $4, $5, $6, false, now()) RETURNING id`,
		name, Address(name), passwordHash,
		slices.Contains(roles, domain.Checker), slices.Contains(roles, domain.Steward), slices.Contains(roles, domain.Keeper),
	).Scan(&who.Account)
	require.NoError(t, err)
	err = db.SQL.QueryRow(`INSERT INTO sessions (account_id, family_hash, refresh_hash, created_at, used_at, ends_at)
		VALUES ($1, $2, $3, now(), now(), now() + interval '90 days') RETURNING id`,
		who.Account, random(32), random(32)).Scan(&who.Session)
	require.NoError(t, err)
	return who
}

// Address returns the address that Person gives somebody.
func Address(name string) string {
	return strings.ToLower(strings.ReplaceAll(name, " ", ".")) + "@thornwick.example"
}

// Exec executes a statement by hand.
func (db *DB) Exec(t testing.TB, statement string, args ...any) {
	t.Helper()
	_, err := db.SQL.Exec(statement, args...)
	require.NoError(t, err)
}

// Number returns the one number that a query finds.
func (db *DB) Number(t testing.TB, query string, args ...any) int {
	t.Helper()
	var n int
	require.NoError(t, db.SQL.QueryRow(query, args...).Scan(&n))
	return n
}

// Put brings the revisions that a condition finds into a state by hand, whatever
// it takes to come into it.
func (db *DB) Put(t testing.TB, state domain.State, condition string, args ...any) {
	t.Helper()
	tx, err := db.SQL.Begin()
	require.NoError(t, err)
	defer func() { _ = tx.Rollback() }()
	triggers := []string{"revisions_state_forward", "revisions_state_reached"}
	for _, name := range triggers {
		_, err = tx.Exec("ALTER TABLE revisions DISABLE TRIGGER " + name)
		require.NoError(t, err)
	}
	_, err = tx.Exec("UPDATE revisions SET state = '"+string(state)+"' WHERE "+condition, args...)
	require.NoError(t, err)
	for _, name := range triggers {
		_, err = tx.Exec("ALTER TABLE revisions ENABLE ALWAYS TRIGGER " + name)
		require.NoError(t, err)
	}
	require.NoError(t, tx.Commit())
}
