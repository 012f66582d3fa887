package notebook_test

import (
	"errors"
	"fmt"
	"testing"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/stretchr/testify/require"

	"leat/calc/procedure"
	"leat/domain"
)

// violates runs statements that the database must refuse by itself, each by the
// constraint with this name.
func (b *bundle) violates(t *testing.T, name string, statements ...string) {
	t.Helper()
	for _, statement := range statements {
		_, err := b.db.SQL.Exec(statement)
		pg, ok := errors.AsType[*pgconn.PgError](err)
		require.True(t, ok, "%s let through: %s (%v)", name, statement, err)
		require.Equal(t, name, pg.ConstraintName, "%s: %s", statement, pg.Message)
	}
}

// copied is an INSERT of a row as it is there, with some columns otherwise.
func copied(table, condition string, changed map[string]string) string {
	columns := map[string][]string{
		"test_sheets":             {"build_id", "number", "build_version", "template_version", "short", "basis", "pressure_hash", "started_by", "started_at", "ended", "ended_at", "version", "client_key", "link"},
		"test_entries":            {"sheet_id", "item", "role", "recorded", "outcome", "why", "who", "sent_by", "at", "device_at", "paper_at", "paper_file", "client_key"},
		"test_signatures":         {"entry_id", "sheet_id", "item", "role", "who", "sent_by", "at", "device_at", "how", "client_key", "link"},
		"nonconformances":         {"entry_id", "sheet_id", "item", "text", "who", "at", "link"},
		"nonconformance_closings": {"nonconformance_id", "disposition", "text", "who", "at", "link"},
		"certificates":            {"build_id", "sheet_id", "build_version", "pressure_hash", "site", "body", "issued_by", "issued_at", "expires_on", "expires_at", "link"},
		"runs":                    {"build_id", "number", "build_version", "title", "purpose", "coefficient_set", "calc_version", "required", "limits", "opened_by", "opened_at", "client_key", "version"},
		"run_points":              {"run_id", "number", "name", "setting", "note", "added_by", "at", "client_key"},
		"run_readings":            {"run_id", "point_id", "quantity", "method", "instrument_id", "instrument", "typed", "values", "extra", "reset", "certified", "taken_by", "taken_at", "device_at", "client_key"},
		"certificate_ends":        {"certificate_id", "kind", "reason", "who", "at", "link"},
	}[table]
	names, values := "", ""
	for i, c := range columns {
		v := c
		if other, ok := changed[c]; ok {
			v = other
		}
		if i > 0 {
			names, values = names+", ", values+", "
		}
		names, values = names+c, values+v
	}
	return "INSERT INTO " + table + " (" + names + ") SELECT " + values + " FROM " + table + " WHERE " + condition
}

func with(changed map[string]string, more ...string) map[string]string {
	all := map[string]string{}
	for k, v := range changed {
		all[k] = v
	}
	for i := 0; i < len(more); i += 2 {
		all[more[i]] = more[i+1]
	}
	return all
}

// Two people, three where it takes them, and nothing signed out of time: the
// database keeps the rules of a test by itself, whatever the server says.
func TestTheDatabaseKeepsTheRulesOfATest(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	test := s.begin(t)
	test, _, err := s.RecordItem(ctx, s.petra, s.record(test, "B01", "builder", s.good(t, test, "B01")))
	require.NoError(t, err)
	petra, tomasz, wen := fmt.Sprint(s.petra.Account), fmt.Sprint(s.tomasz.Account), fmt.Sprint(s.wen.Account)

	fresh := map[string]string{"client_key": "'by-hand-01'", "link": "901"}
	sheet := func(changed ...string) string {
		return copied("test_sheets", "true", with(with(fresh, "number", "9"), changed...))
	}
	s.violates(t, "test_sheets_build_id_build_version_key", sheet())
	s.violates(t, "test_sheets_of_newest", sheet("build_version", "2"), sheet("pressure_hash", "sha256('x')"), sheet("started_by", tomasz), sheet("ended", "'passed'", "ended_at", "now()"))
	s.violates(t, "test_sheets_build_id_number_key", sheet("number", "1"))
	s.violates(t, "test_sheets_started_by_client_key_key", sheet("client_key", "client_key"))
	s.violates(t, "test_sheets_number_check", sheet("number", "0"))
	s.violates(t, "test_sheets_basis_check", sheet("basis", "'[]'"), sheet("basis", "'{}'"))
	s.violates(t, "test_sheets_version_check", sheet("version", "0"))
	s.violates(t, "test_sheets_client_key_check", sheet("client_key", "'x'"))
	s.violates(t, "test_sheets_kept", "UPDATE test_sheets SET short = true", "UPDATE test_sheets SET basis = basis || '{\"competent\": false}'", "DELETE FROM test_sheets")
	s.violates(t, "test_sheets_kept_truncate", "TRUNCATE test_sheets CASCADE")
	s.violates(t, "test_sheets_ended_check", "UPDATE test_sheets SET ended = 'given up', ended_at = now()")
	s.violates(t, "test_sheets_ended_ended_at_check", "UPDATE test_sheets SET ended_at = now()")
	s.violates(t, "test_sheets_end_earned", "UPDATE test_sheets SET ended = 'passed', ended_at = now()", "UPDATE test_sheets SET ended = 'failed', ended_at = now()")

	entry := func(changed ...string) string { return copied("test_entries", "item = 'B01'", with(fresh, changed...)) }
	s.violates(t, "test_entries_sheet_id_item_key", entry())
	s.violates(t, "test_entries_sent_by_client_key_key", copied("test_entries", "item = 'B01'", map[string]string{"item": "'P05'"}))
	s.violates(t, "test_entries_item_check", entry("item", "''", "outcome", "'attempt'", "why", "'x'"))
	s.violates(t, "test_entries_in_time", entry("item", "'Z99'"))
	s.violates(t, "test_entries_role_check", entry("item", "'P05'", "role", "'boss'"))
	s.violates(t, "test_entries_recorded_check", entry("item", "'P05'", "recorded", "'[]'"))
	s.violates(t, "test_entries_outcome_check", entry("item", "'P05'", "outcome", "'maybe'", "why", "'x'"))
	s.violates(t, "test_entries_outcome_why_check", entry("item", "'P05'", "why", "'so'"), entry("item", "'P05'", "outcome", "'failed'"))
	s.violates(t, "test_entries_why_check", entry("item", "'P05'", "outcome", "'attempt'", "why", "repeat('x', 4001)"))
	s.violates(t, "test_entries_client_key_check", entry("item", "'P05'", "client_key", "'x'"))
	s.violates(t, "test_entries_pictured", entry("item", "'P05'", "paper_at", "at", "paper_file", "999"))
	photo := fmt.Sprint(s.photo.ID)
	s.violates(t, "test_entries_at_paper_at_check", entry("item", "'P05'", "paper_at", "at - interval '25 hours'", "paper_file", photo))
	s.violates(t, "test_entries_paper_at_paper_file_check", entry("item", "'P05'", "paper_file", photo))
	s.violates(t, "test_entries_append_only", "UPDATE test_entries SET recorded = '{}'", "DELETE FROM test_entries")
	s.violates(t, "test_entries_append_only_truncate", "TRUNCATE test_entries CASCADE")

	sign := func(changed ...string) string {
		return copied("test_signatures", "item = 'B01'", with(fresh, changed...))
	}
	second := func(who string, changed ...string) string {
		return sign(append([]string{"role", "'second'", "who", who}, changed...)...)
	}
	s.violates(t, "test_signatures_by_right_people", second(petra), sign("who", tomasz))
	s.violates(t, "test_signatures_of_entry", sign("role", "'competent'", "who", wen), second(tomasz, "how", "'paper'"))
	s.violates(t, "test_signatures_sheet_id_item_role_key", sign())
	s.violates(t, "test_signatures_sent_by_client_key_key", copied("test_signatures", "item = 'B01'", map[string]string{"role": "'second'", "who": tomasz, "link": "901"}))
	s.violates(t, "test_signatures_link_key", copied("test_signatures", "item = 'B01'", map[string]string{"role": "'second'", "who": tomasz, "client_key": "'by-hand-01'"}))
	s.violates(t, "test_signatures_link_fk", second(tomasz))
	s.violates(t, "test_signatures_how_check", second(tomasz, "how", "'nod'"))
	s.violates(t, "test_signatures_client_key_check", second(tomasz, "client_key", "'x'"))
	s.violates(t, "test_signatures_in_time", second(tomasz, "item", "'Z99'"))
	s.violates(t, "test_signatures_append_only", "UPDATE test_signatures SET who = "+tomasz, "DELETE FROM test_signatures")
	s.violates(t, "test_signatures_append_only_truncate", "TRUNCATE test_signatures CASCADE")

	// Who signed as second does not sign as competent, where it takes three.
	_, _, err = s.SignItem(ctx, s.wen, domain.SignItem{Test: ref(test), Entry: test.Entries[0].ID, Sign: s.sign(s.wen, "second"), Key: s.key()})
	require.NoError(t, err)
	test, _, err = s.RecordItem(ctx, s.petra, s.record(test, "B02", "second", s.good(t, test, "B02")))
	require.NoError(t, err)
	b02 := func(changed ...string) string {
		return copied("test_signatures", "item = 'B02'", with(fresh, changed...))
	}
	s.violates(t, "test_signatures_by_right_people", b02("role", "'competent'", "who", wen))
	for _, first := range []string{"by_right_people", "of_entry"} {
		s.db.Exec(t, "ALTER TABLE test_signatures DISABLE TRIGGER test_signatures_"+first)
	}
	s.violates(t, "test_signatures_role_check", b02("role", "'boss'", "who", wen))
	s.violates(t, "test_signatures_sheet_id_item_who_key", b02("role", "'competent'"))
	s.violates(t, "test_signatures_entry_id_sheet_id_item_fk", b02("item", "'B01'", "role", "'competent'", "who", "(SELECT max(id) FROM accounts)", "link", "1"))
	for _, first := range []string{"by_right_people", "of_entry"} {
		s.db.Exec(t, "ALTER TABLE test_signatures ENABLE ALWAYS TRIGGER test_signatures_"+first)
	}
	s.afterFailure(t, test, petra, tomasz, wen)
}

func (s *shed) afterFailure(t *testing.T, test domain.Test, petra, tomasz, wen string) {
	t.Helper()
	stop := s.record(test, "P05", "builder", procedure.Values{})
	stop.Stop = "it slid"
	_, _, err := s.RecordItem(ctx, s.petra, stop)
	require.NoError(t, err)
	fresh := map[string]string{"client_key": "'by-hand-02'", "link": "902"}
	s.violates(t, "test_sheets_ended_once", "UPDATE test_sheets SET ended = 'passed'", "UPDATE test_sheets SET ended = NULL, ended_at = NULL")
	s.violates(t, "test_entries_in_time", copied("test_entries", "item = 'B01' AND outcome = 'met'", with(fresh, "item", "'P04'")))
	s.violates(t, "test_signatures_in_time", copied("test_signatures", "item = 'B01' AND role = 'second'", with(fresh, "item", "'P04'")))
	s.violates(t, "test_entries_sheet_id_key", copied("test_entries", "outcome = 'failed'", with(fresh, "item", "'D01'")))
	s.violates(t, "nonconformances_sheet_id_key", copied("nonconformances", "true", fresh))
	s.violates(t, "nonconformances_of_failed", copied("nonconformances", "true", with(fresh, "who", tomasz)))
	s.violates(t, "nonconformances_text_check", copied("nonconformances", "true", with(fresh, "text", "''")))
	s.violates(t, "nonconformances_append_only", "UPDATE nonconformances SET text = 'nothing'", "DELETE FROM nonconformances")
	s.violates(t, "nonconformances_append_only_truncate", "TRUNCATE nonconformances CASCADE")
	closing := func(who, disposition, text string) string {
		return "INSERT INTO nonconformance_closings (nonconformance_id, disposition, text, who, at, link) SELECT id, " + disposition + ", " + text + ", " + who + ", now(), 903 FROM nonconformances"
	}
	s.violates(t, "nonconformance_closings_by_steward", closing(tomasz, "'scrap'", "'x'"), closing(petra, "'scrap'", "'x'"))
	s.db.Exec(t, "UPDATE accounts SET steward = true WHERE id = "+petra)
	s.violates(t, "nonconformance_closings_by_steward", closing(petra, "'scrap'", "'x'"))
	s.violates(t, "nonconformance_closings_disposition_check", closing(wen, "''", "'x'"))
	s.violates(t, "nonconformance_closings_text_check", closing(wen, "'scrap'", "''"))
	s.violates(t, "nonconformance_closings_link_fk", closing(wen, "'scrap'", "'x'"))
}

func TestTheDatabaseKeepsTheRulesOfACertificate(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	test := s.begin(t)
	_, _, err := s.RecordItem(ctx, s.petra, s.record(test, "B03", "second", s.good(t, test, "B03")))
	require.NoError(t, err)
	petra, tomasz, wen := fmt.Sprint(s.petra.Account), fmt.Sprint(s.tomasz.Account), fmt.Sprint(s.wen.Account)
	issue := func(changed ...string) string {
		c := with(map[string]string{"sheet_id": "s.id", "build_version": "s.build_version", "pressure_hash": "s.pressure_hash", "site": "'below the mill (0)'", "body": "'{}'",
			"issued_by": wen, "issued_at": "now()", "expires_on": "current_date + 30", "expires_at": "(current_date + 31)::timestamp AT TIME ZONE 'UTC'", "link": "904"}, changed...)
		return "INSERT INTO certificates (build_id, sheet_id, build_version, pressure_hash, site, body, issued_by, issued_at, expires_on, expires_at, link) SELECT s.build_id, " +
			c["sheet_id"] + ", " + c["build_version"] + ", " + c["pressure_hash"] + ", " + c["site"] + ", " + c["body"] + ", " + c["issued_by"] + ", " + c["issued_at"] + ", " +
			c["expires_on"] + ", " + c["expires_at"] + ", " + c["link"] + " FROM test_sheets s"
	}
	s.violates(t, "certificates_of_tested", issue()) // not passed
	s.db.Exec(t, "ALTER TABLE test_sheets DISABLE TRIGGER test_sheets_end_earned")
	s.db.Exec(t, "UPDATE test_sheets SET ended = 'passed', ended_at = now() - interval '1 minute'")
	s.violates(t, "certificates_by_steward", issue("issued_by", petra), issue("issued_by", tomasz))
	s.db.Exec(t, "UPDATE accounts SET steward = true")
	s.violates(t, "certificates_by_steward", issue("issued_by", petra), issue("issued_by", tomasz)) // who built it, and who was the second
	s.violates(t, "certificates_of_tested", issue("pressure_hash", "sha256('x')"), issue("site", "'elsewhere (0)'"))
	s.violates(t, "certificates_sheet_id_build_id_build_version_fk", issue("build_version", "9", "link", "1"))
	s.violates(t, "certificates_body_check", issue("body", "'[]'"))
	s.violates(t, "certificates_issued_at_expires_on_check", issue("expires_on", "current_date + 900", "expires_at", "(current_date + 901)::timestamp AT TIME ZONE 'UTC'"))
	s.violates(t, "certificates_expires_on_expires_at_check", issue("expires_at", "now() + interval '2 years'"))
	s.violates(t, "certificates_link_fk", issue())
	s.db.Exec(t, issue("link", "(SELECT max(number) FROM record_links)"))
	s.violates(t, "certificates_sheet_id_key", issue())
	s.violates(t, "certificates_append_only", "UPDATE certificates SET expires_on = expires_on + 1", "DELETE FROM certificates")
	s.violates(t, "certificates_append_only_truncate", "TRUNCATE certificates CASCADE")
	end := func(who, kind, reason string) string {
		return "INSERT INTO certificate_ends (certificate_id, kind, reason, who, at, link) SELECT id, " + kind + ", " + reason + ", " + who + ", now(), link FROM certificates"
	}
	s.db.Exec(t, "UPDATE accounts SET steward = false WHERE id = "+tomasz)
	s.violates(t, "certificate_ends_by_steward", end(tomasz, "'revoked'", "'x'"))
	s.violates(t, "certificate_ends_kind_check", end(wen, "'lost'", "'x'"))
	s.violates(t, "certificate_ends_reason_check", end(wen, "'revoked'", "''"))
	s.db.Exec(t, end(wen, "'revoked'", "'x'"))
	s.violates(t, "certificate_ends_certificate_id_key", end(wen, "'revoked'", "'x'"))
	s.violates(t, "certificate_ends_append_only", "UPDATE certificate_ends SET reason = 'y'", "DELETE FROM certificate_ends")
	s.violates(t, "certificate_ends_append_only_truncate", "TRUNCATE certificate_ends")
}

// What was signed in a test and changed by hand afterwards is found.
func TestTamperingWithATestIsFound(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	s.does(t, s.begin(t), "B01")
	s.requireRecordHolds(t)
	s.db.Exec(t, "ALTER TABLE test_entries DISABLE TRIGGER ALL; ALTER TABLE test_signatures DISABLE TRIGGER ALL; ALTER TABLE test_sheets DISABLE TRIGGER ALL")
	found := func(kind domain.LinkKind, change, back string) {
		t.Helper()
		s.db.Exec(t, change)
		_, err := s.VerifyRecord(ctx, nil)
		var broken domain.BrokenRecord
		require.ErrorAs(t, err, &broken, change)
		require.Equal(t, kind, broken.Kind)
		s.db.Exec(t, back)
		s.requireRecordHolds(t)
	}
	found(domain.LinkTestSigned, `UPDATE test_entries SET recorded = recorded || '{"review_closed": false}'`, `UPDATE test_entries SET recorded = recorded || '{"review_closed": true}'`)
	found(domain.LinkTestSigned, "UPDATE test_signatures SET how = 'code'", "UPDATE test_signatures SET how = 'password'")
	found(domain.LinkTestStarted, `UPDATE test_sheets SET basis = basis || '{"competent": false}'`, `UPDATE test_sheets SET basis = basis || '{"competent": true}'`)
}
