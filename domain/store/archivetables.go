package store

import "leat/domain"

// archived says how a table goes into the archive of a project: which of its rows
// do, and what stands in its columns. Every column is carried as it is but for what
// is said here.
type archived struct {
	table string
	rows  string // which rows of t, as a condition; ? is the project
	order string // of the rows: the same in every database
	key   string // the column by which other rows name them; they are numbered from 1 instead
	refs  refs   // columns that name rows of other tables
	in    []inside
	left  map[string]string // columns that are not carried, and why

	bytes  string                     // a column that stands in a file of its own
	signed domain.LinkKind            // the rows are signed acts
	or     map[string]domain.LinkKind // by their kind, of another sort
	by, at string                     // columns: who signed, and when
}

// refs names, by column, the table whose rows it names.
type refs map[string]string

// inside says that within the JSON of a column an object that has a member, and
// another one beside it, names a row with it.
type inside struct{ column, member, beside, table string }

const (
	people   = "accounts"
	byServer = "a retry does not come from elsewhere"
	linked   = "the act is a link of the record that it stands in"
)

// What a project is made of, in the order in which it can be put together again:
// what is named comes before what names it. A test holds it against the schema.
var archiveTables = []archived{
	{table: "instruments", key: "id", order: "t.name, t.serial, t.added_at, t.id", refs: refs{"added_by": people, "changed_by": people}, left: left("client_key"),
		rows: "t.id IN (" + instrumentsUsed + ")"},
	{table: "instrument_acts", key: "id", order: "(SELECT ROW(i.name, i.serial, i.added_at, i.id) FROM instruments i WHERE i.id = t.instrument_id), t.id", refs: refs{"instrument_id": "instruments", "who": people}, left: left("client_key"),
		rows: "t.instrument_id IN (" + instrumentsUsed + ") AND " + notOfImports},
	{table: "templates", key: "version", order: "t.version", refs: refs{"follows": "templates", "proposed_by": people}, left: left("client_key", "link"),
		signed: domain.LinkTemplateProposed, by: "proposed_by", at: "proposed_at",
		rows: `t.version IN (WITH RECURSIVE used AS (
			SELECT s.template_version AS version FROM test_sheets s JOIN builds b ON b.id = s.build_id WHERE b.project_id = ?
			UNION SELECT f.follows FROM templates f JOIN used u ON u.version = f.version WHERE f.follows IS NOT NULL) SELECT version FROM used)`},
	{table: "coefficient_sets", order: "t.name::int", rows: "t.name IN (" + setsUsed + ")"},

	{table: "projects", key: "id", order: "t.id", rows: "t.id = ?", refs: refs{"started_by": people}, left: left("client_key")},
	{table: "crew", order: "t.account_id", rows: "t.project_id = ?", refs: refs{"project_id": "projects", "account_id": people}},
	{table: "crew_asks", key: "id", order: "t.id", rows: "t.project_id = ?", refs: refs{"project_id": "projects", "account_id": people, "asked_by": people}},
	{table: "sites", order: "t.project_id", rows: "t.project_id = ?", refs: refs{"project_id": "projects", "changed_by": people}},
	{table: "gaugings", key: "id", order: "t.id", rows: "t.project_id = ?", refs: refs{"project_id": "projects", "recorded_by": people}, left: left("client_key")},
	{table: "files", key: "id", order: "t.id", rows: "t.project_id = ?", refs: refs{"project_id": "projects", "made_by": people}, left: left("client_key")},
	{table: "file_bodies", order: "t.file_id, t.variant", rows: "t.file_id IN (SELECT id FROM files WHERE project_id = ?)", refs: refs{"file_id": "files"}, bytes: "bytes"},

	{table: "designs", key: "id", order: "t.id", rows: "t.project_id = ?", refs: refs{"project_id": "projects", "started_by": people}, left: left("client_key")},
	{table: "revisions", key: "id", order: "t.id", rows: "t.id IN (" + revisionsOf + ")", refs: refs{"design_id": "designs", "started_by": people}},
	{table: "sheets", order: "t.revision_id, t.number", rows: "t.revision_id IN (" + revisionsOf + ")",
		refs: refs{"revision_id": "revisions", "saved_by": people, "gauging_id": "gaugings"}, left: map[string]string{"coefficient_set": "it stands in the report"}},
	{table: "revision_issues", order: "t.revision_id", rows: "t.revision_id IN (" + revisionsOf + ")",
		refs: refs{"revision_id": "revisions", "issued_by": people}, left: left("link"), signed: domain.LinkIssued, by: "issued_by", at: "issued_at"},
	{table: "check_asks", order: "t.revision_id, t.account_id", rows: "t.revision_id IN (" + revisionsOf + ")", refs: refs{"revision_id": "revisions", "account_id": people}},
	{table: "check_outcomes", key: "id", order: "t.id", rows: "t.revision_id IN (" + revisionsOf + ")",
		refs: refs{"revision_id": "revisions", "who": people}, left: left("link"), signed: domain.LinkOutcome, by: "who", at: "at"},
	{table: "revision_ends", order: "t.revision_id", rows: "t.revision_id IN (" + revisionsOf + ")",
		refs: refs{"revision_id": "revisions", "who": people}, left: left("link"), signed: domain.LinkEnded, by: "who", at: "at"},
	{table: "remarks", key: "id", order: "t.id", rows: "t.revision_id IN (" + revisionsOf + ")",
		refs: refs{"design_id": "designs", "revision_id": "revisions", "who": people, "laid_by": people}, left: left("client_key")},
	{table: "remark_answers", key: "id", order: "t.id", rows: "t.remark_id IN (SELECT m.id FROM remarks m WHERE m.revision_id IN (" + revisionsOf + "))",
		refs: refs{"remark_id": "remarks", "who": people}, left: left("client_key")},
	{table: "recalculations", order: "t.revision_id, t.calc_version, t.coefficient_set", rows: "t.revision_id IN (" + revisionsOf + ")", refs: refs{"revision_id": "revisions"}},

	{table: "builds", key: "id", order: "t.id", rows: "t.project_id = ?", refs: refs{"project_id": "projects", "revision_id": "revisions", "started_by": people}, left: left("client_key")},
	{table: "build_people", order: "t.build_id, t.position", rows: "t.build_id IN (" + buildsOf + ")", refs: refs{"build_id": "builds", "account_id": people, "added_by": people}},
	{table: "build_versions", order: "t.build_id, t.number", rows: "t.build_id IN (" + buildsOf + ")", refs: refs{"build_id": "builds", "revision_id": "revisions", "made_by": people}},
	{table: "build_states", key: "id", order: "t.id", rows: "t.build_id IN (" + buildsOf + ")", refs: refs{"build_id": "builds", "who": people}},

	{table: "test_sheets", key: "id", order: "t.id", rows: "t.build_id IN (" + buildsOf + ")", refs: refs{"build_id": "builds", "template_version": "templates", "started_by": people},
		left: left("client_key", "link"), signed: domain.LinkTestStarted, by: "started_by", at: "started_at"},
	{table: "test_entries", key: "id", order: "t.id", rows: "t.sheet_id IN (" + testsOf + ")", refs: refs{"sheet_id": "test_sheets", "who": people, "sent_by": people, "paper_file": "files"},
		in: []inside{{"recorded", "instrument", "", "instruments"}, {"recorded", "value", "digest", "files"}}, left: left("client_key")},
	{table: "test_signatures", key: "id", order: "t.id", rows: "t.sheet_id IN (" + testsOf + ")",
		refs: refs{"entry_id": "test_entries", "sheet_id": "test_sheets", "who": people, "sent_by": people}, left: left("client_key", "link"), signed: domain.LinkTestSigned, by: "who", at: "at"},
	{table: "nonconformances", key: "id", order: "t.id", rows: "t.sheet_id IN (" + testsOf + ")",
		refs: refs{"entry_id": "test_entries", "sheet_id": "test_sheets", "who": people}, left: left("link"), signed: domain.LinkNonconformance, by: "who", at: "at"},
	{table: "nonconformance_closings", order: "t.nonconformance_id", rows: "t.nonconformance_id IN (SELECT n.id FROM nonconformances n WHERE n.sheet_id IN (" + testsOf + "))",
		refs: refs{"nonconformance_id": "nonconformances", "who": people}, left: left("link"), signed: domain.LinkNonconformanceClosed, by: "who", at: "at"},
	{table: "certificates", key: "id", order: "t.id", rows: "t.build_id IN (" + buildsOf + ")", refs: refs{"build_id": "builds", "sheet_id": "test_sheets", "issued_by": people},
		in:   []inside{{"body", "instrument", "", "instruments"}, {"body", "value", "digest", "files"}, {"body", "file", "digest", "files"}, {"body", "who", "role", people}},
		left: left("link"), signed: domain.LinkCertificate, by: "issued_by", at: "issued_at"},
	{table: "certificate_ends", order: "t.certificate_id", rows: "t.certificate_id IN (SELECT c.id FROM certificates c WHERE c.build_id IN (" + buildsOf + "))",
		refs: refs{"certificate_id": "certificates", "who": people}, left: left("link"), signed: domain.LinkCertificateEnded, by: "who", at: "at"},

	{table: "runs", key: "id", order: "t.id", rows: "t.build_id IN (" + buildsOf + ")", refs: refs{"build_id": "builds", "opened_by": people}, left: left("client_key")},
	{table: "run_points", key: "id", order: "t.id", rows: "t.run_id IN (" + runsOf + ")", refs: refs{"run_id": "runs", "added_by": people}, left: left("client_key")},
	{table: "run_readings", key: "id", order: "t.id", rows: "t.run_id IN (" + runsOf + ")", in: []inside{{"instrument", "id", "serial", "instruments"}},
		refs: refs{"run_id": "runs", "point_id": "run_points", "instrument_id": "instruments", "taken_by": people}, left: left("client_key")},
	{table: "run_strikes", key: "id", order: "t.id", rows: "t.reading_id IN (SELECT g.id FROM run_readings g WHERE g.run_id IN (" + runsOf + "))",
		refs: refs{"reading_id": "run_readings", "who": people}, left: left("client_key")},
	{table: "series_files", key: "id", order: "t.id", rows: "t.run_id IN (" + runsOf + ")", refs: refs{"run_id": "runs", "added_by": people, "same_as": "series_files"}, left: left("client_key")},
	{table: "series_parts", order: "t.file_id, t.number", rows: "t.file_id IN (" + seriesOf + ")", refs: refs{"file_id": "series_files"}, bytes: "bytes"},
	{table: "series_reads", order: "t.file_id, t.number", rows: "t.file_id IN (" + seriesOf + ")", refs: refs{"file_id": "series_files", "who": people}},
	{table: "loggers", key: "id", order: "t.id", rows: "t.build_id IN (" + buildsOf + ")", refs: refs{"build_id": "builds", "made_by": people, "revoked_by": people}, left: left("client_key", "token_sum")},
	{table: "logger_batches", key: "id", order: "t.id", rows: "t.logger_id IN (SELECT l.id FROM loggers l WHERE l.build_id IN (" + buildsOf + "))",
		refs: refs{"logger_id": "loggers", "run_id": "runs"}, left: left("client_key")},
	{table: "series_windows", key: "id", order: "t.id", rows: "t.run_id IN (" + runsOf + ")", in: []inside{{"channels", "id", "serial", "instruments"}},
		refs: refs{"run_id": "runs", "point_id": "run_points", "file_id": "series_files", "logger_id": "loggers", "who": people}, left: left("client_key")},
	{table: "series_decisions", key: "id", order: "t.id", rows: "t.window_id IN (SELECT w.id FROM series_windows w WHERE w.run_id IN (" + runsOf + "))",
		refs: refs{"window_id": "series_windows", "who": people}, left: left("client_key")},
	{table: "run_submissions", order: "t.run_id", rows: "t.run_id IN (" + runsOf + ")", refs: refs{"run_id": "runs", "who": people}},
	{table: "run_verdicts", order: "t.run_id", rows: "t.run_id IN (" + runsOf + ")", refs: refs{"run_id": "runs"}},
	{table: "run_ends", key: "id", order: "t.id", rows: "t.run_id IN (" + runsOf + ")",
		refs: refs{"run_id": "runs", "who": people}, left: left("link"), signed: domain.LinkRunConfirmed, or: map[string]domain.LinkKind{"set_aside": domain.LinkRunSetAside}, by: "who", at: "at"},

	{table: "log_entries", key: "id", order: "t.id", rows: "t.project_id = ?",
		refs: refs{"project_id": "projects", "build_id": "builds", "strikes": "log_entries", "who": people}, left: left("client_key")},
	{table: "log_files", order: "t.entry_id, t.position", rows: "t.entry_id IN (" + entriesOf + ")", refs: refs{"entry_id": "log_entries", "file_id": "files"}},
	{table: "incident_marks", order: "t.entry_id", rows: "t.entry_id IN (" + entriesOf + ")", refs: refs{"entry_id": "log_entries", "who": people}},
	{table: "incident_rests", order: "t.entry_id", rows: "t.entry_id IN (" + entriesOf + ")",
		refs: refs{"entry_id": "log_entries", "who": people}, left: left("link"), signed: domain.LinkIncidentRest, by: "who", at: "at"},
	{table: "file_hides", order: "t.file_id, t.number", rows: "t.file_id IN (SELECT id FROM files WHERE project_id = ?)",
		refs: refs{"file_id": "files", "who": people}, left: left("link"), signed: domain.LinkFileHide, by: "who", at: "at"},
}

// How rows of a project are found. Each asks for the project once.
const (
	revisionsOf = "SELECT r.id FROM revisions r JOIN designs d ON d.id = r.design_id WHERE d.project_id = ?"
	buildsOf    = "SELECT b.id FROM builds b WHERE b.project_id = ?"
	testsOf     = "SELECT s.id FROM test_sheets s JOIN builds b ON b.id = s.build_id WHERE b.project_id = ?"
	entriesOf   = "SELECT e.id FROM log_entries e WHERE e.project_id = ?"

	runsOf = "SELECT u.id FROM runs u JOIN builds b ON b.id = u.build_id WHERE b.project_id = ?"

	seriesOf = "SELECT f.id FROM series_files f WHERE f.run_id IN (" + runsOf + ")"

	instrumentsUsed = `SELECT (x #>> '{}')::numeric FROM series_windows w, jsonb_path_query(w.channels, '$[*].instrument.id') x WHERE w.run_id IN (` + runsOf + `)
		UNION SELECT g.instrument_id FROM run_readings g WHERE g.run_id IN (` + runsOf + `)
		UNION SELECT (x #>> '{}')::numeric FROM test_entries e JOIN test_sheets s ON s.id = e.sheet_id JOIN builds b ON b.id = s.build_id,
		jsonb_path_query(e.recorded, '$.**.instrument') x WHERE b.project_id = ? AND jsonb_typeof(x) = 'number'`
	// What an import says of an instrument is no part of its history elsewhere.
	notOfImports = "NOT (t.kind = 'retired' AND EXISTS (SELECT 1 FROM imports i WHERE i.who = t.who AND i.at = t.at))"

	setsUsed = `SELECT u.coefficient_set FROM runs u JOIN builds b ON b.id = u.build_id WHERE b.project_id = ?
		UNION SELECT v.report ->> 'coefficient_set' FROM build_versions v JOIN builds b ON b.id = v.build_id WHERE b.project_id = ?
		UNION SELECT c.coefficient_set FROM recalculations c JOIN revisions r ON r.id = c.revision_id JOIN designs d ON d.id = r.design_id WHERE d.project_id = ?
		UNION SELECT s.coefficient_set FROM sheets s JOIN revisions r ON r.id = s.revision_id JOIN designs d ON d.id = r.design_id WHERE d.project_id = ?`
)

// notArchived says why the other tables are not in the archive of a project.
var notArchived = map[string]string{
	"accounts": "the names of people who did something are, and nothing else of theirs", "sessions": "secret", "setup_codes": "secret", "reset_codes": "secret", "invitations": "secret",
	"group_settings": "of the group; its name is in the head of the archive", "acts": "of the group", "stock_items": "of the group",
	"safety_settings": "of the group; a test sheet holds those it was begun with", "safety_setting_signatures": "of the group",
	"template_signatures": "a procedure counts where it was signed", "record_links": "another record, which goes on here", "record_head": "another record",
	"coefficient_set_proposals": "what the group learned", "coefficient_set_runs": "what the group learned", "coefficient_set_lessons": "what the group learned",
	"coefficient_set_adoptions": "a set counts where it was adopted", "import_sets": "the archive has the sets themselves",
	"imports": "the archive says itself where it comes from", "import_people": "the archive names people as their own group does",
	"goose_db_version": "in the head of the archive",
}

// left says why columns are not carried.
func left(columns ...string) map[string]string {
	why := map[string]string{}
	for _, c := range columns {
		why[c] = map[string]string{"client_key": byServer, "link": linked, "token_sum": "secret"}[c]
	}
	return why
}
