package notebook_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/notebook"
	"leat/domain/store"
	"leat/domain/store/storetest"
)

// importerVariable makes the test binary a process that brings a project in, once:
// "url|account|file|key".
const importerVariable = "LEAT_TEST_KILL_IMPORTER"

func importer() int {
	at := strings.Split(os.Getenv(importerVariable), "|")
	db, err := store.Open(ctx, at[0])
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	text, err := os.ReadFile(at[2])
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	var id domain.AccountID
	_, _ = fmt.Sscan(at[1], &id)
	b := &bundle{Notebook: notebook.New(db, notebook.Options{Draws: draws})}
	if _, _, err := bringIn(b, domain.Actor{Account: id}, text, storetest.Password, at[3], false); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	fmt.Println(1)
	return 0
}

// Of an import that ends on its way nothing is kept, whether the server is killed or
// its connection to the database breaks; sent again, under the same key, the project
// is there once. Another transaction holds a table that the archive comes to late,
// so that the end comes when most of it was written.
func TestAKilledImportLeavesNothing(t *testing.T) {
	t.Parallel()
	b := setup(t)
	_, _, err := b.KeepFile(ctx, b.petra, b.picture(t, "file-00001"))
	require.NoError(t, err)
	_, _, err = b.SaveSheet(ctx, b.petra, b.save(b.design.Version, machine(t, nil)))
	require.NoError(t, err)
	_, _, err = b.WriteEntry(ctx, b.petra, domain.WriteEntry{Project: b.project.ID, Text: "The weir leaks.", Key: "entry-0001"})
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "project.zip")
	text := b.takeAlong(t, b.petra, b.project.ID)
	require.NoError(t, os.WriteFile(file, text, 0o600))

	to := empty(t, notebook.Options{})
	keeper := to.db.Person(t, "Olwen Marsh", domain.Keeper)
	for name, end := range map[string]func(k *killer){
		"server": func(k *killer) { require.Empty(t, k.kill(t)) },
		"connection": func(*killer) {
			to.db.Exec(t, "SELECT pg_terminate_backend(pid) FROM pg_locks WHERE NOT granted AND database = (SELECT oid FROM pg_database WHERE datname = current_database())")
		},
	} {
		hold, err := to.db.SQL.Begin()
		require.NoError(t, err)
		_, err = hold.Exec("LOCK TABLE log_entries IN ACCESS EXCLUSIVE MODE")
		require.NoError(t, err)
		k := started(t, fmt.Sprintf("%s=%s|%d|%s|%s", importerVariable, to.db.URL, keeper.Account, file, "archive-0001"))
		waiting := "SELECT count(*) FROM pg_locks WHERE NOT granted AND relation = 'log_entries'::regclass"
		require.Eventually(t, func() bool { return to.db.Number(t, waiting) == 1 }, time.Minute, 5*time.Millisecond, name)
		end(k)
		require.NoError(t, hold.Rollback())
		<-k.done
		require.Empty(t, k.answered, name)
		others := "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid() AND state <> 'idle'"
		require.Eventually(t, func() bool { return to.db.Number(t, others) == 0 }, time.Minute, 5*time.Millisecond, name)
		for _, table := range []string{"projects", "imports", "import_people", "files", "file_bodies", "designs", "sheets", "log_entries", "record_links"} {
			require.Equal(t, 0, to.db.Number(t, "SELECT count(*) FROM "+table), "%s: %s", name, table)
		}
		require.Equal(t, 1, to.db.Number(t, "SELECT count(*) FROM accounts"), name)
	}
	for _, wantMade := range []bool{true, false} {
		p, made, err := bringIn(to, keeper, text, storetest.Password, "archive-0001", false)
		require.NoError(t, err)
		require.Equal(t, wantMade, made)
		require.Equal(t, b.project.Title, p.Title)
	}
	require.Equal(t, 1, to.db.Number(t, "SELECT count(*) FROM projects"))
	require.Equal(t, 1, to.db.Number(t, "SELECT count(*) FROM log_entries"))
	head, err := to.VerifyRecord(ctx, nil)
	require.NoError(t, err)
	require.Equal(t, int64(1), head.Number)
}
