package notebook_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/notebook"
	"leat/domain/store/storetest"
)

func (b *bundle) signIn(name, password string) (notebook.SignedIn, error) {
	return b.SignIn(ctx, domain.SignIn{Address: storetest.Address(name), Password: password, From: "192.0.2.1"})
}

// signedIn is a notebook with Petra signed in.
func signedIn(t *testing.T) (*bundle, notebook.SignedIn) {
	t.Helper()
	b := setup(t)
	in, err := b.signIn("Petra Lindahl", storetest.Password)
	require.NoError(t, err)
	return b, in
}

func TestSignIn(t *testing.T) {
	t.Parallel()
	b, in := signedIn(t)
	require.Equal(t, b.petra.Account, in.Account.ID)
	require.WithinDuration(t, b.clock.now().Add(14*24*time.Hour), in.Ends, time.Second)
	who, err := b.Actor(ctx, in.Account.ID, in.Session)
	require.NoError(t, err)
	require.Equal(t, domain.Actor{Account: in.Account.ID, Session: in.Session, Name: "Petra Lindahl", Roles: []domain.Role{domain.Member}}, who)
	me, err := b.Me(ctx, who)
	require.NoError(t, err)
	require.Equal(t, "petra.lindahl@thornwick.example", me.Address)

	_, err = b.SignIn(ctx, domain.SignIn{Address: " PETRA.Lindahl@thornwick.example ", Password: storetest.Password})
	require.NoError(t, err, "the case of letters in an address doesn't matter")
	_, err = b.Actor(ctx, b.tomasz.Account, in.Session)
	requireCode(t, "signed-out", err)
}

func TestRefusalsLookTheSame(t *testing.T) {
	t.Parallel()
	b := setup(t)
	b.db.Exec(t, "UPDATE accounts SET demo = true WHERE id = $1", b.tomasz.Account)
	_, wrong := b.signIn("Petra Lindahl", "three grey herons")
	_, unknown := b.signIn("Nobody Known", storetest.Password)
	_, demo := b.signIn("Tomasz Reyes", storetest.Password)
	require.Equal(t, wrong, unknown)
	require.Equal(t, wrong, demo)
	requireCode(t, "sign-in-refused", wrong)
	require.Equal(t, 2, b.db.Number(t, "SELECT count(*) FROM sessions"), "only those of the setup")
}

// An address that nobody has must take as long as one with a wrong password.
// Nearly all of that time is one hash, of OWASP's cost (19 MiB, 2 passes, 1
// lane: https://cheatsheetseries.owasp.org, Password Storage).
func TestRefusalsTakeTheSameWork(t *testing.T) {
	t.Parallel()
	b := setup(t)
	hashed := b.CountHashes()
	b.db.Exec(t, "UPDATE accounts SET demo = true WHERE id = $1", b.tomasz.Account)
	for _, name := range []string{"Petra Lindahl", "Nobody Known", "Tomasz Reyes"} {
		_, err := b.signIn(name, "three grey herons")
		requireCode(t, "sign-in-refused", err)
		require.Equal(t, []notebook.Hashing{{KiB: 19 * 1024, Passes: 2, Lanes: 1}}, hashed(), name)
	}
}

func TestPasswordOfAnEarlierCostIsHashedAgain(t *testing.T) {
	t.Parallel()
	b := setup(t)
	const cheap = "$argon2id$v=19$m=8192,t=1,p=1$Y29iYmxlcnN3ZWlyMjAyNg$cM4JEpr363rtdJLhhLELpOof/w2+ZFIIgzo11kPMH30" // Debian's argon2: cobblersweir2026 -id -t 1 -k 8192 -p 1 -l 32 -e
	b.db.Exec(t, "UPDATE accounts SET password_hash = $1 WHERE id = $2", cheap, b.petra.Account)
	_, err := b.signIn("Petra Lindahl", storetest.Password)
	require.NoError(t, err)
	require.Equal(t, 1, b.db.Number(t, "SELECT count(*) FROM accounts WHERE id = $1 AND password_hash LIKE '$argon2id$v=19$m=19456,t=2,p=1$%'", b.petra.Account))
	_, err = b.signIn("Petra Lindahl", storetest.Password)
	require.NoError(t, err)
}

func TestRefreshRotates(t *testing.T) {
	t.Parallel()
	b, in := signedIn(t)
	b.clock.forward(13 * 24 * time.Hour)
	next, err := b.Refresh(ctx, in.Refresh)
	require.NoError(t, err)
	require.Equal(t, in.Session, next.Session)
	require.NotEqual(t, in.Refresh, next.Refresh)
	require.True(t, next.Ends.After(in.Ends))
	_, err = b.Actor(ctx, next.Account.ID, next.Session)
	require.NoError(t, err)
}

func TestReuseEndsTheSession(t *testing.T) {
	t.Parallel()
	b, first := signedIn(t)
	second, err := b.Refresh(ctx, first.Refresh)
	require.NoError(t, err)
	third, err := b.Refresh(ctx, second.Refresh)
	require.NoError(t, err)
	_, err = b.Refresh(ctx, first.Refresh) // older than the one before
	requireCode(t, "signed-out", err)
	_, err = b.Refresh(ctx, third.Refresh)
	requireCode(t, "signed-out", err)
	_, err = b.Actor(ctx, first.Account.ID, first.Session)
	requireCode(t, "signed-out", err)
}

func TestRefreshTwiceAtOnce(t *testing.T) {
	t.Parallel()
	b, in := signedIn(t)
	for range 10 { // one round alone may be too slow to be a race
		won := make([]notebook.SignedIn, 8)
		oneWins(t, "signed-out", atOnce(len(won), func(i int) (err error) {
			won[i], err = b.Refresh(ctx, in.Refresh)
			return err
		}))
		for _, w := range won {
			if w.Session != 0 {
				_, err := b.Refresh(ctx, w.Refresh)
				requireCode(t, "signed-out", err)
			}
		}
		var err error
		in, err = b.signIn("Petra Lindahl", storetest.Password)
		require.NoError(t, err)
	}
}

func TestTokensThatAreNone(t *testing.T) {
	t.Parallel()
	b, in := signedIn(t)
	other := notebook.SignedIn{Refresh: strings.Repeat("A", 64)}
	for _, text := range []string{"", "x", other.Refresh, in.Refresh + "A", in.Refresh[:63], strings.Repeat("=", 64), strings.Repeat("\x00", 64)} {
		_, err := b.Refresh(ctx, text)
		requireCode(t, "signed-out", err)
	}
	_, err := b.Refresh(ctx, in.Refresh)
	require.NoError(t, err, "a wrong token ended somebody's session")
}

func TestSessionsEnd(t *testing.T) {
	t.Parallel()
	t.Run("idle for 14 days", func(t *testing.T) {
		b, in := signedIn(t)
		b.clock.forward(14*24*time.Hour + time.Second)
		_, err := b.Actor(ctx, in.Account.ID, in.Session)
		requireCode(t, "signed-out", err)
		_, err = b.Refresh(ctx, in.Refresh)
		requireCode(t, "signed-out", err)
	})
	t.Run("after 90 days", func(t *testing.T) {
		b, in := signedIn(t)
		var err error
		for range 9 {
			b.clock.forward(9*24*time.Hour + time.Minute*90)
			in, err = b.Refresh(ctx, in.Refresh)
			require.NoError(t, err)
		}
		b.clock.forward(9 * 24 * time.Hour)
		_, err = b.Refresh(ctx, in.Refresh)
		requireCode(t, "signed-out", err)
	})
	t.Run("signed out", func(t *testing.T) {
		b, in := signedIn(t)
		who, err := b.Actor(ctx, in.Account.ID, in.Session)
		require.NoError(t, err)
		require.NoError(t, b.SignOut(ctx, who))
		require.NoError(t, b.SignOut(ctx, who), "twice is no error")
		_, err = b.Actor(ctx, in.Account.ID, in.Session)
		requireCode(t, "signed-out", err)
		_, err = b.Refresh(ctx, in.Refresh)
		requireCode(t, "signed-out", err)
	})
	for name, change := range map[string]string{
		"account closed":        "closed_at = now(), address = NULL, password_hash = NULL",
		"account is a demo one": "demo = true",
	} {
		t.Run(name, func(t *testing.T) {
			b, in := signedIn(t)
			b.db.Exec(t, "UPDATE accounts SET "+change+" WHERE id = $1", b.petra.Account)
			_, err := b.Actor(ctx, in.Account.ID, in.Session)
			requireCode(t, "signed-out", err)
			_, err = b.Refresh(ctx, in.Refresh)
			requireCode(t, "signed-out", err)
		})
	}
}

func TestLimitPerAddress(t *testing.T) {
	t.Parallel()
	b := setup(t)
	try := func(password, from string) error {
		_, err := b.SignIn(ctx, domain.SignIn{Address: storetest.Address("Petra Lindahl"), Password: password, From: from})
		return err
	}
	for i := range 10 {
		requireCode(t, "sign-in-refused", try("three grey herons", "192.0.2."+string(rune('0'+i))))
	}
	e := requireCode(t, "too-many-sign-ins", try(storetest.Password, "192.0.2.200"))
	require.Equal(t, domain.TooMany, e.Kind)
	require.Equal(t, 15*time.Minute, e.After)
	_, err := b.SignIn(ctx, domain.SignIn{Address: storetest.Address("Tomasz Reyes"), Password: storetest.Password, From: "192.0.2.200"})
	require.NoError(t, err, "others may sign in")
	b.clock.forward(15 * time.Minute)
	require.NoError(t, try(storetest.Password, "192.0.2.200"))
}

func TestLimitPerPlace(t *testing.T) {
	t.Parallel()
	b := setup(t)
	for i := range 10 {
		_, err := b.signIn("Nobody "+string(rune('a'+i)), "three grey herons")
		requireCode(t, "sign-in-refused", err)
	}
	_, err := b.signIn("Petra Lindahl", storetest.Password)
	requireCode(t, "too-many-sign-ins", err)
}

func TestSuccessDoesNotCount(t *testing.T) {
	t.Parallel()
	b := setup(t)
	for range 11 {
		_, err := b.signIn("Petra Lindahl", storetest.Password)
		require.NoError(t, err)
	}
}

func TestLimitHoldsAgainstManyAtOnce(t *testing.T) {
	t.Parallel()
	b := setup(t)
	judged := 0
	for _, err := range atOnce(30, func(int) error { _, err := b.signIn("Petra Lindahl", "three grey herons"); return err }) {
		if e, ok := errors.AsType[*domain.Error](err); ok && e.Code == "sign-in-refused" {
			judged++
		}
	}
	require.Equal(t, 10, judged)
}

func TestSignInForm(t *testing.T) {
	t.Parallel()
	b := setup(t)
	_, err := b.SignIn(ctx, domain.SignIn{})
	require.Len(t, requireCode(t, "invalid", err).Fields, 2)
	_, err = b.SignIn(ctx, domain.SignIn{Address: "x", Password: strings.Repeat("x", 129)})
	requireCode(t, "invalid", err)
}
