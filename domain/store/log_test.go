package store_test

import (
	"context"
	"encoding/json"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/store"
	"leat/domain/store/storetest"
)

// logged prepares, by hand, a build with an entry that is an incident and shows a
// picture, and a steward and a keeper beside Petra, who built it.
func logged(t *testing.T) *storetest.DB {
	db := built(t)
	db.Person(t, "Wen Abara", domain.Steward)
	db.Person(t, "Ines Calloway", domain.Keeper)
	require.NoError(t, inOne(db, fileByHand("'picture', 'image/jpeg'", "'a.jpg'", "1", "sha256('x')", "4, 3", "'key-00000001'"),
		bodyByHand("'full'", "'x'"), bodyByHand("'thumb'", "'y'"), entryByHand("b.id", "'Leak'", "NULL", "'key-00000001'"),
		"INSERT INTO log_files SELECT e.id, 1, f.id FROM log_entries e, files f", "INSERT INTO incident_marks SELECT id, who, at FROM log_entries"))
	return db
}

func fileByHand(kind, name, size, digest, pixels, key string) string {
	return `INSERT INTO files (project_id, kind, media_type, name, size, digest, width, height, made_by, made_at, client_key)
		SELECT id, ` + kind + `, ` + name + `, ` + size + `, ` + digest + `, ` + pixels + `, started_by, now(), ` + key + ` FROM projects ORDER BY id LIMIT 1`
}

func bodyByHand(variant, bytes string) string {
	return "INSERT INTO file_bodies (file_id, variant, bytes) SELECT min(id), " + variant + ", " + bytes + " FROM files"
}

func entryByHand(build, text, strikes, key string) string {
	return `INSERT INTO log_entries (project_id, build_id, text, strikes, who, happened_at, at, client_key)
		SELECT b.project_id, ` + build + `, ` + text + `, ` + strikes + `, b.started_by, now(), now(), ` + key + ` FROM builds b ORDER BY b.id LIMIT 1`
}

// accountOf is somebody, by the begin of the name.
func accountOf(name string) string {
	return "(SELECT id FROM accounts WHERE name LIKE '" + name + "%')"
}

func hideByHand(number, reason, roles, who string) string {
	return "INSERT INTO file_hides (file_id, number, reason, keeper, steward, who, at, link) SELECT min(id), " + number + ", " + reason + ", " + roles + ", " + who + ", now(), " + number + " FROM files"
}

func restByHand(reason, who string) string {
	return "INSERT INTO incident_rests (entry_id, reason, who, at, link) SELECT min(id), " + reason + ", " + who + ", now(), 1 FROM log_entries"
}

const (
	byKeeper  = "true, false"
	bySteward = "false, true"
)

func TestConstraintsOfTheLogHold(t *testing.T) {
	t.Parallel()
	db := logged(t)
	ines, wen, petra := accountOf("Ines"), accountOf("Wen"), accountOf("Petra")
	picture := func(name, size, digest, pixels, key string) []string {
		return []string{fileByHand("'picture', 'image/jpeg'", name, size, digest, pixels, key)}
	}
	const sum, px, key = "sha256('x')", "4, 3", "'key-00000002'"
	strike := "(SELECT min(id) FROM log_entries)"
	hidden := []string{hideByHand("1", "'a face'", byKeeper, ines), hideByHand("2", "'a face'", bySteward, wen)}
	another := []string{"INSERT INTO projects (title, purpose, started_by, started_at, version, client_key) SELECT 'Q', '', started_by, now(), 1, 'key-0000000q' FROM projects"}
	for constraint, statements := range map[string][][]string{
		"files_project_id_fk":           {{"INSERT INTO files (project_id, kind, media_type, name, size, digest, made_by, made_at, client_key) SELECT -1, 'file', 'application/octet-stream', 'a', 1, digest, made_by, made_at, 'key-00000002' FROM files"}},
		"files_made_by_fk":              {{"INSERT INTO files (project_id, kind, media_type, name, size, digest, made_by, made_at, client_key) SELECT project_id, 'file', 'application/octet-stream', 'a', 1, digest, -1, made_at, 'key-00000002' FROM files"}},
		"files_kind_check":              {{fileByHand("'film', 'application/octet-stream'", "'a'", "1", sum, "NULL, NULL", key)}},
		"files_kind_media_type_check":   {{fileByHand("'picture', 'image/svg+xml'", "'a'", "1", sum, px, key)}, {fileByHand("'file', 'text/html'", "'a'", "1", sum, "NULL, NULL", key)}},
		"files_kind_width_height_check": {picture("'a'", "1", sum, "NULL, 3", key), picture("'a'", "1", sum, "2561, 3", key), picture("'a'", "1", sum, "4, 0", key), {fileByHand("'file', 'application/octet-stream'", "'a'", "1", sum, px, key)}},
		"files_name_check":              {picture("''", "1", sum, px, key), picture("repeat('x', 201)", "1", sum, px, key)},
		"files_size_check":              {picture("'a'", "0", sum, px, key), picture("'a'", "30000001", sum, px, key)},
		"files_digest_check":            {picture("'a'", "1", "'x'", px, key)},
		"files_client_key_check":        {picture("'a'", "1", sum, px, "'x'")},
		"files_made_by_client_key_key":  {picture("'a'", "1", sum, px, "'key-00000001'")},
		"files_append_only":             {{"UPDATE files SET name = 'nicer'"}, {"DELETE FROM files"}},
		"files_append_only_truncate":    {{"TRUNCATE files CASCADE"}},

		"file_bodies_variant_check":       {append(picture("'b'", "1", sum, px, key), "INSERT INTO file_bodies SELECT max(id), 'small', 'x' FROM files")},
		"file_bodies_file_id_variant_key": {{bodyByHand("'full'", "'x'")}},
		"file_bodies_of_file": {
			{bodyByHand("'full'", "'z'")}, {bodyByHand("'full'", "'xx'")}, {bodyByHand("'thumb'", "''")}, {"INSERT INTO file_bodies VALUES (-1, 'full', 'x')"},
			append(hidden, "DELETE FROM file_bodies", bodyByHand("'full'", "'x'")),
			{fileByHand("'file', 'application/octet-stream'", "'b'", "1", sum, "NULL, NULL", key), "INSERT INTO file_bodies SELECT max(id), 'thumb', 'x' FROM files"},
		},
		"file_bodies_kept":          {{"UPDATE file_bodies SET bytes = 'z'"}},
		"file_bodies_kept_truncate": {{"TRUNCATE file_bodies"}},
		"file_bodies_of_hidden":     {{"DELETE FROM file_bodies"}, append(hidden[:1:1], "DELETE FROM file_bodies")},

		"file_hides_number_check":       {append(hidden[:1:1], hideByHand("3", "'a face'", bySteward, wen)), append(hidden[:1:1], hideByHand("0", "'a face'", bySteward, wen))},
		"file_hides_reason_check":       {{hideByHand("1", "''", byKeeper, ines)}, {hideByHand("1", "repeat('x', 501)", byKeeper, ines)}},
		"file_hides_file_id_fk":         {{"INSERT INTO file_hides VALUES (-1, 1, 'a', true, false, " + ines + ", now(), 1)"}},
		"file_hides_file_id_number_key": {append(hidden[:1:1], hideByHand("1", "'a face'", bySteward, wen))},
		"file_hides_link_fk":            {hidden},
		"file_hides_by_two": {
			{hideByHand("1", "'a face'", bySteward, ines)}, {hideByHand("1", "'a face'", "true, true", ines)}, {hideByHand("1", "'a face'", "false, false", petra)},
			{hideByHand("1", "'a face'", byKeeper, "-1")}, {hideByHand("2", "'a face'", bySteward, wen)},
			append(hidden[:1:1], "UPDATE accounts SET steward = true", hideByHand("2", "'a face'", "true, true", ines)),
			append(hidden[:1:1], "UPDATE accounts SET keeper = true WHERE name LIKE 'Petra%'", hideByHand("2", "'a face'", byKeeper, petra)),
		},
		"file_hides_append_only":          {append(hidden[:1:1], "UPDATE file_hides SET reason = 'nicer'"), append(hidden[:1:1], "DELETE FROM file_hides")},
		"file_hides_append_only_truncate": {{"TRUNCATE file_hides"}},

		"log_entries_project_id_fk":        {{"INSERT INTO log_entries (project_id, text, who, happened_at, at, client_key) SELECT -1, text, who, at, at, 'key-00000002' FROM log_entries"}},
		"log_entries_who_fk":               {{"INSERT INTO log_entries (project_id, text, who, happened_at, at, client_key) SELECT project_id, text, -1, at, at, 'key-00000002' FROM log_entries"}},
		"log_entries_text_check":           {{entryByHand("NULL", "repeat('x', 4001)", "NULL", key)}},
		"log_entries_client_key_check":     {{entryByHand("NULL", "'x'", "NULL", "'x'")}},
		"log_entries_who_client_key_key":   {{entryByHand("NULL", "'x'", "NULL", "'key-00000001'")}},
		"log_entries_strikes_key":          {{entryByHand("b.id", "'x'", strike, key), entryByHand("b.id", "'x'", strike, "'key-00000003'")}},
		"log_entries_of_project":           {{entryByHand("NULL", "'x'", strike, key)}, {entryByHand("-1", "'x'", "NULL", key)}, {entryByHand("b.id", "'x'", "-1", key)}, append(another, `INSERT INTO log_entries (project_id, build_id, text, who, happened_at, at, client_key) SELECT p.id, b.id, 'x', p.started_by, now(), now(), 'key-00000002' FROM projects p, builds b WHERE p.title = 'Q'`)},
		"log_entries_append_only":          {{"UPDATE log_entries SET text = 'nicer'"}, {"DELETE FROM log_entries"}},
		"log_entries_append_only_truncate": {{"TRUNCATE log_entries CASCADE"}},

		"log_files_position_check":        {{"INSERT INTO log_files SELECT entry_id, 21, file_id FROM log_files"}, {"INSERT INTO log_files SELECT entry_id, 0, file_id FROM log_files"}},
		"log_files_entry_id_position_key": {{"INSERT INTO log_files SELECT * FROM log_files"}},
		"log_files_entry_id_file_id_key":  {{"INSERT INTO log_files SELECT entry_id, 2, file_id FROM log_files"}},
		"log_files_of_project": {{"INSERT INTO log_files SELECT entry_id, 2, -1 FROM log_files"}, {"INSERT INTO log_files SELECT -1, 2, file_id FROM log_files"}, append(another,
			"INSERT INTO log_entries (project_id, text, who, happened_at, at, client_key) SELECT id, 'x', started_by, now(), now(), 'key-00000002' FROM projects WHERE title = 'Q'",
			"INSERT INTO log_files SELECT max(e.id), 1, max(f.id) FROM log_entries e, files f")},
		"log_files_append_only":          {{"UPDATE log_files SET position = 2"}, {"DELETE FROM log_files"}},
		"log_files_append_only_truncate": {{"TRUNCATE log_files"}},

		"incident_marks_entry_id_fk":          {{"INSERT INTO incident_marks SELECT -1, who, at FROM incident_marks"}},
		"incident_marks_entry_id_key":         {{"INSERT INTO incident_marks SELECT * FROM incident_marks"}},
		"incident_marks_who_fk":               {{entryByHand("NULL", "'x'", "NULL", key), "INSERT INTO incident_marks SELECT max(id), -1, now() FROM log_entries"}},
		"incident_marks_append_only":          {{"UPDATE incident_marks SET at = now()"}, {"DELETE FROM incident_marks"}},
		"incident_marks_append_only_truncate": {{"TRUNCATE incident_marks"}},

		"incident_rests_reason_check": {{restByHand("''", wen)}, {restByHand("repeat('x', 2001)", wen)}},
		"incident_rests_link_fk":      {{restByHand("'a drip'", wen)}},
		"incident_rests_entry_id_key": {{restByHand("'a drip'", wen), restByHand("'a drip'", wen)}},
		"incident_rests_by_steward": {
			{restByHand("'a drip'", ines)}, {restByHand("'a drip'", petra)}, {"UPDATE accounts SET steward = true", restByHand("'a drip'", petra)},
			{entryByHand("NULL", "'x'", "NULL", key), "INSERT INTO incident_rests SELECT max(id), 'a drip', " + wen + ", now(), 1 FROM log_entries"},
			{
				"UPDATE accounts SET steward = true", entryByHand("NULL", "'x'", "NULL", key), "INSERT INTO incident_marks SELECT max(id), max(who), now() FROM log_entries",
				"INSERT INTO incident_rests SELECT max(id), 'a drip', " + petra + ", now(), 1 FROM log_entries",
			},
		},
		"incident_rests_append_only":          {{restByHand("'a drip'", wen), "UPDATE incident_rests SET reason = 'nicer'"}, {restByHand("'a drip'", wen), "DELETE FROM incident_rests"}},
		"incident_rests_append_only_truncate": {{"TRUNCATE incident_rests"}},
	} {
		for _, s := range statements {
			refusedBy(t, constraint, inOne(db, s...), s)
		}
	}
	// What is left when only the chain of the record is missing.
	refusedBy(t, "file_hides_link_fk", inOne(db, append(hidden, "DELETE FROM file_bodies")...))
	require.NoError(t, inOne(db, entryByHand("b.id", "'x'", strike, key)))
}

func TestTheLogIsKeptWhateverTheSession(t *testing.T) {
	t.Parallel()
	db := logged(t)
	conn, err := db.SQL.Conn(context.Background())
	require.NoError(t, err)
	defer func() { _ = conn.Close() }()
	_, err = conn.ExecContext(context.Background(), "SET session_replication_role = replica")
	require.NoError(t, err)
	for statement, constraint := range map[string]string{
		"UPDATE log_entries SET text = 'nicer'": "log_entries_append_only", "DELETE FROM log_files": "log_files_append_only", "DELETE FROM incident_marks": "incident_marks_append_only",
		"UPDATE files SET digest = digest": "files_append_only", "DELETE FROM file_bodies": "file_bodies_of_hidden", "UPDATE file_bodies SET bytes = 'z'": "file_bodies_kept",
		restByHand("'a drip'", accountOf("Petra")): "incident_rests_by_steward", hideByHand("2", "'a face'", bySteward, accountOf("Wen")): "file_hides_by_two",
		entryByHand("-1", "'x'", "NULL", "'key-00000002'"): "log_entries_of_project",
	} {
		_, err := conn.ExecContext(context.Background(), statement)
		refusedBy(t, constraint, err, statement)
	}
}

// A list of fifty takes as many statements as a list of one.
func TestALongPageOfTheLogTakesNoMoreStatements(t *testing.T) {
	t.Parallel()
	db := logged(t)
	project := domain.ProjectID(db.Number(t, "SELECT id FROM projects"))
	counted, count := db.Counting()
	statements := func() (n int64, entries int) {
		before := count()
		require.NoError(t, counted.InTx(context.Background(), func(tx *store.Tx) error {
			list, err := tx.Log(project, nil, domain.Page{})
			entries = len(list)
			return err
		}))
		return count() - before, entries
	}
	one, entries := statements()
	require.Equal(t, 1, entries)
	fill(t, db, 200)
	db.Exec(t, "INSERT INTO log_files SELECT e.id, 1, f.id FROM log_entries e, files f WHERE e.text <> 'Leak'")
	many, entries := statements()
	require.Equal(t, 50, entries)
	require.Equal(t, one, many)
}

// fill adds so many entries to the log of the only project.
func fill(t testing.TB, db *storetest.DB, entries int) {
	t.Helper()
	db.Exec(t, `INSERT INTO log_entries (project_id, text, who, happened_at, at, client_key)
		SELECT p.id, 'Entry ' || n, p.started_by, now(), now(), 'filled-' || n || '-' || (SELECT count(*) FROM log_entries) FROM projects p, generate_series(1, $1) n`, entries)
	db.Exec(t, "ANALYZE log_entries")
}

// pagesTouched returns how many pages of the database the first page of the log
// takes.
func pagesTouched(t testing.TB, db *storetest.DB) float64 {
	t.Helper()
	query := store.EntriesOf(fmt.Sprintf("project_id = %d", db.Number(t, "SELECT id FROM projects")))
	var text string
	require.NoError(t, db.SQL.QueryRow("EXPLAIN (ANALYZE, BUFFERS, FORMAT JSON) "+query).Scan(&text))
	var plans []struct {
		Plan map[string]any
	}
	require.NoError(t, json.Unmarshal([]byte(text), &plans))
	hit, _ := plans[0].Plan["Shared Hit Blocks"].(float64)
	read, _ := plans[0].Plan["Shared Read Blocks"].(float64)
	require.Positive(t, hit+read)
	return hit + read
}

// However long the log is, its first page takes what belongs to fifty entries, a
// few pages of the database for each; all entries here fill some five hundred.
func TestTheFirstPageOfALongLogTouchesFewPages(t *testing.T) {
	t.Parallel()
	db := logged(t)
	fill(t, db, 40_000)
	require.Greater(t, db.Number(t, "SELECT pg_relation_size('log_entries') / 8192"), 500)
	require.Less(t, pagesTouched(t, db), 200.0)
}
