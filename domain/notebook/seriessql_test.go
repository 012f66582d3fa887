package notebook_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

// The database keeps the rules of series and loggers by itself, whatever the server
// says.
func TestTheDatabaseKeepsTheRulesOfASeries(t *testing.T) {
	t.Parallel()
	l := inRun(t)
	f := l.brought(t)
	_, _, err := l.AddSeriesFile(ctx, l.petra, domain.AddSeriesFile{Run: l.run, Name: "later.csv", Size: 3, Key: "file-0000002"})
	require.NoError(t, err)
	d, _ := l.device(t, "logger-00001")
	_, _, err = l.SendSamples(ctx, d.ID, sends(l.clock.now(), "batch-000001", "kPa", 40))
	require.NoError(t, err)
	w, _, err := l.TakeWindow(ctx, l.petra, l.window(f, "window-00001"))
	require.NoError(t, err)
	const long, fresh = "repeat('x', 501)", "'by-hand-01'"

	file := func(run, sum, key string) string {
		return fmt.Sprintf("INSERT INTO series_files (run_id, name, size, sum, added_by, at, client_key, complete_at) SELECT %s, name, size, %s, added_by, at, %s, complete_at FROM series_files WHERE complete_at IS NOT NULL", run, sum, key)
	}
	l.refuses(t, "series_files", map[string]string{
		"series_files_id_key": twice("series_files"), "series_files_run_id_fk": file("-1", "sum", fresh), "series_files_added_by_fk": "added_by = -1", "series_files_same_as_fk": "same_as = -1, complete_at = at, sum = sha256('x') WHERE complete_at IS NULL",
		"series_files_name_check": "name = ''", "series_files_size_check": "size = 50000001", "series_files_sum_check": "sum = 'x'", "series_files_client_key_check": "client_key = 'x'",
		"series_files_added_by_client_key_key": file("run_id", "sha256('y')", "client_key"), "series_files_run_id_sum_key": file("run_id", "sum", fresh),
		"series_files_complete_at_sum_same_as_check": "same_as = id, complete_at = at",
	})
	l.violates(t, "series_files_kept", "UPDATE series_files SET name = 'x.csv' WHERE complete_at IS NULL", "UPDATE series_files SET size = 1 WHERE complete_at IS NULL", "DELETE FROM series_files")
	l.violates(t, "series_files_kept_truncate", "TRUNCATE series_files CASCADE")
	l.violates(t, "series_files_complete_once", "UPDATE series_files SET complete_at = now()", "UPDATE series_files SET sum = sha256('x') WHERE complete_at IS NOT NULL")
	l.violates(t, "series_files_complete", "UPDATE series_files SET complete_at = now(), sum = sha256('x') WHERE complete_at IS NULL",
		"UPDATE series_files f SET complete_at = now(), sum = sha256('x'), same_as = o.id FROM series_files o WHERE f.complete_at IS NULL AND o.complete_at IS NOT NULL")

	part := func(file, number, bytes string) string {
		return fmt.Sprintf("INSERT INTO series_parts SELECT id, %s, %s FROM series_files WHERE complete_at IS %s", number, bytes, file)
	}
	l.refuses(t, "series_parts", map[string]string{"series_parts_file_id_number_key": twice("series_parts"), "series_parts_file_id_fk": "file_id = -1", "series_parts_number_check": "number = 0"})
	l.violates(t, "series_parts_of_file", part("NULL", "1", "'four'"), part("NULL", "2", "'abc'"), part("NOT NULL", "2", "'abc'"), "DELETE FROM series_parts")
	l.violates(t, "series_parts_kept", "UPDATE series_parts SET bytes = 'x'")
	l.violates(t, "series_parts_kept_truncate", "TRUNCATE series_parts")

	l.refuses(t, "series_reads", map[string]string{
		"series_reads_file_id_number_key": twice("series_reads"), "series_reads_file_id_fk": "INSERT INTO series_reads SELECT -1, number, asked, report, certified, who, at FROM series_reads",
		"series_reads_number_check": "number = 0", "series_reads_asked_check": "asked = '[]'", "series_reads_report_check": "report = '[]'", "series_reads_who_fk": "who = -1",
	})
	l.violates(t, "series_reads_of_complete", "INSERT INTO series_reads SELECT f.id, 1, asked, report, certified, who, r.at FROM series_reads r, series_files f WHERE f.complete_at IS NULL")
	l.violates(t, "series_reads_append_only", "UPDATE series_reads SET certified = true", "DELETE FROM series_reads")
	l.violates(t, "series_reads_append_only_truncate", "TRUNCATE series_reads CASCADE")

	logger := func(token, key string) string {
		return fmt.Sprintf("INSERT INTO loggers (build_id, name, token_sum, made_by, made_at, client_key) SELECT build_id, name, %s, made_by, made_at, %s FROM loggers", token, key)
	}
	l.refuses(t, "loggers", map[string]string{
		"loggers_id_key": twice("loggers"), "loggers_build_id_fk": "build_id = -1", "loggers_made_by_fk": "made_by = -1", "loggers_revoked_by_fk": "revoked_by = -1, revoked_at = now()",
		"loggers_name_check": "name = ''", "loggers_token_sum_check": "token_sum = 'x'", "loggers_token_sum_key": logger("token_sum", fresh), "loggers_client_key_check": "client_key = 'x'",
		"loggers_made_by_client_key_key": logger("sha256('x')", "client_key"), "loggers_bytes_check": "bytes = -1", "loggers_revoked_by_revoked_at_check": "revoked_at = now()",
	})
	l.violates(t, "loggers_kept", "UPDATE loggers SET token_sum = sha256('x')", "DELETE FROM loggers")
	l.violates(t, "loggers_kept_truncate", "TRUNCATE loggers CASCADE")
	revoked := func(who domain.Actor) string {
		return fmt.Sprintf("UPDATE loggers SET revoked_by = %d, revoked_at = now()", who.Account)
	}
	l.violates(t, "loggers_revoked_by_right_people", revoked(l.db.Person(t, "Sol Marsh")))
	l.violates(t, "loggers_revoked_once", revoked(l.tomasz)+"; UPDATE loggers SET bytes = 1")

	batch := func(changed string) string {
		return "INSERT INTO logger_batches (logger_id, run_id, client_key, body, units, samples, answer, certified, at) SELECT " + changed + ", body, units, samples, answer, certified, at FROM logger_batches"
	}
	l.refuses(t, "logger_batches", map[string]string{
		"logger_batches_id_key": twice("logger_batches"), "logger_batches_logger_id_fk": "logger_id = -1", "logger_batches_run_id_fk": "run_id = -1", "logger_batches_client_key_check": "client_key = 'x'",
		"logger_batches_body_check": "body = ''", "logger_batches_units_check": "units = '[]'", "logger_batches_samples_check": "samples = 0", "logger_batches_answer_check": "answer = '[]'",
		"logger_batches_logger_id_client_key_key": batch("logger_id, run_id, client_key"),
	})
	l.violates(t, "logger_batches_of_logger", batch("-1, run_id, 'by-hand-01'"), revoked(l.tomasz)+"; "+batch("logger_id, NULL, 'by-hand-01'"))
	l.violates(t, "logger_batches_append_only", "UPDATE logger_batches SET body = '{}'", "DELETE FROM logger_batches")
	l.violates(t, "logger_batches_append_only_truncate", "TRUNCATE logger_batches")

	window := func(point, key string) string {
		return fmt.Sprintf(`INSERT INTO series_windows (run_id, point_id, file_id, reading, from_s, to_s, channels, summary, decide, certified, who, at, client_key)
			SELECT run_id, %s, file_id, reading, from_s, to_s, channels, summary, decide, certified, who, at, %s FROM series_windows`, point, key)
	}
	l.refuses(t, "series_windows", map[string]string{
		"series_windows_id_key": twice("series_windows"), "series_windows_run_id_fk": "run_id = -1", "series_windows_point_id_fk": "point_id = -1", "series_windows_logger_id_fk": "logger_id = -1, file_id = NULL, reading = NULL",
		"series_windows_file_id_run_id_fk": "file_id = -1", "series_windows_file_id_reading_fk": "reading = 9", "series_windows_file_id_reading_logger_id_check": "file_id = NULL",
		"series_windows_from_s_check": "from_s = 'NaN'", "series_windows_to_s_check": "to_s = 'Infinity'", "series_windows_from_s_to_s_check": "from_s = to_s + 1",
		"series_windows_channels_check": "channels = '{}'", "series_windows_summary_check": "summary = '[]'", "series_windows_who_fk": "who = -1", "series_windows_client_key_check": "client_key = 'x'",
		"series_windows_who_client_key_key": window("point_id", "client_key"),
	})
	l.violates(t, "series_windows_of_run", window("-1", fresh))
	l.violates(t, "series_windows_append_only", "UPDATE series_windows SET decide = true", "DELETE FROM series_windows")
	l.violates(t, "series_windows_append_only_truncate", "TRUNCATE series_windows CASCADE")

	decision := fmt.Sprintf("INSERT INTO series_decisions (window_id, decide, reason, who, at, client_key) VALUES (%d, 'DECIDE', 'So', %d, now(), 'by-hand-01')", w.ID, l.petra.Account)
	decided := func(what string) string { return strings.Replace(decision, "DECIDE", what, 1) }
	l.violates(t, "series_decisions_of_open_run", decided("keep"))
	l.db.Exec(t, decided("strike"))
	l.refuses(t, "series_decisions", map[string]string{
		"series_decisions_id_key": twice("series_decisions"), "series_decisions_window_id_fk": "window_id = -1", "series_decisions_decide_check": "decide = 'perhaps'",
		"series_decisions_reason_check": "reason = " + long, "series_decisions_who_fk": "who = -1", "series_decisions_client_key_check": "client_key = 'x'", "series_decisions_who_client_key_key": decided("strike"),
	})
	l.violates(t, "series_decisions_of_open_run", strings.Replace(decided("strike"), "by-hand-01", "by-hand-02", 1))
	l.violates(t, "series_decisions_append_only", "UPDATE series_decisions SET reason = 'x'", "DELETE FROM series_decisions")
	l.violates(t, "series_decisions_append_only_truncate", "TRUNCATE series_decisions")

	const ends = "INSERT INTO run_ends (run_id, kind, reason, who, at, link) SELECT id, 'confirmed', '', opened_by, now(), 901 FROM runs"
	l.violates(t, "run_ends_decided", "ALTER TABLE series_windows DISABLE TRIGGER USER; UPDATE series_windows SET decide = true; ALTER TABLE series_decisions DISABLE TRIGGER USER; DELETE FROM series_decisions; "+
		"ALTER TABLE run_ends DISABLE TRIGGER run_ends_by_uninvolved; ALTER TABLE run_ends DISABLE TRIGGER run_ends_in_turn; "+ends)
	_, err = l.SubmitRun(ctx, l.petra, l.run)
	require.NoError(t, err)
	l.violates(t, "series_files_of_open_run", file("run_id", "sha256('z')", fresh))
	l.violates(t, "series_windows_of_open_run", window("point_id", fresh))
	l.violates(t, "logger_batches_of_open_run", batch("logger_id, run_id, 'by-hand-01'"))
}
