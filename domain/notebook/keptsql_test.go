package notebook_test

import (
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/notebook"
	"leat/domain/store/storetest"
)

// refuses demands that the database refuses each change of a table by the constraint
// that it stands under: what is set in all its rows, or a whole statement. The
// triggers of leat stand aside, so that nothing but the constraint can refuse it.
func (b *bundle) refuses(t *testing.T, table string, changes map[string]string) {
	t.Helper()
	require.NotZero(t, b.db.Number(t, "SELECT count(*) FROM "+table), table)
	for _, name := range slices.Sorted(maps.Keys(changes)) {
		change := changes[name]
		if len(change) < 7 || change[:7] != "INSERT " {
			change = "UPDATE " + table + " SET " + change
		}
		b.violates(t, name, "ALTER TABLE "+table+" DISABLE TRIGGER USER; "+change+"; SET CONSTRAINTS ALL IMMEDIATE")
	}
}

// twice inserts every row of a table once more, as it is.
func twice(table string) string {
	return "INSERT INTO " + table + " OVERRIDING SYSTEM VALUE SELECT * FROM " + table
}

// The database keeps the rules of an import by itself, whatever the server says.
func TestTheDatabaseKeepsTheRulesOfAnImport(t *testing.T) {
	t.Parallel()
	from := setup(t)
	b := empty(t, notebook.Options{})
	keeper := b.db.Person(t, "Olwen Marsh", domain.Keeper)
	_, _, err := bringIn(b, keeper, from.takeAlong(t, from.petra, from.project.ID), storetest.Password, "archive-0001", false)
	require.NoError(t, err)
	b.petra = b.db.Person(t, "Petra Lindahl")
	b.startProject(t, "project-0001")

	imported := func(project, key, link string) string {
		return `INSERT INTO imports (project_id, group_name, written_at, record_number, record_link, digest, signed, who, at, client_key, link)
			SELECT ` + project + `, group_name, written_at, record_number, record_link, digest, signed, who, at, ` + key + `, ` + link + ` FROM imports`
	}
	const other, fresh = "(SELECT max(id) FROM projects)", "'by-hand-01'"
	b.refuses(t, "imports", map[string]string{
		"imports_id_key": twice("imports"), "imports_project_id_key": imported("project_id", fresh, "901"), "imports_link_key": imported(other, fresh, "link"),
		"imports_who_client_key_key": imported(other, "client_key", "901"), "imports_link_fk": imported(other, fresh, "901"),
		"imports_project_id_fk": "project_id = -1", "imports_who_fk": "who = -1", "imports_group_name_check": "group_name = repeat('x', 81)",
		"imports_record_number_check": "record_number = -1", "imports_record_link_check": "record_link = 'x'", "imports_digest_check": "digest = 'x'",
		"imports_signed_check": "signed = -1", "imports_client_key_check": "client_key = 'x'",
	})
	b.violates(t, "imports_xact_begun_key", imported(other, fresh, "901")+"; "+imported("-1", "'by-hand-02'", "902"))
	b.violates(t, "imports_by_keeper", "UPDATE accounts SET keeper = true WHERE name = 'Petra Lindahl'; UPDATE accounts SET keeper = false WHERE name = 'Olwen Marsh'; "+imported(other, fresh, "901"))
	b.violates(t, "imports_append_only", "UPDATE imports SET signed = 9", "DELETE FROM imports")
	b.violates(t, "imports_append_only_truncate", "TRUNCATE imports CASCADE")

	b.refuses(t, "import_people", map[string]string{
		"import_people_account_id_key": twice("import_people"), "import_people_account_id_fk": "account_id = -1", "import_people_import_id_fk": "import_id = -1",
		"import_people_name_check": "name = ''", "import_people_group_name_check": "group_name = repeat('x', 81)",
	})
	came := func(who string) string {
		return "INSERT INTO import_people (account_id, import_id, name, group_name) SELECT a.id, i.id, 'Bryn', 'Weir' FROM accounts a, imports i WHERE " + who
	}
	b.violates(t, "import_people_closed", came("a.name = 'Petra Lindahl'"), came("a.keeper"),
		`INSERT INTO accounts (name, checker, steward, keeper, demo, created_at, closed_at) VALUES ('Bryn', false, false, false, false, now(), now()); `+came("a.name = 'Bryn'"),
		imported(other, fresh, "901")+"; "+came("a.name = 'Petra Lindahl'"))
	b.violates(t, "import_people_append_only", "UPDATE import_people SET name = 'x'", "DELETE FROM import_people")
	b.violates(t, "import_people_append_only_truncate", "TRUNCATE import_people")

	b.db.Exec(t, "INSERT INTO import_sets (set_name, import_id) SELECT '0', id FROM imports")
	b.refuses(t, "import_sets", map[string]string{"import_sets_set_name_key": twice("import_sets"), "import_sets_set_name_fk": "set_name = '77'", "import_sets_import_id_fk": "import_id = -1"})
	b.violates(t, "import_sets_append_only", "UPDATE import_sets SET set_name = '0'", "DELETE FROM import_sets")
	b.violates(t, "import_sets_append_only_truncate", "TRUNCATE import_sets")
}

// nothingStandsOnElsewhere shows that nothing is built, tested, certified or learned
// on what a link of an import says was signed elsewhere.
func (s *taught) nothingStandsOnElsewhere(t *testing.T) {
	t.Helper()
	elsewhere := func(link string) string {
		return `ALTER TABLE imports DISABLE TRIGGER USER;
			INSERT INTO imports (project_id, group_name, written_at, record_number, record_link, digest, signed, who, at, client_key, link, begun)
			SELECT id, '', now(), 0, sha256('r'), sha256('a'), 1, started_by, now(), 'by-hand-01', ` + link + " - 1, now() - interval '1 day' FROM projects; "
	}
	s.violates(t, "coefficient_set_runs_confirmed_here", elsewhere("(SELECT max(link) FROM run_ends)")+"INSERT INTO coefficient_set_runs SELECT 1, run_id, digest FROM run_verdicts")
	issued := elsewhere("801") + `ALTER TABLE revision_issues DISABLE TRIGGER USER;
		INSERT INTO revision_issues (revision_id, sheet_number, digest, pressure_hash, class, checkers, note, issued_by, issued_at, link)
		SELECT id, 1, sha256('d'), sha256('p'), 'plain', 1, '', started_by, now(), 801 FROM revisions; `
	s.violates(t, "test_sheets_cleared_here", issued+"INSERT INTO test_sheets (build_id, build_version) SELECT id, newest FROM builds")
	s.violates(t, "certificates_tested_here", issued+"ALTER TABLE certificates DISABLE TRIGGER certificates_by_steward; ALTER TABLE certificates DISABLE TRIGGER certificates_of_tested; "+
		"INSERT INTO certificates (build_id, build_version) SELECT id, newest FROM builds")
	s.violates(t, "build_versions_cleared_here", issued+"INSERT INTO build_versions (build_id, number, revision_id) SELECT id, 9, revision_id FROM builds")
}
