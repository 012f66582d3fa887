package store_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/store"
	"leat/domain/store/storetest"
)

// unguarded takes all triggers off a database, foreign keys among them.
func unguarded(t testing.TB, db *storetest.DB) {
	t.Helper()
	db.Exec(t, `DO $$ DECLARE t text; BEGIN
		FOR t IN SELECT tablename FROM pg_tables WHERE schemaname = 'public' LOOP EXECUTE 'ALTER TABLE ' || t || ' DISABLE TRIGGER ALL'; END LOOP;
	END $$`)
}

// shelf is a list that can grow long: the table that holds its rows, how so many
// are added by hand, and how a page is read.
type shelf struct {
	table string
	fill  string
	page  func(tx *store.Tx, of owner, p domain.Page) (int, error)
}

// owner is what lists belong to.
type owner struct {
	project domain.ProjectID
	design  domain.DesignID
	build   domain.BuildID
}

var shelves = []shelf{
	{"revisions", `INSERT INTO revisions (design_id, position, letter, state, sheet_count, started_by, started_at)
		SELECT d.id, n + 1, substr(a, n / 400 + 1, 1) || substr(a, n / 20 % 20 + 1, 1) || substr(a, n % 20 + 1, 1), 'returned', 1, d.started_by, now()
		FROM (VALUES ('ABCDEFGHJKLMNPRTUVWY')) letters (a), designs d, generate_series(1, $1 / (SELECT count(*)::int FROM designs)) n`,
		func(tx *store.Tx, of owner, p domain.Page) (int, error) {
			return counted(tx.Revisions(of.project, of.design, p))
		}},
	{"sheets", `INSERT INTO sheets (revision_id, number, input, report, calc_version, note, saved_by, saved_at)
		SELECT r.id, n + 1, '{}', '{"calc_version": "1"}', '1', '', started_by, now() FROM (SELECT * FROM revisions ORDER BY id LIMIT 1) r, generate_series(1, $1) n`,
		func(tx *store.Tx, of owner, p domain.Page) (int, error) {
			return counted(tx.Sheets(of.project, of.design, "A", p))
		}},
	{"remarks", `INSERT INTO remarks (design_id, revision_id, pin_kind, pin, weight, text, who, at, client_key)
		SELECT r.design_id, r.id, 'whole', '', 'query', 'How deep?', r.started_by, now(), 'remark-' || n FROM (SELECT * FROM revisions ORDER BY id LIMIT 1) r, generate_series(1, $1) n`,
		func(tx *store.Tx, of owner, p domain.Page) (int, error) {
			return counted(tx.Remarks(of.project, of.design, false, p))
		}},
	{"gaugings", `INSERT INTO gaugings (project_id, flow_m3s, how, note, recorded_by, recorded_at, client_key)
		SELECT p.id, 1, '', '', p.started_by, now(), 'gauging-' || n FROM projects p, generate_series(1, $1) n`,
		func(tx *store.Tx, of owner, p domain.Page) (int, error) { return counted(tx.Gaugings(of.project, p)) }},
	{"builds", `WITH b AS (INSERT INTO builds (project_id, tag, title, revision_id, newest, state, started_by, started_at, version, client_key)
			SELECT b.project_id, n + 1, 'B', b.revision_id, 1, 'built', b.started_by, now(), 1, 'build-key-' || n FROM builds b, generate_series(1, $1) n RETURNING id)
		INSERT INTO build_versions (build_id, number, revision_id, differences, renewed, place, moves, report, calc_version, pressure_hash, note, made_by, made_at)
		SELECT b.id, 1, revision_id, differences, renewed, place, moves, report, calc_version, pressure_hash, note, made_by, made_at FROM b, build_versions`,
		func(tx *store.Tx, of owner, p domain.Page) (int, error) {
			return counted(tx.Builds(of.project, p, time.Now()))
		}},
	{"test_sheets", `INSERT INTO test_sheets (build_id, number, build_version, template_version, short, basis, pressure_hash, builders, started_by, started_at, ended, ended_at, version, client_key, link)
		SELECT b.id, n, 1, 1, false, '{"competent": false}', sha256('x'), 1, b.started_by, now(), 'passed', now(), 1, 'test-key-' || n, n FROM builds b, generate_series(1, $1) n`,
		func(tx *store.Tx, of owner, p domain.Page) (int, error) {
			return counted(tx.Tests(of.project, of.build, p))
		}},
	{"runs", `INSERT INTO runs (build_id, number, build_version, title, purpose, coefficient_set, calc_version, required, limits, opened_by, opened_at, client_key, version)
		SELECT b.id, n, 1, 'R', '', '0', '1', '[]', '{}', b.started_by, now(), 'run-key-' || n, 1 FROM builds b, generate_series(1, $1) n`,
		func(tx *store.Tx, of owner, p domain.Page) (int, error) {
			return counted(tx.Runs(of.project, of.build, p))
		}},
	{"coefficient_set_proposals", `WITH p AS (INSERT INTO coefficient_set_proposals (why, current_set, proposed_by, proposed_at, client_key, link)
			SELECT 'So', '0', p.started_by, now(), 'set-key-' || n, n FROM projects p, generate_series(1, $1) n RETURNING id)
		INSERT INTO coefficient_set_lessons (proposal_id, body, digest, at) SELECT id, b, sha256(convert_to(b, 'UTF8')), now() FROM p, (VALUES ('{"adoptable": false, "calc_version": "1"}')) v (b)`,
		func(tx *store.Tx, _ owner, p domain.Page) (int, error) { return counted(tx.SetProposals(p)) }},
	{"log_entries", `INSERT INTO log_entries (project_id, text, who, happened_at, at, client_key)
		SELECT p.id, 'Entry ' || n, p.started_by, now(), now(), 'entry-key-' || n FROM projects p, generate_series(1, $1) n`,
		func(tx *store.Tx, of owner, p domain.Page) (int, error) { return counted(tx.Log(of.project, nil, p)) }},
	{"record_links", `INSERT INTO record_links (number, kind, at, who, body, digest, before, link)
		SELECT n, 'act', now(), p.started_by, '{}', sha256('{}'), sha256('x'), sha256(n::text::bytea) FROM projects p, generate_series(1, $1) n`,
		func(tx *store.Tx, _ owner, p domain.Page) (int, error) { return counted(tx.Links(p)) }},
	{"acts", `INSERT INTO acts (kind, at, who, about, before, after, link)
		SELECT 'joined', now(), p.started_by, p.started_by, '{}', '{}', n FROM projects p, generate_series(1, $1) n`,
		func(tx *store.Tx, _ owner, p domain.Page) (int, error) { return counted(tx.Acts(p)) }},
	{"projects", `INSERT INTO projects (title, purpose, started_by, started_at, version, client_key)
		SELECT 'P', '', p.started_by, now(), 1, 'project-' || n FROM projects p, generate_series(1, $1) n`,
		func(tx *store.Tx, _ owner, p domain.Page) (int, error) { return counted(tx.Projects(p)) }},
}

func counted[T any](list []T, err error) (int, error) { return len(list), err }

// filled is a shelf with so many rows beside the one that it begins with. A
// design has no hundred thousand letters, so its shelf has twenty designs.
func filled(t testing.TB, s shelf, rows int) (*storetest.DB, owner) {
	t.Helper()
	db := built(t)
	unguarded(t, db)
	db.Exec(t, `INSERT INTO designs (project_id, title, started_by, started_at, version, client_key)
		SELECT id, 'D', started_by, now(), 1, 'design-' || n FROM projects, generate_series(2, 20) n`)
	db.Exec(t, s.fill, rows)
	db.Exec(t, "ANALYZE")
	return db, owner{
		domain.ProjectID(db.Number(t, "SELECT min(id) FROM projects")), domain.DesignID(db.Number(t, "SELECT min(id) FROM designs")),
		domain.BuildID(db.Number(t, "SELECT min(id) FROM builds")),
	}
}

// However long a list is, a page of it takes about the rows that it shows: the
// first, and one from the middle on.
func TestAPageOfALongListReadsFewRows(t *testing.T) {
	t.Parallel()
	for _, s := range shelves {
		t.Run(s.table, func(t *testing.T) {
			t.Parallel()
			const rows = 4000
			db, of := filled(t, s, rows)
			for _, before := range []int64{0, 150} {
				for range 7 { // from the sixth time on PostgreSQL may keep a plan
					require.NoError(t, db.InTx(context.Background(), func(tx *store.Tx) error {
						earlier, err := tx.RowsRead(s.table)
						require.NoError(t, err)
						shown, err := s.page(tx, of, domain.Page{Before: before})
						require.NoError(t, err)
						require.Equal(t, 50, shown)
						read, err := tx.RowsRead(s.table)
						require.Less(t, read-earlier, int64(500), "of %d rows, before %d", rows, before)
						require.GreaterOrEqual(t, read-earlier, int64(50))
						return err
					}))
				}
			}
		})
	}
}

// A hundred thousand rows against a thousand: the first page of each list.
func BenchmarkFirstPage(b *testing.B) {
	for _, s := range shelves {
		for _, rows := range []int{1_000, 100_000} {
			b.Run(fmt.Sprintf("%s/%d", strings.ReplaceAll(s.table, "_", ""), rows), func(b *testing.B) {
				db, of := filled(b, s, rows)
				for b.Loop() {
					require.NoError(b, db.InTx(context.Background(), func(tx *store.Tx) error {
						_, err := s.page(tx, of, domain.Page{})
						return err
					}))
				}
			})
		}
	}
}
