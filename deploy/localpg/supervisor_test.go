package localpg

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// supervise is the name under which this test program runs itself as a process
// that keeps a cluster, so that tests can kill it.
const supervise = "supervise"

func TestMain(m *testing.M) {
	if len(os.Args) == 3 && os.Args[1] == supervise {
		if err := keepCluster(os.Args[2]); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// keepCluster starts a cluster, says where on a line, and stops it when told
// to. An empty folder asks for a throw-away cluster.
func keepCluster(folder string) error {
	ctx, cancel := signal.NotifyContext(context.Background(), syscall.SIGTERM)
	defer cancel()
	c, err := startOne(ctx, folder)
	if err != nil {
		return err
	}
	fmt.Println(c.URL(), c.pid, c.Keeper(), c.Folder())
	<-ctx.Done()
	return c.Stop()
}

func startOne(ctx context.Context, folder string) (*Cluster, error) {
	if folder == "" {
		return StartThrowaway(ctx, "")
	}
	return Start(ctx, Options{Folder: folder})
}

// supervisor is such a process.
type supervisor struct {
	cmd    *exec.Cmd
	url    string
	server int // process of the server
	keeper bool
	folder string
}

func startSupervisor(t *testing.T, folder string) *supervisor {
	t.Helper()
	s, err := newSupervisor(t, exec.Command(os.Args[0], supervise, folder))
	require.NoError(t, err)
	return s
}

func newSupervisor(t *testing.T, cmd *exec.Cmd) (*supervisor, error) {
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	var said strings.Builder
	cmd.Stderr = &said
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	t.Cleanup(func() {
		_ = cmd.Process.Signal(syscall.SIGTERM)
		_ = cmd.Wait()
	})
	s := &supervisor{cmd: cmd}
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		return nil, fmt.Errorf("the supervisor said nothing: %w: %s", errors.Join(err, cmd.Wait()), said.String())
	}
	_, err = fmt.Sscan(line, &s.url, &s.server, &s.keeper, &s.folder)
	return s, err
}

// stop asks the supervisor to end and waits for it.
func (s *supervisor) stop(t *testing.T) {
	t.Helper()
	require.NoError(t, s.cmd.Process.Signal(syscall.SIGTERM))
	require.NoError(t, s.cmd.Wait())
}

// kill ends the supervisor as a crash does.
func (s *supervisor) kill(t *testing.T) {
	t.Helper()
	require.NoError(t, s.cmd.Process.Kill())
	require.Error(t, s.cmd.Wait())
}

// clusterFolder returns an empty folder that the server's account can enter.
func clusterFolder(t *testing.T) string {
	t.Helper()
	needServer(t)
	dir, err := os.MkdirTemp("/tmp", "leat-localpg-")
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, os.RemoveAll(dir)) })
	require.NoError(t, os.Chmod(dir, 0o755))
	return filepath.Join(dir, "data")
}

func needServer(t *testing.T) {
	t.Helper()
	_, err := findPrograms("", "/nowhere")
	if err != nil && os.Getenv("CI") == "" {
		t.Skip(err)
	}
	require.NoError(t, err)
}

// query asks the server with its own client program.
func query(t *testing.T, url, sql string) string {
	t.Helper()
	text, err := tryQuery(url, sql)
	require.NoError(t, err, text)
	return text
}

func tryQuery(url, sql string) (string, error) {
	p, err := findPrograms("", "/nowhere")
	if err != nil {
		return "", err
	}
	cmd := exec.Command(filepath.Join(p.folder, "psql"), "-X", "-A", "-t", "-q", "-v", "ON_ERROR_STOP=1", "-c", sql, url)
	cmd.Stdin = strings.NewReader("")
	text, err := cmd.CombinedOutput()
	return strings.TrimSpace(string(text)), err
}

// eventually waits for something that another process does.
func eventually(t *testing.T, what string, holds func() bool) {
	t.Helper()
	require.Eventually(t, holds, 20*time.Second, 20*time.Millisecond, what)
}

func copyFile(t *testing.T, from, to string) {
	t.Helper()
	in, err := os.Open(from)
	require.NoError(t, err)
	defer in.Close()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_WRONLY, 0o755)
	require.NoError(t, err)
	_, err = io.Copy(out, in)
	require.NoError(t, errors.Join(err, out.Close()))
}
