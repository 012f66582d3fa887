package store

import (
	"context"
	"slices"
	"sync/atomic"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/logger"

	"leat/domain"
)

// Constraints lists the names that errors.go knows.
func Constraints() []string {
	var names []string
	for name := range constraints {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// counter counts statements.
type counter struct {
	logger.Interface
	n atomic.Int64
}

// Trace counts.
func (c *counter) Trace(context.Context, time.Time, func() (string, int64), error) { c.n.Add(1) }

// Counting returns the same database, and a function that tells how many
// statements went through it.
func (db *DB) Counting() (*DB, func() int64) {
	c := &counter{Interface: logger.Discard}
	return &DB{gorm: db.gorm.Session(&gorm.Session{Logger: c})}, c.n.Load
}

// Sleep runs a slow query and a slow statement with a value each.
func (tx *Tx) Sleep(value string) error {
	if _, err := all[string](tx, "SELECT pg_sleep(0.25)::text || ?::text", value); err != nil {
		return err
	}
	_, err := run(tx, "SELECT pg_sleep(0.25)::text || ?::text", value)
	return err
}

// RowsRead returns how many rows of a table this connection has read of late.
func (tx *Tx) RowsRead(table string) (int64, error) {
	return one[int64](tx, "table", "SELECT seq_tup_read + coalesce(idx_tup_fetch, 0) FROM pg_stat_xact_user_tables WHERE relname = ?", table)
}

// SignedTables names the tables of everything that is signed.
func SignedTables() map[domain.LinkKind]string {
	tables := map[domain.LinkKind]string{}
	for kind, s := range statements {
		tables[kind] = s.table
	}
	return tables
}

// Sign signs a row that a test puts there.
func (tx *Tx) Sign(kind domain.LinkKind, who domain.AccountID, do func(link int64) error) error {
	return tx.sign(signature{kind: kind, who: who, at: time.Now().UTC()}, do)
}

// Execute executes a statement by hand.
func (tx *Tx) Execute(statement string) (int64, error) { return run(tx, statement) }

// EntriesOf is the query for a page of the log under a condition.
func EntriesOf(condition string) string { return entriesWhere(condition, 50) }

// Archived says of every table of an archive which columns it carries, which name
// rows, and which are left out with their reason; NotArchived why the others are not.
func Archived() (tables []string, columns map[string][]string, refs map[string]map[string]string, left map[string]map[string]string) {
	columns, refs, left = map[string][]string{}, map[string]map[string]string{}, map[string]map[string]string{}
	for _, a := range archiveTables {
		tables = append(tables, a.table)
		refs[a.table], left[a.table] = a.refs, a.left
		if a.key != "" {
			columns[a.table] = append(columns[a.table], a.key)
		}
	}
	return tables, columns, refs, left
}

// NotArchived is explained at [Archived].
func NotArchived() map[string]string { return notArchived }
