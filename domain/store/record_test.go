package store_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/store"
	"leat/domain/store/storetest"
)

// recorded is a group whose keeper signed so many acts.
func recorded(t *testing.T, acts int) (*storetest.DB, domain.Actor) {
	t.Helper()
	db := storetest.New(t)
	keeper := db.Person(t, "Petra Lindahl", domain.Keeper)
	for i := range acts {
		require.NoError(t, invite(t, db, keeper, fmt.Sprintf("Guest %d", i)))
	}
	return db, keeper
}

func invite(t *testing.T, db *storetest.DB, keeper domain.Actor, name string) error {
	t.Helper()
	return db.InTx(t.Context(), func(tx *store.Tx) error {
		access, err := tx.AccountAccess(keeper)
		if err != nil {
			return err
		}
		permit, err := domain.Authorize(keeper, access, domain.Invite)
		if err != nil {
			return err
		}
		_, err = tx.Invite(permit, domain.InvitePerson{Name: name}, fmt.Appendf(nil, "%32s", name), time.Now().UTC())
		return err
	})
}

func verify(t *testing.T, db *storetest.DB) (head domain.RecordHead, err error) {
	t.Helper()
	err = db.InTx(t.Context(), func(tx *store.Tx) (err error) {
		head, err = tx.VerifyRecord()
		return err
	})
	return head, err
}

// byHand changes a signed table as its owner can: without triggers.
func byHand(t *testing.T, db *storetest.DB, statement string) {
	t.Helper()
	for _, table := range []string{"acts", "record_links", "record_head"} {
		db.Exec(t, "ALTER TABLE "+table+" DISABLE TRIGGER ALL")
	}
	db.Exec(t, statement)
}

func TestRecordHolds(t *testing.T) {
	t.Parallel()
	db, _ := recorded(t, 3)
	head, err := verify(t, db)
	require.NoError(t, err)
	require.EqualValues(t, 3, head.Number)
	require.Equal(t, 3, db.Number(t, "SELECT count(*) FROM acts WHERE link IS NOT NULL"))
}

func TestTamperingIsNamed(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		statement string
		link      int64
		what      string
	}{
		"what was signed":           {`UPDATE acts SET after = '{"name": "Mallory"}' WHERE link = 2`, 2, "what was signed was changed afterwards"},
		"when it was done":          {"UPDATE acts SET at = at - interval '1 day' WHERE link = 3", 3, "what was signed was changed afterwards"},
		"the row gone":              {"DELETE FROM acts WHERE link = 2", 2, "what was signed is gone"},
		"the link gone":             {"UPDATE acts SET link = NULL WHERE link = 2; DELETE FROM record_links WHERE number = 2", 2, "it is missing"},
		"who signed":                {"UPDATE record_links SET who = (SELECT max(id) FROM accounts) WHERE number = 2", 2, "its number, kind, time, person or project was changed"},
		"when it was signed":        {"UPDATE record_links SET at = at + interval '1 hour' WHERE number = 1", 1, "its number, kind, time, person or project was changed"},
		"its text":                  {"UPDATE record_links SET body = '{}', digest = sha256('{}') WHERE number = 2", 2, "its number, kind, time, person or project was changed"},
		"the one before":            {"UPDATE record_links SET before = sha256('x') WHERE number = 3", 3, "it does not go on from the link before"},
		"the end cut off":           {"UPDATE acts SET link = NULL WHERE link = 3; DELETE FROM record_links WHERE number = 3", 3, "it is missing, and all after it"},
		"the end said wrongly":      {"UPDATE record_head SET link = sha256('x')", 3, "the record says that it ends with another link"},
		"two signed things swapped": {"UPDATE acts SET link = NULL WHERE link = 1; UPDATE acts SET link = 1 WHERE link = 2", 1, "what was signed was changed afterwards"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			db, _ := recorded(t, 3)
			db.Person(t, "Mallory")
			byHand(t, db, c.statement)
			_, err := verify(t, db)
			require.Equal(t, domain.BrokenRecord{Number: c.link, Kind: brokenKind(c.what), What: c.what}, err)
		})
	}
}

// brokenKind is the kind under which a fault is told: one of the end has none.
func brokenKind(what string) domain.LinkKind {
	if what == "it is missing, and all after it" || what == "the record says that it ends with another link" {
		return "end"
	}
	return domain.LinkAct
}

func TestManySignAtOnce(t *testing.T) {
	t.Parallel()
	db, keeper := recorded(t, 0)
	done := make(chan error)
	for i := range 20 {
		go func() { done <- invite(t, db, keeper, fmt.Sprintf("Guest %d", i)) }()
	}
	for range 20 {
		require.NoError(t, <-done)
	}
	head, err := verify(t, db)
	require.NoError(t, err)
	require.EqualValues(t, 20, head.Number)
}

// A transaction that fails leaves no link behind, and the chain without a gap.
func TestFailedActLeavesNoLink(t *testing.T) {
	t.Parallel()
	db, keeper := recorded(t, 1)
	require.Error(t, invite(t, db, keeper, "Guest 0"), "the same code twice")
	require.NoError(t, invite(t, db, keeper, "Guest 1"))
	head, err := verify(t, db)
	require.NoError(t, err)
	require.EqualValues(t, 2, head.Number)
}

func TestRecordConstraintsHold(t *testing.T) {
	t.Parallel()
	db, _ := recorded(t, 1)
	db.Person(t, "Mallory")
	const hashed = "sha256(convert_to('{}', 'UTF8'))"
	next := func(number, before, digest, link string) string {
		return "INSERT INTO record_links SELECT " + number + ", 'act', now(), who, NULL, '{}', " + digest + ", " + before + ", " + link + " FROM record_links"
	}
	refuses(t, db, map[string][]string{
		"record_links_append_only":              {"UPDATE record_links SET at = now()", "DELETE FROM record_links"},
		"record_links_append_only_truncate":     {"TRUNCATE record_links CASCADE"},
		"record_links_next":                     {next("3", "link", hashed, "sha256('a')"), next("2", "before", hashed, "sha256('a')"), next("1", "link", hashed, "sha256('a')")},
		"record_links_digest_check":             {next("2", "link", "sha256('x')", "sha256('a')")},
		"record_links_link_key":                 {next("2", "link", hashed, "link")},
		"record_head_sole_check":                {"UPDATE record_head SET sole = false"},
		"record_head_sole_key":                  {"INSERT INTO record_head SELECT * FROM record_head"},
		"record_head_number_check":              {"UPDATE record_head SET number = -1"},
		"record_head_link_check":                {"UPDATE record_head SET link = 'x'"},
		"acts_link_key":                         {"INSERT INTO acts (kind, at, who, about, before, after, link) SELECT kind, at, who, about, before, after, link FROM acts"},
		"accounts_signing_hash_check":           {"UPDATE accounts SET signing_hash = '123456'"},
		"accounts_closed_at_signing_hash_check": {"UPDATE accounts SET closed_at = now(), address = NULL, password_hash = NULL, signing_hash = (SELECT max(password_hash) FROM accounts) WHERE NOT keeper"},
	})
}
