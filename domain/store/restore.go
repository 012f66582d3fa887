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
	"io"
	"slices"

	"github.com/jackc/pgx/v5/pgconn"
	"gorm.io/gorm"

	"leat/domain"
)

// errDamaged says that a file is not what a backup wrote.
var errDamaged = errors.New("this is no whole backup of leat: it was cut off or changed, or is another file. Take another copy of it, or another backup")

// SavedBackup is a backup that was found whole.
type SavedBackup struct {
	Backup
	files *zip.Reader
}

// OpenBackup reads all of a backup and returns it when nothing in it was changed,
// and this release knows its schema.
func OpenBackup(file io.ReaderAt, size int64) (*SavedBackup, error) {
	end := size - backupSumSize
	if end < 0 {
		return nil, errDamaged
	}
	sum, told := sha256.New(), make([]byte, backupSumSize)
	if _, err := io.Copy(sum, io.NewSectionReader(file, 0, end)); err != nil {
		return nil, err
	}
	if _, err := file.ReadAt(told, end); err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	if string(told) != hex.EncodeToString(sum.Sum(nil)) {
		return nil, errDamaged
	}
	s := &SavedBackup{}
	var err error
	if s.files, err = zip.NewReader(file, size); err != nil {
		return nil, errors.Join(errDamaged, err)
	}
	contents, err := s.files.Open(backupContents)
	if err != nil {
		return nil, errors.Join(errDamaged, err)
	}
	defer func() { _ = contents.Close() }()
	if err := json.NewDecoder(contents).Decode(&s.Backup); err != nil {
		return nil, errors.Join(errDamaged, err)
	}
	if s.Format > backupFormat || s.Schema > SchemaVersion {
		return nil, fmt.Errorf("the backup was written by a newer leat (release %s, schema version %d; this one knows none above %d): restore it with that release or a later one", s.Release, s.Schema, SchemaVersion)
	}
	return s, nil
}

// Migrate brings the schema from one version to another, within a transaction.
type Migrate func(ctx context.Context, tx *sql.Tx, from, to int64) error

// Restore puts a backup into an empty database, and brings it to the schema of this
// release: all of it or nothing. It returns a [domain.BrokenRecord] when the record
// in the backup did not hold: then the backup is restored all the same, for there
// may be no better one.
func (db *DB) Restore(ctx context.Context, s *SavedBackup, migrate Migrate) error {
	var broken error
	err := db.alone(ctx, func(conn *gorm.DB, copying copier) error {
		return conn.Transaction(func(g *gorm.DB) (err error) {
			broken, err = s.read(ctx, &Tx{g}, copying, migrate)
			return err
		})
	})
	if err != nil {
		return err
	}
	return broken
}

func (s *SavedBackup) read(ctx context.Context, tx *Tx, copying copier, migrate Migrate) (broken, err error) {
	if err := lockMigrations(tx, "pg_try_advisory_xact_lock"); err != nil {
		return nil, err
	}
	if err := forCopying(tx); err != nil {
		return nil, err
	}
	if err := tx.mustBeEmpty(); err != nil {
		return nil, err
	}
	within, ok := tx.gorm.Statement.ConnPool.(*sql.Tx)
	if !ok {
		return nil, fmt.Errorf("store: no transaction but %T", tx.gorm.Statement.ConnPool)
	}
	if err := migrate(ctx, within, 0, s.Schema); err != nil {
		return nil, err
	}
	if err := s.readRows(ctx, tx, copying); err != nil {
		return nil, err
	}
	if err := migrate(ctx, within, s.Schema, SchemaVersion); err != nil {
		return nil, err
	}
	// What was used or withdrawn since the backup must not be good again.
	if _, err := run(tx, "UPDATE invitations SET withdrawn_at = now() WHERE used_at IS NULL AND withdrawn_at IS NULL AND ends_at > now()"); err != nil {
		return nil, err
	}
	return s.verify(tx)
}

// verify holds the record against what stands in the database, and its end against
// what the backup says.
func (s *SavedBackup) verify(tx *Tx) (broken, err error) {
	head, err := tx.VerifyRecord()
	if _, is := errors.AsType[domain.BrokenRecord](err); is {
		return err, nil
	}
	if err == nil && (backupHead{head.Number, head.Sum.String()}) != s.Head {
		err = fmt.Errorf("the record ends with number %d, %s, and the backup says %d, %s", head.Number, head.Sum, s.Head.Number, s.Head.Sum)
	}
	return nil, err
}

// mustBeEmpty returns an error when there is anything in the database.
func (tx *Tx) mustBeEmpty() error {
	found, err := all[string](tx, `SELECT o.name FROM (
			SELECT 'pg_class'::regclass AS class, oid, relname AS name, relnamespace AS namespace FROM pg_class WHERE relkind IN ('r', 'p', 'f', 'v', 'm', 'S')
			UNION ALL SELECT 'pg_proc'::regclass, oid, proname, pronamespace FROM pg_proc) o JOIN pg_namespace n ON n.oid = o.namespace
		WHERE n.nspname !~ '^pg_' AND n.nspname <> 'information_schema'
			AND NOT EXISTS (SELECT 1 FROM pg_depend d WHERE d.classid = o.class AND d.objid = o.oid AND d.deptype = 'e')
		ORDER BY o.class DESC, o.name LIMIT 1`)
	if err == nil && len(found) > 0 {
		err = fmt.Errorf("the database is not empty (it has %q, for one), and a backup goes into an empty one only: make a new database, name it in LEAT_DATABASE_URL, and restore into that", found[0])
	}
	return err
}

// readRows puts the rows into the tables of their schema. Its triggers and foreign
// keys judge what is done, in the order in which it is done, so they stand aside;
// every key, check and foreign key holds at the end.
func (s *SavedBackup) readRows(ctx context.Context, tx *Tx, copying copier) error {
	tables, err := tx.backupTables()
	if err != nil {
		return err
	}
	same := func(a, b backupTable) bool { return a.Name == b.Name && slices.Equal(a.Columns, b.Columns) }
	if !slices.EqualFunc(tables, s.Tables, same) {
		return fmt.Errorf("the backup does not have the tables that schema version %d has: it was written by a changed leat, or from a changed database", s.Schema)
	}
	guards, err := tx.standAside()
	if err != nil {
		return err
	}
	for _, t := range s.Tables {
		if err := s.readTable(ctx, t, copying); err != nil {
			return err
		}
	}
	for _, q := range s.Sequences {
		if _, err := run(tx, "SELECT setval(quote_ident(?)::regclass, ?, ?)", q.Name, q.Last, q.Used); err != nil {
			return err
		}
	}
	for _, statement := range guards {
		if _, err := run(tx, statement); err != nil {
			return err
		}
	}
	return nil
}

// standAside empties all tables, switches their triggers off and takes their
// foreign keys away. It returns the statements that bring them back as they were.
func (tx *Tx) standAside() (back []string, err error) {
	type guard struct {
		Off  string `gorm:"column:off"`
		Back string `gorm:"column:back"`
	}
	guards, err := all[guard](tx, `SELECT format('ALTER TABLE %s DROP CONSTRAINT %I', k.conrelid::regclass, k.conname) AS off,
			format('ALTER TABLE %s ADD CONSTRAINT %I %s', k.conrelid::regclass, k.conname, pg_get_constraintdef(k.oid)) AS back
		FROM pg_constraint k WHERE k.contype = 'f' AND k.connamespace = current_schema()::regnamespace
		UNION ALL SELECT format('ALTER TABLE %s DISABLE TRIGGER %I', t.tgrelid::regclass, t.tgname),
			format('ALTER TABLE %s ENABLE %s TRIGGER %I', t.tgrelid::regclass, CASE t.tgenabled WHEN 'A' THEN 'ALWAYS' WHEN 'R' THEN 'REPLICA' END, t.tgname)
		FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid
		WHERE NOT t.tgisinternal AND t.tgenabled <> 'D' AND c.relnamespace = current_schema()::regnamespace`)
	if err != nil {
		return nil, err
	}
	for _, g := range guards {
		if _, err := run(tx, g.Off); err != nil {
			return nil, err
		}
		back = append(back, g.Back)
	}
	names, err := one[string](tx, "table", "SELECT string_agg(oid::regclass::text, ', ') FROM pg_class WHERE relkind = 'r' AND relnamespace = current_schema()::regnamespace")
	if err != nil {
		return nil, err
	}
	_, err = run(tx, "TRUNCATE "+names)
	return back, err
}

func (s *SavedBackup) readTable(ctx context.Context, t backupTable, copying copier) error {
	rows, err := s.files.Open(t.file())
	if err != nil {
		return errors.Join(errDamaged, err)
	}
	defer func() { _ = rows.Close() }()
	return copying(func(pg *pgconn.PgConn) error {
		done, err := pg.CopyFrom(ctx, rows, "COPY "+t.named()+" FROM STDIN")
		if err != nil {
			return fmt.Errorf("store: copy %s: %w", t.Name, err)
		}
		if done.RowsAffected() != t.Rows {
			return fmt.Errorf("%d rows of %s were put back, and the backup says %d", done.RowsAffected(), t.Name, t.Rows)
		}
		return nil
	})
}
