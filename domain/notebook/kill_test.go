package notebook_test

import (
	"bufio"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/calc/build"
	"leat/calc/sheet"
	"leat/deploy/localpg"
	"leat/domain"
	"leat/domain/notebook"
	"leat/domain/store"
	"leat/domain/store/storetest"
)

// victimVariable makes the test binary a process that does nothing but save:
// "url|account|project|design"; or learn: "url|learn".
const victimVariable = "LEAT_TEST_KILL_VICTIM"

// victim saves sheets, one after the other, and prints the number of each that
// was answered. After an error it looks where things stand and goes on. Only a
// kill ends it.
func victim() int {
	at := strings.Split(os.Getenv(victimVariable), "|")
	id := func(i int) int64 { n, _ := strconv.ParseInt(at[i], 10, 64); return n }
	db, err := store.Open(ctx, at[0])
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	n := notebook.New(db, notebook.Options{Draws: draws})
	if at[1] == "learn" {
		fmt.Println("begun")
		n.KeepLearning(ctx, func(err error) { fmt.Fprintln(os.Stderr, err) })
	}
	who := domain.Actor{Account: domain.AccountID(id(1))}
	cmd := domain.SaveSheet{Project: domain.ProjectID(id(2)), Design: domain.DesignID(id(3)), Letter: "A"}
	raw, err := os.ReadFile("demo/bench.json")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	for try := 0; ; try++ {
		if cmd.Version == 0 {
			if d, err := n.Design(ctx, who, cmd.Project, cmd.Design); err == nil {
				cmd.Version = d.Version
			}
		}
		tubes := 4 + try%3
		cmd.Input = sheet.Input{Trompe: []byte(strings.Replace(string(raw), `"n_tubes": 6`, `"n_tubes": `+strconv.Itoa(tubes), 1))}
		cmd.Note = strconv.Itoa(tubes)
		s, version, err := n.SaveSheet(ctx, who, cmd)
		if cmd.Version = version; err != nil {
			cmd.Version = 0
			time.Sleep(5 * time.Millisecond)
			continue
		}
		fmt.Println(s.Number)
	}
}

// killer is a victim that runs, and what it was answered so far.
type killer struct {
	cmd  *exec.Cmd
	done chan struct{}

	mu       sync.Mutex
	answered []int
}

// unleash starts a victim on the design of a bundle.
func unleash(t *testing.T, b *bundle) *killer {
	t.Helper()
	return started(t, fmt.Sprintf("%s=%s|%d|%d|%d", victimVariable, b.db.URL, b.petra.Account, b.project.ID, b.design.ID))
}

// started starts the test binary as the victim that a variable makes of it.
func started(t *testing.T, variable string) *killer {
	t.Helper()
	self, err := os.Executable()
	require.NoError(t, err)
	k := &killer{cmd: exec.Command(self), done: make(chan struct{})}
	k.cmd.Env = append(os.Environ(), variable)
	k.cmd.Stderr = os.Stderr
	out, err := k.cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, k.cmd.Start())
	t.Cleanup(func() { _ = k.cmd.Process.Kill() })
	go func() {
		defer close(k.done)
		for lines := bufio.NewScanner(out); lines.Scan(); {
			if n, err := strconv.Atoi(lines.Text()); err == nil {
				k.mu.Lock()
				k.answered = append(k.answered, n)
				k.mu.Unlock()
			}
		}
	}()
	return k
}

func (k *killer) count() int {
	k.mu.Lock()
	defer k.mu.Unlock()
	return len(k.answered)
}

// after waits for so many more answers and then a random moment of a save.
func (k *killer) after(t *testing.T, more int) {
	t.Helper()
	want := k.count() + more
	require.Eventually(t, func() bool { return k.count() >= want }, 30*time.Second, time.Millisecond)
	time.Sleep(time.Duration(rand.IntN(8000)) * time.Microsecond)
}

// kill ends the victim and returns the numbers that it was answered.
func (k *killer) kill(t *testing.T) []int {
	t.Helper()
	require.NoError(t, k.cmd.Process.Signal(syscall.SIGKILL))
	<-k.done
	_ = k.cmd.Wait()
	return k.answered
}

// requireWhole demands that every answered save is there and whole, and that
// nothing is there by half.
func requireWhole(t *testing.T, b *bundle, answered []int) {
	t.Helper()
	require.NotEmpty(t, answered)
	d, err := b.Design(ctx, b.petra, b.project.ID, b.design.ID)
	require.NoError(t, err)
	count := b.sheets(t)
	require.GreaterOrEqual(t, count, len(answered))
	require.Equal(t, count, b.db.Number(t, "SELECT max(number) FROM sheets"), "a number is missing")
	require.Equal(t, count, b.db.Number(t, "SELECT sheet_count FROM revisions"), "a sheet was counted and not kept")
	require.Equal(t, int64(count+1), d.Version, "a version was used up for nothing")
	for _, number := range answered {
		s, err := b.Sheet(ctx, b.petra, b.project.ID, b.design.ID, "A", number)
		require.NoError(t, err, "the answered save %d is lost", number)
		var in struct {
			Intake struct {
				NTubes int `json:"n_tubes"`
			}
		}
		require.NoError(t, json.Unmarshal(s.Input.Trompe, &in))
		require.Equal(t, s.Note, strconv.Itoa(in.Intake.NTubes))
		again, err := sheet.RunWithIntervals(s.Input, build.DefaultLimits(), nil, draws)
		require.NoError(t, err)
		require.Equal(t, asJSON(t, again), asJSON(t, s.Report), "input and report of sheet %d don't belong together", number)
	}
}

func TestKilledServerLosesNoAnsweredSave(t *testing.T) {
	t.Parallel()
	for range 4 {
		b := setup(t)
		k := unleash(t, b)
		k.after(t, 3+rand.IntN(20))
		requireWhole(t, b, k.kill(t))
	}
}

func TestEndedConnectionsLoseNoAnsweredSave(t *testing.T) {
	t.Parallel()
	b := setup(t)
	k := unleash(t, b)
	for range 8 {
		k.after(t, 3)
		b.db.Exec(t, "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()")
	}
	k.after(t, 3)
	answered := k.kill(t)
	reopened(t, b, b.db.URL)
	requireWhole(t, b, answered)
}

func TestKilledDatabaseLosesNoAnsweredSave(t *testing.T) {
	t.Parallel()
	if os.Getenv("LEAT_TEST_DATABASE_URL") == "" && os.Getenv("CI") == "" {
		t.Skip("LEAT_TEST_DATABASE_URL is not set: run the tests with make test")
	}
	folder := openFolder(t)
	cluster, err := localpg.Start(ctx, localpg.Options{Folder: folder})
	require.NoError(t, err)
	t.Cleanup(func() { _ = cluster.Stop() })
	db := storetest.On(t, cluster.URL())
	b := &bundle{db: db, Notebook: notebook.New(db.DB, notebook.Options{Draws: draws}), petra: db.Person(t, "Petra Lindahl")}
	b.project, b.design = b.startProject(t, "project-0001"), domain.Design{}
	b.design = b.startDesign(t, "design-0001")
	k := unleash(t, b)
	db.SQL.SetMaxIdleConns(0) // a connection to the database that was killed is no good
	for range 3 {
		k.after(t, 3+rand.IntN(10))
		var pid int
		require.NoError(t, db.SQL.QueryRow("SELECT split_part(pg_read_file('postmaster.pid'), E'\\n', 1)::int").Scan(&pid))
		require.NoError(t, syscall.Kill(pid, syscall.SIGKILL))
		<-cluster.Gone()
		require.NoError(t, cluster.Stop())
		cluster, err = localpg.Start(ctx, localpg.Options{Folder: folder})
		require.NoError(t, err)
	}
	k.after(t, 3)
	answered := k.kill(t)
	reopened(t, b, db.URL)
	requireWhole(t, b, answered)
}

// openFolder makes a folder that the server's account can enter, which
// t.TempDir's can't be for root.
func openFolder(t *testing.T) string {
	t.Helper()
	folder, err := os.MkdirTemp("", "leat-kill-")
	require.NoError(t, err)
	t.Cleanup(func() {
		if log, err := os.ReadFile(filepath.Join(folder, "postgres.log")); t.Failed() && err == nil {
			t.Logf("the database's own log:\n%s", log)
		}
		_ = os.RemoveAll(folder)
	})
	require.NoError(t, os.Chmod(folder, 0o711)) //nolint:gosec // the server's account must pass through
	return folder
}

// reopened gives the bundle connections that nobody has cut.
func reopened(t *testing.T, b *bundle, url string) {
	t.Helper()
	fresh, err := store.Open(ctx, url)
	require.NoError(t, err)
	t.Cleanup(func() { _ = fresh.Close() })
	b.Notebook = notebook.New(fresh, notebook.Options{Draws: draws})
}
