// Package storetest gives each test a database of its own, fresh and migrated,
// on the server that LEAT_TEST_DATABASE_URL names. Start with [New]. Without
// that variable a test is skipped on a desk and fails where CI is set.
package storetest

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"sync"
	"testing"
	"time"

	"github.com/pressly/goose/v3"
	"github.com/stretchr/testify/require"

	"leat/domain/store"
	"leat/migrations"
)

// DB is the database of one test.
type DB struct {
	*store.DB
	URL string
	SQL *sql.DB // past the store, for what a test must do by hand

	server, name string
}

// New returns a fresh database with the newest schema. It is gone after the
// test.
func New(t testing.TB) *DB {
	t.Helper()
	server := os.Getenv("LEAT_TEST_DATABASE_URL")
	if server == "" && os.Getenv("CI") != "" {
		t.Fatal("LEAT_TEST_DATABASE_URL is not set: run the tests with make test")
	}
	if server == "" {
		t.Skip("LEAT_TEST_DATABASE_URL is not set: run the tests with make test")
	}
	return On(t, server)
}

// On does as New does on a server of the test's own choice.
func On(t testing.TB, server string) *DB {
	t.Helper()
	ctx := context.Background()
	admin := adminOf(t, server)
	template, err := makeTemplate(ctx, server, admin)
	require.NoError(t, err)
	return clone(t, server, admin, template)
}

// Copy returns a fresh database with what this one has, which nobody can reach any
// more.
func (db *DB) Copy(t testing.TB) *DB {
	t.Helper()
	require.NoError(t, db.DB.Close())
	require.NoError(t, db.SQL.Close())
	return clone(t, db.server, adminOf(t, db.server), db.name)
}

func adminOf(t testing.TB, server string) *sql.DB {
	t.Helper()
	admin, err := sql.Open("pgx", server)
	require.NoError(t, err)
	t.Cleanup(func() { _ = admin.Close() })
	return admin
}

func clone(t testing.TB, server string, admin *sql.DB, template string) *DB {
	t.Helper()
	ctx := context.Background()
	name := "leat_test_" + hex.EncodeToString(random(8))
	_, err := admin.ExecContext(ctx, "CREATE DATABASE "+name+" TEMPLATE "+template+" STRATEGY file_copy")
	require.NoError(t, err)
	t.Cleanup(func() { drop(t, admin, name) })

	db := &DB{URL: withDatabase(server, name), server: server, name: name}
	db.DB, err = store.Open(ctx, db.URL)
	require.NoError(t, err)
	t.Cleanup(func() { _ = db.DB.Close() })
	db.SQL, err = sql.Open("pgx", db.URL)
	require.NoError(t, err)
	t.Cleanup(func() { _ = db.SQL.Close() })
	return db
}

// At returns a fresh database with the schema of an earlier migration. What a
// release had in it is put there by hand; [DB.Migrate] brings it up.
func At(t testing.TB, version int64) *DB {
	t.Helper()
	db := New(t)
	db.Exec(t, "DROP SCHEMA public CASCADE")
	db.Exec(t, "CREATE SCHEMA public")
	db.goose(t, func(p *goose.Provider) error { _, err := p.UpTo(context.Background(), version); return err })
	return db
}

// Migrate applies the migrations that are left.
func (db *DB) Migrate(t testing.TB) {
	t.Helper()
	db.goose(t, func(p *goose.Provider) error { _, err := p.Up(context.Background()); return err })
}

func (db *DB) goose(t testing.TB, do func(*goose.Provider) error) {
	t.Helper()
	provider, err := goose.NewProvider(goose.DialectPostgres, db.SQL, migrations.FS)
	require.NoError(t, err)
	require.NoError(t, do(provider))
}

func drop(t testing.TB, admin *sql.DB, name string) {
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	if _, err := admin.ExecContext(ctx, "DROP DATABASE "+name+" WITH (FORCE)"); err != nil {
		t.Log("the test database stays behind:", err)
	}
}

// templates remembers, per server, that this process made or saw the template.
var templates sync.Map

// makeTemplate returns the name of the migrated database that the tests are
// cloned from, and makes it when it isn't there. Test processes that start at
// the same time wait for whoever is first.
func makeTemplate(ctx context.Context, server string, admin *sql.DB) (string, error) {
	name, err := templateName()
	if err != nil {
		return "", err
	}
	if _, seen := templates.Load(server); seen {
		return name, nil
	}
	conn, err := admin.Conn(ctx) // the lock belongs to one connection
	if err != nil {
		return "", err
	}
	defer func() { _ = conn.Close() }()
	if _, err := conn.ExecContext(ctx, "SELECT pg_advisory_lock(hashtext($1))", name); err != nil {
		return "", err
	}
	defer func() { _, _ = conn.ExecContext(ctx, "SELECT pg_advisory_unlock(hashtext($1))", name) }()
	if err := fillTemplate(ctx, server, conn, name); err != nil {
		return "", fmt.Errorf("storetest: make the template: %w", err)
	}
	templates.Store(server, true)
	return name, nil
}

func fillTemplate(ctx context.Context, server string, conn *sql.Conn, name string) error {
	var made bool
	err := conn.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM pg_database WHERE datname = $1 AND datistemplate)", name).Scan(&made)
	if err != nil || made {
		return err
	}
	for _, statement := range []string{"DROP DATABASE IF EXISTS " + name + " WITH (FORCE)", "CREATE DATABASE " + name} {
		if _, err := conn.ExecContext(ctx, statement); err != nil {
			return err
		}
	}
	if err := migrate(ctx, withDatabase(server, name)); err != nil {
		return err
	}
	_, err = conn.ExecContext(ctx, "ALTER DATABASE "+name+" WITH IS_TEMPLATE true ALLOW_CONNECTIONS false")
	return err
}

func migrate(ctx context.Context, url string) error {
	db, err := sql.Open("pgx", url)
	if err != nil {
		return err
	}
	defer func() { _ = db.Close() }()
	provider, err := goose.NewProvider(goose.DialectPostgres, db, migrations.FS)
	if err != nil {
		return err
	}
	_, err = provider.Up(ctx)
	return err
}

// templateName is made from all migrations, so that a changed one makes a new
// template.
func templateName() (string, error) {
	sum := sha256.New()
	err := fs.WalkDir(migrations.FS, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := fs.ReadFile(migrations.FS, path)
		fmt.Fprintf(sum, "%s %d\n%s", path, len(text), text)
		return err
	})
	return "leat_template_" + hex.EncodeToString(sum.Sum(nil)[:8]), err
}

// withDatabase returns the URL of another database on the same server.
func withDatabase(server, name string) string {
	u, err := url.Parse(server)
	if err != nil || u.Scheme == "" {
		return server + " dbname=" + name
	}
	u.Path = "/" + name
	return u.String()
}

func random(n int) []byte {
	b := make([]byte, n)
	_, _ = rand.Read(b)
	return b
}
