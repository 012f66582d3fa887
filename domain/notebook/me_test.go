package notebook_test

import (
	"errors"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/notebook"
	"leat/domain/store/storetest"
)

func TestOwnUnitsStandBeforeThoseOfTheGroup(t *testing.T) {
	t.Parallel()
	b := setup(t)
	us := domain.US
	own := &us
	me, err := b.ChangeMe(ctx, b.petra, domain.ChangeMe{Units: &own})
	require.NoError(t, err)
	require.Equal(t, domain.US, me.Units)
	require.Equal(t, domain.US, *me.OwnUnits)
	name := "  Petra Lindahl-Mbeki "
	me, err = b.ChangeMe(ctx, b.petra, domain.ChangeMe{Name: &name})
	require.NoError(t, err)
	require.Equal(t, "Petra Lindahl-Mbeki", me.Name)
	require.Equal(t, domain.US, me.Units, "what isn't given stays")
	tomasz, err := b.Me(ctx, b.tomasz)
	require.NoError(t, err)
	require.Nil(t, tomasz.OwnUnits)

	var none *domain.Units
	me, err = b.ChangeMe(ctx, b.petra, domain.ChangeMe{Units: &none})
	require.NoError(t, err)
	require.Nil(t, me.OwnUnits)
	require.Equal(t, tomasz.Units, me.Units)

	feet, long := domain.Units("feet"), ""
	own = &feet
	_, err = b.ChangeMe(ctx, b.petra, domain.ChangeMe{Units: &own, Name: &long})
	require.Len(t, requireCode(t, "invalid", err).Fields, 2)
}

const dippers = "four brown dippers"

func TestPasswordIsChangedWithThePresentOneAndEndsOtherSessions(t *testing.T) {
	t.Parallel()
	b, here := signedIn(t)
	there, err := b.signIn("Petra Lindahl", storetest.Password)
	require.NoError(t, err)
	who := domain.Actor{Account: here.Account.ID, Session: here.Session}

	err = b.ChangePassword(ctx, who, domain.ChangePassword{Present: "three grey herons", New: dippers})
	require.Equal(t, "/present", requireCode(t, "invalid", err).Fields[0].Pointer)
	err = b.ChangePassword(ctx, who, domain.ChangePassword{Present: storetest.Password, New: "petra lindahl"})
	require.Equal(t, "/new", requireCode(t, "invalid", err).Fields[0].Pointer)
	err = b.ChangePassword(ctx, who, domain.ChangePassword{Present: storetest.Password, New: storetest.Password})
	require.Equal(t, "same", requireCode(t, "invalid", err).Fields[0].Code)
	_, err = b.Actor(ctx, there.Account.ID, there.Session)
	require.NoError(t, err, "nothing happened yet")

	require.NoError(t, b.ChangePassword(ctx, who, domain.ChangePassword{Present: storetest.Password, New: dippers}))
	_, err = b.Actor(ctx, who.Account, who.Session)
	require.NoError(t, err)
	_, err = b.Actor(ctx, there.Account.ID, there.Session)
	requireCode(t, "signed-out", err)
	_, err = b.Refresh(ctx, there.Refresh)
	requireCode(t, "signed-out", err)
	_, err = b.signIn("Petra Lindahl", storetest.Password)
	requireCode(t, "sign-in-refused", err)
	_, err = b.signIn("Petra Lindahl", dippers)
	require.NoError(t, err)
}

func TestGuessingAtThePresentPasswordIsSlowedDown(t *testing.T) {
	t.Parallel()
	b := setup(t)
	guess := func(who domain.Actor, present string) error {
		return b.ChangePassword(ctx, who, domain.ChangePassword{Present: present, New: dippers})
	}
	for range 10 { // as many as sign-in allows in a quarter of an hour
		requireCode(t, "invalid", guess(b.petra, "three grey herons"))
	}
	requireCode(t, "too-many-sign-ins", guess(b.petra, storetest.Password))
	requireCode(t, "invalid", guess(b.tomasz, "three grey herons"))
	b.clock.forward(15 * time.Minute)
	require.NoError(t, guess(b.petra, storetest.Password))
}

func TestOneOfManyPasswordsWins(t *testing.T) {
	t.Parallel()
	b := setup(t)
	won := 0
	for _, err := range atOnce(2, func(i int) error {
		return b.ChangePassword(ctx, b.petra, domain.ChangePassword{Present: storetest.Password, New: []string{dippers, "five black coots"}[i]})
	}) {
		if err == nil {
			won++
			continue
		}
		e, ok := errors.AsType[*domain.Error](err)
		require.True(t, ok, "%v", err)
		// Who read the password before the other changed it is told so; who came later gave one that is no longer right.
		require.Contains(t, []string{"password-changed", "invalid"}, e.Code)
	}
	require.Equal(t, 1, won)
}

func TestOwnSessionsAreListedAndEnded(t *testing.T) {
	t.Parallel()
	b := setup(t)
	b.db.Exec(t, "DELETE FROM sessions")
	begin := func(browser string) notebook.SignedIn {
		b.clock.forward(time.Minute)
		in, err := b.SignIn(ctx, domain.SignIn{Address: storetest.Address("Petra Lindahl"), Password: storetest.Password, Browser: browser})
		require.NoError(t, err)
		return in
	}
	shed, bench, desk := begin("Firefox on Android"), begin(""), begin("Firefox on Linux")
	who := domain.Actor{Account: desk.Account.ID, Session: desk.Session}
	b.clock.forward(time.Minute)
	shed, err := b.Refresh(ctx, shed.Refresh)
	require.NoError(t, err)
	sessions, err := b.Sessions(ctx, who)
	require.NoError(t, err)
	require.Len(t, sessions, 3)
	require.Equal(t, shed.Session, sessions[0].ID, "used last")
	require.Equal(t, "Firefox on Android", sessions[0].Browser)
	require.True(t, sessions[0].BegunAt.Before(sessions[0].UsedAt))

	requireCode(t, "not-found", b.EndSession(ctx, b.tomasz, shed.Session))
	require.NoError(t, b.EndSession(ctx, who, bench.Session))
	_, err = b.Actor(ctx, who.Account, bench.Session)
	requireCode(t, "signed-out", err)
	require.NoError(t, b.EndOtherSessions(ctx, who))
	_, err = b.Refresh(ctx, shed.Refresh)
	requireCode(t, "signed-out", err)
	_, err = b.Actor(ctx, who.Account, who.Session)
	require.NoError(t, err)

	begin("")
	b.clock.forward(15 * 24 * time.Hour) // longer than a session lives unused
	last := begin("")
	sessions, err = b.Sessions(ctx, who)
	require.NoError(t, err)
	require.Len(t, sessions, 1)
	require.Equal(t, last.Session, sessions[0].ID)
}
