package domain_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/build"
	"leat/calc/sheet"
	"leat/calc/trompe"
	"leat/domain"
)

var (
	checkers = []domain.Person{{ID: 8, Name: "Wen Abara"}, {ID: 9, Name: "Bram Oduya"}}
	stewards = []domain.Person{{ID: 9, Name: "Bram Oduya"}}
)

// design is what the database says about somebody and a design of Petra's and
// Tomasz's project, whose crew Olwen (5) left; Esi (6) saved a sheet of it.
func design(account domain.AccountID, roles ...domain.Role) domain.Access {
	a := access(account, false, roles...)
	a.Former = []domain.Person{{ID: 5, Name: "Olwen Pryce"}}
	a.Author = account == petra || account == 6
	a.Checkers, a.Stewards, a.Keepers = checkers, stewards, []domain.Person{{ID: ines, Name: "Ines Calloway"}}
	return a
}

// product.md, "People": a checker also checks other members' designs; nobody
// checks a design of a project whose crew they are, or ever were, on, whatever
// roles they hold; being keeper gives no right to sign anything.
func TestWhoMayCheckADesign(t *testing.T) {
	all := []domain.Role{domain.Checker, domain.Steward, domain.Keeper}
	for name, c := range map[string]struct {
		access domain.Access
		code   string // empty: may
	}{
		"a checker":                     {design(8, domain.Checker), ""},
		"a checker with all roles":      {design(8, all...), ""},
		"a member":                      {design(8), "not-checker"},
		"a steward":                     {design(8, domain.Steward), "not-checker"},
		"a keeper":                      {design(ines, domain.Keeper), "not-checker"},
		"the crew":                      {design(petra, all...), "own-design"},
		"the crew, no checker":          {design(petra), "not-checker"}, // the role first, then the person
		"the former crew":               {design(5, all...), "own-design"},
		"an author who never was on it": {design(6, all...), "own-design"},
	} {
		t.Run(name, func(t *testing.T) {
			permit, err := domain.Authorize(domain.Actor{Account: c.access.Account}, c.access, domain.SayOutcome)
			if c.code == "" {
				require.NoError(t, err)
				require.NoError(t, permit.For(domain.SayOutcome))
				return
			}
			e, ok := errors.AsType[*domain.Error](err)
			require.True(t, ok, "%v", err)
			require.Equal(t, domain.Forbidden, e.Kind)
			require.Equal(t, c.code, e.Code)
			require.Contains(t, e.Message, "Wen Abara, Bram Oduya", "who could do it is named")
			require.Error(t, permit.For(domain.SayOutcome))
		})
	}
	lonely := design(petra, domain.Checker)
	lonely.Checkers = nil
	_, err := domain.Authorize(domain.Actor{Account: petra}, lonely, domain.SayOutcome)
	require.ErrorContains(t, err, "Nobody in the group may check this design")
	require.ErrorContains(t, err, "Ines Calloway", "who could help is named")
	closed := design(8, domain.Checker)
	closed.Closed = true
	_, err = domain.Authorize(domain.Actor{Account: 8}, closed, domain.SayOutcome)
	require.Equal(t, domain.Conflict, domain.KindOf(err))
	nowhere := design(8, domain.Checker)
	nowhere.Project = 0
	_, err = domain.Authorize(domain.Actor{Account: 8}, nowhere, domain.SayOutcome)
	require.Equal(t, domain.Internal, domain.KindOf(err))
}

// product.md, "Things": withdrawn by the crew or a steward; a closed project
// changes nothing about a danger.
func TestWhoMayWithdraw(t *testing.T) {
	for name, c := range map[string]struct {
		access domain.Access
		may    bool
	}{
		"crew": {design(petra), true}, "steward": {design(9, domain.Steward), true}, "steward who left the crew": {design(5, domain.Steward), true},
		"former crew": {design(5), false}, "checker": {design(8, domain.Checker), false}, "keeper": {design(ines, domain.Keeper), false},
	} {
		c.access.Closed = true
		_, err := domain.Authorize(domain.Actor{Account: c.access.Account}, c.access, domain.Withdraw)
		if c.may {
			require.NoError(t, err, name)
			continue
		}
		require.Equal(t, domain.Forbidden, domain.KindOf(err), name)
		require.ErrorContains(t, err, "Petra Lindahl, Tomasz Reyes, Bram Oduya", name)
	}
}

// product.md, "Check": the crew answers; only whoever raised a remark lays it to
// rest; a steward, with a reason, when that person has left.
func TestWhoMayAnswerARemarkAndLayItToRest(t *testing.T) {
	raised := domain.Remark{Who: domain.Person{ID: 8, Name: "Wen Abara"}}
	left := raised
	left.Left = true
	for name, c := range map[string]struct {
		remark        domain.Remark
		access        domain.Access
		answers, lays bool
	}{
		"raiser":                   {raised, design(8), true, true},
		"crew":                     {raised, design(petra, domain.Steward), true, false},
		"steward":                  {raised, design(9, domain.Steward), false, false},
		"former crew":              {raised, design(5), false, false},
		"steward, the raiser left": {left, design(9, domain.Steward), false, true},
		"checker, the raiser left": {left, design(7, domain.Checker, domain.Keeper), false, false},
		"crew, the raiser left":    {left, design(petra), true, false},
	} {
		t.Run(name, func(t *testing.T) {
			who, at := domain.Actor{Account: c.access.Account}, c.remark.Access(c.access)
			_, err := domain.Authorize(who, at, domain.ReplyRemark)
			require.Equal(t, c.answers, err == nil, "%v", err)
			_, err = domain.Authorize(who, at, domain.RestRemark)
			require.Equal(t, c.lays, err == nil, "%v", err)
			if !c.lays {
				require.ErrorContains(t, err, "Wen Abara")
			}
			var want []domain.Action
			if c.answers {
				want = append(want, domain.ReplyRemark)
			}
			if c.lays {
				want = append(want, domain.RestRemark)
			}
			require.ElementsMatch(t, want, c.remark.Allows(who, c.access))
		})
	}
	none := left.Access(design(petra))
	none.Stewards = nil
	_, err := domain.Authorize(domain.Actor{Account: petra}, none, domain.RestRemark)
	require.ErrorContains(t, err, "Ines Calloway")
	rest := raised
	rest.Laid = &domain.LaidToRest{}
	require.Empty(t, rest.Allows(domain.Actor{Account: 8}, design(8)))
}

func outcome(said domain.Said, joined bool) domain.Outcome {
	return domain.Outcome{Said: said, Joined: joined}
}

// product.md, "Check": cleared when enough checkers have said clear and no
// stopper or query stands open; one return returns it.
func TestWhatACheckComesTo(t *testing.T) {
	yes, no, joined := outcome(domain.Clear, false), outcome(domain.Return, false), outcome(domain.Clear, true)
	for name, c := range map[string]struct {
		checkers int
		said     []domain.Outcome
		open     domain.RemarkCount
		want     domain.State
	}{
		"nothing said":               {1, nil, domain.RemarkCount{}, domain.InCheck},
		"one of one":                 {1, []domain.Outcome{yes}, domain.RemarkCount{}, domain.Cleared},
		"one of two":                 {2, []domain.Outcome{yes}, domain.RemarkCount{}, domain.InCheck},
		"two of two":                 {2, []domain.Outcome{yes, yes}, domain.RemarkCount{}, domain.Cleared},
		"one of two came on crew":    {2, []domain.Outcome{yes, joined}, domain.RemarkCount{}, domain.InCheck},
		"a note stands open":         {1, []domain.Outcome{yes}, domain.RemarkCount{Notes: 3}, domain.Cleared},
		"a query stands open":        {1, []domain.Outcome{yes}, domain.RemarkCount{Queries: 1}, domain.InCheck},
		"a stopper stands open":      {1, []domain.Outcome{yes}, domain.RemarkCount{Stoppers: 1}, domain.InCheck},
		"one return":                 {2, []domain.Outcome{yes, no}, domain.RemarkCount{}, domain.Returned},
		"one return, and a stopper":  {1, []domain.Outcome{no}, domain.RemarkCount{Stoppers: 1}, domain.Returned},
		"a return among enough":      {2, []domain.Outcome{yes, no, yes}, domain.RemarkCount{}, domain.Returned},
		"nothing said, all at peace": {2, nil, domain.RemarkCount{}, domain.InCheck},
	} {
		check := domain.Check{Revision: domain.Revision{State: domain.InCheck}, Issue: &domain.Issue{Checkers: c.checkers}, Outcomes: c.said, Open: c.open}
		require.Equal(t, c.want, check.Settled(), name)
		check.Revision.State = domain.Withdrawn
		require.Equal(t, domain.Withdrawn, check.Settled(), "what is in no check goes nowhere by it")
	}
}

func TestAllowedFollowsTheStateOfARevision(t *testing.T) {
	every := []domain.Action{domain.EditDesign, domain.PutToCheck, domain.FetchBack, domain.SayOutcome, domain.Withdraw, domain.LeaveRemark}
	for state, want := range map[domain.State][]domain.Action{
		domain.Draft:      {domain.EditDesign, domain.PutToCheck, domain.LeaveRemark},
		domain.InCheck:    {domain.FetchBack, domain.SayOutcome, domain.LeaveRemark},
		domain.Returned:   {domain.LeaveRemark},
		domain.Cleared:    {domain.Withdraw, domain.LeaveRemark},
		domain.Superseded: {domain.Withdraw, domain.LeaveRemark},
		domain.Withdrawn:  {domain.LeaveRemark},
	} {
		require.Equal(t, want, domain.Check{Revision: domain.Revision{State: state}}.Allows(8, every), state)
	}
	said := domain.Check{Revision: domain.Revision{State: domain.InCheck}, Outcomes: []domain.Outcome{{Who: domain.Person{ID: 8}}}}
	require.Equal(t, []domain.Action{domain.LeaveRemark}, said.Allows(8, every), "said once, and nothing is taken back any more")
	require.Equal(t, []domain.Action{domain.SayOutcome, domain.LeaveRemark}, said.Allows(9, every))
}

func TestWhatIsLackingIsSaid(t *testing.T) {
	c := domain.Check{Revision: domain.Revision{State: domain.InCheck}, Issue: &domain.Issue{Checkers: 2}, May: checkers[:1], Open: domain.RemarkCount{Queries: 2, Stoppers: 1}}
	lacks := c.Waits([]domain.Person{{ID: ines, Name: "Ines Calloway"}})
	require.Len(t, lacks, 3)
	require.Equal(t, "2 checkers must still say clear: Wen Abara.", lacks[0])
	require.Contains(t, lacks[1], "lacks 1 checker")
	require.Contains(t, lacks[1], "Ines Calloway")
	require.Contains(t, lacks[2], "1 stopper and 2 queries stand open")
	c.May, c.Open = checkers, domain.RemarkCount{Notes: 4}
	require.Len(t, c.Waits(nil), 1)
	c.Revision.State = domain.Cleared
	require.Empty(t, c.Waits(nil))
}

// buildable is the report of a sheet that can be issued.
func buildable() sheet.Report {
	return sheet.Report{CalcVersion: calc.Version, Gist: &sheet.Gist{Machine: "trompe", Status: "ok"}, Build: &build.Report{Class: "plain", Checkers: 1, Parts: []build.Judged{{Role: "riser", Verdict: "allowed"}}}}
}

// safety.md 4.4 and product.md "On every save": no operating point, or a part
// that is not allowed, is a draft that can't be issued.
func TestWhatCannotBeIssued(t *testing.T) {
	require.Empty(t, domain.Unissuable(buildable()))
	for name, c := range map[string]struct {
		change func(*sheet.Report)
		says   string
	}{
		"no operating point": {func(r *sheet.Report) { r.Gist.Status = "no_head" }, "no operating point"},
		"out of range":       {func(r *sheet.Report) { r.Gist.Status = "out_of_range" }, "no operating point"},
		"no induction":       {func(r *sheet.Report) { r.Gist.Status = "no_induction" }, "no operating point"},
		"no gist":            {func(r *sheet.Report) { r.Gist = nil }, "no operating point"},
		"no parts":           {func(r *sheet.Report) { r.Build = nil }, "No part is described"},
		"a barred part":      {func(r *sheet.Report) { r.Build.Parts[0].Verdict = "not_allowed" }, "Not allowed: riser"},
		"a barred class":     {func(r *sheet.Report) { r.Build.Class, r.Build.Checkers = "barred", 0 }, "hazard class"},
		"an old calculation": {func(r *sheet.Report) { r.CalcVersion = "0.1" }, "older calculation"},
	} {
		r := buildable()
		c.change(&r)
		require.Len(t, domain.Unissuable(r), 1, name)
		require.Contains(t, domain.Unissuable(r)[0], c.says, name)
	}
	whole := buildable()
	whole.Trompe = &trompe.Result{}
	require.Equal(t, []string{"Nobody has described: downcomer, chamber. What is not described is not judged."}, domain.Unissuable(whole))
	whole.Gist.Machine = "lift"
	require.Contains(t, domain.Unissuable(whole)[0], "drive pipe")
	surplus := buildable()
	surplus.Gist.Status = "surplus"
	require.Empty(t, domain.Unissuable(surplus), "part of the fall is wasted, and it works")
	require.Len(t, domain.Unissuable(sheet.Report{}), 3, "all reasons at once")
}

func TestIssueIsRefusedUnlessTheDesignIsAsItWasRead(t *testing.T) {
	c := domain.IssueRevision{Version: 4, Sheet: 2}
	stands := domain.Check{Version: 4, Revision: domain.Revision{State: domain.Draft, SheetCount: 2}}
	require.NoError(t, c.Stands(stands))
	code := func(change func(*domain.Check)) string {
		s := stands
		change(&s)
		e, ok := errors.AsType[*domain.Error](c.Stands(s))
		require.True(t, ok)
		return e.Code
	}
	require.Equal(t, "design-stale", code(func(s *domain.Check) { s.Version = 5 }))
	require.Equal(t, "revision-frozen", code(func(s *domain.Check) { s.Revision.State = domain.InCheck }))
	require.Equal(t, "revision-empty", code(func(s *domain.Check) { s.Revision.SheetCount = 0 }))
	require.Equal(t, "invalid", code(func(s *domain.Check) { s.Revision.SheetCount = 3 }))
}

func TestIssueTakesClassCheckersAndWhoIsAsked(t *testing.T) {
	twice := domain.DefaultSafetySettings()
	twice.CheckersPlain = 2
	c := domain.IssueRevision{Sheet: 2, Note: "please look at the riser", Ask: []domain.AccountID{9}}
	i, err := c.Issue(domain.Sheet{Report: buildable()}, checkers, twice)
	require.NoError(t, err)
	require.Equal(t, "plain", i.Class)
	require.Equal(t, 2, i.Checkers)
	require.Equal(t, checkers[1:], i.Asked)
	require.Equal(t, 2, i.Sheet)
	c.Ask = []domain.AccountID{9, petra}
	_, err = c.Issue(domain.Sheet{Report: buildable()}, checkers, twice)
	require.Equal(t, []string{"/ask/1"}, pointers(t, err))
	e, ok := errors.AsType[*domain.Error](err)
	require.True(t, ok)
	require.Contains(t, e.Fields[0].Message, "Wen Abara")
	_, err = c.Issue(domain.Sheet{}, checkers, twice)
	e, ok = errors.AsType[*domain.Error](err)
	require.True(t, ok)
	require.Equal(t, "not-issuable", e.Code)
	require.Len(t, e.Fields, 3)
}

// A sheet that was answered within other limits than those in force is answered
// again first.
func TestIssueTakesTheLimitsInForce(t *testing.T) {
	tighter := domain.DefaultSafetySettings()
	tighter.PBrittleMaxPa = 20_000
	c := domain.IssueRevision{Sheet: 1}
	_, err := c.Issue(domain.Sheet{Report: buildable()}, checkers, tighter)
	e, ok := errors.AsType[*domain.Error](err)
	require.True(t, ok)
	require.Equal(t, "not-issuable", e.Code)
	require.Contains(t, e.Message, "save it again")

	within := buildable()
	within.Build.Limits = &tighter.Limits
	_, err = c.Issue(domain.Sheet{Report: within}, checkers, tighter)
	require.NoError(t, err)
	_, err = c.Issue(domain.Sheet{Report: within}, checkers, domain.DefaultSafetySettings())
	require.Error(t, err)
}

// Whatever the order of names and the spelling of numbers, the digest is the
// same; and another when one figure is.
func TestDigestOfASheet(t *testing.T) {
	s := domain.Sheet{SheetHead: domain.SheetHead{Design: 3, Letter: "B", Number: 2}, Report: buildable()}
	s.Input.Trompe = []byte(`{"riser": {"outlet_m": 1.50, "bore_m": 5e-2}}`)
	first, err := s.Digest()
	require.NoError(t, err)
	s.Input.Trompe = []byte(`{"riser":{"bore_m":0.05,"outlet_m":1.5}}`)
	same, err := s.Digest()
	require.NoError(t, err)
	require.Equal(t, first, same)
	for _, change := range []func(*domain.Sheet){
		func(s *domain.Sheet) { s.Input.Trompe = []byte(`{"riser":{"bore_m":0.05,"outlet_m":1.6}}`) },
		func(s *domain.Sheet) { s.Report.CalcVersion = "9" },
		func(s *domain.Sheet) { s.Number = 3 },
		func(s *domain.Sheet) { s.Letter = "C" },
		func(s *domain.Sheet) { s.Design = 4 },
	} {
		other := s
		change(&other)
		sum, err := other.Digest()
		require.NoError(t, err)
		require.NotEqual(t, first, sum)
	}
}

func TestFaultsOfChecksAndRemarks(t *testing.T) {
	long := strings.Repeat("x", 4001)
	for name, c := range map[string]struct {
		form interface{ Validate() error }
		at   []string
	}{
		"issue":             {&domain.IssueRevision{Note: long, Ask: []domain.AccountID{8, 8}}, []string{"/note", "/ask/1"}},
		"outcome":           {&domain.CheckDesign{Outcome: "maybe", Note: "\x00"}, []string{"/note", "/outcome", "/password"}},
		"return says why":   {&domain.CheckDesign{Outcome: domain.Return, Note: " ", Password: "x"}, []string{"/note"}},
		"clear":             {&domain.CheckDesign{Outcome: domain.Clear, Password: "x"}, nil},
		"withdraw says why": {&domain.WithdrawRevision{Reason: "\n"}, []string{"/reason"}},
		"withdraw":          {&domain.WithdrawRevision{Reason: long}, []string{"/reason"}},
		"remark":            {&domain.RaiseRemark{Weight: "heavy", Pin: domain.Pin{Kind: "sky"}, Key: "k"}, []string{"/text", "/weight", "/pin/kind", "/client_key"}},
		"remark on nothing": {&domain.RaiseRemark{Text: "x", Weight: domain.Note, Pin: domain.Pin{Kind: domain.OnPart}, Key: "key-00001"}, []string{"/pin/at"}},
		"no pointer":        {&domain.RaiseRemark{Text: "x", Weight: domain.Query, Pin: domain.Pin{Kind: domain.OnInput, At: "riser"}, Key: "key-00001"}, []string{"/pin/at"}},
		"the whole, here":   {&domain.RaiseRemark{Text: "x", Weight: domain.Stopper, Pin: domain.Pin{Kind: domain.OnWhole, At: "/trompe"}, Key: "key-00001"}, []string{"/pin/at"}},
		"a good remark":     {&domain.RaiseRemark{Text: "x", Weight: domain.Stopper, Pin: domain.Pin{Kind: domain.OnResult, At: "/trompe/head_m"}, Key: "key-00001"}, nil},
		"answer":            {&domain.AnswerRemark{Text: long, Key: "k"}, []string{"/text", "/client_key"}},
		"rest":              {&domain.LayRemark{Reason: long}, []string{"/reason"}},
	} {
		require.Equal(t, c.at, pointers(t, c.form.Validate()), name)
	}
}

func TestRemarkIsLaidToRestOnce(t *testing.T) {
	r := domain.Remark{Who: domain.Person{ID: 8, Name: "Wen Abara"}}
	lays, err := (&domain.LayRemark{}).Fits(r, 8)
	require.NoError(t, err)
	require.True(t, lays)
	_, err = (&domain.LayRemark{}).Fits(r, 9)
	require.Equal(t, []string{"/reason"}, pointers(t, err))
	r.Laid = &domain.LaidToRest{By: domain.Person{ID: 9, Name: "Bram Oduya"}}
	lays, err = (&domain.LayRemark{}).Fits(r, 9)
	require.NoError(t, err)
	require.False(t, lays, "a retry")
	_, err = (&domain.LayRemark{Reason: "x"}).Fits(r, 8)
	require.ErrorContains(t, err, "Bram Oduya")
}
