package store_test

import (
	"errors"
	"slices"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/store"
	"leat/domain/store/storetest"
)

// The rows are product.md, "Design and revisions": what each state goes to.
func TestStateOfARevisionGoesOnAndNeverBack(t *testing.T) {
	t.Parallel()
	db := kept(t)
	goesTo := map[string][]string{
		"draft": {"in_check"}, "in_check": {"cleared", "returned"}, "returned": nil,
		"cleared": {"superseded", "withdrawn"}, "superseded": {"withdrawn"}, "withdrawn": nil,
	}
	db.Exec(t, "ALTER TABLE revisions DISABLE TRIGGER revisions_state_reached") // what a state takes beside is tested elsewhere
	for from, allowed := range goesTo {
		for to := range goesTo {
			db.Exec(t, "ALTER TABLE revisions DISABLE TRIGGER revisions_state_forward")
			db.Exec(t, "UPDATE revisions SET state = $1", from)
			db.Exec(t, "ALTER TABLE revisions ENABLE ALWAYS TRIGGER revisions_state_forward")
			_, err := db.SQL.Exec("UPDATE revisions SET state = $1", to)
			if from == to {
				require.NoError(t, err)
				continue
			}
			pg, refused := errors.AsType[*pgconn.PgError](err)
			require.NotEqual(t, slices.Contains(allowed, to), refused, "%s to %s: %v", from, to, err)
			if refused {
				require.Equal(t, "revisions_state_forward", pg.ConstraintName)
			}
		}
	}
}

func TestSheetNamesAGaugingOfItsOwnSite(t *testing.T) {
	t.Parallel()
	db := kept(t)
	db.Exec(t, gaugingByHand("1", "NULL", "NULL", "''", "'key-00000001'"))
	db.Exec(t, `INSERT INTO projects (title, purpose, started_by, started_at, version, client_key) SELECT 'Q', '', started_by, now(), 1, 'key-00000002' FROM projects`)
	db.Exec(t, `INSERT INTO sites (project_id, version, name, note) SELECT id, 1, '', '' FROM projects WHERE title = 'Q'`)
	db.Exec(t, `INSERT INTO gaugings (project_id, flow_m3s, how, note, recorded_by, recorded_at, client_key)
		SELECT id, 2, '', '', started_by, now(), 'key-00000002' FROM projects WHERE title = 'Q'`)
	save := `INSERT INTO sheets (revision_id, number, input, report, calc_version, note, saved_by, saved_at, gauging_id)
		SELECT id, 2, '{}', '{"calc_version": "1"}', '1', '', started_by, now(), `
	for _, foreign := range []string{"(SELECT id FROM gaugings WHERE flow_m3s = 2)", "999"} {
		_, err := db.SQL.Exec(save + foreign + " FROM revisions")
		pg, ok := errors.AsType[*pgconn.PgError](err)
		require.True(t, ok, foreign)
		require.Equal(t, "sheets_gauging_of_site", pg.ConstraintName)
	}
	db.Exec(t, save+"(SELECT id FROM gaugings WHERE flow_m3s = 1) FROM revisions")
}

// What stood in the sites of an older release is kept: a flow as the first
// gauging, words without one in the note.
func TestFlowsOfOldSitesBecomeGaugings(t *testing.T) {
	t.Parallel()
	db := storetest.At(t, 6)
	db.Exec(t, `INSERT INTO accounts (name, address, password_hash, checker, steward, keeper, demo, created_at)
		VALUES ('Petra', 'petra@thornwick.example', '$argon2id$', false, false, false, false, now())`)
	db.Exec(t, `INSERT INTO projects (title, purpose, started_by, started_at, version, client_key)
		SELECT title, '', id, now(), 1, 'key-' || title FROM accounts, (VALUES ('weir'), ('roof-edge'), ('bare')) AS p (title)`)
	site := `INSERT INTO sites (project_id, version, name, flow_m3s, gauged, note, changed_by, changed_at)
		SELECT id, 2, '', $2, $3, $4, started_by, '2026-08-12 10:00Z' FROM projects WHERE title = $1`
	db.Exec(t, site, "weir", 0.0034, "bucket", "shore it")
	db.Exec(t, site, "roof-edge", nil, "to be done on Sunday", "mind the gutter")
	db.Exec(t, site, "bare", nil, "", "")
	db.Migrate(t)
	require.Equal(t, 1, db.Number(t, "SELECT count(*) FROM gaugings"))
	require.Equal(t, 1, db.Number(t, `SELECT count(*) FROM gaugings g JOIN projects p ON p.id = g.project_id JOIN accounts a ON a.id = g.recorded_by
		WHERE p.title = 'weir' AND flow_m3s = 0.0034 AND how = 'bucket' AND recorded_at = '2026-08-12 10:00Z' AND gauged_on IS NULL AND a.name = 'Petra'`))
	require.Equal(t, 1, db.Number(t, "SELECT count(*) FROM sites WHERE note = E'mind the gutter\nto be done on Sunday'"))
	require.Equal(t, 2, db.Number(t, "SELECT count(*) FROM sites WHERE note IN ('', 'shore it')"))
}

func TestStoreStartsNoLetterBehindADraft(t *testing.T) {
	t.Parallel()
	c := inCheck(t, 1)
	starts := func() error {
		version := int64(c.Number(t, "SELECT version FROM designs"))
		return c.as(c.petra, domain.EditDesign, func(tx *store.Tx, p domain.Permit) error {
			s, err := tx.Sheet(c.project, c.design, "A", 1)
			if err != nil {
				return err
			}
			s.SavedAt, s.Report.CoefficientSet = time.Now().UTC(), "0"
			return tx.StartRevision(p, version, &s)
		})
	}
	code := func(err error) string {
		known, _ := errors.AsType[*domain.Error](err)
		require.NotNil(t, known, err)
		return known.Code
	}
	require.Equal(t, "revision-open", code(starts()))
	c.Put(t, domain.Draft, "true")
	require.Equal(t, "letter-is-draft", code(starts()))
	require.Equal(t, "draft", c.state(t))
	c.Put(t, domain.Returned, "true")
	require.NoError(t, starts())
	require.Equal(t, "letter-is-draft", code(starts()), "now B is one")
	require.Equal(t, 2, c.Number(t, "SELECT count(*) FROM revisions"))
}

// Letters that were set aside as drafts by an older release stay as they are.
func TestLettersSetAsideAsDraftsStayReturned(t *testing.T) {
	t.Parallel()
	db := storetest.At(t, 15)
	db.Exec(t, `INSERT INTO accounts (name, address, password_hash, checker, steward, keeper, demo, created_at)
		VALUES ('Petra', 'petra@thornwick.example', '$argon2id$', false, false, false, false, now())`)
	db.Exec(t, `INSERT INTO projects (title, purpose, started_by, started_at, version, client_key) SELECT 'weir', '', id, now(), 1, 'key-00000001' FROM accounts`)
	db.Exec(t, `INSERT INTO designs (project_id, title, started_by, started_at, version, client_key) SELECT id, 'Trompe', started_by, now(), 1, 'key-00000001' FROM projects`)
	db.Exec(t, `INSERT INTO revisions (design_id, position, letter, state, sheet_count, started_by, started_at) SELECT id, 1, 'A', 'draft', 1, started_by, now() FROM designs`)
	db.Exec(t, "UPDATE revisions SET state = 'returned'")
	db.Migrate(t)
	require.Equal(t, 1, db.Number(t, "SELECT count(*) FROM revisions WHERE state = 'returned'"))
	db.Exec(t, revisionByHand("2", "B", "draft"))
	refusedAs(t, db, "revisions_state_forward", "UPDATE revisions SET state = 'returned' WHERE letter = 'B'")
	require.Equal(t, 1, db.Number(t, "SELECT count(*) FROM revisions WHERE state = 'draft'"))
}
