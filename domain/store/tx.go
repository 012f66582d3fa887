package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
	"gorm.io/gorm"

	"leat/domain"
)

// waitWhenBusy is what people are asked to wait when a lock was not to be had.
const waitWhenBusy = 2 * time.Second

// tries is how often InTx runs a transaction that lost against another one.
const tries = 4

// InTx runs a use case in one transaction: it commits when do returns nil and
// rolls everything back when it returns an error or panics. When Postgres ends
// the transaction in favour of another one it runs do again, so do must not
// keep anything from an earlier call.
func (db *DB) InTx(ctx context.Context, do func(*Tx) error) error {
	var err error
	for try := range tries {
		err = db.gorm.WithContext(ctx).Transaction(func(g *gorm.DB) error {
			return do(&Tx{gorm: g})
		}, &sql.TxOptions{Isolation: sql.LevelReadCommitted})
		if !lost(err) || !pause(ctx, try) {
			break
		}
	}
	return translate(err)
}

// Within returns a database whose transactions are parts of this one: what one of
// them does is undone with it, or with this one.
func (tx *Tx) Within() *DB { return &DB{gorm: tx.gorm} }

// lost tells whether a transaction was ended in favour of another one.
func lost(err error) bool {
	pg, ok := errors.AsType[*pgconn.PgError](err)
	return ok && (pg.Code == "40001" || pg.Code == "40P01")
}

// pause waits a short random time, and tells whether the caller still waits.
func pause(ctx context.Context, try int) bool {
	wait := time.NewTimer(time.Duration(1+rand.IntN(10<<try)) * time.Millisecond) //nolint:gosec // only spreads the tries
	defer wait.Stop()
	select {
	case <-ctx.Done():
		return false
	case <-wait.C:
		return true
	}
}

// all returns every row of a query. Not with Scan: on its way gorm v1.31 writes
// the values of a slow query to the log.
func all[row any](tx *Tx, query string, args ...any) ([]row, error) {
	var rows []row
	if err := tx.gorm.Raw(query, args...).Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("store: query: %w", err)
	}
	return rows, nil
}

// one returns the only row of a query, and a NotFound error about the thing
// when there is none.
func one[row any](tx *Tx, thing, query string, args ...any) (row, error) {
	var none row
	rows, err := all[row](tx, query, args...)
	switch {
	case err != nil:
		return none, err
	case len(rows) == 0:
		return none, domain.Missing(thing)
	case len(rows) > 1:
		return none, fmt.Errorf("store: %d rows for one %s", len(rows), thing)
	}
	return rows[0], nil
}

// run executes a statement and returns how many rows it touched.
func run(tx *Tx, statement string, args ...any) (int64, error) {
	res := tx.gorm.Exec(statement, args...)
	if res.Error != nil {
		return 0, fmt.Errorf("store: execute: %w", res.Error)
	}
	return res.RowsAffected, nil
}

// limit ends a query after so many rows. The number stands in the text: as a
// value it would be unknown to a plan that is made once, and PostgreSQL would
// rather plan anew each time, which takes longer than the query.
func limit(rows int) string { return " LIMIT " + strconv.Itoa(rows) }

// newest ends a query for a page of a list, newest first by a key. The last value
// of the query is where the page begins: [below].
func newest(key string, page domain.Page) string {
	return key + " < ?::bigint ORDER BY " + key + " DESC" + limit(page.Size())
}

// below is what the keys of a page stay below.
func below(page domain.Page) int64 {
	if page.Before == 0 {
		return math.MaxInt64
	}
	return page.Before
}

// utc gives a time as the rest of leat wants it.
func utc(t *time.Time) *time.Time {
	if t == nil {
		return nil
	}
	u := t.UTC()
	return &u
}
