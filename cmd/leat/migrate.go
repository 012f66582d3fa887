package main

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strconv"

	"github.com/pressly/goose/v3"
	versions "github.com/pressly/goose/v3/database"
	"github.com/pressly/goose/v3/lock"

	"leat/domain/store"
	"leat/migrations"
)

// migrate brings the schema up to this release.
func migrate(ctx context.Context, args []string, io streams) error {
	if len(args) > 0 {
		fmt.Fprintln(io.err, "usage: leat migrate")
		return wrongUsage
	}
	c, err := readConfig(os.Getenv)
	if err != nil {
		return err
	}
	if c.databaseURL == "" {
		return errors.New("set LEAT_DATABASE_URL to the database to migrate")
	}
	if err := migrateTo(ctx, c.databaseURL); err != nil {
		return err
	}
	_, err = fmt.Fprintln(io.out, "The schema is that of this release.")
	return err
}

// migrateTo applies what is missing, one server at a time.
func migrateTo(ctx context.Context, url string) (err error) {
	db, err := sql.Open("pgx", url)
	if err != nil {
		return fmt.Errorf("migrate: %w", err)
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	locker, err := lock.NewPostgresSessionLocker(lock.WithLockID(store.MigrationLock))
	if err != nil {
		return fmt.Errorf("migrate: %w", err)
	}
	provider, err := goose.NewProvider(goose.DialectPostgres, db, migrations.FS, goose.WithSessionLocker(locker))
	if err != nil {
		return fmt.Errorf("migrate: %w", err)
	}
	if _, err := provider.Up(ctx); err != nil {
		return fmt.Errorf("migrate: %w", err)
	}
	return nil
}

// checked is what the end of a transaction does: it checks all that waits for it.
const checked = "; SET CONSTRAINTS ALL IMMEDIATE; SET CONSTRAINTS ALL DEFERRED"

// migrateWithin does in one transaction what migrateTo does in one each. It sends
// each file whole, for which none may have a way down.
func migrateWithin(ctx context.Context, tx *sql.Tx, from, to int64) error {
	applied, err := versions.NewStore(versions.DialectPostgres, goose.DefaultTablename)
	if err != nil {
		return fmt.Errorf("migrate: %w", err)
	}
	if from == 0 {
		err = errors.Join(applied.CreateVersionTable(ctx, tx), applied.Insert(ctx, tx, versions.InsertRequest{Version: 0}))
	}
	files, globErr := fs.Glob(migrations.FS, "*.sql") // sorted
	if err := errors.Join(err, globErr); err != nil {
		return fmt.Errorf("migrate: %w", err)
	}
	for _, name := range files {
		version, err := strconv.ParseInt(name[:5], 10, 64)
		if err != nil {
			return fmt.Errorf("migrate: %w", err)
		}
		if version <= from || version > to {
			continue
		}
		text, err := fs.ReadFile(migrations.FS, name)
		if err != nil {
			return fmt.Errorf("migrate: %w", err)
		}
		if _, err := tx.ExecContext(ctx, string(text)+checked); err != nil {
			return fmt.Errorf("migrate: %s: %w", name, err)
		}
		if err := applied.Insert(ctx, tx, versions.InsertRequest{Version: version}); err != nil {
			return fmt.Errorf("migrate: %s: %w", name, err)
		}
	}
	return nil
}
