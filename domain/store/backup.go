package store

import (
	"archive/zip"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/stdlib"
	"gorm.io/gorm"
	"gorm.io/gorm/logger"
)

// A backup is a zip file: a file of rows a table, as COPY writes them, and
// contents.json. Its comment is the SHA-256, in hexadecimal, of all before it.
const (
	backupFormat   = 1
	backupContents = "contents.json"
	backupSumSize  = 2 * sha256.Size
)

// recordSince is the migration that brought the record. Nothing older is backed up.
const recordSince = 10

// Backup is what a backup says of itself.
type Backup struct {
	Format    int              `json:"format"`
	Release   string           `json:"release"`  // of the program that wrote it
	Schema    int64            `json:"schema"`   // version of the schema
	TakenAt   time.Time        `json:"taken_at"` // what was committed by then is in it
	Head      backupHead       `json:"head"`     // where the record ended
	Tables    []backupTable    `json:"tables"`
	Sequences []backupSequence `json:"sequences"`
}

type backupHead struct {
	Number int64  `json:"number"`
	Sum    string `json:"sum"`
}

type backupTable struct {
	Name    string   `json:"name"`
	Columns []string `json:"columns"` // without those that are worked out
	Rows    int64    `json:"rows"`
}

// backupSequence is where a counter stands: the next number follows Last, or is
// Last where it was not used yet.
type backupSequence struct {
	Name string `json:"name" gorm:"column:name"`
	Last int64  `json:"last" gorm:"column:last"`
	Used bool   `json:"used" gorm:"column:used"`
}

// Rows counts the rows of all tables.
func (b Backup) Rows() (n int64) {
	for _, t := range b.Tables {
		n += t.Rows
	}
	return n
}

// Backup writes all that the database holds but sessions and one-time codes, as it
// stands at one moment, while others go on. No migration runs meanwhile.
func (db *DB) Backup(ctx context.Context, out io.Writer, release string) (Backup, error) {
	b := Backup{Format: backupFormat, Release: release}
	err := db.alone(ctx, func(conn *gorm.DB, copying copier) error {
		// Before the transaction, which must see what a migration has just done.
		if err := lockMigrations(&Tx{conn}, "pg_try_advisory_lock_shared"); err != nil {
			return err
		}
		defer func() {
			_, _ = run(&Tx{conn.WithContext(context.WithoutCancel(ctx))}, "SELECT pg_advisory_unlock_shared(?)", MigrationLock)
		}()
		return conn.Transaction(func(g *gorm.DB) error {
			if err := b.look(&Tx{g}); err != nil {
				return err
			}
			return b.write(ctx, copying, out)
		}, &sql.TxOptions{Isolation: sql.LevelRepeatableRead, ReadOnly: true})
	})
	return b, err
}

// look finds out what there is to write.
func (b *Backup) look(tx *Tx) (err error) {
	if err := forCopying(tx); err != nil {
		return err
	}
	if b.Schema, err = tx.schemaVersion(); err != nil {
		return err
	}
	switch {
	case b.Schema > SchemaVersion:
		return fmt.Errorf("the database has schema version %d, this leat knows none above %d: back up with the release that the database is of", b.Schema, SchemaVersion)
	case b.Schema < recordSince:
		return fmt.Errorf("the database has schema version %d, and there is nothing to back up below %d: is LEAT_DATABASE_URL the database of your group?", b.Schema, recordSince)
	}
	if b.TakenAt, err = one[time.Time](tx, "time", "SELECT now()"); err != nil {
		return err
	}
	b.TakenAt = b.TakenAt.UTC()
	head, err := tx.RecordHead()
	if err != nil {
		return err
	}
	b.Head = backupHead{head.Number, head.Sum.String()}
	if b.Tables, err = tx.backupTables(); err != nil {
		return err
	}
	// After the snapshot: no row in it has a number that is still to come.
	b.Sequences, err = all[backupSequence](tx, `SELECT sequencename AS name, coalesce(last_value, start_value) AS last, last_value IS NOT NULL AS used
		FROM pg_sequences WHERE schemaname = current_schema() ORDER BY sequencename`)
	return err
}

func (b *Backup) write(ctx context.Context, copying copier, out io.Writer) error {
	sealed := &sealing{out: out, sum: sha256.New()}
	packed := zip.NewWriter(sealed)
	if err := packed.SetComment(string(make([]byte, backupSumSize))); err != nil {
		return err
	}
	for i := range b.Tables {
		if err := b.writeTable(ctx, &b.Tables[i], copying, packed); err != nil {
			return err
		}
	}
	contents, err := b.entry(packed, backupContents)
	if err != nil {
		return err
	}
	enc := json.NewEncoder(contents)
	enc.SetIndent("", " ")
	if err := enc.Encode(b); err != nil {
		return err
	}
	if err := packed.Close(); err != nil {
		return err
	}
	return sealed.seal()
}

func (b *Backup) writeTable(ctx context.Context, t *backupTable, copying copier, packed *zip.Writer) error {
	to, err := b.entry(packed, t.file())
	if err != nil {
		return err
	}
	return copying(func(pg *pgconn.PgConn) error {
		done, err := pg.CopyTo(ctx, to, "COPY "+t.named()+" TO STDOUT")
		t.Rows = done.RowsAffected()
		if err != nil {
			return fmt.Errorf("store: copy %s: %w", t.Name, err)
		}
		return nil
	})
}

func (b *Backup) entry(packed *zip.Writer, name string) (io.Writer, error) {
	return packed.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: b.TakenAt})
}

func (t backupTable) file() string { return "rows/" + t.Name + ".txt" }

// named is the table with its columns, for COPY.
func (t backupTable) named() string {
	columns := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		columns[i] = pgx.Identifier{c}.Sanitize()
	}
	return pgx.Identifier{t.Name}.Sanitize() + " (" + strings.Join(columns, ", ") + ")"
}

// leftOut are the tables that no backup holds: an old one would let in whoever has
// been shut out since.
const leftOut = "'sessions', 'setup_codes', 'reset_codes'"

// backupTables lists the tables of a backup, with their columns.
func (tx *Tx) backupTables() ([]backupTable, error) {
	type row struct {
		Name    string `gorm:"column:name"`
		Columns string `gorm:"column:columns"`
	}
	rows, err := all[row](tx, `SELECT c.relname AS name, (SELECT jsonb_agg(a.attname ORDER BY a.attnum) FROM pg_attribute a
			WHERE a.attrelid = c.oid AND a.attnum > 0 AND NOT a.attisdropped AND a.attgenerated = '')::text AS columns
		FROM pg_class c WHERE c.relnamespace = current_schema()::regnamespace AND c.relkind = 'r' AND c.relname NOT IN (`+leftOut+`) ORDER BY c.relname`)
	tables := make([]backupTable, len(rows))
	for i, r := range rows {
		tables[i].Name = r.Name
		err = errors.Join(err, json.Unmarshal([]byte(r.Columns), &tables[i].Columns))
	}
	return tables, err
}

// sealing holds the last bytes back, to write the digest of all before them in
// their place.
type sealing struct {
	out  io.Writer
	sum  hash.Hash
	held []byte
}

func (s *sealing) Write(p []byte) (int, error) {
	s.held = append(s.held, p...)
	ready := len(s.held) - backupSumSize
	if ready <= 0 {
		return len(p), nil
	}
	s.sum.Write(s.held[:ready])
	if _, err := s.out.Write(s.held[:ready]); err != nil {
		return 0, err
	}
	s.held = append(s.held[:0], s.held[ready:]...)
	return len(p), nil
}

func (s *sealing) seal() error {
	_, err := io.WriteString(s.out, hex.EncodeToString(s.sum.Sum(nil)))
	return err
}

// copier hands over the connection itself, on which COPY streams.
type copier func(do func(*pgconn.PgConn) error) error

// alone does something on one connection, however slow it is.
func (db *DB) alone(ctx context.Context, do func(conn *gorm.DB, copying copier) error) error {
	return db.gorm.Session(&gorm.Session{Context: ctx, Logger: logger.Discard}).Connection(func(conn *gorm.DB) error {
		pooled, ok := conn.Statement.ConnPool.(*sql.Conn)
		if !ok {
			return fmt.Errorf("store: no connection but %T", conn.Statement.ConnPool)
		}
		return do(conn.Session(&gorm.Session{NewDB: true}), func(do func(*pgconn.PgConn) error) error {
			return pooled.Raw(func(driver any) error {
				c, ok := driver.(*stdlib.Conn)
				if !ok {
					return fmt.Errorf("store: no connection of pgx but %T", driver)
				}
				return do(c.Conn().PgConn())
			})
		})
	})
}

// forCopying lets a transaction take as long as it takes, and has values written
// so that they are read the same anywhere.
func forCopying(tx *Tx) error {
	_, err := run(tx, `SELECT set_config(k, v, true) FROM (VALUES ('statement_timeout', '0'), ('idle_in_transaction_session_timeout', '0'),
		('DateStyle', 'ISO, YMD'), ('IntervalStyle', 'postgres'), ('TimeZone', 'UTC'), ('extra_float_digits', '1'), ('bytea_output', 'hex')) s (k, v)`)
	return err
}

// MigrationLock is the advisory lock of whoever brings the schema up.
const MigrationLock int64 = 4097083626

// lockMigrations keeps migrations away, or returns an error while one runs.
func lockMigrations(tx *Tx, function string) error {
	got, err := one[bool](tx, "lock", "SELECT "+function+"(?)", MigrationLock)
	if err == nil && !got {
		err = errors.New("another leat is bringing up the schema, backing up or restoring this database: try again when it is done")
	}
	return err
}

// schemaVersion returns the newest migration that the database has had, 0 for none.
func (tx *Tx) schemaVersion() (int64, error) {
	there, err := one[bool](tx, "schema", "SELECT to_regclass('goose_db_version') IS NOT NULL")
	if err != nil || !there {
		return 0, err
	}
	return one[int64](tx, "schema", "SELECT coalesce(max(version_id), 0) FROM goose_db_version WHERE is_applied")
}
