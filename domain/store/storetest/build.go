package storetest

import (
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

// Built adds a build of the first design of a project, whatever the state of its
// revision, with who built it. What its sheet says is left out.
func (db *DB) Built(t testing.TB, project domain.ProjectID, builders ...domain.Actor) domain.BuildID {
	t.Helper()
	tx, err := db.SQL.Begin()
	require.NoError(t, err)
	defer func() { _ = tx.Rollback() }()
	exec := func(statement string, args ...any) {
		_, err := tx.Exec(statement, args...)
		require.NoError(t, err, statement)
	}
	var id domain.BuildID
	require.NoError(t, tx.QueryRow(`INSERT INTO builds (project_id, tag, title, revision_id, newest, state, started_by, started_at, version, client_key)
		SELECT $1, n.tag, 'Built by hand', (SELECT min(r.id) FROM revisions r JOIN designs d ON d.id = r.design_id WHERE d.project_id = $1),
			1, 'being_built', $2, now(), 1, 'by-hand-' || n.tag
		FROM (SELECT coalesce(max(tag), 0) + 1 AS tag FROM builds) n RETURNING id`, project, builders[0].Account).Scan(&id))
	for i, b := range builders {
		exec("INSERT INTO build_people (build_id, position, account_id, added_by, added_at) VALUES ($1, $2, $3, $3, now())", id, i+1, b.Account)
	}
	exec("ALTER TABLE build_versions DISABLE TRIGGER build_versions_from_cleared")
	exec(`INSERT INTO build_versions (build_id, number, revision_id, differences, renewed, place, moves, report, calc_version, pressure_hash, note, made_by, made_at)
		SELECT id, 1, revision_id, '{}', '{}', 'mill', 0, '{"calc_version": "1"}', '1', sha256('x'), '', started_by, now() FROM builds WHERE id = $1`, id)
	exec("SET CONSTRAINTS ALL IMMEDIATE") // else what is left to check forbids the next line
	exec("ALTER TABLE build_versions ENABLE ALWAYS TRIGGER build_versions_from_cleared")
	require.NoError(t, tx.Commit())
	return id
}
