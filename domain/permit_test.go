package domain_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

const (
	ines  domain.AccountID = 1
	petra domain.AccountID = 2
)

// access is what the database says about somebody and a project of Petra's.
func access(account domain.AccountID, closed bool, roles ...domain.Role) domain.Access {
	return domain.Access{
		Account: account, Roles: append([]domain.Role{domain.Member}, roles...), Project: 7,
		Crew: []domain.Person{{ID: petra, Name: "Petra Lindahl"}, {ID: 3, Name: "Tomasz Reyes"}}, Closed: closed,
	}
}

// inOpenProjects is what every member may do, but not in a closed project.
var inOpenProjects = []domain.Action{domain.LeaveRemark, domain.BeginRun, domain.RecordReadings, domain.StrikeReadings, domain.PutForward, domain.LetSend}

// The rows are product.md, "People": members start projects and work on those
// that they are on the crew of; other roles add nothing to that.
func TestPermitTable(t *testing.T) {
	all := []domain.Role{domain.Checker, domain.Steward, domain.Keeper}
	const allowed = domain.Internal
	for _, row := range []struct {
		action               domain.Action
		crew, stranger       domain.Kind
		closedCrew, everyone domain.Kind // everyone: all roles, not on the crew
	}{
		{domain.BeginProject, allowed, allowed, allowed, allowed},
		{domain.AlterProject, allowed, domain.Forbidden, allowed, domain.Forbidden},
		{domain.RecordSite, allowed, domain.Forbidden, domain.Conflict, domain.Forbidden},
		{domain.BeginDesign, allowed, domain.Forbidden, domain.Conflict, domain.Forbidden},
		{domain.EditDesign, allowed, domain.Forbidden, domain.Conflict, domain.Forbidden},
		{domain.BeginBuild, allowed, domain.Forbidden, domain.Conflict, domain.Forbidden},
		{domain.AlterBuild, allowed, domain.Forbidden, domain.Conflict, domain.Forbidden},
		{domain.AskCrew, allowed, domain.Forbidden, allowed, domain.Forbidden},
		{domain.LeaveCrew, allowed, domain.Forbidden, allowed, domain.Forbidden},
		{domain.ReplyCrew, domain.Forbidden, domain.Forbidden, domain.Forbidden, domain.Forbidden},
		{domain.AddToCrew, domain.Forbidden, domain.Forbidden, domain.Forbidden, domain.Conflict},
		{domain.WriteLog, allowed, allowed, allowed, allowed},
		{domain.CorrectLog, allowed, allowed, allowed, allowed},
		{domain.CallIncident, allowed, allowed, allowed, allowed},
		{domain.LayIncident, domain.Forbidden, domain.Forbidden, domain.Forbidden, allowed},
		{domain.AddFile, allowed, allowed, allowed, allowed},
		{domain.HideFiles, domain.Forbidden, domain.Forbidden, domain.Forbidden, allowed},
		{domain.PutToCheck, allowed, domain.Forbidden, domain.Conflict, domain.Forbidden},
		{domain.FetchBack, allowed, domain.Forbidden, domain.Conflict, domain.Forbidden},
		{domain.LeaveRemark, allowed, allowed, domain.Conflict, allowed},
		{domain.ReplyRemark, allowed, domain.Forbidden, domain.Conflict, domain.Forbidden},
		{domain.KeepStock, allowed, allowed, allowed, allowed},
		{domain.BeginRun, allowed, allowed, domain.Conflict, allowed},
		{domain.RecordReadings, allowed, allowed, domain.Conflict, allowed},
		{domain.StrikeReadings, allowed, allowed, domain.Conflict, allowed},
		{domain.PutForward, allowed, allowed, domain.Conflict, allowed},
		{domain.ProposeSet, allowed, allowed, allowed, allowed},
		{domain.AdoptSet, domain.Forbidden, domain.Forbidden, domain.Forbidden, allowed},
		{domain.SignRun, domain.Forbidden, domain.Forbidden, domain.Forbidden, allowed},
		{domain.PutAside, domain.Forbidden, domain.Forbidden, domain.Forbidden, allowed},
		{domain.LetSend, allowed, allowed, domain.Conflict, allowed},
		{domain.StopSends, allowed, domain.Forbidden, allowed, allowed},
		{domain.ApproveSafety, allowed, allowed, allowed, allowed},
		{domain.ApproveTemplate, allowed, allowed, allowed, allowed},
		{domain.ChangeSelf, allowed, allowed, allowed, allowed},
	} {
		for who, c := range map[string]struct {
			access domain.Access
			want   domain.Kind
		}{
			"crew":           {access(petra, false), row.crew},
			"crew, closed":   {access(petra, true), row.closedCrew},
			"other member":   {access(ines, false), row.stranger},
			"all roles":      {access(ines, false, all...), row.everyone},
			"all but closed": {access(ines, true, all...), row.everyone},
		} {
			if c.want == allowed && who == "all but closed" && slices.Contains(inOpenProjects, row.action) {
				c.want = domain.Conflict // nothing is said or measured in a closed project
			}
			t.Run(string(row.action)+"/"+who, func(t *testing.T) {
				permit, err := domain.Authorize(domain.Actor{Account: c.access.Account}, c.access, row.action)
				if c.want == allowed {
					require.NoError(t, err)
					require.NoError(t, permit.For(row.action))
					return
				}
				require.Equal(t, c.want, domain.KindOf(err))
				require.Error(t, permit.For(row.action), "a refusal still gave a permit")
			})
		}
	}
}

// product.md, "Run": confirmed by a steward who took no part in it; set aside by
// such a steward, or by who opened it until it is confirmed.
func TestWhoTookPartInARunDoesNotJudgeIt(t *testing.T) {
	steward := access(ines, false, domain.Steward)
	steward.Stewards = []domain.Person{{ID: ines, Name: "Ines Calloway"}, {ID: 9, Name: "Wen Achebe"}}
	code := func(a domain.Access, action domain.Action) string {
		_, err := domain.Authorize(domain.Actor{Account: a.Account}, a, action)
		if e, ok := errors.AsType[*domain.Error](err); ok {
			require.Contains(t, e.Message, "Wen Achebe", "who may is named")
			return e.Code
		}
		require.NoError(t, err)
		return ""
	}
	for _, action := range []domain.Action{domain.SignRun, domain.PutAside} {
		require.Empty(t, code(steward, action))
		took, built, opener, plain := steward, steward, steward, access(ines, false)
		took.TookPart = []domain.Person{{ID: ines, Name: "Ines Calloway"}}
		require.Equal(t, "took-part", code(took, action))
		built.Builders = took.TookPart
		require.Equal(t, "took-part", code(built, action))
		opener.TookPart, opener.Opener = took.TookPart, ines
		require.Equal(t, map[domain.Action]string{domain.SignRun: "took-part", domain.PutAside: ""}[action], code(opener, action))
		plain.Stewards = steward.Stewards
		require.Equal(t, "not-steward", code(plain, action))
	}
}

// The rows are product.md, "People": a keeper invites, sets roles, gives reset
// codes, closes accounts and keeps settings, templates and instruments; no other
// role does; everybody may close their own account.
func TestGroupPermits(t *testing.T) {
	keepers := []domain.Person{{ID: ines, Name: "Ines Calloway"}}
	for _, action := range []domain.Action{domain.Invite, domain.SetRoles, domain.GiveResetCode, domain.CloseAccount, domain.SetGroup,
		domain.SetSafety, domain.SetTemplate, domain.KeepInstruments} {
		for _, c := range []struct {
			who, about domain.AccountID
			roles      []domain.Role
			fits       bool
		}{
			{ines, petra, []domain.Role{domain.Member, domain.Keeper}, true},
			{petra, ines, []domain.Role{domain.Member, domain.Checker, domain.Steward}, false},
			{petra, 0, []domain.Role{domain.Member}, false},
			{petra, petra, []domain.Role{domain.Member}, action == domain.CloseAccount},
		} {
			access := domain.Access{Account: c.who, Roles: c.roles, About: c.about, Keepers: keepers}
			permit, err := domain.Authorize(domain.Actor{Account: c.who}, access, action)
			if c.fits {
				require.NoError(t, err)
				require.NoError(t, permit.For(action))
				require.Equal(t, c.about, permit.About())
				continue
			}
			require.Equal(t, domain.Forbidden, domain.KindOf(err), "%s by %d", action, c.who)
			require.ErrorContains(t, err, "Ines Calloway")
			require.Error(t, permit.For(action))
		}
	}
}

func TestTimeZones(t *testing.T) {
	for zone, fits := range map[string]bool{
		"UTC": true, "Europe/Oslo": true, "America/Argentina/Ushuaia": true, " Asia/Kathmandu ": true, "Etc/GMT+3": true,
		"": false, "Local": false, "Thornwick": false, "../Europe/Oslo": false, "right/Europe/Oslo": false, "Europe/": false, "europe/oslo": false,
	} {
		c := domain.SetGroupSettings{Settings: domain.GroupSettings{Name: "Thornwick", Units: domain.SI, TimeZone: zone}}
		require.Equal(t, fits, c.Validate() == nil, zone)
	}
}

// product.md, "People": whom the crew asked and who said yes; a keeper may add
// to a crew that has died out.
func TestOnlyWhoWasAskedAnswersAndOnlyAKeeperRevivesACrew(t *testing.T) {
	try := func(who domain.Access, action domain.Action) error {
		_, err := domain.Authorize(domain.Actor{Account: who.Account}, who, action)
		return err
	}
	asked := access(ines, false)
	asked.Asked = domain.Person{ID: ines, Name: "Ines Calloway"}
	require.NoError(t, try(asked, domain.ReplyCrew))
	other := access(petra, false)
	other.Asked = asked.Asked
	require.ErrorContains(t, try(other, domain.ReplyCrew), "Ines Calloway")

	left := access(petra, true)
	left.Crew, left.Keepers = nil, []domain.Person{{ID: ines, Name: "Ines Calloway"}}
	for _, action := range []domain.Action{domain.EditDesign, domain.AskCrew, domain.LeaveCrew, domain.AddToCrew} {
		err := try(left, action)
		require.Equal(t, domain.Forbidden, domain.KindOf(err), action)
		require.ErrorContains(t, err, "Ines Calloway", "who can help is named")
	}
	keeper := left
	keeper.Account, keeper.Roles = ines, []domain.Role{domain.Member, domain.Keeper}
	require.NoError(t, try(keeper, domain.AddToCrew))
	require.Error(t, try(keeper, domain.EditDesign))
}

func TestForbiddenNamesWhoMay(t *testing.T) {
	_, err := domain.Authorize(domain.Actor{Account: ines}, access(ines, false), domain.EditDesign)
	e, ok := errors.AsType[*domain.Error](err)
	require.True(t, ok)
	require.Contains(t, e.Message, "Petra Lindahl, Tomasz Reyes")
}

func TestNoPermitFor(t *testing.T) {
	for name, c := range map[string]struct {
		who    domain.Actor
		access domain.Access
		action domain.Action
	}{
		"an action that isn't in the table": {domain.Actor{Account: petra}, access(petra, false), "melt_down"},
		"no action":                         {domain.Actor{Account: petra}, access(petra, false), ""},
		"the access of somebody else":       {domain.Actor{Account: ines}, access(petra, false), domain.EditDesign},
		"nobody":                            {domain.Actor{}, domain.Access{}, domain.BeginProject},
		"a design without a project":        {domain.Actor{Account: petra}, domain.Access{Account: petra, Roles: []domain.Role{domain.Member}}, domain.EditDesign},
		"an ask without a project":          {domain.Actor{Account: petra}, domain.Access{Account: petra, Roles: []domain.Role{domain.Member}, Asked: domain.Person{ID: petra}}, domain.ReplyCrew},
		"an account without its roles":      {domain.Actor{Account: petra}, domain.Access{Account: petra}, domain.BeginProject},
	} {
		permit, err := domain.Authorize(c.who, c.access, c.action)
		require.Error(t, err, name)
		require.Error(t, permit.For(c.action), name)
	}
}

func TestEmptyPermitIsGoodForNothing(t *testing.T) {
	for _, action := range []domain.Action{"", domain.BeginProject, domain.AlterProject, domain.RecordSite, domain.BeginDesign, domain.EditDesign,
		domain.AskCrew, domain.ReplyCrew, domain.LeaveCrew, domain.AddToCrew, domain.ChangeSelf} {
		require.Error(t, domain.Permit{}.For(action))
	}
}

func TestAllowed(t *testing.T) {
	crew := domain.Actor{Account: petra}
	require.Equal(t, []domain.Action{domain.AlterProject, domain.RecordSite, domain.BeginDesign, domain.EditDesign, domain.PutToCheck, domain.FetchBack,
		domain.Withdraw, domain.LeaveRemark, domain.AskCrew, domain.LeaveCrew}, domain.Allowed(crew, access(petra, false)))
	require.Equal(t, []domain.Action{domain.AlterProject, domain.Withdraw, domain.AskCrew, domain.LeaveCrew}, domain.Allowed(crew, access(petra, true)))
	require.Equal(t, []domain.Action{domain.LeaveRemark}, domain.Allowed(domain.Actor{Account: ines}, access(ines, false, domain.Keeper)))
	require.Equal(t, []domain.Action{domain.SayOutcome, domain.LeaveRemark}, domain.Allowed(domain.Actor{Account: ines}, access(ines, false, domain.Checker)))
}

// pointers lists where an Invalid error points.
func pointers(t *testing.T, err error) []string {
	t.Helper()
	if err == nil {
		return nil
	}
	e, ok := errors.AsType[*domain.Error](err)
	require.True(t, ok)
	require.Equal(t, domain.Invalid, e.Kind)
	var all []string
	for _, f := range e.Fields {
		require.NotEmpty(t, f.Code)
		require.NotEmpty(t, f.Message)
		all = append(all, f.Pointer)
	}
	return all
}

func TestAllFaultsOfAFormAtOnce(t *testing.T) {
	keeper := domain.FirstKeeper{Name: " ", Address: "ines at thornwick", Password: "short"}
	require.Equal(t, []string{"/code", "/name", "/address", "/password"}, pointers(t, keeper.Validate()))

	project := domain.StartProject{Title: "\n", Purpose: strings.Repeat("x", 2001), Key: "k"}
	require.Equal(t, []string{"/title", "/purpose", "/client_key"}, pointers(t, project.Validate()))

	figure := func(v float64) *float64 { return &v }
	source := domain.Source("well")
	site := domain.DescribeSite{Facts: domain.SiteFacts{
		Name: strings.Repeat("x", 121), Source: &source, FallM: figure(-1), FlowM3S: figure(math.NaN()), Gauged: "\x00",
		StaticPa: figure(math.Inf(1)), WaterC: figure(-0.1), AirC: figure(61), AltitudeM: figure(5001), Note: strings.Repeat("x", 2001),
	}}
	require.Equal(t, []string{"/name", "/source", "/fall_m", "/flow_m3s", "/gauged", "/static_pa", "/t_water_c", "/t_air_c", "/altitude_m", "/note"},
		pointers(t, site.Validate()))

	words := domain.DescribeSite{Facts: domain.SiteFacts{Gauged: "bucket"}}
	require.Equal(t, []string{"/flow_m3s"}, pointers(t, words.Validate()))

	day := time.Date(2026, 8, 13, 0, 0, 0, 0, time.UTC)
	gauging := domain.RecordGauging{Facts: domain.GaugingFacts{
		FlowM3S: math.Inf(1), HalfWidthM3S: figure(-1), On: &day, How: strings.Repeat("x", 501), Note: "\x00",
	}, Key: "k"}
	require.Equal(t, []string{"/flow_m3s", "/half_width_m3s", "/gauged_on", "/how", "/note", "/client_key"},
		pointers(t, gauging.Validate(time.Date(2026, 8, 12, 9, 59, 0, 0, time.UTC))))

	invite := domain.InvitePerson{Name: strings.Repeat("x", 81), Roles: []domain.Role{"boss"}}
	require.Equal(t, []string{"/name", "/roles"}, pointers(t, invite.Validate()))
	join := domain.AcceptInvitation{Name: "", Address: "olwen", Password: "short"}
	require.Equal(t, []string{"/code", "/name", "/address", "/password"}, pointers(t, join.Validate()))

	save := domain.SaveSheet{Note: strings.Repeat("ü", 501)}
	require.Equal(t, []string{"/note", "/input/trompe"}, pointers(t, save.Validate()))
}

func TestTextIsTrimmedAndCountedInCharacters(t *testing.T) {
	c := domain.StartProject{Title: "  " + strings.Repeat("ü", 120) + "\t", Purpose: "one\r\ntwo\n", Key: "12345678"}
	require.NoError(t, c.Validate())
	require.Equal(t, strings.Repeat("ü", 120), c.Title)
	require.Equal(t, "one\ntwo", c.Purpose)
}

func TestPasswords(t *testing.T) {
	for pass, fits := range map[string]bool{
		"three grey wagtails":           true,
		"falling-water-works":           true,
		"Zwölf Krähen":                  true, // 12 characters, 14 bytes
		strings.Repeat("wagtail ", 16):  true, // 128: eight over and over is no short pattern
		strings.Repeat("wagtails!", 15): false,
		"eleven char":                   false,
		"PasswordPassword":              false,
		"correcthorsebatterystaple":     false,
		"aaaaaaaaaaaaaa":                false,
		"abcabcabcabcab":                false,
		"abcdefghijklmn":                false,
		"12345678901234":                false,
		"nmlkjihgfedcba":                false,
		"ines calloway":                 false, // the name
		"InesCalloway":                  false,
		"ines@thornwick.example":        false, // the address
	} {
		c := domain.FirstKeeper{Code: "X", Name: "Ines Calloway", Address: "ines@thornwick.example", Password: pass}
		if fits {
			require.NoError(t, c.Validate(), pass)
			continue
		}
		require.Equal(t, []string{"/password"}, pointers(t, c.Validate()), pass)
	}
}

func TestAddresses(t *testing.T) {
	for address, fits := range map[string]bool{
		"ines@thornwick.example":                true,
		" ines@thornwick.example ":              true,
		"Ines <ines@thornwick.example>":         false,
		"ines":                                  false,
		"ines@":                                 false,
		"ines@thornwick.example, b@x.example":   false,
		"":                                      false,
		strings.Repeat("i", 250) + "@x.example": false,
	} {
		c := domain.FirstKeeper{Code: "X", Name: "Ines", Address: address, Password: "three grey wagtails"}
		require.Equal(t, fits, c.Validate() == nil, address)
	}
}

func TestKindOf(t *testing.T) {
	require.Equal(t, domain.Internal, domain.KindOf(nil))
	require.Equal(t, domain.Internal, domain.KindOf(errors.New("x")))
	require.Equal(t, domain.Stale, domain.KindOf(errors.Join(errors.New("x"), domain.Outdated("design"))))
}
