package localpg

import (
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestStoppedCleanlyAndFoundAgain(t *testing.T) {
	t.Parallel()
	folder := clusterFolder(t)
	s := startSupervisor(t, folder)
	query(t, s.url, "CREATE TABLE kept (n int); INSERT INTO kept VALUES (7)")
	s.stop(t)
	require.NoFileExists(t, filepath.Join(folder, "postgres", "postmaster.pid"))
	require.NoDirExists(t, socketFolder(folder))

	s = startSupervisor(t, folder)
	require.Equal(t, "7", query(t, s.url, "SELECT n FROM kept"))
}

func TestSettingsKeepWhatWasAnswered(t *testing.T) {
	t.Parallel()
	s := startSupervisor(t, clusterFolder(t))
	for setting, want := range map[string]string{
		"fsync": "on", "synchronous_commit": "on", "full_page_writes": "on", "data_checksums": "on",
		"listen_addresses": "", "server_encoding": "UTF8", "unix_socket_permissions": "0700",
	} {
		require.Equal(t, want, query(t, s.url, "SHOW "+setting), setting)
	}
}

func TestPasswordIsAskedFor(t *testing.T) {
	t.Parallel()
	folder := clusterFolder(t)
	s := startSupervisor(t, folder)
	password, err := os.ReadFile(filepath.Join(folder, "password"))
	require.NoError(t, err)
	wrong := strings.Replace(s.url, strings.TrimSpace(string(password)), "guess", 1)
	require.NotEqual(t, s.url, wrong)
	said, err := tryQuery(wrong, "SELECT 1")
	require.Error(t, err)
	require.Contains(t, said, "password authentication failed")
	info, err := os.Stat(filepath.Join(folder, "password"))
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), info.Mode().Perm())
}

func TestKilledParentTakesItsServerAlong(t *testing.T) {
	t.Parallel()
	if runtime.GOOS != "linux" {
		t.Skip("elsewhere the server lives on and is joined")
	}
	folder := clusterFolder(t)
	s := startSupervisor(t, folder)
	query(t, s.url, "CREATE TABLE kept (n int); INSERT INTO kept VALUES (7)")
	s.kill(t)
	eventually(t, "the server stops by itself", func() bool {
		file, err := readPidFile(filepath.Join(folder, "postgres"))
		return err == nil && file.pid == 0
	})
	s = startSupervisor(t, folder)
	require.Equal(t, "7", query(t, s.url, "SELECT n FROM kept"))
}

func TestKilledTogether(t *testing.T) {
	t.Parallel()
	folder := clusterFolder(t)
	s := startSupervisor(t, folder)
	query(t, s.url, "CREATE TABLE kept (n int); INSERT INTO kept VALUES (7)")
	require.NoError(t, syscall.Kill(s.server, syscall.SIGKILL))
	s.kill(t)
	s = startSupervisor(t, folder)
	require.True(t, s.keeper)
	require.Equal(t, "7", query(t, s.url, "SELECT n FROM kept"))
}

// After a crash and a restart of the machine, the number of the old server's
// process may belong to another process of the same account.
func TestProcessNumberGoneToAnother(t *testing.T) {
	t.Parallel()
	if runtime.GOOS != "linux" {
		t.Skip("only Linux tells where a process works")
	}
	folder := clusterFolder(t)
	s := startSupervisor(t, folder)
	query(t, s.url, "CREATE TABLE kept (n int); INSERT INTO kept VALUES (7)")
	require.NoError(t, syscall.Kill(s.server, syscall.SIGKILL))
	s.kill(t)
	who, err := findAccount()
	require.NoError(t, err)
	other := who.command("sleep", "60")
	require.NoError(t, other.Start())
	t.Cleanup(func() {
		_ = other.Process.Kill()
		_ = other.Wait()
	})
	path := filepath.Join(folder, "postgres", "postmaster.pid")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	stale := strings.Replace(string(text), strconv.Itoa(s.server), strconv.Itoa(other.Process.Pid), 1)
	require.NoError(t, os.WriteFile(path, []byte(stale), 0o600))

	s = startSupervisor(t, folder)
	require.Equal(t, "7", query(t, s.url, "SELECT n FROM kept"))
}

func TestTwoAtOnce(t *testing.T) {
	t.Parallel()
	folder := clusterFolder(t)
	var both [2]*supervisor
	var errs [2]error
	var group sync.WaitGroup
	for i := range both {
		group.Go(func() {
			both[i], errs[i] = newSupervisor(t, exec.Command(os.Args[0], supervise, folder))
		})
	}
	group.Wait()
	require.NoError(t, errs[0])
	require.NoError(t, errs[1])
	require.Equal(t, both[0].server, both[1].server)
	require.NotEqual(t, both[0].keeper, both[1].keeper, "one of them keeps it")

	keeper, guest := both[0], both[1]
	if guest.keeper {
		keeper, guest = guest, keeper
	}
	guest.stop(t)
	require.Equal(t, "1", query(t, keeper.url, "SELECT 1"))
}

func TestHalfMadeClusterIsMadeAgain(t *testing.T) {
	t.Parallel()
	folder := clusterFolder(t)
	half := filepath.Join(folder, "postgres.making")
	require.NoError(t, os.MkdirAll(half, 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(half, "PG_VERSION"), []byte("15\n"), 0o600))
	s := startSupervisor(t, folder)
	require.Equal(t, "1", query(t, s.url, "SELECT 1"))
	require.NoDirExists(t, half)
}

func TestOrdinaryUser(t *testing.T) {
	t.Parallel()
	if os.Geteuid() != 0 {
		t.Skip("the other tests run as one already")
	}
	const nobody = 65534
	folder := clusterFolder(t)
	dir := filepath.Dir(folder)
	require.NoError(t, os.Chown(dir, nobody, nobody))
	program := filepath.Join(dir, "program")
	copyFile(t, os.Args[0], program)
	cmd := exec.Command(program, supervise, folder)
	cmd.Dir = dir
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
	s, err := newSupervisor(t, cmd)
	require.NoError(t, err)
	info, err := os.Stat(filepath.Join(folder, "postgres", "postmaster.pid"))
	require.NoError(t, err)
	require.EqualValues(t, nobody, info.Sys().(*syscall.Stat_t).Uid)
	require.Equal(t, "1", query(t, s.url, "SELECT 1"))
	s.stop(t)
}

func TestFolderOfAnotherUserIsRefused(t *testing.T) {
	t.Parallel()
	if os.Geteuid() != 0 {
		t.Skip("only root can make a folder for another user")
	}
	folder := clusterFolder(t)
	require.NoError(t, os.MkdirAll(filepath.Join(folder, "postgres"), 0o700))
	require.NoError(t, os.Chown(filepath.Join(folder, "postgres"), 12345, 12345))
	_, err := newSupervisor(t, exec.Command(os.Args[0], supervise, folder))
	require.ErrorContains(t, err, "belongs to user id 12345")
}
