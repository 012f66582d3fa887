package main

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"

	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"

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
	locker, err := lock.NewPostgresSessionLocker()
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
