package notebook_test

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/notebook"
)

func keeper(code string) domain.FirstKeeper {
	return domain.FirstKeeper{Code: code, Name: "Ines Calloway", Address: "ines@thornwick.example", Password: "three grey wagtails"}
}

func newCode(t *testing.T, b *bundle) string {
	t.Helper()
	code, err := b.NewKeeperCode(ctx)
	require.NoError(t, err)
	return code
}

func TestFirstKeeper(t *testing.T) {
	t.Parallel()
	b := empty(t, notebook.Options{})
	needs, err := b.NeedsKeeper(ctx)
	require.NoError(t, err)
	require.True(t, needs)
	code := newCode(t, b)
	require.Regexp(t, regexp.MustCompile(`^([2-9A-HJ-NP-Z]{4}-){2}[2-9A-HJ-NP-Z]{4}$`), code)

	in, err := b.FirstKeeper(ctx, keeper(strings.ToLower(strings.ReplaceAll(code, "-", " "))))
	require.NoError(t, err)
	require.Equal(t, []domain.Role{domain.Member, domain.Keeper}, in.Account.Roles)
	_, err = b.Actor(ctx, in.Account.ID, in.Session)
	require.NoError(t, err)
	_, err = b.SignIn(ctx, domain.SignIn{Address: "ines@thornwick.example", Password: "three grey wagtails"})
	require.NoError(t, err)

	needs, err = b.NeedsKeeper(ctx)
	require.NoError(t, err)
	require.False(t, needs)
	_, err = b.NewKeeperCode(ctx)
	requireCode(t, "keeper-exists", err)
	_, err = b.FirstKeeper(ctx, keeper(code))
	requireCode(t, "keeper-exists", err)
}

func TestKeeperCodesThatAreNoGood(t *testing.T) {
	t.Parallel()
	b := empty(t, notebook.Options{})
	_, err := b.FirstKeeper(ctx, keeper("AAAA-BBBB-CCCC"))
	requireCode(t, "invalid", err)
	old := newCode(t, b)
	code := newCode(t, b)
	for name, wrong := range map[string]string{"replaced": old, "cut short": code[:13], "empty": ""} {
		_, err := b.FirstKeeper(ctx, keeper(wrong))
		require.Equal(t, "/code", requireCode(t, "invalid", err).Fields[0].Pointer, name)
	}
	b.clock.forward(24 * time.Hour)
	_, err = b.FirstKeeper(ctx, keeper(code))
	require.Equal(t, "wrong_code", requireCode(t, "invalid", err).Fields[0].Code)
	require.Equal(t, 0, b.db.Number(t, "SELECT count(*) FROM accounts"))
}

func TestCodeMakesOneKeeper(t *testing.T) {
	t.Parallel()
	b := empty(t, notebook.Options{})
	code := newCode(t, b)
	oneWins(t, "keeper-exists", atOnce(4, func(i int) error {
		cmd := keeper(code)
		cmd.Address = string(rune('a'+i)) + cmd.Address
		_, err := b.FirstKeeper(ctx, cmd)
		return err
	}))
	require.Equal(t, 1, b.db.Number(t, "SELECT count(*) FROM accounts"))
}

func TestCodeIsStoredAsAHash(t *testing.T) {
	t.Parallel()
	b := empty(t, notebook.Options{})
	code := strings.ReplaceAll(newCode(t, b), "-", "")
	// Postgres's own sha256 is the other opinion.
	require.Equal(t, 1, b.db.Number(t, "SELECT count(*) FROM setup_codes WHERE code_hash = sha256($1::bytea)", []byte(code)))
}
