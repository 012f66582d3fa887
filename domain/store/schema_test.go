package store_test

import (
	"context"
	"errors"
	"io/fs"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/stretchr/testify/require"

	"leat/calc/trompe"
	"leat/domain"
	"leat/domain/store"
	"leat/domain/store/storetest"
	"leat/migrations"
)

// namesOf returns one column of a query.
func namesOf(t *testing.T, db *storetest.DB, query string) []string {
	t.Helper()
	rows, err := db.SQL.Query(query)
	require.NoError(t, err)
	defer func() { _ = rows.Close() }()
	var names []string
	for rows.Next() {
		var name string
		require.NoError(t, rows.Scan(&name))
		names = append(names, name)
	}
	require.NoError(t, rows.Err())
	return names
}

func TestConstraintsAreNamedByTheRule(t *testing.T) {
	t.Parallel()
	db := storetest.New(t)
	odd := namesOf(t, db, `SELECT conname FROM pg_constraint k JOIN pg_class c ON c.oid = k.conrelid
		WHERE connamespace = 'public'::regnamespace AND contype <> 'n' AND c.relname <> 'goose_db_version'
		AND (conname NOT LIKE c.relname || '\_%' OR conname !~ '_(key|fk|check)$')`)
	require.Empty(t, odd)
}

func TestForeignKeysHaveAnIndexAndRestrict(t *testing.T) {
	t.Parallel()
	db := storetest.New(t)
	require.Empty(t, namesOf(t, db, `SELECT conname FROM pg_constraint k WHERE contype = 'f' AND (confdeltype <> 'r' OR NOT EXISTS (
		SELECT 1 FROM pg_index x WHERE x.indrelid = k.conrelid AND x.indkey[0] = k.conkey[1]))`))
}

func TestStoreWantsTheNewestMigration(t *testing.T) {
	files, err := fs.Glob(migrations.FS, "*.sql")
	require.NoError(t, err)
	newest, err := strconv.Atoi(files[len(files)-1][:5])
	require.NoError(t, err)
	require.Equal(t, store.SchemaVersion, newest, "SchemaVersion in store.go is not the number of the newest migration")
	require.Len(t, files, newest, "the numbers of the migrations have a gap")
}

func TestReady(t *testing.T) {
	t.Parallel()
	db := storetest.New(t)
	ctx := context.Background()
	require.NoError(t, db.Ready(ctx))
	db.Exec(t, "DELETE FROM goose_db_version WHERE version_id = $1", store.SchemaVersion)
	require.ErrorContains(t, db.Ready(ctx), "run the migrations")
	db.Exec(t, "DROP TABLE goose_db_version")
	require.Error(t, db.Ready(ctx))
}

// kept prepares a project with one saved sheet, by hand.
func kept(t testing.TB) *storetest.DB {
	db := storetest.New(t)
	who := db.Person(t, "Petra Lindahl").Account
	db.Exec(t, `INSERT INTO projects (title, purpose, started_by, started_at, version, client_key) VALUES ('P', '', $1, now(), 1, 'key-00000001')`, who)
	db.Exec(t, `INSERT INTO sites (project_id, version, name, note) SELECT id, 1, '', '' FROM projects`)
	db.Exec(t, `INSERT INTO crew (project_id, account_id, joined_at) SELECT id, started_by, now() FROM projects`)
	db.Exec(t, `INSERT INTO designs (project_id, title, started_by, started_at, version, client_key) SELECT id, 'D', started_by, now(), 1, 'key-00000001' FROM projects`)
	db.Exec(t, `INSERT INTO revisions (design_id, position, letter, state, sheet_count, started_by, started_at) SELECT id, 1, 'A', 'draft', 1, started_by, now() FROM designs`)
	db.Exec(t, `INSERT INTO crew_asks (project_id, account_id, asked_by, asked_at) SELECT p.id, $1, p.started_by, now() FROM projects p`, db.Person(t, "Tomasz Reyes").Account)
	db.Exec(t, sheetByHand("1", `'{}'`, `'{"calc_version": "1"}'`, "'1'", "''"))
	return db
}

func sheetByHand(number, input, report, calc, note string) string {
	return `INSERT INTO sheets (revision_id, number, input, report, calc_version, note, saved_by, saved_at)
		SELECT id, ` + number + `, ` + input + `, ` + report + `, ` + calc + `, ` + note + `, started_by, now() FROM revisions`
}

func setByHand(name, calc, body string) string {
	return `INSERT INTO coefficient_sets (name, calc, body) VALUES ('` + name + `', '` + calc + `', '` + body + `')`
}

func stockByHand(forSale, length, quantity, key string) string {
	return `INSERT INTO stock_items (key, for_sale, length_m, quantity, note, recorded_by, recorded_at, changed_by, changed_at, client_key, version)
		SELECT 'elbow', ` + forSale + `, ` + length + `, ` + quantity + `, '', started_by, now(), started_by, now(), ` + key + `, 1 FROM projects`
}

func TestSetZeroIsTheOneThatIsCalculatedWith(t *testing.T) {
	t.Parallel()
	db := storetest.New(t)
	_, text := trompe.SetZero()
	require.Equal(t, []string{string(text)}, namesOf(t, db, "SELECT body FROM coefficient_sets"))
}

func TestSheetsAndGaugingsAreAppendOnly(t *testing.T) {
	t.Parallel()
	db := kept(t)
	db.Exec(t, gaugingByHand("1", "NULL", "NULL", "''", "'key-00000001'"))
	for _, replica := range []bool{false, true} {
		for _, c := range [][2]string{
			{"UPDATE sheets SET note = 'nicer'", "sheets_append_only"},
			{"DELETE FROM sheets", "sheets_append_only"},
			{"TRUNCATE sheets CASCADE", "sheets_append_only_truncate"},
			{"TRUNCATE designs CASCADE", "remarks_kept_truncate"},
			{"UPDATE gaugings SET flow_m3s = 2", "gaugings_append_only"},
			{"DELETE FROM gaugings", "gaugings_append_only"},
			{"TRUNCATE gaugings CASCADE", "gaugings_append_only_truncate"},
		} {
			conn, err := db.SQL.Conn(context.Background())
			require.NoError(t, err)
			if replica { // switches off triggers that are not ENABLE ALWAYS
				_, err = conn.ExecContext(context.Background(), "SET session_replication_role = replica")
				require.NoError(t, err)
			}
			_, err = conn.ExecContext(context.Background(), c[0])
			pg, ok := errors.AsType[*pgconn.PgError](err)
			require.True(t, ok, c[0])
			require.Equal(t, c[1], pg.ConstraintName, c[0])
			_, _ = conn.ExecContext(context.Background(), "SET session_replication_role = DEFAULT")
			require.NoError(t, conn.Close())
		}
	}
	require.Equal(t, 1, db.Number(t, "SELECT count(*) FROM sheets WHERE note = ''"))
	require.Equal(t, 1, db.Number(t, "SELECT count(*) FROM gaugings WHERE flow_m3s = 1"))
}

// Every row breaks one constraint by hand; a statement that is let through
// fails the test.
func TestConstraintsHold(t *testing.T) {
	t.Parallel()
	db := kept(t)
	db.Exec(t, gaugingByHand("1", "NULL", "NULL", "''", "'key-00000001'"))
	db.Exec(t, stockByHand("false", "3", "1", "'key-00000001'"))
	db.Exec(t, stockByHand("true", "6", "NULL", "'key-00000002'"))
	long := "repeat('x', 2001)"
	broken := map[string][]string{
		"accounts_name_check":          {"UPDATE accounts SET name = ''"},
		"accounts_address_check":       {"UPDATE accounts SET address = 'x'"},
		"accounts_password_hash_check": {"UPDATE accounts SET password_hash = 'falling water'"},
		"accounts_closed_at_check":     {"UPDATE accounts SET address = NULL", "UPDATE accounts SET closed_at = now()"},
		"accounts_address_key": {`INSERT INTO accounts (name, address, password_hash, checker, steward, keeper, demo, created_at)
			SELECT name, upper(address), password_hash, false, false, false, false, now() FROM accounts`},
		"sessions_account_id_fk":            {"UPDATE sessions SET account_id = -1"},
		"sessions_family_hash_check":        {"UPDATE sessions SET family_hash = 'x'"},
		"sessions_refresh_hash_check":       {"UPDATE sessions SET refresh_hash = 'x'"},
		"sessions_created_at_ends_at_check": {"UPDATE sessions SET ends_at = created_at"},
		"sessions_family_hash_key": {`INSERT INTO sessions (account_id, family_hash, refresh_hash, created_at, used_at, ends_at)
			SELECT account_id, family_hash, refresh_hash, created_at, used_at, ends_at FROM sessions`},
		"setup_codes_purpose_check":           {"INSERT INTO setup_codes VALUES ('second_keeper', sha256('x'), now())"},
		"setup_codes_code_hash_check":         {"INSERT INTO setup_codes VALUES ('first_keeper', 'x', now())"},
		"projects_title_check":                {"UPDATE projects SET title = ''", "UPDATE projects SET title = " + long},
		"projects_purpose_check":              {"UPDATE projects SET purpose = " + long},
		"projects_started_by_fk":              {"UPDATE projects SET started_by = -1"},
		"projects_version_check":              {"UPDATE projects SET version = 0"},
		"projects_client_key_check":           {"UPDATE projects SET client_key = 'x'"},
		"accounts_own_units_check":            {"UPDATE accounts SET own_units = 'feet'"},
		"accounts_closed_at_own_units_check":  {"UPDATE accounts SET closed_at = now(), address = NULL, password_hash = NULL, own_units = 'us'"},
		"sessions_browser_check":              {"UPDATE sessions SET browser = " + long},
		"crew_project_id_fk":                  {"INSERT INTO crew SELECT -1, account_id, joined_at FROM crew"},
		"crew_account_id_fk":                  {"INSERT INTO crew SELECT project_id, -1, joined_at FROM crew"},
		"crew_project_id_account_id_key":      {"INSERT INTO crew SELECT * FROM crew"},
		"crew_kept":                           {"UPDATE crew SET project_id = -1", "UPDATE crew SET account_id = -1", "UPDATE crew SET joined_at = now()", "DELETE FROM crew"},
		"crew_kept_truncate":                  {"TRUNCATE crew"},
		"crew_asks_project_id_fk":             {"UPDATE crew_asks SET project_id = -1"},
		"crew_asks_account_id_fk":             {"UPDATE crew_asks SET account_id = -1"},
		"crew_asks_asked_by_fk":               {"UPDATE crew_asks SET asked_by = -1"},
		"crew_asks_account_id_asked_by_check": {"UPDATE crew_asks SET account_id = asked_by"},
		"crew_asks_answer_check":              {"UPDATE crew_asks SET answer = 'maybe', answered_at = now()"},
		"crew_asks_answer_answered_at_check":  {"UPDATE crew_asks SET answer = 'yes'", "UPDATE crew_asks SET answered_at = now()"},
		"crew_asks_project_id_account_id_key": {askByHand},
		"sites_project_id_fk":                 {"UPDATE sites SET project_id = -1"},
		"sites_source_check":                  {"UPDATE sites SET source = 'well'"},
		"sites_version_check":                 {"UPDATE sites SET version = 0"},
		"sites_name_check":                    {"UPDATE sites SET name = " + long},
		"sites_note_check":                    {"UPDATE sites SET note = repeat('x', 2601)"},
		"sites_changed_by_fk":                 {"UPDATE sites SET changed_by = -1, changed_at = now()"},
		"sites_changed_by_changed_at_check":   {"UPDATE sites SET changed_at = now()"},
		"designs_project_id_fk":               {"UPDATE designs SET project_id = -1"},
		"designs_title_check":                 {"UPDATE designs SET title = ''"},
		"designs_started_by_fk":               {"UPDATE designs SET started_by = -1"},
		"designs_version_check":               {"UPDATE designs SET version = 0"},
		"designs_client_key_check":            {"UPDATE designs SET client_key = 'x'"},
		"revisions_design_id_fk":              {"UPDATE revisions SET design_id = -1"},
		"revisions_position_check":            {"UPDATE revisions SET position = 0"},
		"revisions_letter_check":              {"UPDATE revisions SET letter = 'I'", "UPDATE revisions SET letter = 'a'"},
		"revisions_state_check":               {"UPDATE revisions SET state = 'done'"},
		"revisions_sheet_count_check":         {"UPDATE revisions SET sheet_count = -1"},
		"revisions_started_by_fk":             {"UPDATE revisions SET started_by = -1"},
		"revisions_design_id_key":             {revisionByHand("2", "B", "draft"), revisionByHand("2", "B", "in_check")},
		"revisions_design_id_letter_key":      {revisionByHand("2", "A", "returned")},
		"revisions_design_id_position_key":    {revisionByHand("1", "B", "returned")},
		"gaugings_half_width_m3s_check":       {gaugingByHand("1", "-1", "NULL", "''", "'key-00000002'"), gaugingByHand("1", "'NaN'", "NULL", "''", "'key-00000002'")},
		"gaugings_flow_m3s_check":             {gaugingByHand("101", "NULL", "NULL", "''", "'key-00000002'"), gaugingByHand("'NaN'", "NULL", "NULL", "''", "'key-00000002'")},
		"gaugings_gauged_on_check":            {gaugingByHand("1", "NULL", "'1899-12-31'", "''", "'key-00000002'")},
		"gaugings_how_check":                  {gaugingByHand("1", "NULL", "NULL", "repeat('x', 501)", "'key-00000002'")},
		"gaugings_note_check":                 {strings.Replace(gaugingByHand("1", "NULL", "NULL", "''", "'key-00000002'"), "'', started_by", long+", started_by", 1)},
		"gaugings_client_key_check":           {gaugingByHand("1", "NULL", "NULL", "''", "'x'")},
		"gaugings_recorded_by_client_key_key": {gaugingByHand("1", "NULL", "NULL", "''", "'key-00000001'")},
		"gaugings_recorded_by_fk":             {"INSERT INTO gaugings (project_id, flow_m3s, how, note, recorded_by, recorded_at, client_key) SELECT project_id, 1, '', '', -1, now(), 'key-00000002' FROM sites"},
		"gaugings_project_id_fk":              {"INSERT INTO gaugings (project_id, flow_m3s, how, note, recorded_by, recorded_at, client_key) SELECT -1, 1, '', '', started_by, now(), 'key-00000002' FROM projects"},
		"sheets_revision_id_fk":               {"DELETE FROM revisions"},
		"sheets_revision_id_number_key":       {sheetByHand("1", `'{}'`, `'{"calc_version": "1"}'`, "'1'", "''")},
		"sheets_number_check":                 {sheetByHand("0", `'{}'`, `'{"calc_version": "1"}'`, "'1'", "''")},
		"sheets_input_check":                  {sheetByHand("2", `'[]'`, `'{"calc_version": "1"}'`, "'1'", "''")},
		"sheets_report_check": {
			sheetByHand("2", `'{}'`, `'{}'`, "'1'", "''"),
			sheetByHand("2", `'{}'`, `'{"calc_version": "2"}'`, "'1'", "''"),
			sheetByHand("2", `'{}'`, `'{"calc_version": "1", "faults": []}'`, "'1'", "''"),
		},
		"sheets_coefficient_set_fk":             {sheetByHand("2", `'{}'`, `'{"calc_version": "1", "coefficient_set": "7"}'`, "'1'", "''")},
		"coefficient_sets_append_only":          {"UPDATE coefficient_sets SET body = body", "DELETE FROM coefficient_sets"},
		"coefficient_sets_append_only_truncate": {"TRUNCATE coefficient_sets CASCADE"},
		"coefficient_sets_name_key":             {setByHand("0", "trompe", `{"set": "0", "calc": "trompe"}`)},
		"coefficient_sets_name_check":           {setByHand("01", "trompe", `{"set": "01", "calc": "trompe"}`), setByHand("", "trompe", `{"set": "", "calc": "trompe"}`)},
		"coefficient_sets_calc_check":           {setByHand("1", "ram", `{"set": "1", "calc": "ram"}`)},
		"coefficient_sets_body_check": {
			setByHand("1", "trompe", `[]`), setByHand("1", "trompe", `{"set": "2", "calc": "trompe"}`), setByHand("1", "trompe", `{"set": "1"}`),
		},
		"sheets_calc_version_check": {sheetByHand("2", `'{}'`, `'{"calc_version": ""}'`, "''", "''")},
		"sheets_note_check":         {sheetByHand("2", `'{}'`, `'{"calc_version": "1"}'`, "'1'", "repeat('x', 501)")},

		"stock_items_key_check":                    {"UPDATE stock_items SET key = ''", "UPDATE stock_items SET key = " + long},
		"stock_items_length_m_check":               {"UPDATE stock_items SET length_m = 0", "UPDATE stock_items SET length_m = 'NaN'", "UPDATE stock_items SET length_m = 1001"},
		"stock_items_quantity_check":               {"UPDATE stock_items SET quantity = 0 WHERE NOT for_sale", "UPDATE stock_items SET quantity = 1001 WHERE NOT for_sale"},
		"stock_items_kerf_m_check":                 {"UPDATE stock_items SET kerf_m = -0.001 WHERE for_sale", "UPDATE stock_items SET kerf_m = 'NaN' WHERE for_sale"},
		"stock_items_trim_m_check":                 {"UPDATE stock_items SET trim_m = 1.1 WHERE for_sale", "UPDATE stock_items SET trim_m = '-Infinity' WHERE for_sale"},
		"stock_items_price_check":                  {"UPDATE stock_items SET price = -1", "UPDATE stock_items SET price = 100000001"},
		"stock_items_note_check":                   {"UPDATE stock_items SET note = repeat('x', 501)"},
		"stock_items_recorded_by_fk":               {"UPDATE stock_items SET recorded_by = -1"},
		"stock_items_changed_by_fk":                {"UPDATE stock_items SET changed_by = -1"},
		"stock_items_client_key_check":             {"UPDATE stock_items SET client_key = 'x'"},
		"stock_items_version_check":                {"UPDATE stock_items SET version = 0"},
		"stock_items_for_sale_quantity_check":      {"UPDATE stock_items SET quantity = NULL WHERE NOT for_sale", "UPDATE stock_items SET quantity = 2 WHERE for_sale"},
		"stock_items_for_sale_kerf_m_trim_m_check": {"UPDATE stock_items SET kerf_m = 0.002 WHERE NOT for_sale", "UPDATE stock_items SET length_m = NULL, trim_m = 0 WHERE for_sale"},
		"stock_items_recorded_by_client_key_key":   {stockByHand("false", "3", "1", "'key-00000001'")},
		"stock_items_key_key":                      {stockByHand("true", "6", "NULL", "'key-00000003'")},
	}
	for figure, outside := range map[string][]float64{
		"fall_m": {-1, 1001}, "static_pa": {-1, 2000001},
		"t_water_c": {-1, 46}, "t_air_c": {-41, 61}, "altitude_m": {-431, 5001},
	} {
		for _, v := range append(outside, math.NaN(), math.Inf(1), math.Inf(-1)) {
			name := "sites_" + figure + "_check"
			broken[name] = append(broken[name], "UPDATE sites SET "+figure+" = '"+strconv.FormatFloat(v, 'g', -1, 64)+"'::double precision")
		}
	}
	for name, statements := range broken {
		for _, statement := range statements {
			_, err := db.SQL.Exec(statement)
			pg, ok := errors.AsType[*pgconn.PgError](err)
			require.True(t, ok, "%s let through: %s (%v)", name, statement, err)
			require.Equal(t, name, pg.ConstraintName, statement)
		}
	}
}

// gaugingByHand is a gauging of the only project.
func gaugingByHand(flow, half, on, how, key string) string {
	return `INSERT INTO gaugings (project_id, flow_m3s, half_width_m3s, gauged_on, how, note, recorded_by, recorded_at, client_key)
		SELECT id, ` + flow + `, ` + half + `, ` + on + `, ` + how + `, '', started_by, now(), ` + key + ` FROM projects`
}

func revisionByHand(position, letter, state string) string {
	return `INSERT INTO revisions (design_id, position, letter, state, sheet_count, started_by, started_at)
		SELECT design_id, ` + position + `, '` + letter + `', '` + state + `', 0, started_by, started_at FROM revisions`
}

const askByHand = `INSERT INTO crew_asks (project_id, account_id, asked_by, asked_at)
	SELECT project_id, account_id, asked_by, now() FROM crew_asks LIMIT 1`

func TestAnAskIsAnsweredOnceAndThenMayBeMadeAgain(t *testing.T) {
	t.Parallel()
	db := kept(t)
	db.Exec(t, "UPDATE crew_asks SET answer = 'no', answered_at = now()")
	for _, answer := range []string{"answer = 'yes'", "answer = NULL, answered_at = NULL", "account_id = asked_by"} {
		_, err := db.SQL.Exec("UPDATE crew_asks SET " + answer)
		pg, ok := errors.AsType[*pgconn.PgError](err)
		require.True(t, ok, answer)
		require.Equal(t, "crew_asks_answered", pg.ConstraintName)
	}
	db.Exec(t, askByHand)
}

func TestOnlyADraftTakesSheets(t *testing.T) {
	t.Parallel()
	for _, state := range []string{"in_check", "returned", "cleared", "superseded", "withdrawn"} {
		db := kept(t)
		db.Put(t, domain.State(state), "true")
		_, err := db.SQL.Exec(sheetByHand("2", `'{}'`, `'{"calc_version": "1"}'`, "'1'", "''"))
		pg, ok := errors.AsType[*pgconn.PgError](err)
		require.True(t, ok, state)
		require.Equal(t, "sheets_into_draft", pg.ConstraintName)
	}
}

func TestTriggerTranslatesToTheDomain(t *testing.T) {
	t.Parallel()
	db := kept(t)
	who := db.Person(t, "Bram Oduya")
	// The revision is frozen between the store's own check and the insert.
	db.Exec(t, "ALTER TABLE revisions DISABLE TRIGGER revisions_state_reached")
	db.Exec(t, `CREATE FUNCTION freeze_it() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN UPDATE revisions SET state = 'in_check'; RETURN NULL; END $$`)
	db.Exec(t, `CREATE TRIGGER freeze_it AFTER UPDATE OF sheet_count ON revisions FOR EACH ROW EXECUTE FUNCTION freeze_it()`)
	db.Exec(t, `INSERT INTO crew (project_id, account_id, joined_at) SELECT id, $1, now() FROM projects`, who.Account)
	err := db.InTx(context.Background(), func(tx *store.Tx) error {
		access, err := tx.Access(who, domain.ProjectID(db.Number(t, "SELECT id FROM projects")))
		require.NoError(t, err)
		permit, err := domain.Authorize(who, access, domain.EditDesign)
		require.NoError(t, err)
		s := domain.Sheet{SheetHead: domain.SheetHead{
			Design: domain.DesignID(db.Number(t, "SELECT id FROM designs")), Letter: "A", SavedAt: time.Now(),
		}}
		s.Input.Trompe, s.Report.CalcVersion = []byte("{}"), "1"
		_, err = tx.SaveSheet(permit, 1, &s)
		return err
	})
	e, ok := errors.AsType[*domain.Error](err)
	require.True(t, ok, "%v", err)
	require.Equal(t, "revision-frozen", e.Code)
	require.Equal(t, 1, db.Number(t, "SELECT count(*) FROM sheets"))
	require.Equal(t, 1, db.Number(t, "SELECT version FROM designs"))
}
