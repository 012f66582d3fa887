package notebook_test

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/sheet"
	"leat/domain"
	"leat/domain/notebook"
	"leat/domain/store"
	"leat/domain/store/storetest"
)

// The chamber of a machine that is plain: steel, at a tenth of a bar.
const steelChamber = `{"role": "chamber", "name": "steel drum", "od_m": 0.1028, "wall_m": 0.003, "rating_pa": 1600000, "marking": "PN 16", "gas_class": "metal", "table": "STEEL", "joint": "welded", "location": "guarded"}`

// raised is a machine of hazard class raised, which may be built on conditions.
func raised(t testing.TB) (in sheet.Input) {
	t.Helper()
	raw, err := os.ReadFile("demo/bench-pe.json")
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(raw, &in))
	return in
}

// plain is a machine of hazard class plain.
func plain(t testing.TB) sheet.Input {
	t.Helper()
	in := raised(t)
	var parts []json.RawMessage
	require.NoError(t, json.Unmarshal(in.Parts, &parts))
	parts[1] = json.RawMessage(steelChamber)
	text, err := json.Marshal(parts[:3])
	require.NoError(t, err)
	in.Parts = text
	in.Facts = []byte(strings.Replace(string(in.Facts), `"riser_can_block": true`, `"riser_can_block": false`, 1))
	return in
}

// checks is a notebook with a design of Petra's and people to check it.
type checks struct {
	*bundle
	wen, former    domain.Actor // checkers; former left the crew
	warden, keeper domain.Actor
	version        int64 // of the design
	letter         string
}

func setupChecks(t *testing.T, in sheet.Input) *checks {
	t.Helper()
	c := &checks{bundle: setup(t), letter: "A", version: 1}
	c.wen, c.former = c.db.Person(t, "Wen Abara", domain.Checker), c.db.Person(t, "Olwen Pryce", domain.Checker)
	c.warden, c.keeper = c.db.Person(t, "Bram Oduya", domain.Steward), c.db.Person(t, "Ines Calloway", domain.Keeper)
	c.db.Exec(t, "INSERT INTO crew (project_id, account_id, joined_at, left_at) VALUES ($1, $2, now(), now())", c.project.ID, c.former.Account)
	c.saves(t, in)
	return c
}

func (c *checks) saves(t *testing.T, in sheet.Input) {
	t.Helper()
	cmd := domain.SaveSheet{Project: c.project.ID, Design: c.design.ID, Letter: c.letter, Version: c.version, Input: in}
	var err error
	_, c.version, err = c.SaveSheet(ctx, c.petra, cmd)
	require.NoError(t, err)
}

func (c *checks) check(t *testing.T, who domain.Actor) domain.Check {
	t.Helper()
	check, err := c.Check(ctx, who, c.project.ID, c.design.ID, c.letter)
	require.NoError(t, err)
	return check
}

// took keeps the version that a step left.
func (c *checks) took(t *testing.T, check domain.Check, err error) domain.Check {
	t.Helper()
	require.NoError(t, err)
	require.Greater(t, check.Version, c.version)
	c.version = check.Version
	return check
}

func (c *checks) issue(who domain.Actor, ask ...domain.AccountID) (domain.Check, error) {
	return c.IssueRevision(ctx, who, domain.IssueRevision{
		Project: c.project.ID, Design: c.design.ID, Letter: c.letter, Version: c.version, Sheet: 1, Note: "please look at the riser", Ask: ask,
	})
}

func (c *checks) says(who domain.Actor, said domain.Said, note string) (domain.Check, error) {
	return c.CheckDesign(ctx, who, domain.CheckDesign{
		Project: c.project.ID, Design: c.design.ID, Letter: c.letter, Version: c.version, Outcome: said, Note: note, Password: storetest.Password,
	})
}

func (c *checks) takesBack(who domain.Actor) (domain.Check, error) {
	return c.TakeBackRevision(ctx, who, domain.TakeBackRevision{Project: c.project.ID, Design: c.design.ID, Letter: c.letter, Version: c.version})
}

func (c *checks) withdraws(who domain.Actor, letter string) (domain.Check, error) {
	return c.WithdrawRevision(ctx, who, domain.WithdrawRevision{Project: c.project.ID, Design: c.design.ID, Letter: letter, Version: c.version, Reason: "the pipe was recalled"})
}

func (c *checks) nextLetter(t *testing.T) {
	t.Helper()
	d, err := c.StartRevision(ctx, c.petra, c.next(c.version, nil))
	require.NoError(t, err)
	c.version, c.letter = d.Version, d.Revision.Letter
}

func (c *checks) remarks(t *testing.T, who domain.Actor, weight domain.Weight, key string) domain.Remark {
	t.Helper()
	r, made, err := c.RaiseRemark(ctx, who, domain.RaiseRemark{
		Project: c.project.ID, Design: c.design.ID, Letter: c.letter, Pin: domain.Pin{Kind: domain.OnPart, At: "riser"}, Weight: weight, Text: "How is it held?", Key: key,
	})
	require.NoError(t, err)
	require.True(t, made)
	return r
}

func (c *checks) rests(who domain.Actor, r domain.Remark, reason string) (domain.Remark, error) {
	return c.LayRemark(ctx, who, domain.LayRemark{Project: c.project.ID, Design: c.design.ID, Remark: r.ID, Reason: reason})
}

func (c *checks) waiting(t *testing.T, who domain.Actor) (checks []domain.WaitingCheck, remarks []domain.WaitingRemark, again []domain.WaitingRecalculation) {
	t.Helper()
	require.NoError(t, c.db.InTx(ctx, func(tx *store.Tx) (err error) {
		if checks, err = tx.WaitingChecks(who); err != nil {
			return err
		}
		if remarks, err = tx.WaitingRemarks(who); err != nil {
			return err
		}
		again, err = tx.WaitingRecalculations(who)
		return err
	}))
	return checks, remarks, again
}

func (c *checks) verified(t *testing.T) {
	t.Helper()
	require.NoError(t, c.db.InTx(ctx, func(tx *store.Tx) error { _, err := tx.VerifyRecord(); return err }))
}

func TestRaisedMachineIsClearedByTwo(t *testing.T) {
	t.Parallel()
	c := setupChecks(t, raised(t))
	require.Empty(t, c.check(t, c.petra).Lacks)
	require.Contains(t, c.check(t, c.petra).Allowed, domain.PutToCheck)
	check, err := c.issue(c.petra)
	check = c.took(t, check, err)
	require.Equal(t, domain.InCheck, check.Revision.State)
	require.Equal(t, "raised", check.Issue.Class)
	require.Equal(t, 2, check.Issue.Checkers)
	require.Equal(t, "Petra Lindahl", check.Issue.By.Name)
	require.Equal(t, []string{"2 checkers must still say clear: Tomasz Reyes, Wen Abara."}, check.Lacks)
	s, err := c.Sheet(ctx, c.wen, c.project.ID, c.design.ID, "A", 1)
	require.NoError(t, err)
	sum, err := s.Digest()
	require.NoError(t, err)
	require.Equal(t, sum, check.Issue.Digest, "a reader works the digest out from what the API gives")

	check, err = c.says(c.tomasz, domain.Clear, "")
	check = c.took(t, check, err)
	require.Equal(t, domain.InCheck, check.Revision.State)
	require.NotContains(t, check.Allowed, domain.SayOutcome)
	require.Equal(t, []string{"1 checker must still say clear: Wen Abara."}, check.Lacks)
	check, err = c.says(c.wen, domain.Clear, "Sound.")
	check = c.took(t, check, err)
	require.Equal(t, domain.Cleared, check.Revision.State)
	require.Len(t, check.Outcomes, 2)
	require.Equal(t, "Sound.", check.Outcomes[1].Note)
	require.Empty(t, check.Lacks)
	_, _, err = c.SaveSheet(ctx, c.petra, c.save(c.version, machine(t, nil)))
	requireCode(t, "revision-frozen", err)
	require.Equal(t, 3, c.db.Number(t, "SELECT count(*) FROM record_links WHERE project_id = $1", c.project.ID))
	c.verified(t)
}

// Whoever changes what was checked, past the triggers, is found out: the sheet,
// which is signed by its issue, too.
func TestTamperingWithACheckIsFound(t *testing.T) {
	t.Parallel()
	for table, change := range map[string]string{
		"sheets": `UPDATE sheets SET report = jsonb_set(report, '{build,class}', '"barred"')`, "revision_issues": "UPDATE revision_issues SET checkers = 2",
		"check_outcomes": "UPDATE check_outcomes SET note = 'I never looked'", "revision_ends": "UPDATE revision_ends SET reason = 'none'",
	} {
		t.Run(table, func(t *testing.T) {
			t.Parallel()
			c := setupChecks(t, plain(t))
			check, err := c.issue(c.petra)
			c.took(t, check, err)
			check, err = c.says(c.wen, domain.Clear, "")
			require.Equal(t, domain.Cleared, c.took(t, check, err).Revision.State, "one is enough for a plain machine")
			check, err = c.withdraws(c.warden, "A")
			c.took(t, check, err)
			c.verified(t)
			c.db.Exec(t, "ALTER TABLE "+table+" DISABLE TRIGGER ALL")
			c.db.Exec(t, change)
			require.Error(t, c.db.InTx(ctx, func(tx *store.Tx) error { _, err := tx.VerifyRecord(); return err }))
		})
	}
}

// Nobody of these checks; each is told who may.
func TestWhoMayNotCheckIsRefusedAndTold(t *testing.T) {
	t.Parallel()
	c := setupChecks(t, plain(t))
	check, err := c.issue(c.petra)
	c.took(t, check, err)
	c.db.Exec(t, "UPDATE accounts SET checker = true, steward = true, keeper = true WHERE id IN ($1, $2)", c.petra.Account, c.former.Account)
	for _, row := range []struct {
		who  domain.Actor
		code string
	}{{c.warden, "not-checker"}, {c.keeper, "not-checker"}, {c.petra, "own-design"}, {c.former, "own-design"}} {
		_, err := c.says(row.who, domain.Clear, "")
		require.Contains(t, requireCode(t, row.code, err).Message, "Tomasz Reyes, Wen Abara")
		_, err = c.says(row.who, domain.Return, "no")
		requireCode(t, row.code, err)
	}
	require.Zero(t, c.db.Number(t, "SELECT count(*) FROM check_outcomes"))
	wrong := domain.CheckDesign{Project: c.project.ID, Design: c.design.ID, Letter: "A", Version: c.version, Outcome: domain.Clear, Password: "not this one"}
	_, err = c.CheckDesign(ctx, c.wen, wrong)
	require.Equal(t, "/password", requireCode(t, "invalid", err).Fields[0].Pointer)
	c.db.Exec(t, "UPDATE accounts SET checker = false WHERE id = $1", c.wen.Account)
	_, err = c.says(c.wen, domain.Clear, "")
	requireCode(t, "not-checker", err)
	c.db.Exec(t, "UPDATE accounts SET checker = false")
	_, err = c.says(c.wen, domain.Clear, "")
	require.Contains(t, requireCode(t, "not-checker", err).Message, "Nobody in the group may check this design")
	require.Len(t, c.check(t, c.petra).Lacks, 2, "and the crew reads what is lacking")
}

func TestWhatCannotBeIssuedIsSaidBeforeAndAfter(t *testing.T) {
	t.Parallel()
	c := setupChecks(t, sheet.Input{Trompe: machine(t, map[[2]string]any{{"riser", "outlet_m"}: 1.72})})
	lacks := c.check(t, c.petra).Lacks
	require.Len(t, lacks, 2)
	_, err := c.issue(c.petra)
	e := requireCode(t, "not-issuable", err)
	require.Len(t, e.Fields, 2)
	require.Equal(t, lacks[0], e.Fields[0].Message)

	var barred sheet.Input
	raw, err := os.ReadFile("demo/bench-drain.json")
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(raw, &barred))
	c.saves(t, barred)
	_, err = c.IssueRevision(ctx, c.petra, domain.IssueRevision{Project: c.project.ID, Design: c.design.ID, Letter: "A", Version: c.version, Sheet: 2})
	require.Contains(t, requireCode(t, "not-issuable", err).Message, "Not allowed: chamber")

	c.saves(t, plain(t))
	_, err = c.IssueRevision(ctx, c.petra, domain.IssueRevision{Project: c.project.ID, Design: c.design.ID, Letter: "A", Version: c.version, Sheet: 2})
	require.Equal(t, "/sheet", requireCode(t, "invalid", err).Fields[0].Pointer)
	_, err = c.issue(c.wen)
	requireCode(t, "not-on-crew", err)
	c.version--
	_, err = c.issue(c.petra)
	requireCode(t, "design-stale", err)
	c.version++
	_, err = c.IssueRevision(ctx, c.petra, domain.IssueRevision{Project: c.project.ID, Design: c.design.ID, Letter: "A", Version: c.version, Sheet: 3, Ask: []domain.AccountID{c.former.Account}})
	require.Equal(t, "/ask/0", requireCode(t, "invalid", err).Fields[0].Pointer)
	_, err = c.IssueRevision(ctx, c.petra, domain.IssueRevision{Project: c.project.ID, Design: c.design.ID, Letter: "B", Version: c.version, Sheet: 3})
	requireCode(t, "not-found", err)
	require.Equal(t, "draft", string(c.check(t, c.petra).Revision.State))
	require.Zero(t, c.db.Number(t, "SELECT count(*) FROM revision_issues"))
}

func TestReturnedRevisionIsGoneOnFromAndRemarksGoAlong(t *testing.T) {
	t.Parallel()
	c := setupChecks(t, plain(t))
	check, err := c.issue(c.petra)
	c.took(t, check, err)
	query := c.remarks(t, c.wen, domain.Query, "remark-0001")
	check, err = c.says(c.wen, domain.Return, "Say how the riser is held.")
	require.Equal(t, domain.Returned, c.took(t, check, err).Revision.State)
	_, err = c.says(c.tomasz, domain.Clear, "")
	requireCode(t, "not-in-check", err)
	_, err = c.takesBack(c.petra)
	requireCode(t, "not-in-check", err)

	c.nextLetter(t)
	require.Equal(t, "B", c.letter)
	require.Equal(t, domain.RemarkCount{Queries: 1}, c.check(t, c.petra).Open, "it goes along")
	check, err = c.issue(c.petra)
	c.took(t, check, err)
	check, err = c.says(c.tomasz, domain.Clear, "")
	check = c.took(t, check, err)
	require.Equal(t, domain.InCheck, check.Revision.State, "the query stands open")
	require.Equal(t, []string{"0 stoppers and 1 query stand open. Whoever raised a remark lays it to rest."}, check.Lacks)
	_, err = c.rests(c.petra, query, "We say so.")
	require.Contains(t, requireCode(t, "not-raiser", err).Message, "Wen Abara")
	r, err := c.rests(c.wen, query, "")
	require.NoError(t, err)
	require.Equal(t, "Wen Abara", r.Laid.By.Name)
	check = c.check(t, c.petra)
	require.Equal(t, domain.Cleared, check.Revision.State, "nothing else kept it")
	require.Greater(t, check.Version, c.version, "who has read the design hears of it")
	r, err = c.rests(c.wen, query, "")
	require.NoError(t, err, "a retry")
	require.NotNil(t, r.Laid)
	c.verified(t)
}

func TestTakenBackBeforeAnyOutcomeOnly(t *testing.T) {
	t.Parallel()
	c := setupChecks(t, raised(t))
	_, err := c.takesBack(c.petra)
	requireCode(t, "not-in-check", err)
	check, err := c.issue(c.petra)
	c.took(t, check, err)
	for _, who := range []domain.Actor{c.wen, c.former, c.warden, c.keeper} {
		_, err = c.takesBack(who)
		requireCode(t, "not-on-crew", err)
	}
	check, err = c.takesBack(c.petra)
	check = c.took(t, check, err)
	require.Equal(t, domain.Returned, check.Revision.State)
	require.Equal(t, domain.TakenBack, check.End.Kind)
	c.nextLetter(t)
	check, err = c.issue(c.petra)
	c.took(t, check, err)
	check, err = c.says(c.wen, domain.Clear, "")
	c.took(t, check, err)
	_, err = c.takesBack(c.petra)
	require.Contains(t, requireCode(t, "outcome-there", err).Message, "Wen Abara")
	_, err = c.says(c.wen, domain.Return, "on second thoughts")
	requireCode(t, "outcome-given", err)
	c.verified(t)
}

func TestLaterLetterSupersedesAndBothAreWithdrawn(t *testing.T) {
	t.Parallel()
	c := setupChecks(t, plain(t))
	clears := func() {
		check, err := c.issue(c.petra)
		c.took(t, check, err)
		_, err = c.withdraws(c.warden, c.letter)
		requireCode(t, "not-cleared", err)
		check, err = c.says(c.wen, domain.Clear, "")
		require.Equal(t, domain.Cleared, c.took(t, check, err).Revision.State)
	}
	clears()
	c.nextLetter(t)
	clears()
	d, err := c.Design(ctx, c.petra, c.project.ID, c.design.ID)
	require.NoError(t, err)
	require.Equal(t, domain.Superseded, d.Revisions[1].State)
	_, err = c.withdraws(c.wen, "A")
	require.Contains(t, requireCode(t, "not-on-crew", err).Message, "Bram Oduya")
	check, err := c.withdraws(c.warden, "A")
	check = c.took(t, check, err)
	require.Equal(t, domain.Withdrawn, check.Revision.State)
	require.Equal(t, "the pipe was recalled", check.End.Reason)
	_, err = c.withdraws(c.petra, "A")
	requireCode(t, "not-cleared", err)
	c.db.Exec(t, "UPDATE projects SET closed_at = now()")
	check, err = c.withdraws(c.petra, "B")
	require.Equal(t, domain.Withdrawn, c.took(t, check, err).Revision.State, "closing a project makes nothing less dangerous")
	c.verified(t)
}

// Who said clear and then joins the crew checks their own design: it counts no
// longer, and another checker is needed.
func TestClearOfSomebodyWhoJoinsTheCrewCountsNoLonger(t *testing.T) {
	t.Parallel()
	c := setupChecks(t, raised(t))
	check, err := c.issue(c.petra)
	c.took(t, check, err)
	check, err = c.says(c.tomasz, domain.Clear, "")
	c.took(t, check, err)
	c.db.Exec(t, "INSERT INTO crew (project_id, account_id, joined_at) VALUES ($1, $2, now())", c.project.ID, c.tomasz.Account)
	check, err = c.says(c.wen, domain.Clear, "")
	check = c.took(t, check, err)
	require.Equal(t, domain.InCheck, check.Revision.State)
	require.True(t, check.Outcomes[0].Joined)
	require.Contains(t, check.Lacks[1], "Ines Calloway", "nobody is left who may, and a keeper can help")
}

func TestRemarksAreKeptOnceAndAnswered(t *testing.T) {
	t.Parallel()
	c := setupChecks(t, plain(t))
	first := c.remarks(t, c.warden, domain.Stopper, "remark-0001")
	cmd := domain.RaiseRemark{Project: c.project.ID, Design: c.design.ID, Letter: "A", Pin: first.Pin, Weight: domain.Stopper, Text: first.Text, Key: "remark-0001"}
	again, made, err := c.RaiseRemark(ctx, c.warden, cmd)
	require.NoError(t, err)
	require.False(t, made)
	require.Equal(t, first, again)
	second := c.remarks(t, c.wen, domain.Note, "remark-0001")
	require.NotEqual(t, first.ID, second.ID, "the key is the author's own")
	cmd.Design = c.startDesign(t, "design-0002").ID
	_, _, err = c.RaiseRemark(ctx, c.warden, cmd)
	requireCode(t, "client-key-used", err)
	cmd.Design, cmd.Letter, cmd.Key = c.design.ID, "Z", "remark-0009"
	_, _, err = c.RaiseRemark(ctx, c.warden, cmd)
	requireCode(t, "not-found", err)

	answer := domain.AnswerRemark{Project: c.project.ID, Design: c.design.ID, Remark: first.ID, Text: "By two clips.", Key: "answer-0001"}
	for range 2 {
		r, _, err := c.AnswerRemark(ctx, c.petra, answer)
		require.NoError(t, err)
		require.Len(t, r.Answers, 1)
		require.Equal(t, "By two clips.", r.Answers[0].Text)
	}
	other := answer
	other.Remark = second.ID
	_, _, err = c.AnswerRemark(ctx, c.petra, other)
	requireCode(t, "client-key-used", err)
	_, _, err = c.AnswerRemark(ctx, c.wen, answer)
	require.Contains(t, requireCode(t, "not-on-crew", err).Message, "Petra Lindahl, Bram Oduya")
	_, err = c.rests(c.warden, first, "Held well.")
	require.NoError(t, err)
	answer.Key = "answer-0002"
	_, _, err = c.AnswerRemark(ctx, c.petra, answer)
	requireCode(t, "remark-at-rest", err)

	all, err := c.Remarks(ctx, c.tomasz, c.project.ID, c.design.ID, false, domain.Page{})
	require.NoError(t, err)
	require.Len(t, all, 2)
	open, err := c.Remarks(ctx, c.wen, c.project.ID, c.design.ID, true, domain.Page{})
	require.NoError(t, err)
	require.Equal(t, second.ID, open[0].ID)
	require.Equal(t, []domain.Action{domain.ReplyRemark, domain.RestRemark}, open[0].Allowed)
	page, err := c.Remarks(ctx, c.wen, c.project.ID, c.design.ID, false, domain.Page{Before: int64(second.ID), Limit: 1})
	require.NoError(t, err)
	require.Equal(t, first.ID, page[0].ID)
	_, err = c.Remarks(ctx, c.wen, c.project.ID, 999, false, domain.Page{})
	requireCode(t, "not-found", err)
	require.Equal(t, c.version, c.check(t, c.petra).Version, "who edits the draft is not disturbed")
}

func TestStewardLaysToRestWhatSomebodyLeftBehind(t *testing.T) {
	t.Parallel()
	c := setupChecks(t, plain(t))
	r := c.remarks(t, c.wen, domain.Stopper, "remark-0001")
	_, err := c.rests(c.warden, r, "It is fine.")
	requireCode(t, "not-raiser", err)
	c.db.Exec(t, "UPDATE accounts SET closed_at = now(), address = NULL, password_hash = NULL, checker = false WHERE id = $1", c.wen.Account)
	_, err = c.rests(c.tomasz, r, "It is fine.")
	require.Contains(t, requireCode(t, "not-raiser", err).Message, "Bram Oduya")
	_, remarks, _ := c.waiting(t, c.warden)
	require.Equal(t, domain.ForOther, remarks[0].For)
	_, err = c.rests(c.warden, r, " ")
	require.Equal(t, "/reason", requireCode(t, "invalid", err).Fields[0].Pointer)
	laid, err := c.rests(c.warden, r, "A second clip is fitted.")
	require.NoError(t, err)
	require.Equal(t, "A second clip is fitted.", laid.Laid.Reason)
	require.True(t, laid.Left)
}

func TestWhomACheckWaitsFor(t *testing.T) {
	t.Parallel()
	c := setupChecks(t, raised(t))
	waits := func(who domain.Actor) bool { list, _, _ := c.waiting(t, who); return len(list) == 1 }
	require.False(t, waits(c.wen))
	check, err := c.issue(c.petra, c.wen.Account)
	c.took(t, check, err)
	require.True(t, waits(c.wen))
	require.True(t, waits(c.tomasz), "one was named, and two are needed")
	for _, who := range []domain.Actor{c.petra, c.former, c.warden, c.keeper} {
		require.False(t, waits(who))
	}
	list, _, _ := c.waiting(t, c.wen)
	require.True(t, list[0].Asked)
	require.Equal(t, "Garden trompe", list[0].DesignTitle)
	check, err = c.says(c.tomasz, domain.Clear, "")
	c.took(t, check, err)
	require.False(t, waits(c.tomasz))
	other := c.db.Person(t, "Esi Okafor", domain.Checker)
	require.False(t, waits(other), "the one who was named is enough now")
	c.db.Exec(t, "UPDATE accounts SET checker = false WHERE id = $1", c.wen.Account)
	require.True(t, waits(other), "the one who was named may no longer")
	c.db.Exec(t, "UPDATE projects SET closed_at = now()")
	require.False(t, waits(other))
}

func TestWhomARemarkWaitsFor(t *testing.T) {
	t.Parallel()
	c := setupChecks(t, plain(t))
	waits := func(who domain.Actor) (list []domain.WaitsFor) {
		_, remarks, _ := c.waiting(t, who)
		for _, r := range remarks {
			list = append(list, r.For)
		}
		return list
	}
	c.remarks(t, c.wen, domain.Note, "remark-0001")
	require.Empty(t, waits(c.petra), "a note wants no answer")
	r := c.remarks(t, c.wen, domain.Query, "remark-0002")
	require.Equal(t, []domain.WaitsFor{domain.ForAnswer}, waits(c.petra))
	for _, who := range []domain.Actor{c.wen, c.former, c.warden, c.tomasz} {
		require.Empty(t, waits(who))
	}
	say := func(who domain.Actor, key string) {
		_, _, err := c.AnswerRemark(ctx, who, domain.AnswerRemark{Project: c.project.ID, Design: c.design.ID, Remark: r.ID, Text: "So.", Key: key})
		require.NoError(t, err)
	}
	say(c.petra, "answer-0001")
	require.Empty(t, waits(c.petra))
	require.Equal(t, []domain.WaitsFor{domain.ForRest}, waits(c.wen))
	say(c.wen, "answer-0002")
	require.Equal(t, []domain.WaitsFor{domain.ForAnswer}, waits(c.petra))
	require.Empty(t, waits(c.wen))
	_, err := c.rests(c.wen, r, "")
	require.NoError(t, err)
	require.Empty(t, waits(c.petra))
}

func TestTwoCheckersAtOnce(t *testing.T) {
	t.Parallel()
	c := setupChecks(t, raised(t))
	check, err := c.issue(c.petra)
	c.took(t, check, err)
	both := []domain.Actor{c.tomasz, c.wen}
	oneWins(t, "design-stale", atOnce(2, func(i int) error { _, err := c.says(both[i], domain.Clear, ""); return err }))
	require.Equal(t, domain.InCheck, c.check(t, c.petra).Revision.State)
	require.Equal(t, 1, c.db.Number(t, "SELECT count(*) FROM check_outcomes"))
	c.verified(t)
}

func TestIssueAgainstSave(t *testing.T) {
	t.Parallel()
	c := setupChecks(t, plain(t))
	in := plain(t)
	oneWins(t, "design-stale", atOnce(6, func(i int) error {
		if i%2 == 0 {
			_, err := c.issue(c.petra)
			return err
		}
		_, _, err := c.SaveSheet(ctx, c.petra, domain.SaveSheet{Project: c.project.ID, Design: c.design.ID, Letter: "A", Version: c.version, Input: in})
		return err
	}))
	check := c.check(t, c.petra)
	if check.Issue != nil {
		require.Equal(t, check.Revision.SheetCount, check.Issue.Sheet, "a sheet came in after the issue")
		require.Equal(t, domain.InCheck, check.Revision.State)
	} else {
		require.Equal(t, domain.Draft, check.Revision.State)
	}
}

func TestReturnAgainstClearAndAgainstTakingBack(t *testing.T) {
	t.Parallel()
	for range 3 {
		c := setupChecks(t, plain(t))
		check, err := c.issue(c.petra)
		c.took(t, check, err)
		oneWins(t, "design-stale", atOnce(3, func(i int) (err error) {
			switch i {
			case 0:
				_, err = c.says(c.tomasz, domain.Return, "no")
			case 1:
				_, err = c.says(c.wen, domain.Clear, "")
			default:
				_, err = c.takesBack(c.petra)
			}
			return err
		}))
		check = c.check(t, c.petra)
		want := domain.Returned
		if check.Cleared() == 1 {
			want = domain.Cleared
		}
		require.Equal(t, want, check.Revision.State)
		require.Equal(t, 1, len(check.Outcomes)+c.db.Number(t, "SELECT count(*) FROM revision_ends"))
	}
}

// A stopper raised while the last checker says clear either comes too late or
// keeps the design from being cleared; never is it lost.
func TestStopperAgainstTheLastClear(t *testing.T) {
	t.Parallel()
	c := setupChecks(t, plain(t))
	check, err := c.issue(c.petra)
	c.took(t, check, err)
	for _, err := range atOnce(2, func(i int) (err error) {
		if i == 0 {
			_, err = c.says(c.wen, domain.Clear, "")
			return err
		}
		_, _, err = c.RaiseRemark(ctx, c.warden, domain.RaiseRemark{
			Project: c.project.ID, Design: c.design.ID, Letter: "A", Pin: domain.Pin{Kind: domain.OnWhole}, Weight: domain.Stopper, Text: "No relief.", Key: "remark-0001",
		})
		return err
	}) {
		require.NoError(t, err)
	}
	check = c.check(t, c.petra)
	require.Equal(t, 1, check.Open.Stoppers)
	require.Len(t, check.Outcomes, 1)
	require.Contains(t, []domain.State{domain.InCheck, domain.Cleared}, check.Revision.State)
	list, err := c.Remarks(ctx, c.warden, c.project.ID, c.design.ID, true, domain.Page{})
	require.NoError(t, err)
	_, err = c.rests(c.warden, list[0], "")
	require.NoError(t, err)
	require.Equal(t, domain.Cleared, c.check(t, c.petra).Revision.State)
}

// Whichever comes first, the last clear and the last query laid to rest clear the
// design together; it never stays in check with nothing left to do.
func TestLastClearAgainstLayingToRest(t *testing.T) {
	t.Parallel()
	for range 4 {
		c := setupChecks(t, plain(t))
		check, err := c.issue(c.petra)
		c.took(t, check, err)
		query := c.remarks(t, c.warden, domain.Query, "remark-0001")
		for _, err := range atOnce(2, func(i int) (err error) {
			if i == 0 {
				_, err = c.says(c.wen, domain.Clear, "")
				return err
			}
			_, err = c.rests(c.warden, query, "")
			return err
		}) {
			require.NoError(t, err)
		}
		require.Equal(t, domain.Cleared, c.check(t, c.petra).Revision.State)
	}
}

func TestNewerCalculationStandsBesideTheOldAnswer(t *testing.T) {
	t.Parallel()
	c := setupChecks(t, plain(t))
	done, err := c.Recalculate(ctx)
	require.NoError(t, err)
	require.Zero(t, done, "nothing is issued")
	check, err := c.issue(c.petra)
	c.took(t, check, err)
	check, err = c.says(c.wen, domain.Clear, "")
	c.took(t, check, err)
	done, err = c.Recalculate(ctx)
	require.NoError(t, err)
	require.Zero(t, done, "it is of this calculation")

	// The sheet becomes one of an older calculation, which said otherwise.
	c.db.Exec(t, "ALTER TABLE sheets DISABLE TRIGGER sheets_append_only")
	c.db.Exec(t, `UPDATE sheets SET calc_version = '0.0.old', report = report || '{"calc_version": "0.0.old"}' || jsonb_build_object('build', report -> 'build' || '{"class": "raised"}')`)
	before := c.db.Number(t, "SELECT hashtext(report::text) FROM sheets")
	done, err = c.Recalculate(ctx)
	require.NoError(t, err)
	require.Equal(t, 1, done)
	done, err = c.Recalculate(ctx)
	require.NoError(t, err)
	require.Zero(t, done, "once is enough")
	require.Equal(t, before, c.db.Number(t, "SELECT hashtext(report::text) FROM sheets"))
	again := c.check(t, c.petra).Again
	require.Len(t, again, 1)
	require.Equal(t, calc.Version, again[0].CalcVersion)
	require.Equal(t, []domain.Difference{{What: domain.OtherSafety, At: "/build/class", Was: "raised", Is: "plain"}}, again[0].Differs)
	_, _, told := c.waiting(t, c.petra)
	require.Len(t, told, 1)
	require.Equal(t, "A", told[0].Letter)
	_, _, told = c.waiting(t, c.wen)
	require.Empty(t, told, "the crew is told")
	c.nextLetter(t)
	_, _, told = c.waiting(t, c.petra)
	require.Empty(t, told, "the crew is at it")
}

func TestSheetOfAnOlderCalculationIsSavedAgainBeforeItIsIssued(t *testing.T) {
	t.Parallel()
	c := setupChecks(t, plain(t))
	c.db.Exec(t, "ALTER TABLE sheets DISABLE TRIGGER sheets_append_only")
	c.db.Exec(t, `UPDATE sheets SET calc_version = '0.0.old', report = report || '{"calc_version": "0.0.old"}'`)
	_, err := c.issue(c.petra)
	require.Contains(t, requireCode(t, "not-issuable", err).Message, "older calculation")
}

// Only people who can sign in here are named as those who may check.
func TestInventedPeopleAreNoCheckersOfARealGroup(t *testing.T) {
	t.Parallel()
	c := setupChecks(t, plain(t))
	c.db.Exec(t, "UPDATE accounts SET demo = true WHERE id = $1", c.wen.Account)
	check, err := c.issue(c.petra)
	require.Equal(t, []domain.Person{{ID: c.tomasz.Account, Name: "Tomasz Reyes"}}, c.took(t, check, err).May)
	demo := notebook.New(c.db.DB, notebook.Options{Demo: true, Draws: draws})
	shown, err := demo.Check(ctx, c.petra, c.project.ID, c.design.ID, "A")
	require.NoError(t, err)
	require.Len(t, shown.May, 2)
}

// product.md, "Check": group settings may raise how many must say clear.
func TestGroupMayAskForMoreCheckers(t *testing.T) {
	t.Parallel()
	c := setupChecks(t, plain(t))
	more := domain.DefaultSafetySettings()
	more.CheckersPlain, more.CheckersRaised = 2, 3
	p, _, err := c.ProposeSafety(ctx, c.keeper, domain.ProposeSafety{Settings: more, Why: "two pairs of eyes", Key: "safety-0001"})
	require.NoError(t, err)
	for _, who := range []domain.Actor{c.warden, c.wen} {
		_, err = c.ApproveSafety(ctx, who, p.ID, storetest.Password)
		require.NoError(t, err)
	}
	check, err := c.issue(c.petra)
	require.Equal(t, 2, c.took(t, check, err).Issue.Checkers)
	check, err = c.says(c.wen, domain.Clear, "")
	require.Equal(t, domain.InCheck, c.took(t, check, err).Revision.State)
	check, err = c.says(c.tomasz, domain.Clear, "")
	require.Equal(t, domain.Cleared, c.took(t, check, err).Revision.State)
	c.verified(t)
}
