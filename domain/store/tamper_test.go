package store_test

import (
	"context"
	"errors"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/store"
	"leat/domain/store/storetest"
)

// signedRow is how a row of a kind is made by hand, LINK being the number of its
// link, and others with it; and what of it is signed: all its columns but the free
// ones, and what the changes beside touch.
type signedRow struct {
	about  []string
	row    string
	with   []string
	free   []string
	beside []string
}

const (
	entryTested = `INSERT INTO test_entries (id, sheet_id, item, role, recorded, outcome, why, who, sent_by, at, client_key)
		SELECT 1, 1, 'P05', 'builder', '{}', 'met', '', min(id), min(id), now(), 'key-00000001' FROM accounts`
	settingsByHand = `INSERT INTO safety_settings (id, body, why, proposed_by, proposed_at, client_key, link)
		SELECT 1, '{}', 'Old pipe.', min(id), now(), 'key-00000001', LINK FROM accounts`
	templateByHand = `INSERT INTO templates (version, follows, body, why, proposed_by, proposed_at, client_key, link)
		SELECT 2, 1, '{}', 'A longer hold.', min(id), now(), 'key-00000001', LINK FROM accounts`
	issueByHand = `INSERT INTO revision_issues (revision_id, sheet_number, digest, pressure_hash, class, checkers, note, issued_by, issued_at, link)
		SELECT id, 1, sha256('d'), sha256('p'), 'plain', 1, '', started_by, now(), LINK FROM revisions`
)

// machineChanged is what of a machine a test and a certificate of it hold: how it
// stood, and who had built it.
var machineChanged = []string{
	"UPDATE build_versions SET revision_id = 9", `UPDATE build_versions SET differences = '{"/trompe/intake/n_tubes": 28}'`, `UPDATE build_versions SET renewed = '{"/parts/0": 1}'`,
	"UPDATE build_versions SET place = 'weir'", "UPDATE build_versions SET moves = 1", "UPDATE build_versions SET pressure_hash = sha256('y')", "DELETE FROM build_versions",
	"UPDATE build_people SET account_id = (SELECT max(id) FROM accounts)", "UPDATE build_people SET added_at = added_at + interval '1 second'",
	"UPDATE build_people SET account_id = NULL, name = 'Bryn' WHERE position = 1", "DELETE FROM build_people WHERE position = 1", "UPDATE build_people SET position = 7 WHERE position = 2",
	"UPDATE build_people SET added_by = (SELECT max(id) FROM accounts)",
}

// What stands in a run about which is signed.
var (
	runByHand = []string{
		`INSERT INTO runs (id, build_id, number, build_version, title, purpose, coefficient_set, calc_version, required, limits, opened_by, opened_at, client_key, version)
			SELECT 1, id, 1, 1, 'First run', '', '0', '1', '["free_air_m3s"]', '{}', started_by, now(), 'key-00000001', 1 FROM builds`,
		`INSERT INTO run_points (id, run_id, number, name, setting, note, added_by, at, client_key) SELECT 1, 1, 1, 'As drawn', 'as_drawn', '', min(id), now(), 'key-00000001' FROM accounts`,
		`INSERT INTO run_readings (id, run_id, point_id, quantity, method, typed, values, extra, reset, certified, taken_by, taken_at, client_key)
			SELECT 1, 1, 1, 'water_flow_m3s', 'bucket', '{"unit": "s", "texts": ["25"]}', '{25}', '{}', false, true, min(id), now(), 'key-00000001' FROM accounts`,
		`INSERT INTO run_strikes (id, reading_id, position, reason, who, at, client_key) SELECT 1, 1, 1, 'A slip', min(id), now(), 'key-00000001' FROM accounts`,
		`INSERT INTO run_submissions (run_id, who, at) SELECT 1, min(id), now() FROM accounts`,
		`INSERT INTO run_verdicts (run_id, body, digest, seed, draws, at) VALUES (1, '{}', sha256('{}'), 'a', 512, now())`,
	}
	runChanged = []string{
		"UPDATE runs SET build_version = 2", "UPDATE runs SET title = 'x'", "UPDATE runs SET purpose = 'x'", "UPDATE runs SET coefficient_set = '1'", "UPDATE runs SET calc_version = '2'",
		"UPDATE runs SET required = '[]'", `UPDATE runs SET limits = '{"free_air_m3s": {"low": 0, "high": 1}}'`, "UPDATE runs SET opened_by = 9", "UPDATE runs SET opened_at = now() - interval '1 day'", "DELETE FROM runs",
		"UPDATE run_points SET setting = 'shut'", "UPDATE run_points SET name = 'x'", "UPDATE run_points SET added_by = 9", "DELETE FROM run_points",
		"UPDATE run_readings SET values = '{26}'", "UPDATE run_readings SET values = '{NULL}'", "UPDATE run_readings SET certified = false", "UPDATE run_readings SET quantity = 'free_air_m3s'",
		"UPDATE run_readings SET method = 'meter'", `UPDATE run_readings SET instrument = '{"class_pct": 0.1}'`, `UPDATE run_readings SET extra = '{"volume_m3": 1}'`, "UPDATE run_readings SET typed = '{}'",
		"UPDATE run_readings SET taken_by = 9", "UPDATE run_readings SET taken_at = now() - interval '1 day'", "UPDATE run_readings SET device_at = now()", "DELETE FROM run_readings",
		"UPDATE run_strikes SET position = NULL", "UPDATE run_strikes SET reason = 'x'", "DELETE FROM run_strikes",
		"UPDATE run_submissions SET who = 9", "DELETE FROM run_submissions",
		`UPDATE run_verdicts SET body = '{"outcome": {}}'`, "UPDATE run_verdicts SET digest = sha256('x')", "UPDATE run_verdicts SET draws = 1", "UPDATE run_verdicts SET seed = 'b'", "DELETE FROM run_verdicts",
	}
)

// A proposal of a set, with the run that it is learned from and what that says.
const (
	proposalByHand = `INSERT INTO coefficient_set_proposals (id, why, current_set, proposed_by, proposed_at, client_key, link)
		SELECT 1, 'Three machines', '0', min(id), now(), 'key-00000001', LINK FROM accounts`
	lessonByHand = `INSERT INTO coefficient_set_lessons (proposal_id, body, digest, at) VALUES (1, '{"adoptable": true}', sha256('{"adoptable": true}'), now())`
)

var (
	proposalTaught = []string{"INSERT INTO coefficient_set_runs (proposal_id, run_id, digest) VALUES (1, 1, sha256('v'))"}
	taughtChanged  = []string{"UPDATE coefficient_set_runs SET run_id = 9", "UPDATE coefficient_set_runs SET digest = sha256('y')", "DELETE FROM coefficient_set_runs"}
)

var signedRows = map[domain.LinkKind]signedRow{
	domain.LinkAct: {
		row:  `INSERT INTO acts (kind, at, who, about, before, after, link) SELECT 'joined', now(), min(id), min(id), '{}', '{}', LINK FROM accounts`,
		free: []string{"id"},
	},
	domain.LinkImported: {
		row: `INSERT INTO imports (id, project_id, group_name, written_at, record_number, record_link, digest, signed, who, at, client_key, link)
			SELECT 1, id, 'Mill', now(), 7, sha256('r'), sha256('a'), 0, started_by, now(), 'key-00000001', LINK FROM projects`,
		free:   []string{"client_key", "xact", "begun"},
		beside: []string{"UPDATE import_people SET name = 'Bryn'", "UPDATE import_people SET group_name = 'Weir'", "UPDATE import_people SET account_id = 9", "DELETE FROM import_people"},
		with:   []string{"INSERT INTO import_people (account_id, import_id, name, group_name) SELECT min(id), 1, 'Petra', 'Mill' FROM accounts"},
	},
	domain.LinkFileHide: {
		row:    `INSERT INTO file_hides (file_id, number, reason, keeper, steward, who, at, link) SELECT id, 1, 'A face', true, false, made_by, now(), LINK FROM files`,
		beside: []string{"UPDATE files SET name = 'b.jpg'", "UPDATE files SET digest = sha256('y')", "UPDATE files SET project_id = 9"},
	},
	domain.LinkIncidentRest: {
		row: `INSERT INTO incident_rests (entry_id, reason, who, at, link) SELECT id, 'A drip', who, now(), LINK FROM log_entries`,
		beside: []string{
			"UPDATE log_entries SET text = 'Dry'", "UPDATE log_entries SET build_id = NULL", "UPDATE log_entries SET who = 9", "UPDATE log_entries SET happened_at = happened_at - interval '1 day'",
			"UPDATE files SET digest = sha256('y')", "DELETE FROM log_files",
		},
	},
	domain.LinkSafetyProposed: {row: settingsByHand, free: []string{"client_key"}},
	domain.LinkSafetySigned: {
		about:  []string{strings.Replace(settingsByHand, "LINK", "999", 1)},
		row:    `INSERT INTO safety_setting_signatures (setting_id, role, who, at, link) SELECT 1, 'second', min(id), now(), LINK FROM accounts`,
		beside: []string{`UPDATE safety_settings SET body = '{"hydro_factor": 1}'`, "DELETE FROM safety_settings"},
	},
	domain.LinkTemplateProposed: {row: templateByHand, free: []string{"client_key"}},
	domain.LinkTemplateSigned: {
		about:  []string{strings.Replace(templateByHand, "LINK", "999", 1)},
		row:    `INSERT INTO template_signatures (version, role, who, at, link) SELECT 2, 'second', min(id), now(), LINK FROM accounts`,
		beside: []string{"UPDATE templates SET body = '{ }' WHERE version = 2", "DELETE FROM templates WHERE version = 2"},
	},
	domain.LinkIssued: {
		row: issueByHand,
		beside: []string{
			`UPDATE sheets SET input = '{"trompe": {}}'`, `UPDATE sheets SET report = '{"calc_version": "1", "gist": {}}'`, "UPDATE sheets SET saved_by = 9", "UPDATE sheets SET saved_at = saved_at - interval '1 day'",
			"UPDATE revisions SET letter = 'B'", "UPDATE revisions SET design_id = 9", "DELETE FROM sheets",
		},
	},
	domain.LinkOutcome: {
		about:  []string{strings.Replace(issueByHand, "LINK", "999", 1)},
		row:    `INSERT INTO check_outcomes (revision_id, outcome, note, who, at, link) SELECT id, 'clear', '', started_by, now(), LINK FROM revisions`,
		free:   []string{"id"},
		beside: []string{"UPDATE revision_issues SET digest = sha256('y')", "DELETE FROM revision_issues"},
	},
	domain.LinkEnded: {
		row: `INSERT INTO revision_ends (revision_id, kind, reason, who, at, link) SELECT id, 'withdrawn', 'The pipe was recalled.', started_by, now(), LINK FROM revisions`,
	},
	domain.LinkTestStarted: {
		row: `INSERT INTO test_sheets (id, build_id, number, build_version, template_version, short, basis, pressure_hash, builders, started_by, started_at, version, client_key, link)
			SELECT 1, id, 1, 1, 1, false, '{"competent": false}', sha256('p'), 2, started_by, now(), 1, 'key-00000001', LINK FROM builds`,
		free:   []string{"ended", "ended_at", "version", "client_key"},
		beside: machineChanged,
	},
	domain.LinkTestSigned: {
		about: []string{entryTested},
		row: `INSERT INTO test_signatures (entry_id, sheet_id, item, role, who, sent_by, at, how, client_key, link)
			SELECT 1, 1, 'P05', 'builder', min(id), min(id), now(), 'code', 'key-00000001', LINK FROM accounts`,
		free:   []string{"id", "client_key"},
		beside: entryChanged,
	},
	domain.LinkNonconformance: {
		about:  []string{entryTested},
		row:    `INSERT INTO nonconformances (id, entry_id, sheet_id, item, text, who, at, link) SELECT 1, 1, 1, 'P05', 'It weeps.', min(id), now(), LINK FROM accounts`,
		beside: entryChanged,
	},
	domain.LinkNonconformanceClosed: {
		row: `INSERT INTO nonconformance_closings (nonconformance_id, disposition, text, who, at, link) SELECT 1, 'replace', 'Cut out.', min(id), now(), LINK FROM accounts`,
	},
	domain.LinkCertificate: {
		row: `INSERT INTO certificates (id, build_id, sheet_id, build_version, pressure_hash, site, body, builders, issued_by, issued_at, expires_on, expires_at, link)
			SELECT 1, id, 1, 1, sha256('p'), 'mill (0)', '{}', 2, started_by, now(), '2027-01-01', now(), LINK FROM builds`,
		beside: machineChanged,
	},
	domain.LinkRunConfirmed: {
		about:  runByHand,
		row:    `INSERT INTO run_ends (id, run_id, kind, reason, who, at, link) SELECT 1, 1, 'confirmed', '', min(id), now(), LINK FROM accounts`,
		beside: runChanged,
	},
	domain.LinkRunSetAside: {
		about:  runByHand,
		row:    `INSERT INTO run_ends (id, run_id, kind, reason, who, at, link) SELECT 1, 1, 'set_aside', 'The valve leaked.', min(id), now(), LINK FROM accounts`,
		beside: runChanged,
	},
	domain.LinkSetProposed: {
		about:  proposalTaught,
		row:    proposalByHand,
		free:   []string{"client_key"},
		beside: taughtChanged,
	},
	domain.LinkSetAdopted: {
		about: append([]string{strings.Replace(proposalByHand, "LINK", "999", 1), lessonByHand, `INSERT INTO coefficient_sets (name, calc, body) VALUES ('1', 'trompe', '{"set": "1"}')`}, proposalTaught...),
		row:   `INSERT INTO coefficient_set_adoptions (proposal_id, set_name, who, at, link) SELECT 1, '1', min(id), now(), LINK FROM accounts`,
		beside: []string{
			`UPDATE coefficient_sets SET body = '{"set": "1", "m": 2}' WHERE name = '1'`, "UPDATE coefficient_sets SET calc = 'ram' WHERE name = '1'", "DELETE FROM coefficient_sets WHERE name = '1'",
			`UPDATE coefficient_set_lessons SET body = '{"adoptable": false}'`, "DELETE FROM coefficient_set_lessons",
		},
	},
	domain.LinkCertificateEnded: {
		row: `INSERT INTO certificate_ends (certificate_id, kind, reason, who, at, link) SELECT 1, 'revoked', 'Doubt.', min(id), now(), LINK FROM accounts`,
	},
}

var entryChanged = []string{
	`UPDATE test_entries SET recorded = '{"ventilated": true}'`, "UPDATE test_entries SET role = 'second'", "UPDATE test_entries SET outcome = 'failed'", "UPDATE test_entries SET why = 'x'",
	"UPDATE test_entries SET who = 9", "UPDATE test_entries SET sent_by = 9", "UPDATE test_entries SET at = at - interval '1 hour'", "UPDATE test_entries SET device_at = now()",
	"UPDATE test_entries SET paper_at = now()", "UPDATE test_entries SET paper_file = 1", "DELETE FROM test_entries",
}

// otherwise is another value of a column, by its type.
var otherwise = map[string]string{
	"bigint": "coalesce(%, 0) + 1000", "integer": "coalesce(%, 0) + 1000", "text": "coalesce(%, '') || 'x'", "boolean": "NOT %", "jsonb": `'{"tampered": true}'`,
	"bytea": "sha256(%)", "timestamp with time zone": "coalesce(%, now()) + interval '1 second'", "date": "% + 1", "xid8": "'7'",
}

// changesOf is an update of each column of a table.
func changesOf(t *testing.T, db *storetest.DB, table string) map[string]string {
	t.Helper()
	changes := map[string]string{}
	for _, column := range namesOf(t, db, "SELECT column_name || ':' || data_type FROM information_schema.columns WHERE table_schema = 'public' AND table_name = '"+table+"'") {
		name, kind, _ := strings.Cut(column, ":")
		require.Contains(t, otherwise, kind)
		changes[name] = "UPDATE " + table + " SET " + name + " = " + strings.ReplaceAll(otherwise[kind], "%", name) + " WHERE link = 1"
	}
	return changes
}

// defenceless is a database with something of everything, in which its owner can
// change whatever they like.
func defenceless(t *testing.T) *storetest.DB {
	t.Helper()
	db := logged(t)
	unguarded(t, db)
	db.Exec(t, "ALTER TABLE record_links ENABLE ALWAYS TRIGGER record_links_next") // it says where the record ends
	db.Exec(t, builderByHand("2", "NULL, 'Olwen from the mill'"))
	db.Exec(t, `DO $$ DECLARE k record; BEGIN
		FOR k IN SELECT conrelid::regclass AS there, conname FROM pg_constraint WHERE connamespace = 'public'::regnamespace AND contype IN ('c', 'f', 'u') ORDER BY contype <> 'f' LOOP
			EXECUTE format('ALTER TABLE %s DROP CONSTRAINT %I', k.there, k.conname);
		END LOOP;
		FOR k IN SELECT table_name, column_name FROM information_schema.columns WHERE table_schema = 'public' AND is_identity = 'YES' LOOP
			EXECUTE format('ALTER TABLE %I ALTER %I SET GENERATED BY DEFAULT', k.table_name, k.column_name);
		END LOOP;
	END $$`)
	return db
}

var errUndone = errors.New("undone")

// tampered runs a change after a row of a kind was signed, and takes it back. It
// returns what the record says of it.
func tampered(t *testing.T, tx *store.Tx, change string) error {
	t.Helper()
	_, err := tx.Execute("SAVEPOINT untouched")
	require.NoError(t, err)
	n, err := tx.Execute(change)
	require.NoError(t, err, change)
	require.Positive(t, n, "%s: nothing was changed", change)
	_, found := tx.VerifyRecord()
	_, err = tx.Execute("ROLLBACK TO untouched")
	require.NoError(t, err)
	return found
}

// Whatever is signed cannot be changed by hand without the record naming it: each
// column of each table that links are about, and what else belongs to it.
func TestTamperingWithAnySignedRowIsNamed(t *testing.T) {
	t.Parallel()
	db := defenceless(t)
	who := domain.AccountID(db.Number(t, "SELECT min(id) FROM accounts"))
	tables := store.SignedTables()
	for kind := range signedRows {
		require.Contains(t, tables, kind)
	}
	for kind, table := range tables {
		t.Run(string(kind), func(t *testing.T) {
			s, there := signedRows[kind]
			require.True(t, there, "no row of this kind is tampered with")
			changes := changesOf(t, db, table)
			err := db.InTx(context.Background(), func(tx *store.Tx) error {
				for _, row := range s.about {
					_, err := tx.Execute(row)
					require.NoError(t, err)
				}
				require.NoError(t, tx.Sign(kind, who, func(link int64) error {
					for _, row := range append([]string{s.row}, s.with...) {
						_, err := tx.Execute(strings.ReplaceAll(row, "LINK", strconv.FormatInt(link, 10)))
						require.NoError(t, err)
					}
					return nil
				}))
				head, err := tx.VerifyRecord()
				require.NoError(t, err, "before anything is changed")
				require.EqualValues(t, 1, head.Number)
				named := func(change string) {
					broken, is := errors.AsType[domain.BrokenRecord](tampered(t, tx, change))
					require.True(t, is, "not found: %s", change)
					require.Equal(t, kind, broken.Kind, change)
					require.EqualValues(t, 1, broken.Number, change)
				}
				for column, change := range changes {
					if slices.Contains(s.free, column) {
						require.NoError(t, tampered(t, tx, change), "%s is signed after all", column)
						continue
					}
					named(change)
				}
				for _, change := range s.beside {
					named(change)
				}
				named("DELETE FROM " + table + " WHERE link = 1")
				return errUndone
			})
			require.ErrorIs(t, err, errUndone)
		})
	}
}
