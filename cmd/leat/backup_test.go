package main

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/notebook"
	"leat/domain/store"
	"leat/domain/store/storetest"
)

// lines returns the one column of a query, a row a line.
func lines(t *testing.T, db *storetest.DB, query string) string {
	t.Helper()
	var text string
	require.NoError(t, db.SQL.QueryRow("SELECT coalesce(string_agg(q.line, E'\\n' ORDER BY q.line COLLATE \"C\"), '') FROM ("+query+") q (line)").Scan(&text))
	return text
}

// rowsOf writes out every row of every table as PostgreSQL does, but of the tables
// and columns that no backup brings back.
func rowsOf(t *testing.T, db *storetest.DB) map[string]string {
	t.Helper()
	rows := map[string]string{}
	for _, table := range strings.Fields(lines(t, db, "SELECT relname FROM pg_class WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace")) {
		if table != "sessions" && table != "setup_codes" && table != "reset_codes" {
			rows[table] = lines(t, db, "SELECT (to_jsonb(t) - 'withdrawn_at')::text FROM "+table+" t")
		}
	}
	return rows
}

// catalogueOf writes out what PostgreSQL knows of the schema.
func catalogueOf(t *testing.T, db *storetest.DB) string {
	t.Helper()
	return lines(t, db, `
		SELECT concat_ws(' ', 'trigger', tgrelid::regclass, tgenabled, pg_get_triggerdef(oid)) FROM pg_trigger WHERE NOT tgisinternal
		UNION ALL SELECT concat_ws(' ', 'constraint', conrelid::regclass, conname, convalidated, pg_get_constraintdef(oid)) FROM pg_constraint WHERE connamespace = 'public'::regnamespace
		UNION ALL SELECT concat_ws(' ', 'foreign key held by', tgconstrrelid::regclass, tgrelid::regclass, tgfoid::regproc, tgenabled, tgdeferrable, tginitdeferred) FROM pg_trigger WHERE tgisinternal
		UNION ALL SELECT concat_ws(' ', 'index', indexdef) FROM pg_indexes WHERE schemaname = 'public'
		UNION ALL SELECT concat_ws(' ', 'column', table_name, ordinal_position, column_name, data_type, is_nullable, column_default, identity_generation, generation_expression)
		FROM information_schema.columns WHERE table_schema = 'public'
		UNION ALL SELECT concat_ws(' ', 'function', pg_get_functiondef(oid)) FROM pg_proc WHERE pronamespace = 'public'::regnamespace`)
}

// countersOf writes out where the numbers of rows go on.
func countersOf(t *testing.T, db *storetest.DB) string {
	t.Helper()
	return lines(t, db, "SELECT concat_ws(' ', sequencename, coalesce(last_value + 1, start_value)) FROM pg_sequences WHERE schemaname = 'public'")
}

// waits returns when somebody waits in a database for a lock.
func waits(t *testing.T, db *storetest.DB) {
	t.Helper()
	require.Eventually(t, func() bool {
		return db.Number(t, "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock'") == 1
	}, 30*time.Second, 5*time.Millisecond)
}

// invites is something that is signed, as the keeper of the demo does it.
func invites(t *testing.T, db *storetest.DB, name string) {
	t.Helper()
	notes := notebook.New(db.DB, notebook.Options{Demo: true})
	defer notes.Stop()
	in, err := notes.SignIn(t.Context(), domain.SignIn{Address: notebook.DemoPeople()[0].Address, Password: notebook.DemoPassword})
	require.NoError(t, err)
	who, err := notes.Actor(t.Context(), in.Account.ID, in.Session)
	require.NoError(t, err)
	_, err = notes.Invite(t.Context(), who, domain.InvitePerson{Name: name})
	require.NoError(t, err)
}

// isBackedUp takes a backup of the invented group while somebody signs, and puts
// it back elsewhere. What has to be there is what PostgreSQL itself says of both.
func isBackedUp(t *testing.T, db *storetest.DB) {
	invites(t, db, "Guest")
	db.Exec(t, `INSERT INTO imports (project_id, group_name, written_at, record_number, record_link, digest, signed, who, at, client_key, link)
		SELECT min(p.id), 'Other', now(), 0, sha256('r'), sha256('d'), 0, (SELECT min(id) FROM accounts WHERE keeper), now(), 'by-hand-01', 1 FROM projects p`)
	rows, catalogue, counters := rowsOf(t, db), catalogueOf(t, db), countersOf(t, db)
	file := filepath.Join(t.TempDir(), "group.backup")

	saidOf := func(whileItWaits func()) ran { // it stops at a table early in the alphabet
		lock, err := db.SQL.Begin()
		require.NoError(t, err)
		defer func() { _ = lock.Rollback() }()
		_, err = lock.Exec("LOCK TABLE build_people IN ACCESS EXCLUSIVE MODE")
		require.NoError(t, err)
		said := make(chan ran)
		go func() { said <- run(t, on(db), "", "backup", file) }()
		waits(t, db)
		whileItWaits()
		require.NoError(t, lock.Rollback())
		return <-said
	}
	broken := saidOf(func() {
		db.Exec(t, "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock'")
	})
	require.Equal(t, 1, broken.status)
	left, err := os.ReadDir(filepath.Dir(file))
	require.NoError(t, err)
	require.Empty(t, left, "a backup that was broken off")

	took := saidOf(func() { invites(t, db, "Later guest") })
	require.Zero(t, took.status, took.err)
	require.NotEqual(t, rows["record_links"], rowsOf(t, db)["record_links"], "what was signed meanwhile")
	about, err := os.Stat(file)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), about.Mode())
	again := run(t, on(db), "", "backup", file)
	require.Equal(t, 1, again.status)
	require.Contains(t, again.err, "is there already")

	back := emptied(t)
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	for name, wrong := range map[string][]byte{"be cut off": text[:len(text)/2], "be newer": newer(t, text)} {
		wrongFile := filepath.Join(t.TempDir(), "wrong.backup")
		require.NoError(t, os.WriteFile(wrongFile, wrong, 0o600))
		refused := run(t, on(back), "", "restore", wrongFile)
		require.Equal(t, 1, refused.status)
		require.Contains(t, refused.err, name[3:])
	}
	put := run(t, on(back), "", "restore", file)
	require.Zero(t, put.status, put.err)
	head := regexp.MustCompile(`The record ends with number \d+, sum [0-9a-f]{64}\.`).FindString(took.out)
	require.NotEmpty(t, head)
	require.Contains(t, put.out, head+" It holds")

	require.Equal(t, rows, rowsOf(t, back))
	require.Equal(t, catalogue, catalogueOf(t, back))
	require.Equal(t, counters, countersOf(t, back))
	require.Zero(t, back.Number(t, "SELECT count(*) FROM sessions"))
	require.Zero(t, back.Number(t, "SELECT count(*) FROM invitations WHERE used_at IS NULL AND withdrawn_at IS NULL"))

	invites(t, back, "Guest of the copy")
	_, err = back.SQL.Exec("UPDATE sheets SET note = 'nicer'")
	require.Equal(t, "sheets_append_only", constraintOf(err))
	_, err = back.SQL.Exec("INSERT INTO crew (project_id, account_id, joined_at) VALUES (99999, 1, now())")
	require.Equal(t, "crew_project_id_fk", constraintOf(err))

	full := run(t, on(back), "", "restore", file)
	require.Equal(t, 1, full.status)
	require.Contains(t, full.err, "the database is not empty")
	isInspected(t, back)
}

func constraintOf(err error) string {
	if pg, ok := err.(*pgconn.PgError); ok { //nolint:errorlint // as the driver returns it
		return pg.ConstraintName
	}
	return fmt.Sprint(err)
}

// isInspected shows that inspect finds each thing that is wrong with a database that
// was well.
func isInspected(t *testing.T, db *storetest.DB) {
	t.Helper()
	well := run(t, on(db), "", "inspect")
	require.Zero(t, well.status, well.out)
	require.NotContains(t, well.out, "WRONG")
	db.Exec(t, "ALTER TABLE record_links DISABLE TRIGGER record_links_append_only")
	db.Exec(t, "UPDATE record_links SET at = now() WHERE number = 3")
	odd := run(t, append(on(db), "LEAT_PUBLIC_URL=http://leat.example"), "", "inspect")
	require.Equal(t, 1, odd.status)
	require.Regexp(t, `(?m)^address +WRONG: sign-in does not work over plain http`, odd.out)
	require.Regexp(t, `(?m)^rules +WRONG: record_links_append_only is switched off`, odd.out)
	require.Regexp(t, `(?m)^record +WRONG: link 3 \(act\) does not hold`, odd.out)
	require.Equal(t, 3, strings.Count(odd.out, "WRONG"), odd.out)
}

// sealed packs files as a backup does: the comment of the zip file is the SHA-256 of
// all before it.
func sealed(t *testing.T, files map[string][]byte) []byte {
	t.Helper()
	var text bytes.Buffer
	packed := zip.NewWriter(&text)
	for name, body := range files {
		to, err := packed.Create(name)
		require.NoError(t, err)
		_, err = to.Write(body)
		require.NoError(t, err)
	}
	require.NoError(t, packed.SetComment(strings.Repeat("0", 64)))
	require.NoError(t, packed.Close())
	before := text.Bytes()[:text.Len()-64]
	sum := sha256.Sum256(before)
	return append(before, hex.EncodeToString(sum[:])...)
}

// opened reads the files of a backup.
func opened(t *testing.T, text []byte) map[string][]byte {
	t.Helper()
	packed, err := zip.NewReader(bytes.NewReader(text), int64(len(text)))
	require.NoError(t, err)
	files := map[string][]byte{}
	for _, f := range packed.File {
		from, err := f.Open()
		require.NoError(t, err)
		files[f.Name], err = io.ReadAll(from)
		require.NoError(t, err)
	}
	return files
}

// newer is a backup as a later release might write it.
func newer(t *testing.T, text []byte) []byte {
	t.Helper()
	files := opened(t, text)
	files["contents.json"] = bytes.Replace(files["contents.json"], fmt.Appendf(nil, `"schema": %d,`, store.SchemaVersion), fmt.Appendf(nil, `"schema": %d,`, store.SchemaVersion+1), 1)
	return sealed(t, files)
}

// A backup of an earlier schema is restored and brought up, all of it or nothing:
// killed when the rows are in, the restore leaves an empty database. It takes no
// more than the right to make tables. A record that was broken before is no hindrance.
func TestBackupOfAnEarlierSchemaIsRestoredOrNothing(t *testing.T) {
	t.Parallel()
	old := storetest.At(t, 20)
	old.Person(t, "Petra Lindahl", domain.Keeper)
	old.Exec(t, `INSERT INTO projects (title, purpose, started_by, started_at, version, client_key) SELECT E'Tab\tand\\nline\n', '', id, now(), 1, 'key-00000001' FROM accounts`)
	old.Exec(t, "UPDATE record_head SET number = 1")
	file := filepath.Join(t.TempDir(), "old.backup")
	took := run(t, on(old), "", "backup", file)
	require.Zero(t, took.status, took.err)
	rows := rowsOf(t, old)

	plain := lines(t, old, "SELECT current_database() || '_plain'")
	old.Exec(t, "CREATE ROLE "+plain)
	t.Cleanup(func() { _, _ = old.SQL.Exec("DROP ROLE " + plain) }) // once the database is gone that it owns tables in
	back := emptied(t)
	back.Exec(t, "GRANT CREATE, USAGE ON SCHEMA public TO "+plain)
	env := append(on(back), "PGOPTIONS=-c role="+plain)
	lock, err := back.SQL.Begin()
	require.NoError(t, err)
	defer func() { _ = lock.Rollback() }()
	_, err = lock.Exec("CREATE FUNCTION refuse_paper_before_hold() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN END'") // which migration 21 makes
	require.NoError(t, err)
	restore := program(t, env, "restore", file)
	require.NoError(t, restore.Start())
	waits(t, back)
	require.NoError(t, restore.Process.Kill())
	require.Error(t, restore.Wait())
	require.NoError(t, lock.Rollback())

	var put ran
	require.Eventually(t, func() bool { // PostgreSQL takes a moment to notice
		put = run(t, env, "", "restore", file)
		return !strings.Contains(put.err, "try again when it is done")
	}, 30*time.Second, 5*time.Millisecond)
	require.Equal(t, 1, put.status, put.err)
	require.Contains(t, put.out, "The record in it is broken: link 1 (end) does not hold")
	require.NoError(t, back.Ready(t.Context()))
	require.Zero(t, back.Number(t, "SELECT count(*) FROM pg_tables WHERE schemaname = 'public' AND tableowner <> $1", plain))
	require.Equal(t, catalogueOf(t, storetest.New(t)), catalogueOf(t, back))
	back.Exec(t, "DELETE FROM goose_db_version WHERE version_id > 20")
	require.Equal(t, rows, rowsOf(t, back))
}

// A backup in which one byte is another, or that ends too early, is not opened.
func TestChangedBackupIsNotOpened(t *testing.T) {
	t.Parallel()
	text := sealed(t, map[string][]byte{"contents.json": []byte(`{"format": 1, "schema": 20}`), "rows/accounts.txt": []byte("1\tPetra\n")})
	open := func(text []byte) error {
		_, err := store.OpenBackup(bytes.NewReader(text), int64(len(text)))
		return err
	}
	require.NoError(t, open(text))
	for i := range text {
		require.ErrorContains(t, open(text[:i]), "cut off or changed")
		changed := bytes.Clone(text)
		changed[i] ^= 1
		require.ErrorContains(t, open(changed), "cut off or changed", "byte %d of %d", i, len(text))
	}
	require.ErrorContains(t, open(append(bytes.Clone(text), 0)), "cut off or changed")
}
