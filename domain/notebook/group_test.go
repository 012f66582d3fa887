package notebook_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/notebook"
	"leat/domain/store/storetest"
)

// withKeeper is a notebook with a keeper, Ines, and a member, Petra.
func withKeeper(t *testing.T) (b *bundle, ines domain.Actor) {
	t.Helper()
	b = empty(t, notebook.Options{})
	b.petra = b.db.Person(t, "Petra Lindahl")
	return b, b.db.Person(t, "Ines Calloway", domain.Keeper)
}

func (b *bundle) invites(t *testing.T, who domain.Actor, roles ...domain.Role) domain.NewInvitation {
	t.Helper()
	i, err := b.Invite(ctx, who, domain.InvitePerson{Name: "Olwen", Roles: roles})
	require.NoError(t, err)
	return i
}

func accepting(code string) domain.AcceptInvitation {
	return domain.AcceptInvitation{Code: code, Name: "Olwen Marsh", Address: "olwen@thornwick.example", Password: "three grey wagtails"}
}

// kindsOfActs lists what is on record, oldest first, but for joining by hand.
func (b *bundle) kindsOfActs(t *testing.T) []domain.ActKind {
	t.Helper()
	acts, err := b.Acts(ctx, b.petra, domain.Page{})
	require.NoError(t, err)
	var kinds []domain.ActKind
	for _, a := range slices.Backward(acts) {
		kinds = append(kinds, a.Kind)
	}
	return kinds
}

func TestInvitation(t *testing.T) {
	t.Parallel()
	b, ines := withKeeper(t)
	i := b.invites(t, ines, domain.Checker)
	list, err := b.Invitations(ctx, b.petra, domain.Page{})
	require.NoError(t, err)
	require.Equal(t, []domain.Invitation{i.Invitation}, list)

	in, err := b.AcceptInvitation(ctx, accepting(i.Code))
	require.NoError(t, err)
	require.Equal(t, []domain.Role{domain.Member, domain.Checker}, in.Account.Roles)
	_, err = b.Actor(ctx, in.Account.ID, in.Session)
	require.NoError(t, err)
	list, err = b.Invitations(ctx, b.petra, domain.Page{})
	require.NoError(t, err)
	require.Empty(t, list)
	require.Equal(t, []domain.ActKind{domain.ActInvited, domain.ActJoined}, b.kindsOfActs(t))
}

// Seven days and once, as product.md, "People", has it.
func TestInvitationsThatAreNoGood(t *testing.T) {
	t.Parallel()
	b, ines := withKeeper(t)
	used, withdrawn, late := b.invites(t, ines), b.invites(t, ines), b.invites(t, ines)
	_, err := b.AcceptInvitation(ctx, accepting(used.Code))
	require.NoError(t, err)
	require.NoError(t, b.WithdrawInvitation(ctx, ines, withdrawn.ID))
	require.NoError(t, b.WithdrawInvitation(ctx, ines, withdrawn.ID), "twice is no fault")
	requireCode(t, "invitation-used", b.WithdrawInvitation(ctx, ines, used.ID))
	requireCode(t, "not-found", b.WithdrawInvitation(ctx, ines, late.ID+1))

	b.clock.forward(7*24*time.Hour - time.Second)
	for code, want := range map[string]string{used.Code: "used_code", withdrawn.Code: "withdrawn_code", "AAAA-BBBB-CCCC": "wrong_code"} {
		_, err := b.AcceptInvitation(ctx, accepting(code))
		require.Equal(t, want, requireCode(t, "invalid", err).Fields[0].Code)
	}
	b.clock.forward(time.Second)
	_, err = b.AcceptInvitation(ctx, accepting(late.Code))
	require.Equal(t, "late_code", requireCode(t, "invalid", err).Fields[0].Code)
	require.Equal(t, 3, b.db.Number(t, "SELECT count(*) FROM accounts"))
}

func TestInvitationLetsOneIn(t *testing.T) {
	t.Parallel()
	b, ines := withKeeper(t)
	i := b.invites(t, ines)
	oneWins(t, "invalid", atOnce(4, func(n int) error {
		cmd := accepting(i.Code)
		cmd.Address = string(rune('a'+n)) + cmd.Address
		_, err := b.AcceptInvitation(ctx, cmd)
		return err
	}))
	require.Equal(t, 3, b.db.Number(t, "SELECT count(*) FROM accounts"))
}

// An address that is taken uses up nothing.
func TestInvitationSurvivesATakenAddress(t *testing.T) {
	t.Parallel()
	b, ines := withKeeper(t)
	i := b.invites(t, ines)
	cmd := accepting(i.Code)
	cmd.Address = storetest.Address("Petra Lindahl")
	_, err := b.AcceptInvitation(ctx, cmd)
	requireCode(t, "address-taken", err)
	_, err = b.AcceptInvitation(ctx, accepting(i.Code))
	require.NoError(t, err)
}

// Whom an invented keeper lets in must not get into a real notebook on the
// same database: everybody knows the password of the keeper.
func (b *bundle) invitesIntoTheDemo(t *testing.T) {
	t.Helper()
	in, err := b.SignIn(ctx, domain.SignIn{Address: "ines@thornwick.example", Password: notebook.DemoPassword})
	require.NoError(t, err)
	ines, err := b.Actor(ctx, in.Account.ID, in.Session)
	require.NoError(t, err)
	cmd := accepting(b.invites(t, ines, domain.Keeper).Code)
	cmd.Address = "marsh@thornwick.example"
	_, err = b.AcceptInvitation(ctx, cmd)
	require.NoError(t, err)
	plain := notebook.New(b.db.DB, notebook.Options{Now: b.clock.now})
	_, err = plain.SignIn(ctx, domain.SignIn{Address: cmd.Address, Password: cmd.Password})
	requireCode(t, "sign-in-refused", err)
}

func (b *bundle) version(t *testing.T) int64 {
	t.Helper()
	g, err := b.Group(ctx, b.petra)
	require.NoError(t, err)
	return g.Version
}

func (b *bundle) setRoles(t *testing.T, who, member domain.Actor, roles ...domain.Role) error {
	t.Helper()
	_, err := b.SetRoles(ctx, who, domain.SetMemberRoles{Member: member.Account, Version: b.version(t), Roles: roles})
	return err
}

func TestRoles(t *testing.T) {
	t.Parallel()
	b, ines := withKeeper(t)
	require.NoError(t, b.setRoles(t, ines, b.petra, domain.Checker, domain.Keeper))
	petra, err := b.Me(ctx, b.petra)
	require.NoError(t, err)
	require.Equal(t, []domain.Role{domain.Member, domain.Checker, domain.Keeper}, petra.Roles)

	requireCode(t, "own-role", b.setRoles(t, ines, ines, domain.Keeper, domain.Steward))
	require.NoError(t, b.setRoles(t, ines, ines), "one's own role may be laid down")
	requireCode(t, "not-keeper", b.setRoles(t, ines, ines, domain.Keeper))
	requireCode(t, "last-keeper", b.setRoles(t, b.petra, b.petra, domain.Checker))
	requireCode(t, "last-keeper", b.CloseAccount(ctx, b.petra, b.petra.Account))
	requireCode(t, "invalid", b.setRoles(t, b.petra, ines, "boss"))
	requireCode(t, "invalid", b.setRoles(t, b.petra, ines, domain.Checker, domain.Checker))

	acts, err := b.Acts(ctx, ines, domain.Page{Limit: 1})
	require.NoError(t, err)
	require.Equal(t, []domain.Role{domain.Member, domain.Keeper}, acts[0].Before.Roles)
	require.Equal(t, []domain.Role{domain.Member}, acts[0].After.Roles)
	require.Equal(t, []domain.ActKind{domain.ActRolesSet, domain.ActRolesSet}, b.kindsOfActs(t), "a refusal left an act")
}

// Whoever drops whom: one keeper is left. Each reads the version on its own, so
// that it is the rule and not the version that refuses.
func TestTwoKeepersDropEachOtherAtOnce(t *testing.T) {
	t.Parallel()
	for range 4 {
		b, ines := withKeeper(t)
		bram := b.db.Person(t, "Bram Oduya", domain.Keeper)
		pair := []domain.Actor{ines, bram}
		atOnce(2, func(i int) error { return b.CloseAccount(ctx, pair[i], pair[1-i].Account) })
		require.Equal(t, 1, b.db.Number(t, "SELECT count(*) FROM accounts WHERE keeper AND closed_at IS NULL"))
	}
}

func TestTwoKeepersLeaveAtOnce(t *testing.T) {
	t.Parallel()
	b, ines := withKeeper(t)
	bram := b.db.Person(t, "Bram Oduya", domain.Keeper)
	oneWins(t, "last-keeper", atOnce(2, func(i int) error {
		who := []domain.Actor{ines, bram}[i]
		return b.CloseAccount(ctx, who, who.Account)
	}))
	require.Equal(t, 1, b.db.Number(t, "SELECT count(*) FROM accounts WHERE keeper AND closed_at IS NULL"))
}

func TestRolesFromTheSameReading(t *testing.T) {
	t.Parallel()
	b, ines := withKeeper(t)
	version := b.version(t)
	oneWins(t, "group-stale", atOnce(4, func(int) error {
		_, err := b.SetRoles(ctx, ines, domain.SetMemberRoles{Member: b.petra.Account, Version: version, Roles: []domain.Role{domain.Checker}})
		return err
	}))
}

func TestOnlyKeepersChangeTheGroup(t *testing.T) {
	t.Parallel()
	b, _ := withKeeper(t)
	bram := b.db.Person(t, "Bram Oduya", domain.Steward, domain.Checker)
	_, invite := b.Invite(ctx, bram, domain.InvitePerson{})
	_, code := b.GiveResetCode(ctx, bram, b.petra.Account)
	_, set := b.SetGroupSettings(ctx, bram, domain.SetGroupSettings{Version: 1})
	for _, err := range []error{invite, code, set, b.setRoles(t, bram, b.petra), b.CloseAccount(ctx, bram, b.petra.Account)} {
		require.Contains(t, requireCode(t, "not-keeper", err).Message, "Ines Calloway")
	}
	require.Empty(t, b.kindsOfActs(t))
}

func TestClosedAccount(t *testing.T) {
	t.Parallel()
	b, ines := withKeeper(t)
	code, err := b.GiveResetCode(ctx, ines, b.petra.Account)
	require.NoError(t, err)
	require.NoError(t, b.CloseAccount(ctx, ines, b.petra.Account))
	_, err = b.Actor(ctx, b.petra.Account, b.petra.Session)
	requireCode(t, "signed-out", err)
	_, err = b.SignIn(ctx, domain.SignIn{Address: storetest.Address("Petra Lindahl"), Password: storetest.Password})
	requireCode(t, "sign-in-refused", err)
	_, err = b.ResetPassword(ctx, domain.ResetPassword{Code: code.Code, Password: "five grey wagtails"})
	requireCode(t, "invalid", err)
	requireCode(t, "account-closed", b.CloseAccount(ctx, ines, b.petra.Account))
	require.Equal(t, 1, b.db.Number(t, `SELECT count(*) FROM accounts WHERE name = 'Petra Lindahl' AND address IS NULL AND password_hash IS NULL`))
	g, err := b.Group(ctx, ines)
	require.NoError(t, err)
	require.Equal(t, "Petra Lindahl", g.Members[1].Name, "the name stays, after those who are there")
	require.Empty(t, g.Members[1].Allowed)
}

// One day and once, as product.md, "People", has it.
func TestResetCode(t *testing.T) {
	t.Parallel()
	b, ines := withKeeper(t)
	give := func() string {
		code, err := b.GiveResetCode(ctx, ines, b.petra.Account)
		require.NoError(t, err)
		return code.Code
	}
	reset := func(code, password string) error {
		_, err := b.ResetPassword(ctx, domain.ResetPassword{Code: code, Password: password})
		return err
	}
	replaced, code := give(), give()
	requireCode(t, "invalid", reset(replaced, "five grey wagtails"))
	e := requireCode(t, "invalid", reset(code, "Petra Lindahl"))
	require.Equal(t, "common", e.Fields[0].Code, "the own name as password")
	require.NoError(t, reset(code, "five grey wagtails"), "a fault used the code up")
	requireCode(t, "invalid", reset(code, "five grey wagtails"))
	_, err := b.Actor(ctx, b.petra.Account, b.petra.Session)
	requireCode(t, "signed-out", err)
	_, err = b.SignIn(ctx, domain.SignIn{Address: storetest.Address("Petra Lindahl"), Password: "five grey wagtails"})
	require.NoError(t, err)
	late := give()
	b.clock.forward(24 * time.Hour)
	requireCode(t, "invalid", reset(late, "six grey wagtails"))
	require.Equal(t, 1, b.db.Number(t, "SELECT count(*) FROM acts WHERE kind = 'password_reset'"))
}

func TestResetCodeIsGoodOnce(t *testing.T) {
	t.Parallel()
	b, ines := withKeeper(t)
	code, err := b.GiveResetCode(ctx, ines, b.petra.Account)
	require.NoError(t, err)
	oneWins(t, "invalid", atOnce(3, func(int) error {
		_, err := b.ResetPassword(ctx, domain.ResetPassword{Code: code.Code, Password: "five grey wagtails"})
		return err
	}))
}

func TestCodesAreStoredAsHashes(t *testing.T) {
	t.Parallel()
	b, ines := withKeeper(t)
	invitation := b.invites(t, ines)
	reset, err := b.GiveResetCode(ctx, ines, b.petra.Account)
	require.NoError(t, err)
	// Postgres's own sha256 is the other opinion.
	require.Equal(t, 1, b.db.Number(t, "SELECT count(*) FROM invitations WHERE code_hash = sha256(replace($1, '-', '')::bytea)", invitation.Code))
	require.Equal(t, 1, b.db.Number(t, "SELECT count(*) FROM reset_codes WHERE code_hash = sha256(replace($1, '-', '')::bytea)", reset.Code))
}

func TestGroupSettings(t *testing.T) {
	t.Parallel()
	b, ines := withKeeper(t)
	settings := domain.GroupSettings{Name: "Thornwick Wheelhouse", Units: domain.US, TimeZone: "America/Denver"}
	g, err := b.SetGroupSettings(ctx, ines, domain.SetGroupSettings{Version: b.version(t), Settings: settings})
	require.NoError(t, err)
	require.Equal(t, settings, g.Settings)
	me, err := b.Me(ctx, b.petra)
	require.NoError(t, err)
	require.Equal(t, domain.US, me.Units)
	require.Equal(t, "America/Denver", me.TimeZone)
	_, err = b.SetGroupSettings(ctx, ines, domain.SetGroupSettings{Version: g.Version - 1, Settings: settings})
	requireCode(t, "group-stale", err)
	_, err = b.SetGroupSettings(ctx, ines, domain.SetGroupSettings{Version: g.Version, Settings: domain.GroupSettings{Units: "feet", TimeZone: "Thornwick"}})
	require.Len(t, requireCode(t, "invalid", err).Fields, 3)
	require.Equal(t, []domain.ActKind{domain.ActSettingsSet}, b.kindsOfActs(t))
}
