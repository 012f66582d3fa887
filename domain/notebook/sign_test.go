package notebook_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/notebook"
	"leat/domain/store/storetest"
)

const code = "408152"

// coded is a notebook in which Tomasz has a signing code.
func coded(t *testing.T) *bundle {
	t.Helper()
	b := setup(t)
	hash, err := b.Hash(ctx, code)
	require.NoError(t, err)
	b.db.Exec(t, "UPDATE accounts SET signing_hash = $1 WHERE id = $2", hash, b.tomasz.Account)
	return b
}

func TestCodeOrPasswordOfTheSignerConfirms(t *testing.T) {
	t.Parallel()
	b := coded(t)
	by, err := b.Confirm(ctx, b.petra, b.tomasz.Account, domain.Proof{Code: code})
	require.NoError(t, err, "on Petra's device")
	require.Equal(t, domain.ByCode, by)
	by, err = b.Confirm(ctx, b.petra, b.tomasz.Account, domain.Proof{Password: storetest.Password})
	require.NoError(t, err)
	require.Equal(t, domain.ByPassword, by)

	_, err = b.Confirm(ctx, b.petra, b.tomasz.Account, domain.Proof{Code: "408153"})
	require.Equal(t, "/code", requireCode(t, "invalid", err).Fields[0].Pointer)
	_, err = b.Confirm(ctx, b.petra, b.tomasz.Account, domain.Proof{Password: "four brown dippers"})
	require.Equal(t, "/password", requireCode(t, "invalid", err).Fields[0].Pointer)
	_, err = b.Confirm(ctx, b.petra, b.petra.Account, domain.Proof{Code: code})
	require.Equal(t, "not_set", requireCode(t, "invalid", err).Fields[0].Code)
	_, err = b.Confirm(ctx, b.petra, 999_999, domain.Proof{Code: code})
	requireCode(t, "not-found", err)
	b.db.Exec(t, `UPDATE accounts SET closed_at = now(), address = NULL, password_hash = NULL, signing_hash = NULL, checker = false WHERE id = $1`, b.tomasz.Account)
	_, err = b.Confirm(ctx, b.petra, b.tomasz.Account, domain.Proof{Code: code})
	requireCode(t, "not-found", err)
}

// guess tries ten wrong codes of Tomasz on a device.
func (b *bundle) guess(t *testing.T, who domain.Actor) {
	t.Helper()
	for range 10 {
		_, err := b.Confirm(ctx, who, b.tomasz.Account, domain.Proof{Code: "000001"})
		requireCode(t, "invalid", err)
	}
}

// Guessing stops, and does not keep the right person from signing.
func TestGuessedCodesAreSlowedPerPerson(t *testing.T) {
	t.Parallel()
	b := coded(t)
	b.guess(t, b.petra)
	other := b.db.Person(t, "Wen Achebe")
	_, err := b.Confirm(ctx, other, b.tomasz.Account, domain.Proof{Code: code})
	requireCode(t, "too-many-signatures", err)
	_, err = b.Confirm(ctx, b.tomasz, b.tomasz.Account, domain.Proof{Password: storetest.Password})
	require.NoError(t, err, "the password still signs")
	b.clock.forward(15 * time.Minute)
	_, err = b.Confirm(ctx, b.petra, b.tomasz.Account, domain.Proof{Code: code})
	require.NoError(t, err, "a quarter of an hour later")
}

func TestGuessedCodesAreSlowedPerDevice(t *testing.T) {
	t.Parallel()
	b := coded(t)
	wen := b.db.Person(t, "Wen Achebe")
	hash, err := b.Hash(ctx, "915360")
	require.NoError(t, err)
	b.db.Exec(t, "UPDATE accounts SET signing_hash = $1 WHERE id = $2", hash, wen.Account)
	b.guess(t, b.petra)
	_, err = b.Confirm(ctx, b.petra, wen.Account, domain.Proof{Code: "915360"})
	requireCode(t, "too-many-signatures", err)
	_, err = b.Confirm(ctx, wen, wen.Account, domain.Proof{Code: "915360"})
	require.NoError(t, err, "on a device of her own")
}

// Passwords are slowed for whoever guesses, not for whom they belong to.
func TestGuessedPasswordsAreSlowedPerGuesser(t *testing.T) {
	t.Parallel()
	b := coded(t)
	for range 10 {
		_, err := b.Confirm(ctx, b.petra, b.tomasz.Account, domain.Proof{Password: "four brown dippers"})
		requireCode(t, "invalid", err)
	}
	_, err := b.Confirm(ctx, b.petra, b.tomasz.Account, domain.Proof{Password: storetest.Password})
	requireCode(t, "too-many-signatures", err)
	_, err = b.Confirm(ctx, b.tomasz, b.tomasz.Account, domain.Proof{Password: storetest.Password})
	require.NoError(t, err)
}

func TestInventedPeopleSignInTheDemoOnly(t *testing.T) {
	t.Parallel()
	b := coded(t)
	b.db.Exec(t, "UPDATE accounts SET demo = true WHERE id = $1", b.tomasz.Account)
	_, err := b.Confirm(ctx, b.petra, b.tomasz.Account, domain.Proof{Code: code})
	requireCode(t, "not-found", err)
	_, err = notebook.New(b.db.DB, notebook.Options{Demo: true}).Confirm(ctx, b.petra, b.tomasz.Account, domain.Proof{Code: code})
	require.NoError(t, err)
}
