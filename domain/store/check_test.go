package store_test

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/store"
	"leat/domain/store/storetest"
)

// checking is a design of Petra's in check, with people to check it.
type checking struct {
	*storetest.DB
	project              domain.ProjectID
	design               domain.DesignID
	petra, tomasz, wen   domain.Actor // crew; checkers
	former, keen, warden domain.Actor // a checker who left the crew; a member; a steward
}

// inCheck issues the sheet of [kept], and asks for so many to say clear.
func inCheck(t *testing.T, checkers int) *checking {
	t.Helper()
	db := kept(t)
	c := &checking{
		DB: db, project: domain.ProjectID(db.Number(t, "SELECT id FROM projects")), design: domain.DesignID(db.Number(t, "SELECT id FROM designs")),
		petra:  domain.Actor{Account: domain.AccountID(db.Number(t, "SELECT started_by FROM projects"))},
		tomasz: db.Person(t, "Tomasz Reyes Second", domain.Checker), wen: db.Person(t, "Wen Abara", domain.Checker),
		former: db.Person(t, "Bram Oduya", domain.Checker), keen: db.Person(t, "Olwen Pryce"), warden: db.Person(t, "Ines Calloway", domain.Steward),
	}
	db.Exec(t, "INSERT INTO crew (project_id, account_id, joined_at, left_at) VALUES ($1, $2, now(), now())", c.project, c.former.Account)
	issue := domain.Issue{Sheet: 1, Class: "plain", Checkers: checkers}
	require.NoError(t, c.as(c.petra, domain.PutToCheck, func(tx *store.Tx, p domain.Permit) error {
		return tx.IssueRevision(p, domain.IssueRevision{Design: c.design, Letter: "A", Version: 1}, issue, time.Now().UTC())
	}))
	return c
}

// as does something in one transaction for somebody who may.
func (c *checking) as(who domain.Actor, action domain.Action, do func(*store.Tx, domain.Permit) error) error {
	return c.InTx(context.Background(), func(tx *store.Tx) error {
		access, err := tx.DesignAccess(who, c.project, c.design, false)
		if err != nil {
			return err
		}
		permit, err := domain.Authorize(who, access, action)
		if err != nil {
			return err
		}
		return do(tx, permit)
	})
}

func (c *checking) outcome(who domain.Actor, version int64, said domain.Said, note string) error {
	return c.as(who, domain.SayOutcome, func(tx *store.Tx, p domain.Permit) error {
		return tx.CheckDesign(p, domain.CheckDesign{Design: c.design, Letter: "A", Version: version, Outcome: said, Note: note}, time.Now().UTC())
	})
}

func (c *checking) state(t *testing.T) string {
	t.Helper()
	return namesOf(t, c.DB, "SELECT state FROM revisions ORDER BY id LIMIT 1")[0]
}

// refusedAs demands that the database refuses a statement under a name.
func refusedAs(t *testing.T, db *storetest.DB, name, statement string, args ...any) {
	t.Helper()
	_, err := db.SQL.Exec(statement, args...)
	pg, ok := errors.AsType[*pgconn.PgError](err)
	require.True(t, ok, "%s let through: %s (%v)", name, statement, err)
	require.Equal(t, name, pg.ConstraintName, statement)
}

const outcomeByHand = `INSERT INTO check_outcomes (revision_id, outcome, note, who, at, link) SELECT id, 'clear', '', $1, now(), 999 FROM revisions`

// product.md, "People": nobody checks a design of a project whose crew they are,
// or ever were, on, whatever roles they hold. By hand too.
func TestDatabaseRefusesWhoMayNotCheck(t *testing.T) {
	t.Parallel()
	c := inCheck(t, 1)
	c.Exec(t, "UPDATE accounts SET checker = true, steward = true, keeper = true WHERE id = $1", c.petra.Account)
	for name, who := range map[string]domain.Actor{"crew": c.petra, "former crew": c.former, "no checker": c.keen, "steward": c.warden} {
		t.Run(name, func(t *testing.T) { refusedAs(t, c.DB, "check_outcomes_by_others", outcomeByHand, who.Account) })
	}
	c.Exec(t, `ALTER TABLE sheets DISABLE TRIGGER sheets_append_only`)
	c.Exec(t, "UPDATE sheets SET saved_by = $1", c.wen.Account)
	refusedAs(t, c.DB, "check_outcomes_by_others", outcomeByHand, c.wen.Account)
	c.Exec(t, "UPDATE accounts SET closed_at = now(), address = NULL, password_hash = NULL WHERE id = $1", c.tomasz.Account)
	refusedAs(t, c.DB, "check_outcomes_by_others", outcomeByHand, c.tomasz.Account)
	require.Zero(t, c.Number(t, "SELECT count(*) FROM check_outcomes"))
}

func TestDatabaseRefusesStatesThatAreNotReached(t *testing.T) {
	t.Parallel()
	c := inCheck(t, 2)
	to := func(state string) {
		t.Helper()
		refusedAs(t, c.DB, "revisions_state_reached", "UPDATE revisions SET state = $1 WHERE letter = 'A'", state)
	}
	to("cleared")
	to("returned")
	require.NoError(t, c.outcome(c.tomasz, 2, domain.Clear, ""))
	to("cleared") // one of two
	c.Exec(t, `INSERT INTO remarks (design_id, revision_id, pin_kind, pin, weight, text, who, at, client_key)
		SELECT design_id, id, 'whole', '', 'query', 'How deep?', $1, now(), 'remark-0001' FROM revisions`, c.keen.Account)
	require.NoError(t, c.outcome(c.wen, 3, domain.Clear, ""))
	require.Equal(t, "in_check", c.state(t), "a query stands open")
	to("cleared")
	c.Exec(t, "UPDATE remarks SET laid_by = who, laid_at = now()")
	c.Exec(t, "INSERT INTO crew (project_id, account_id, joined_at) VALUES ($1, $2, now())", c.project, c.wen.Account)
	to("cleared") // who said clear has come onto the crew
	c.Put(t, domain.Cleared, "letter = 'A'")
	to("superseded")
	to("withdrawn")
	c.Exec(t, revisionByHand("2", "B", "draft"))
	refusedAs(t, c.DB, "revisions_state_reached", "UPDATE revisions SET state = 'in_check' WHERE letter = 'B'")
	c.Exec(t, "ALTER TABLE revisions DISABLE TRIGGER revisions_state_forward") // each of the two refuses a draft that nobody returned
	refusedAs(t, c.DB, "revisions_state_reached", "UPDATE revisions SET state = 'returned' WHERE letter = 'B'")
	c.Exec(t, "ALTER TABLE revisions ENABLE ALWAYS TRIGGER revisions_state_forward")
	refusedAs(t, c.DB, "revisions_state_forward", "UPDATE revisions SET state = 'returned' WHERE letter = 'B'")
}

func TestDatabaseRefusesIssuesAndEndsByOthers(t *testing.T) {
	t.Parallel()
	c := inCheck(t, 1)
	issue := `INSERT INTO revision_issues (revision_id, sheet_number, digest, pressure_hash, class, checkers, note, issued_by, issued_at, link)
		SELECT id, sheet_count, sha256('x'), sha256('x'), 'plain', 1, '', $1, now(), 999 FROM revisions`
	end := `INSERT INTO revision_ends (revision_id, kind, reason, who, at, link) SELECT id, $2, 'because', $1, now(), 999 FROM revisions`
	refusedAs(t, c.DB, "revision_issues_by_crew", issue, c.petra.Account) // in check already
	for _, who := range []domain.Actor{c.former, c.keen, c.warden} {
		refusedAs(t, c.DB, "revision_ends_allowed", end, who.Account, "taken_back")
	}
	refusedAs(t, c.DB, "revision_ends_allowed", end, c.petra.Account, "withdrawn")
	require.NoError(t, c.outcome(c.tomasz, 2, domain.Clear, ""))
	require.Equal(t, "cleared", c.state(t))
	refusedAs(t, c.DB, "check_outcomes_in_check", outcomeByHand, c.wen.Account)
	refusedAs(t, c.DB, "revision_ends_allowed", end, c.petra.Account, "taken_back")
	for _, who := range []domain.Actor{c.former, c.keen, c.wen} {
		refusedAs(t, c.DB, "revision_ends_allowed", end, who.Account, "withdrawn")
	}
	refusedAs(t, c.DB, "revision_ends_link_fk", end, c.warden.Account, "withdrawn") // may, but it is no link of the record

	other := inCheck(t, 1)
	other.Exec(t, "ALTER TABLE revision_issues DISABLE TRIGGER USER")
	other.Exec(t, "DELETE FROM revision_issues")
	other.Exec(t, "ALTER TABLE revision_issues ENABLE TRIGGER USER")
	other.Put(t, domain.Draft, "true")
	for _, who := range []domain.Actor{other.former, other.keen, other.tomasz} {
		refusedAs(t, other.DB, "revision_issues_by_crew", issue, who.Account)
	}
	other.Exec(t, "UPDATE revisions SET sheet_count = 2")
	refusedAs(t, other.DB, "revision_issues_by_crew", strings.Replace(issue, "sheet_count", "1", 1), other.petra.Account) // not the last sheet
	other.Exec(t, "UPDATE revisions SET sheet_count = 1")
	refusedAs(t, other.DB, "revision_issues_link_fk", issue, other.petra.Account)
}

func TestDatabaseLetsOthersLayNoRemarkToRest(t *testing.T) {
	t.Parallel()
	c := inCheck(t, 1)
	c.Exec(t, `INSERT INTO remarks (design_id, revision_id, pin_kind, pin, weight, text, who, at, client_key)
		SELECT design_id, id, 'whole', '', 'stopper', 'No relief valve.', $1, now(), 'remark-0001' FROM revisions`, c.keen.Account)
	lay := "UPDATE remarks SET laid_by = $1, laid_at = now(), laid_reason = $2"
	for _, who := range []domain.Actor{c.petra, c.tomasz, c.warden} {
		refusedAs(t, c.DB, "remarks_laid_by_raiser", lay, who.Account, "it is fine")
	}
	c.Exec(t, "UPDATE accounts SET closed_at = now(), address = NULL, password_hash = NULL WHERE id = $1", c.keen.Account)
	refusedAs(t, c.DB, "remarks_laid_by_raiser", lay, c.tomasz.Account, "it is fine")
	refusedAs(t, c.DB, "remarks_laid_by_raiser", lay, c.warden.Account, "")
	c.Exec(t, lay, c.warden.Account, "A valve is fitted now.")
	refusedAs(t, c.DB, "remarks_laid_once", lay, c.warden.Account, "once more")
}

// A role that is taken away after it was looked at is told in words, and is no
// fault of the server's.
func TestRoleThatIsGoneMeanwhileIsRefusedInWords(t *testing.T) {
	t.Parallel()
	refused := func(err error) string {
		known, _ := errors.AsType[*domain.Error](err)
		require.NotNil(t, known, err)
		require.Equal(t, domain.Forbidden, known.Kind)
		return known.Code
	}
	c := inCheck(t, 1)
	c.Exec(t, `INSERT INTO remarks (design_id, revision_id, pin_kind, pin, weight, text, who, at, client_key)
		SELECT design_id, id, 'whole', '', 'note', 'Low.', $1, now(), 'remark-0001' FROM revisions`, c.keen.Account)
	c.Exec(t, "UPDATE accounts SET closed_at = now(), address = NULL, password_hash = NULL WHERE id = $1", c.keen.Account)
	steward := func(is bool) { c.Exec(t, "UPDATE accounts SET steward = $2 WHERE id = $1", c.warden.Account, is) }
	require.Equal(t, "not-raiser", refused(c.InTx(context.Background(), func(tx *store.Tx) error {
		access, err := tx.DesignAccess(c.warden, c.project, c.design, false)
		require.NoError(t, err)
		remark := domain.RemarkID(c.Number(t, "SELECT id FROM remarks"))
		r, err := tx.Remark(c.project, c.design, remark)
		require.NoError(t, err)
		permit, err := domain.Authorize(c.warden, r.Access(access), domain.RestRemark)
		require.NoError(t, err)
		steward(false)
		return tx.LayRemark(permit, domain.LayRemark{Project: c.project, Design: c.design, Remark: remark, Reason: "It is fine."}, time.Now().UTC())
	})))
	steward(true)
	require.NoError(t, c.outcome(c.tomasz, 2, domain.Clear, ""))
	require.Equal(t, "not-on-crew", refused(c.as(c.warden, domain.Withdraw, func(tx *store.Tx, p domain.Permit) error {
		steward(false)
		return tx.WithdrawRevision(p, domain.WithdrawRevision{Design: c.design, Letter: "A", Version: 3, Reason: "The pipe was recalled."}, time.Now().UTC())
	})))
	require.Equal(t, "cleared", c.state(t))
	require.Equal(t, 1, c.Number(t, "SELECT count(*) FROM remarks WHERE laid_at IS NULL"))
}

// Who waits for the project is judged by the roles that they have once it is
// theirs.
func TestRolesAreReadOnceTheProjectIsHeld(t *testing.T) {
	t.Parallel()
	c := inCheck(t, 1)
	held, err := c.SQL.Begin()
	require.NoError(t, err)
	defer func() { _ = held.Rollback() }()
	_, err = held.Exec("SELECT 1 FROM projects FOR UPDATE")
	require.NoError(t, err)
	waits := make(chan error, 1)
	go func() {
		waits <- c.as(c.warden, domain.LayIncident, func(*store.Tx, domain.Permit) error { return nil })
	}()
	require.Eventually(t, func() bool {
		return c.Number(t, "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock'") == 1
	}, 10*time.Second, 10*time.Millisecond)
	c.Exec(t, "UPDATE accounts SET steward = false WHERE id = $1", c.warden.Account)
	require.NoError(t, held.Commit())
	known, _ := errors.AsType[*domain.Error](<-waits)
	require.NotNil(t, known)
	require.Equal(t, "not-steward", known.Code)
}

func TestWhatWasSaidAboutADesignIsKept(t *testing.T) {
	t.Parallel()
	c := inCheck(t, 1)
	c.Exec(t, `INSERT INTO remarks (design_id, revision_id, pin_kind, pin, weight, text, who, at, client_key)
		SELECT design_id, id, 'input', '/trompe/riser/outlet_m', 'note', 'Low.', $1, now(), 'remark-0001' FROM revisions`, c.keen.Account)
	c.Exec(t, `INSERT INTO remark_answers (remark_id, text, who, at, client_key) SELECT id, 'So it is.', $1, now(), 'answer-0001' FROM remarks`, c.petra.Account)
	c.Exec(t, "INSERT INTO check_asks SELECT id, $1 FROM revisions", c.tomasz.Account)
	c.Exec(t, `INSERT INTO recalculations SELECT id, '9', '0', '{}', '[]', now() FROM revisions`)
	require.NoError(t, c.outcome(c.tomasz, 2, domain.Clear, ""))
	require.NoError(t, c.as(c.warden, domain.Withdraw, func(tx *store.Tx, p domain.Permit) error {
		return tx.WithdrawRevision(p, domain.WithdrawRevision{Design: c.design, Letter: "A", Version: 3, Reason: "the pipe was recalled"}, time.Now().UTC())
	}))
	require.Equal(t, "withdrawn", c.state(t))
	for table, change := range map[string]string{
		"revision_issues": "note = 'x'", "check_asks": "account_id = account_id", "check_outcomes": "note = 'x'", "revision_ends": "reason = 'x'",
		"remarks": "text = 'x'", "remark_answers": "text = 'x'", "recalculations": "differs = '[]'",
	} {
		name := table + "_append_only"
		if table == "remarks" {
			name = "remarks_kept"
		}
		refusedAs(t, c.DB, name, "UPDATE "+table+" SET "+change)
		refusedAs(t, c.DB, name, "DELETE FROM "+table)
		refusedAs(t, c.DB, name+"_truncate", "TRUNCATE "+table+" CASCADE")
	}
}

// Every row breaks one constraint by hand.
func TestConstraintsOfChecksHold(t *testing.T) {
	t.Parallel()
	c := inCheck(t, 1)
	c.Exec(t, "ALTER TABLE revision_issues DISABLE TRIGGER USER")
	c.Exec(t, "ALTER TABLE check_outcomes DISABLE TRIGGER USER")
	c.Exec(t, "ALTER TABLE revision_ends DISABLE TRIGGER USER")
	remark := func(kind, pin, weight, text, key, laid string) string {
		return `INSERT INTO remarks (design_id, revision_id, pin_kind, pin, weight, text, who, at, client_key, laid_by, laid_at, laid_reason)
			SELECT design_id, id, ` + strings.Join([]string{kind, pin, weight, text}, ", ") + `, started_by, now(), ` + key + `, ` + laid + ` FROM revisions`
	}
	answer := func(remark, text, key string) string {
		return "INSERT INTO remark_answers (remark_id, text, who, at, client_key) SELECT " + remark + ", " + text + ", started_by, now(), " + key + " FROM revisions"
	}
	outcome := func(revision, said, note, who string) string {
		return "INSERT INTO check_outcomes (revision_id, outcome, note, who, at, link) SELECT " + revision + ", " + said + ", " + note + ", " + who + ", now(), 1 FROM revisions"
	}
	end := func(kind, reason string) string {
		return "INSERT INTO revision_ends (revision_id, kind, reason, who, at, link) SELECT id, " + kind + ", " + reason + ", started_by, now(), 1 FROM revisions"
	}
	again := func(revision, version, set, report, differs string) string {
		return "INSERT INTO recalculations SELECT " + strings.Join([]string{revision, version, set, report, differs}, ", ") + ", now() FROM revisions"
	}
	const open = "NULL, NULL, ''"
	c.Exec(t, remark("'whole'", "''", "'note'", "'x'", "'remark-0001'", open))
	c.Exec(t, answer("(SELECT id FROM remarks)", "'x'", "'answer-0001'"))
	c.Exec(t, outcome("id", "'clear'", "''", "started_by"))
	c.Exec(t, again("id", "'9'", "'0'", "'{}'", "'[]'"))
	for name, statements := range map[string][]string{
		"revision_issues_digest_check":                                {"UPDATE revision_issues SET digest = 'x'"},
		"revision_issues_pressure_hash_check":                         {"UPDATE revision_issues SET pressure_hash = 'x'"},
		"revision_issues_class_check":                                 {"UPDATE revision_issues SET class = 'barred', checkers = 2"},
		"revision_issues_checkers_check":                              {"UPDATE revision_issues SET checkers = 0", "UPDATE revision_issues SET checkers = 10"},
		"revision_issues_class_checkers_check":                        {"UPDATE revision_issues SET class = 'raised'"},
		"revision_issues_note_check":                                  {"UPDATE revision_issues SET note = repeat('x', 2001)"},
		"revision_issues_issued_by_fk":                                {"UPDATE revision_issues SET issued_by = -1"},
		"revision_issues_link_fk":                                     {"UPDATE revision_issues SET link = 999"},
		"revision_issues_revision_id_sheet_number_fk":                 {"UPDATE revision_issues SET sheet_number = 9"},
		"check_asks_revision_id_fk":                                   {"INSERT INTO check_asks SELECT -1, started_by FROM revisions"},
		"check_asks_account_id_fk":                                    {"INSERT INTO check_asks SELECT id, -1 FROM revisions"},
		"check_outcomes_revision_id_fk":                               {strings.Replace(outcome("-1", "'clear'", "''", "(SELECT max(id) FROM accounts)"), ", 1 FROM", ", 2 FROM", 1)},
		"check_outcomes_outcome_check":                                {outcome("id", "'maybe'", "'x'", "started_by")},
		"check_outcomes_note_check":                                   {outcome("id", "'clear'", "repeat('x', 2001)", "started_by")},
		"check_outcomes_outcome_note_check":                           {outcome("id", "'return'", "''", "started_by")},
		"check_outcomes_who_fk":                                       {strings.Replace(outcome("id", "'clear'", "''", "-1"), ", 1 FROM", ", 2 FROM", 1)},
		"check_outcomes_link_key":                                     {outcome("id", "'clear'", "''", "(SELECT max(id) FROM accounts)")},
		"check_outcomes_revision_id_who_key":                          {strings.Replace(outcome("id", "'clear'", "''", "started_by"), ", 1 FROM", ", 2 FROM", 1)},
		"revision_ends_kind_check":                                    {end("'lost'", "'x'")},
		"revision_ends_reason_check":                                  {end("'withdrawn'", "repeat('x', 2001)")},
		"revision_ends_kind_reason_check":                             {end("'withdrawn'", "''")},
		"remarks_pin_kind_check":                                      {remark("'sky'", "'x'", "'note'", "'x'", "'remark-0002'", open)},
		"remarks_pin_check":                                           {remark("'part'", "repeat('x', 201)", "'note'", "'x'", "'remark-0002'", open)},
		"remarks_pin_kind_pin_check":                                  {remark("'part'", "''", "'note'", "'x'", "'remark-0002'", open), remark("'whole'", "'x'", "'note'", "'x'", "'remark-0002'", open)},
		"remarks_weight_check":                                        {remark("'whole'", "''", "'heavy'", "'x'", "'remark-0002'", open)},
		"remarks_text_check":                                          {remark("'whole'", "''", "'note'", "''", "'remark-0002'", open), remark("'whole'", "''", "'note'", "repeat('x', 4001)", "'remark-0002'", open)},
		"remarks_client_key_check":                                    {remark("'whole'", "''", "'note'", "'x'", "'x'", open)},
		"remarks_who_client_key_key":                                  {remark("'whole'", "''", "'note'", "'x'", "'remark-0001'", open)},
		"remarks_laid_by_laid_at_check":                               {remark("'whole'", "''", "'note'", "'x'", "'remark-0002'", "started_by, NULL, ''"), remark("'whole'", "''", "'note'", "'x'", "'remark-0002'", "NULL, NULL, 'x'")},
		"remarks_laid_by_fk":                                          {remark("'whole'", "''", "'note'", "'x'", "'remark-0002'", "-1, now(), ''")},
		"remarks_laid_reason_check":                                   {remark("'whole'", "''", "'note'", "'x'", "'remark-0002'", "started_by, now(), repeat('x', 2001)")},
		"remarks_revision_id_design_id_fk":                            {strings.Replace(remark("'whole'", "''", "'note'", "'x'", "'remark-0002'", open), "design_id, id", "design_id, -1", 2)},
		"remark_answers_remark_id_fk":                                 {answer("-1", "'x'", "'answer-0002'")},
		"remark_answers_text_check":                                   {answer("(SELECT id FROM remarks)", "''", "'answer-0002'")},
		"remark_answers_client_key_check":                             {answer("(SELECT id FROM remarks)", "'x'", "'x'")},
		"remark_answers_who_client_key_key":                           {answer("(SELECT id FROM remarks)", "'x'", "'answer-0001'")},
		"recalculations_revision_id_fk":                               {again("-1", "'9'", "'0'", "'{}'", "'[]'")},
		"recalculations_revision_id_calc_version_coefficient_set_key": {again("id", "'9'", "'0'", "'{}'", "'[]'")},
		"recalculations_calc_version_check":                           {again("id", "''", "'0'", "'{}'", "'[]'")},
		"recalculations_coefficient_set_fk":                           {again("id", "'8'", "'7'", "'{}'", "'[]'")},
		"recalculations_report_check":                                 {again("id", "'8'", "'0'", "'[]'", "'[]'")},
		"recalculations_differs_check":                                {again("id", "'8'", "'0'", "'{}'", "'{}'")},
	} {
		for _, statement := range statements {
			refusedAs(t, c.DB, name, statement)
		}
	}
}

// The first page of many remarks takes as many statements as that of a few.
func TestListOfRemarksTakesAsManyStatementsForFiftyAsForOne(t *testing.T) {
	t.Parallel()
	c := inCheck(t, 1)
	db, statements := c.Counting()
	count := func() (n int64) {
		before := statements()
		require.NoError(t, db.InTx(context.Background(), func(tx *store.Tx) error {
			list, err := tx.Remarks(c.project, c.design, true, domain.Page{})
			require.NotEmpty(t, list)
			return err
		}))
		return statements() - before
	}
	add := `INSERT INTO remarks (design_id, revision_id, pin_kind, pin, weight, text, who, at, client_key)
		SELECT design_id, r.id, 'whole', '', 'note', 'x', started_by, now(), 'remark-' || 1000 + n FROM revisions r, generate_series($1::int, $2::int) n`
	c.Exec(t, add, 1, 1)
	one := count()
	c.Exec(t, add, 2, 50)
	require.Equal(t, one, count())
}
