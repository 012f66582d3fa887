package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// asLeat makes the test program be leat itself, so that tests can start it as a
// process of its own and stop it.
const asLeat = "TEST_PROGRAM_IS_LEAT"

func TestMain(m *testing.M) {
	if os.Getenv(asLeat) != "" {
		main()
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// program prepares leat with arguments and with no settings but the given.
func program(t *testing.T, env []string, args ...string) *exec.Cmd {
	cmd := exec.CommandContext(t.Context(), os.Args[0], args...)
	cmd.Env = []string{asLeat + "=1", "PATH=" + os.Getenv("PATH"), "HOME=" + t.TempDir()}
	cmd.Env = append(cmd.Env, env...)
	return cmd
}

// ran is how a command ended.
type ran struct {
	out, err string
	status   int
}

func run(t *testing.T, env []string, input string, args ...string) ran {
	t.Helper()
	cmd := program(t, env, args...)
	var out, errs bytes.Buffer
	cmd.Stdin, cmd.Stdout, cmd.Stderr = strings.NewReader(input), &out, &errs
	if err := cmd.Run(); err != nil {
		var exit *exec.ExitError
		require.ErrorAs(t, err, &exit)
	}
	return ran{out.String(), errs.String(), cmd.ProcessState.ExitCode()}
}

// server is a leat that serves.
type server struct {
	cmd     *exec.Cmd
	address string // host and port
	greeted string // what it printed before it served
	rest    chan struct{}
}

// start starts leat serve or leat try on a free port and waits until it says
// that it serves.
func start(t *testing.T, env []string, args ...string) *server {
	t.Helper()
	s := &server{cmd: program(t, append(env, "LEAT_LISTEN=localhost:0"), args...), rest: make(chan struct{})}
	out, err := s.cmd.StdoutPipe()
	require.NoError(t, err)
	var errs bytes.Buffer
	s.cmd.Stderr = &errs
	require.NoError(t, s.cmd.Start())
	lines := bufio.NewReader(out)
	for s.address == "" {
		line, err := lines.ReadString('\n')
		if err != nil {
			_ = s.cmd.Wait()
			require.NoError(t, err, "leat ended: "+s.greeted+errs.String())
		}
		var entry struct{ Msg, Address string }
		if json.Unmarshal([]byte(line), &entry) == nil && entry.Msg == "serving" {
			s.address = entry.Address
		} else {
			s.greeted += line
		}
	}
	go func() {
		_, _ = io.Copy(io.Discard, lines)
		close(s.rest)
	}()
	return s
}

// stop tells it to stop and demands that it ends well.
func (s *server) stop(t *testing.T) {
	t.Helper()
	require.NoError(t, s.cmd.Process.Signal(syscall.SIGTERM))
	s.ended(t)
}

func (s *server) ended(t *testing.T) {
	t.Helper()
	select {
	case <-s.rest:
	case <-time.After(30 * time.Second):
		require.FailNow(t, "leat did not stop")
	}
	require.NoError(t, s.cmd.Wait())
}

// post sends JSON and returns the status and the body of the answer.
func (s *server) post(t *testing.T, path, body string) (int, string) {
	t.Helper()
	answer, err := http.Post("http://"+s.address+path, "application/json", strings.NewReader(body))
	require.NoError(t, err)
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	require.NoError(t, err)
	return answer.StatusCode, string(text)
}

func (s *server) signIn(t *testing.T, address, password string) int {
	t.Helper()
	status, _ := s.post(t, "/api/v1/session", fmt.Sprintf(`{"address": %q, "password": %q}`, address, password))
	return status
}

func (s *server) status(t *testing.T, path string) int {
	t.Helper()
	answer, err := http.Get("http://" + s.address + path)
	require.NoError(t, err)
	require.NoError(t, answer.Body.Close())
	return answer.StatusCode
}
