package api

import (
	"context"
	"net/url"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/interval"
	"leat/domain/notebook"
	"leat/domain/store"
	"leat/domain/store/storetest"
)

// database reaches past the notebook, for what a test must do by hand.
type database struct {
	*storetest.DB
	t testing.TB
}

func openDatabase(t testing.TB) database {
	t.Helper()
	return database{storetest.New(t), t}
}

func (d database) exec(statement string, args ...any) {
	d.t.Helper()
	_, err := d.SQL.ExecContext(context.Background(), statement, args...)
	require.NoError(d.t, err, statement)
}

// holding runs a statement in a transaction that stays open until the returned
// function is called.
func (d database) holding(statement string) (release func()) {
	d.t.Helper()
	tx, err := d.SQL.BeginTx(context.Background(), nil)
	require.NoError(d.t, err)
	_, err = tx.ExecContext(context.Background(), statement)
	require.NoError(d.t, err, statement)
	return func() { _ = tx.Rollback() }
}

// hasty returns a notebook on the same database that doesn't wait for locks.
func (d database) hasty() *notebook.Notebook {
	d.t.Helper()
	u, err := url.Parse(d.URL)
	require.NoError(d.t, err)
	query := u.Query()
	query.Set("lock_timeout", "100")
	u.RawQuery = query.Encode()
	db, err := store.Open(context.Background(), u.String())
	require.NoError(d.t, err)
	d.t.Cleanup(func() { _ = db.Close() })
	return notebook.New(db, notebook.Options{Draws: interval.Least, HashKiB: cheapKiB})
}

// text returns the one text that a query finds.
func (d database) text(query string) (text string) {
	d.t.Helper()
	require.NoError(d.t, d.SQL.QueryRow(query).Scan(&text))
	return text
}
