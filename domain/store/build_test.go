package store_test

import (
	"context"
	"errors"
	"slices"
	"testing"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/store/storetest"
)

// built prepares a project with one build from its cleared revision, by hand.
func built(t testing.TB) *storetest.DB {
	db := kept(t)
	setRevision(t, db, "cleared")
	require.NoError(t, inOne(db, buildByHand("1", "'key-00000001'"), builderByHand("1", "id, NULL"), versionByHand("1", "'{}'", "'mill'", "0"), stepByHand))
	return db
}

func setRevision(t testing.TB, db *storetest.DB, state string) {
	t.Helper()
	db.Put(t, domain.State(state), "true")
}

// inOne executes statements in one transaction.
func inOne(db *storetest.DB, statements ...string) error {
	tx, err := db.SQL.Begin()
	if err != nil {
		return err
	}
	defer func() { _ = tx.Rollback() }()
	for _, s := range statements {
		if _, err := tx.Exec(s); err != nil {
			return err
		}
	}
	return tx.Commit()
}

func buildByHand(tag, key string) string {
	return `INSERT INTO builds (project_id, tag, title, revision_id, newest, state, started_by, started_at, version, client_key)
		SELECT d.project_id, ` + tag + `, 'B', r.id, 1, 'being_built', r.started_by, now(), 1, ` + key + ` FROM revisions r JOIN designs d ON d.id = r.design_id WHERE r.letter = 'A'`
}

// builderByHand adds a builder to the first build: an account of the starter
// or a name.
func builderByHand(position, who string) string {
	return `INSERT INTO build_people (build_id, position, account_id, name, added_by, added_at)
		SELECT (SELECT min(id) FROM builds), ` + position + `, ` + who + `, id, now() FROM (SELECT started_by AS id FROM projects LIMIT 1) p`
}

func versionByHand(number, differences, place, moves string) string {
	return versionOf(number, "(SELECT revision_id FROM builds ORDER BY id LIMIT 1)", differences, "'{}'", place, moves, `'{"calc_version": "1"}'`, "sha256('x')", "''", "started_by")
}

func versionOf(number, revision, differences, renewed, place, moves, report, hash, note, by string) string {
	return `INSERT INTO build_versions (build_id, number, revision_id, differences, renewed, place, moves, report, calc_version, pressure_hash, note, made_by, made_at)
		SELECT id, ` + number + `, ` + revision + `, ` + differences + `, ` + renewed + `, ` + place + `, ` + moves + `, ` + report + `, '1', ` + hash + `, ` + note + `, ` + by + `, now()
		FROM builds ORDER BY id LIMIT 1`
}

const stepByHand = `INSERT INTO build_states (build_id, state, reason, who, at) SELECT id, 'being_built', '', started_by, now() FROM builds`

// refusedBy demands that a constraint refuses.
func refusedBy(t *testing.T, constraint string, err error, about ...any) {
	t.Helper()
	pg, ok := errors.AsType[*pgconn.PgError](err)
	require.True(t, ok, "%s let through: %v (%v)", constraint, about, err)
	require.Equal(t, constraint, pg.ConstraintName, about...)
}

func TestConstraintsOfBuildsHold(t *testing.T) {
	t.Parallel()
	db := built(t)
	next := "UPDATE builds SET newest = 2"
	version := func(change ...string) []string { return append([]string{next}, change...) }
	const ok, none, rep = "'mill'", "'{}'", `'{"calc_version": "1"}'`
	rev := "(SELECT revision_id FROM builds)"
	for constraint, statements := range map[string][][]string{
		"builds_title_check":                   {{"ALTER TABLE builds DISABLE TRIGGER builds_kept", "UPDATE builds SET title = ''"}},
		"builds_tag_check":                     {{buildByHand("0", "'key-00000002'")}},
		"builds_tag_key":                       {{buildByHand("1", "'key-00000002'")}},
		"builds_client_key_check":              {{buildByHand("2", "'x'")}},
		"builds_started_by_client_key_key":     {{buildByHand("2", "'key-00000001'")}},
		"builds_state_check":                   {{"UPDATE builds SET state = 'done'"}},
		"builds_version_check":                 {{"UPDATE builds SET version = 0"}},
		"builds_newest_check":                  {{"UPDATE builds SET newest = 0"}},
		"builds_id_newest_revision_id_fk":      {{next}, {buildByHand("2", "'key-00000002'")}},
		"builds_forward":                       {{"UPDATE builds SET newest = 3"}, {"UPDATE builds SET newest = 2", "UPDATE builds SET newest = 1"}},
		"builds_kept":                          {{"DELETE FROM builds"}, {"UPDATE builds SET tag = 2"}, {"UPDATE builds SET title = 'C'"}, {"UPDATE builds SET started_by = started_by"}},
		"builds_kept_truncate":                 {{"TRUNCATE builds CASCADE"}},
		"build_people_append_only":             {{"DELETE FROM build_people"}, {"UPDATE build_people SET account_id = NULL, name = 'Nobody'"}},
		"build_people_append_only_truncate":    {{"TRUNCATE build_people CASCADE"}},
		"build_people_build_id_fk":             {{"INSERT INTO build_people SELECT -1, position, account_id, name, added_by, added_at FROM build_people"}},
		"build_people_account_id_fk":           {{builderByHand("2", "-1, NULL")}},
		"build_people_added_by_fk":             {{"INSERT INTO build_people SELECT build_id, 2, NULL, 'Jo', -1, now() FROM build_people"}},
		"build_people_position_check":          {{builderByHand("0", "NULL, 'Jo'")}},
		"build_people_name_check":              {{builderByHand("2", "NULL, ''")}, {builderByHand("2", "NULL, repeat('x', 81)")}},
		"build_people_account_id_name_check":   {{builderByHand("2", "NULL, NULL")}, {builderByHand("2", "id, 'Jo'")}},
		"build_people_build_id_position_key":   {{builderByHand("1", "NULL, 'Jo'")}},
		"build_people_build_id_account_id_key": {{builderByHand("2", "id, NULL")}},
		"build_people_build_id_name_key":       {{builderByHand("2", "NULL, 'Jo'"), builderByHand("3", "NULL, 'JO'")}},

		"build_versions_append_only":          {{"UPDATE build_versions SET note = 'nicer'"}, {"DELETE FROM build_versions"}},
		"build_versions_append_only_truncate": {{"TRUNCATE build_versions CASCADE"}},
		"build_versions_in_turn": {
			version(versionByHand("2", none, ok, "1")), version(versionByHand("2", none, "'pond'", "0")), version(versionByHand("2", none, "'pond'", "2")),
			{versionByHand("3", none, ok, "0")}, {"UPDATE builds SET state = 'scrapped'", next, versionByHand("2", none, ok, "0")},
		},
		"build_versions_from_cleared":        {version(versionOf("2", "-1", none, none, ok, "0", rep, "sha256('x')", "''", "started_by"))},
		"build_versions_build_id_made_by_fk": {version(versionOf("2", rev, none, none, ok, "0", rep, "sha256('x')", "''", "(SELECT max(id) FROM accounts)"))},
		"build_versions_build_id_number_key": {{versionByHand("1", none, ok, "0")}},
		"build_versions_differences_check":   {version(versionByHand("2", "'[]'", ok, "0"))},
		"build_versions_renewed_check":       {version(versionOf("2", rev, none, "'[]'", ok, "0", rep, "sha256('x')", "''", "started_by"))},
		"build_versions_place_check":         {version(versionByHand("2", none, "''", "1")), version(versionByHand("2", none, "repeat('x', 201)", "1"))},
		"build_versions_report_check":        {version(versionOf("2", rev, none, none, ok, "0", `'{"calc_version": "2"}'`, "sha256('x')", "''", "started_by")), version(versionOf("2", rev, none, none, ok, "0", `'{"calc_version": "1", "faults": []}'`, "sha256('x')", "''", "started_by"))},
		"build_versions_pressure_hash_check": {version(versionOf("2", rev, none, none, ok, "0", rep, "'x'", "''", "started_by"))},
		"build_versions_note_check":          {version(versionOf("2", rev, none, none, ok, "0", rep, "sha256('x')", "repeat('x', 501)", "started_by"))},

		"build_states_append_only":          {{"UPDATE build_states SET reason = 'x'"}, {"DELETE FROM build_states"}},
		"build_states_append_only_truncate": {{"TRUNCATE build_states"}},
		"build_states_build_id_fk":          {{"INSERT INTO build_states (build_id, state, reason, who, at) SELECT -1, state, reason, who, at FROM build_states"}},
		"build_states_who_fk":               {{"INSERT INTO build_states (build_id, state, reason, who, at) SELECT build_id, state, reason, -1, at FROM build_states"}},
		"build_states_state_check":          {{"INSERT INTO build_states (build_id, state, reason, who, at) SELECT build_id, 'done', reason, who, at FROM build_states"}},
		"build_states_reason_check":         {{"INSERT INTO build_states (build_id, state, reason, who, at) SELECT build_id, state, repeat('x', 501), who, at FROM build_states"}},
	} {
		for _, s := range statements {
			refusedBy(t, constraint, inOne(db, s...), s)
		}
	}
	require.NoError(t, inOne(db, next, versionByHand("2", `'{"/trompe/intake/n_tubes": 28}'`, ok, "0")))
	require.NoError(t, inOne(db, "UPDATE builds SET newest = 3", versionByHand("3", none, "'pond'", "1")))
}

// Triggers refuse also where a session has switched off the others.
func TestBuildsAreKeptWhateverTheSession(t *testing.T) {
	t.Parallel()
	db := built(t)
	conn, err := db.SQL.Conn(context.Background())
	require.NoError(t, err)
	defer func() { _ = conn.Close() }()
	_, err = conn.ExecContext(context.Background(), "SET session_replication_role = replica")
	require.NoError(t, err)
	for statement, constraint := range map[string]string{
		"DELETE FROM builds": "builds_kept", "DELETE FROM build_people": "build_people_append_only", "UPDATE build_people SET name = 'Jo'": "build_people_append_only",
		"UPDATE build_versions SET report = report": "build_versions_append_only", "DELETE FROM build_states": "build_states_append_only", "UPDATE builds SET state = 'in_service'": "builds_forward",
	} {
		_, err := conn.ExecContext(context.Background(), statement)
		refusedBy(t, constraint, err, statement)
	}
}

// The rows are product.md, "Build": being built, built, in service, laid up,
// scrapped; scrapped is the end.
func TestStateOfABuildGoesOnAsItMay(t *testing.T) {
	t.Parallel()
	db := built(t)
	goesTo := map[string][]string{
		"being_built": {"built", "scrapped"}, "built": {"in_service", "scrapped"}, "in_service": {"laid_up", "scrapped"}, "laid_up": {"in_service", "scrapped"}, "scrapped": nil,
	}
	for from, allowed := range goesTo {
		for to := range goesTo {
			db.Exec(t, "ALTER TABLE builds DISABLE TRIGGER builds_forward")
			db.Exec(t, "UPDATE builds SET state = $1", from)
			db.Exec(t, "ALTER TABLE builds ENABLE ALWAYS TRIGGER builds_forward")
			_, err := db.SQL.Exec("UPDATE builds SET state = $1", to)
			if from == to || slices.Contains(allowed, to) {
				require.NoError(t, err, "%s to %s", from, to)
				continue
			}
			refusedBy(t, "builds_forward", err, from, to)
		}
	}
}

// product.md: a build is made from a cleared revision; from a superseded one no
// new build starts and those made from it stand; a withdrawn one must not be
// built.
func TestOnlyAClearedRevisionIsBuilt(t *testing.T) {
	t.Parallel()
	ways := map[string][]string{
		"start": {buildByHand("2", "'key-00000002'"),
			"INSERT INTO build_people SELECT (SELECT max(id) FROM builds), position, account_id, name, added_by, added_at FROM build_people",
			`INSERT INTO build_versions SELECT (SELECT max(id) FROM builds), number, revision_id, differences, renewed, place, moves, report, calc_version, pressure_hash, note, made_by, made_at
				FROM build_versions`},
		"change": {"UPDATE builds SET newest = 2", versionByHand("2", `'{"/trompe/intake/n_tubes": 28}'`, "'mill'", "0")},
		"move":   {"UPDATE builds SET newest = 2", versionByHand("2", "'{}'", "'pond'", "1")},
	}
	for state, may := range map[string][]string{
		"draft": nil, "in_check": nil, "returned": nil, "cleared": {"start", "change", "move"}, "superseded": {"change", "move"}, "withdrawn": {"move"},
	} {
		for way, statements := range ways {
			db := built(t)
			setRevision(t, db, state)
			err := inOne(db, statements...)
			if slices.Contains(may, way) {
				require.NoError(t, err, "%s of %s", way, state)
				continue
			}
			refusedBy(t, "build_versions_from_cleared", err, state, way)
		}
	}
}
