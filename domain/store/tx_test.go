package store_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/store"
	"leat/domain/store/storetest"
)

// startProject adds a project of somebody, past the notebook.
func startProject(t *testing.T, db *storetest.DB, who domain.Actor, key string) domain.ProjectID {
	t.Helper()
	var id domain.ProjectID
	require.NoError(t, db.InTx(context.Background(), func(tx *store.Tx) error {
		access, err := tx.AccountAccess(who)
		require.NoError(t, err)
		permit, err := domain.Authorize(who, access, domain.BeginProject)
		require.NoError(t, err)
		id, _, err = tx.StartProject(permit, domain.StartProject{Title: key, Key: key}, time.Now())
		return err
	}))
	return id
}

func TestEmptyOrWrongPermitChangesNothing(t *testing.T) {
	t.Parallel()
	db := storetest.New(t)
	who := db.Person(t, "Petra Lindahl")
	id := startProject(t, db, who, "key-00000001")
	now := time.Now()
	require.NoError(t, db.InTx(context.Background(), func(tx *store.Tx) error {
		access, err := tx.Access(who, id)
		require.NoError(t, err)
		wrong := make(map[domain.Action]domain.Permit)
		for _, action := range []domain.Action{domain.BeginProject, domain.AlterProject, domain.RecordSite, domain.BeginDesign, domain.EditDesign,
			domain.AskCrew, domain.LeaveCrew, domain.ChangeSelf, domain.WriteLog, domain.CallIncident, domain.AddFile} {
			wrong[action], err = domain.Authorize(who, access, action)
			require.NoError(t, err)
		}
		wrong[""] = domain.Permit{}
		for held, permit := range wrong {
			for wanted, change := range map[domain.Action]func() error{
				domain.BeginProject: func() error {
					_, _, err := tx.StartProject(permit, domain.StartProject{Title: "x", Key: "key-00000002"}, now)
					return err
				},
				domain.AlterProject: func() error { return tx.ChangeProject(permit, domain.ChangeProject{Version: 1}, now) },
				domain.RecordSite:   func() error { return tx.DescribeSite(permit, domain.DescribeSite{Version: 1}, now) },
				domain.BeginDesign: func() error {
					_, _, err := tx.StartDesign(permit, domain.StartDesign{Title: "x", Key: "key-00000002"}, nil, now)
					return err
				},
				domain.EditDesign: func() error { _, err := tx.SaveSheet(permit, 1, &domain.Sheet{}); return err },
				domain.AskCrew:    func() error { return all(tx.AskMember(permit, who.Account, now), tx.WithdrawAsk(permit, 1, now)) },
				domain.ReplyCrew:  func() error { return tx.AnswerAsk(permit, 1, domain.AskYes, now) },
				domain.WriteLog: func() error {
					_, _, err := tx.WriteEntry(permit, domain.WriteEntry{Key: "key-00000002"}, now)
					return err
				},
				domain.CallIncident: func() error { return tx.MarkIncident(permit, 1, now) },
				domain.LayIncident:  func() error { return tx.RestIncident(permit, domain.RestIncident{}, now) },
				domain.AddFile:      func() error { _, _, err := tx.KeepFile(permit, domain.File{}, nil, "key-00000002"); return err },
				domain.HideFiles:    func() error { return tx.HideFile(permit, domain.File{}, domain.FileHide{}) },
				domain.LeaveCrew:    func() error { return tx.LeaveCrew(permit, now) },
				domain.AddToCrew:    func() error { return tx.AddToCrew(permit, who.Account, now) },
				domain.ChangeSelf: func() error {
					return all(tx.ChangeMe(permit, domain.ChangeMe{}), tx.ChangePassword(permit, "", "", 0), tx.EndOwnSession(permit, 0), tx.EndOtherSessions(permit, 0))
				},
			} {
				if held == wanted {
					continue
				}
				err := change()
				require.ErrorContains(t, err, "a permit for", "%q for %q", held, wanted)
				require.Equal(t, domain.Internal, domain.KindOf(err))
			}
		}
		return nil
	}))
	require.Equal(t, 1, db.Number(t, "SELECT count(*) FROM projects WHERE version = 1"))
}

// all returns an error only when each of some calls failed.
func all(errs ...error) error {
	if slices.Contains(errs, nil) {
		return nil
	}
	return errors.Join(errs...)
}

func TestRollback(t *testing.T) {
	t.Parallel()
	db := storetest.New(t)
	ctx, ends := context.Background(), time.Now().Add(time.Hour)
	broken := errors.New("broken")
	require.ErrorIs(t, db.InTx(ctx, func(tx *store.Tx) error {
		require.NoError(t, tx.KeepSetupCode(make([]byte, 32), ends))
		return broken
	}), broken)
	require.Panics(t, func() {
		_ = db.InTx(ctx, func(tx *store.Tx) error {
			require.NoError(t, tx.KeepSetupCode(make([]byte, 32), ends))
			panic("broken")
		})
	})
	require.Equal(t, 0, db.Number(t, "SELECT count(*) FROM setup_codes"))
}

func TestLostAgainstAnotherRunsAgain(t *testing.T) {
	t.Parallel()
	db := storetest.New(t)
	who := db.Person(t, "Petra Lindahl")
	a, b := startProject(t, db, who, "key-00000001"), startProject(t, db, who, "key-00000002")
	var both, runs sync.WaitGroup
	both.Add(2)
	tries := make([]int, 2)
	ended := [2]chan struct{}{make(chan struct{}), make(chan struct{})}
	for i, order := range [][2]domain.ProjectID{{a, b}, {b, a}} {
		runs.Go(func() {
			defer close(ended[i])
			err := db.InTx(context.Background(), func(tx *store.Tx) error {
				if tries[i]++; tries[i] > 1 {
					<-ended[1-i] // else it may take its first before the other wakes, and block it once more
				}
				if _, err := tx.Access(who, order[0]); err != nil {
					return err
				}
				if tries[i] == 1 { // each holds its first before either asks for its second
					both.Done()
					both.Wait()
				}
				_, err := tx.Access(who, order[1])
				return err
			})
			if err != nil {
				t.Errorf("transaction %d: %v", i, err)
			}
		})
	}
	runs.Wait()
	require.Equal(t, 3, tries[0]+tries[1], "one of two that block each other is run again, once")
}

func TestBusyIsTold(t *testing.T) {
	t.Parallel()
	db := storetest.New(t)
	who := db.Person(t, "Petra Lindahl")
	id := startProject(t, db, who, "key-00000001")
	hurried, err := store.Open(context.Background(), db.URL+separator(db.URL)+"lock_timeout=50")
	require.NoError(t, err)
	defer func() { _ = hurried.Close() }()
	hold, err := db.SQL.Begin()
	require.NoError(t, err)
	defer func() { _ = hold.Rollback() }()
	_, err = hold.Exec("SELECT 1 FROM projects FOR UPDATE")
	require.NoError(t, err)
	err = hurried.InTx(context.Background(), func(tx *store.Tx) error { _, err := tx.Access(who, id); return err })
	require.Equal(t, domain.TooMany, domain.KindOf(err))
}

func separator(url string) string {
	for _, r := range url {
		if r == '?' {
			return "&"
		}
	}
	return "?"
}

// A list of fifty must not take more statements than a list of one.
func TestStatementsOfALongList(t *testing.T) {
	t.Parallel()
	db := storetest.New(t)
	who := db.Person(t, "Petra Lindahl")
	id := startProject(t, db, who, "key-00000001")
	addDesign(t, db, id, 1)
	addSheet(t, db, 1)

	one := statements(t, db, who, id, 1)
	for i := 2; i <= 50; i++ {
		startProject(t, db, who, fmt.Sprintf("key-%08d", i))
		addDesign(t, db, id, i)
		addSheet(t, db, i)
	}
	require.Equal(t, one, statements(t, db, who, id, 50))
}

// statements counts what each list takes, and sees that it has want entries.
func statements(t *testing.T, db *storetest.DB, who domain.Actor, id domain.ProjectID, want int) map[string]int64 {
	t.Helper()
	counts := make(map[string]int64)
	for list, read := range map[string]func(tx *store.Tx) (int, error){
		"projects": func(tx *store.Tx) (int, error) { all, err := tx.Projects(domain.Page{}); return len(all), err },
		"designs": func(tx *store.Tx) (int, error) {
			p, err := tx.Project(id)
			require.Equal(t, []domain.Person{{ID: who.Account, Name: who.Name}}, p.Crew)
			return len(p.Designs), err
		},
		"sheets": func(tx *store.Tx) (int, error) {
			all, err := tx.Sheets(id, domain.DesignID(db.Number(t, "SELECT min(id) FROM designs")), "A", domain.Page{})
			return len(all), err
		},
	} {
		counted, count := db.Counting()
		require.NoError(t, counted.InTx(context.Background(), func(tx *store.Tx) error {
			n, err := read(tx)
			require.Equal(t, want, n, list)
			return err
		}))
		require.Positive(t, count(), list)
		counts[list] = count()
	}
	return counts
}

func addDesign(t *testing.T, db *storetest.DB, id domain.ProjectID, n int) {
	t.Helper()
	db.Exec(t, `WITH d AS (INSERT INTO designs (project_id, title, started_by, started_at, version, client_key)
			SELECT id, 'D', started_by, now(), 1, $2::text FROM projects WHERE id = $1 RETURNING id, started_by)
		INSERT INTO revisions (design_id, position, letter, state, sheet_count, started_by, started_at)
		SELECT id, 1, 'A', 'draft', 0, started_by, now() FROM d`, id, fmt.Sprintf("key-%08d", n))
}

// addSheet adds a sheet to the first design.
func addSheet(t *testing.T, db *storetest.DB, n int) {
	t.Helper()
	db.Exec(t, `WITH r AS (UPDATE revisions SET sheet_count = $1 WHERE id = (SELECT min(id) FROM revisions) RETURNING id, started_by)
		INSERT INTO sheets (revision_id, number, input, report, calc_version, note, saved_by, saved_at)
		SELECT id, $1, '{"trompe": {}}', '{"calc_version": "1"}', '1', '', started_by, now() FROM r`, n)
}

func TestValuesStayOutOfTheLog(t *testing.T) {
	db := storetest.New(t)
	var log bytes.Buffer
	before := slog.Default()
	slog.SetDefault(slog.New(slog.NewJSONHandler(&log, nil)))
	defer slog.SetDefault(before)
	logged, err := store.Open(context.Background(), db.URL)
	require.NoError(t, err)
	defer func() { _ = logged.Close() }()
	require.NoError(t, logged.InTx(context.Background(), func(tx *store.Tx) error { return tx.Sleep("three grey wagtails") }))
	require.Equal(t, 2, strings.Count(log.String(), "pg_sleep"), log.String())
	require.NotContains(t, log.String(), "wagtails")
}

func TestFailedStatementsAreReturnedAndNotLogged(t *testing.T) {
	db := storetest.New(t)
	db.Exec(t, "ALTER TABLE setup_codes RENAME TO elsewhere")
	var log bytes.Buffer
	before := slog.Default()
	slog.SetDefault(slog.New(slog.NewJSONHandler(&log, nil)))
	defer slog.SetDefault(before)
	logged, err := store.Open(context.Background(), db.URL)
	require.NoError(t, err)
	defer func() { _ = logged.Close() }()
	require.Error(t, logged.InTx(context.Background(), func(tx *store.Tx) error {
		return tx.KeepSetupCode(make([]byte, 32), time.Now())
	}))
	require.Empty(t, log.String())
}
