package notebook_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The database keeps the rules of a run by itself, whatever the server says.
func TestTheDatabaseKeepsTheRulesOfARun(t *testing.T) {
	t.Parallel()
	m := measured(t, inShed(t))
	r := m.takes(t, m.bucket(25, 25.2))
	m.takes(t, m.pressure(20000, 20100))
	fresh := map[string]string{"client_key": "'by-hand-01'"}
	run := func(changed ...string) string {
		return copied("runs", "true", with(with(fresh, "number", "9"), changed...))
	}
	m.violates(t, "runs_build_id_number_key", run("number", "1"))
	m.violates(t, "runs_opened_by_client_key_key", run("client_key", "client_key"))
	m.violates(t, "runs_number_check", run("number", "0"))
	m.violates(t, "runs_title_check", run("title", "''"))
	m.violates(t, "runs_purpose_check", run("purpose", "repeat('x', 2001)"))
	m.violates(t, "runs_required_check", run("required", "'{}'"))
	m.violates(t, "runs_limits_check", run("limits", "'[]'"))
	m.violates(t, "runs_version_check", run("version", "0"))
	m.violates(t, "runs_client_key_check", run("client_key", "'x'"))
	m.violates(t, "runs_of_newest", run("build_version", "2"), run("calc_version", "'0'"), run("coefficient_set", "'7'"), run("opened_by", "-1"))
	m.violates(t, "runs_kept", "UPDATE runs SET required = '[]'", "UPDATE runs SET coefficient_set = '0'", "DELETE FROM runs")
	m.violates(t, "runs_kept_truncate", "TRUNCATE runs CASCADE")

	point := func(changed ...string) string {
		return copied("run_points", "true", with(with(fresh, "number", "2"), changed...))
	}
	m.violates(t, "run_points_number_check", point("number", "51"))
	m.violates(t, "run_points_setting_check", point("setting", "'ajar'"))
	m.violates(t, "run_points_name_check", point("name", "''"))
	m.violates(t, "run_points_run_id_number_key", point("number", "1"))
	m.violates(t, "run_points_added_by_client_key_key", point("client_key", "client_key"))
	m.violates(t, "run_points_append_only", "UPDATE run_points SET setting = 'shut'", "DELETE FROM run_points")

	reading := func(changed ...string) string {
		return copied("run_readings", fmt.Sprintf("id = %d", r.ID), with(fresh, changed...))
	}
	m.violates(t, "run_readings_values_check", reading("values", "'{}'"), reading("values", "'{NULL,NULL}'"), reading("values", "'{NaN,1}'"), reading("values", "'{NULL,Infinity}'"), reading("values", "'{{1,2}}'"))
	m.violates(t, "run_readings_quantity_check", reading("quantity", "''"))
	m.violates(t, "run_readings_method_check", reading("method", "''"))
	m.violates(t, "run_readings_instrument_id_instrument_check", reading("instrument", "'{}'"))
	m.violates(t, "run_readings_instrument_check", reading("instrument", "'[]'", "instrument_id", fmt.Sprint(m.gauge.ID)))
	m.violates(t, "run_readings_typed_check", reading("typed", "'[]'"))
	m.violates(t, "run_readings_extra_check", reading("extra", "'[]'"))
	m.violates(t, "run_readings_point_id_run_id_fk", reading("point_id", "-1"))
	m.violates(t, "run_readings_taken_by_client_key_key", reading("client_key", "client_key"))
	m.violates(t, "run_readings_append_only", "UPDATE run_readings SET certified = true", "UPDATE run_readings SET values = '{1}'", "DELETE FROM run_readings")

	strike := fmt.Sprintf("INSERT INTO run_strikes (reading_id, position, reason, who, at, client_key) VALUES (%d, POSITION, 'So', %d, now(), 'by-hand-01')", r.ID, m.petra.Account)
	m.violates(t, "run_strikes_in_time", strings.Replace(strike, "POSITION", "3", 1), strings.NewReplacer(fmt.Sprintf("(%d,", r.ID), "(-1,", "POSITION", "1").Replace(strike))
	m.strikes(t, m.tomasz, r.ID, 1)
	m.violates(t, "run_strikes_reading_id_position_key", strings.Replace(strike, "POSITION", "1", 1))
	m.violates(t, "run_strikes_append_only", "UPDATE run_strikes SET reason = 'x'", "DELETE FROM run_strikes")

	end := fmt.Sprintf("INSERT INTO run_ends (run_id, kind, reason, who, at, link) SELECT id, 'confirmed', '', %d, now(), 901 FROM runs", m.wen.Account)
	m.violates(t, "run_ends_in_turn", end)
	m.judges(t)
	m.violates(t, "run_submissions_run_id_key", "INSERT INTO run_submissions SELECT * FROM run_submissions")
	m.violates(t, "run_submissions_append_only", "DELETE FROM run_submissions")
	m.violates(t, "run_verdicts_append_only", "UPDATE run_verdicts SET draws = 1", "DELETE FROM run_verdicts")
	m.violates(t, "run_verdicts_append_only_truncate", "TRUNCATE run_verdicts")
	m.violates(t, "run_readings_in_time", reading())
	m.violates(t, "run_points_in_time", point())
	m.violates(t, "run_ends_kind_reason_check", strings.Replace(end, "''", "'so'", 1), strings.Replace(end, "'confirmed'", "'set_aside'", 1))
	m.violates(t, "run_ends_link_fk", end+"; SET CONSTRAINTS ALL IMMEDIATE")
	_, err := m.confirms(m.wen)
	require.NoError(t, err)
	m.violates(t, "run_ends_in_turn", end)
	m.violates(t, "run_ends_append_only", "UPDATE run_ends SET reason = 'x'", "DELETE FROM run_ends")
	m.violates(t, "run_submissions_of_open", "INSERT INTO run_submissions SELECT * FROM run_submissions")
	for _, table := range []string{"run_points", "run_readings", "run_strikes", "run_submissions", "run_ends"} {
		m.violates(t, table+"_append_only_truncate", "TRUNCATE "+table+" CASCADE")
	}

	m.refuses(t, "runs", map[string]string{
		"runs_id_key": twice("runs"), "runs_build_id_fk": "build_id = -1", "runs_build_id_build_version_fk": "build_version = 99", "runs_coefficient_set_fk": "coefficient_set = '77'",
		"runs_opened_by_fk": "opened_by = -1", "runs_calc_version_check": "calc_version = ''",
	})
	m.refuses(t, "run_points", map[string]string{
		"run_points_id_key": twice("run_points"), "run_points_run_id_fk": "INSERT INTO run_points (run_id, number, name, setting, note, added_by, at, client_key) SELECT -1, number, name, setting, note, added_by, at, 'by-hand-01' FROM run_points",
		"run_points_added_by_fk": "added_by = -1", "run_points_note_check": "note = repeat('x', 2001)", "run_points_client_key_check": "client_key = 'x'",
	})
	m.refuses(t, "run_readings", map[string]string{
		"run_readings_id_key": twice("run_readings"), "run_readings_run_id_fk": "run_id = -1", "run_readings_instrument_id_fk": "instrument_id = -1, instrument = '{}'", "run_readings_taken_by_fk": "taken_by = -1",
		"run_readings_client_key_check": "client_key = 'x'",
	})
	m.refuses(t, "run_strikes", map[string]string{
		"run_strikes_id_key": twice("run_strikes"), "run_strikes_reading_id_fk": "reading_id = -1", "run_strikes_who_fk": "who = -1", "run_strikes_position_check": "position = 1001",
		"run_strikes_reason_check": "reason = ''", "run_strikes_client_key_check": "client_key = 'x'",
		"run_strikes_who_client_key_key": "INSERT INTO run_strikes (reading_id, position, reason, who, at, client_key) SELECT reading_id, 2, reason, who, at, client_key FROM run_strikes",
	})
	m.refuses(t, "run_submissions", map[string]string{"run_submissions_run_id_fk": "INSERT INTO run_submissions SELECT -1, who, at FROM run_submissions", "run_submissions_who_fk": "who = -1"})
	m.refuses(t, "run_verdicts", map[string]string{
		"run_verdicts_run_id_key": twice("run_verdicts"), "run_verdicts_run_id_fk": "run_id = -1", "run_verdicts_body_check": "body = '[]', digest = sha256('[]')", "run_verdicts_digest_check": "digest = sha256('x')",
		"run_verdicts_seed_check": "seed = ''", "run_verdicts_draws_check": "draws = -1",
	})
	ended := func(kind, reason, link string) string {
		return fmt.Sprintf("INSERT INTO run_ends (run_id, kind, reason, who, at, link) SELECT run_id, %s, %s, who, at, %s FROM run_ends", kind, reason, link)
	}
	m.refuses(t, "run_ends", map[string]string{
		"run_ends_id_key": twice("run_ends"), "run_ends_run_id_fk": "run_id = -1", "run_ends_who_fk": "who = -1", "run_ends_kind_check": "kind = 'perhaps', reason = 'So'",
		"run_ends_link_key": ended("'set_aside'", "'So'", "link"), "run_ends_run_id_kind_key": ended("kind", "reason", "901"),
	})
}
