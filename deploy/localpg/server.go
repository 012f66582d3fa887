package localpg

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"time"
)

// lingerTime is how long the remains of a killed server may stand in the way
// of a new one: its process waits to be collected, its workers notice.
const lingerTime = 10 * time.Second

const logLimit = 10 << 20

// child is a server that this process started.
type child struct {
	pid  int
	done chan struct{} // closed when it has ended
}

// launch starts the server and waits until it takes connections. It tries
// again while a killed predecessor is still in the way.
func (c *Cluster) launch(ctx context.Context, p programs) error {
	deadline := time.Now().Add(lingerTime)
	for {
		err := c.launchOnce(ctx, p)
		if err == nil || ctx.Err() != nil {
			return err
		}
		before, pidErr := readPidFile(c.data())
		if pidErr != nil || before.pid == 0 {
			return err
		}
		if time.Now().After(deadline) {
			if !worksElsewhere(before.pid, c.data()) {
				return err
			}
			// The process number went to somebody else since the server was
			// killed. The server's own workers are long gone.
			if rmErr := os.Remove(filepath.Join(c.data(), "postmaster.pid")); rmErr != nil {
				return errors.Join(err, rmErr)
			}
		}
		if waitErr := wait(ctx); waitErr != nil {
			return err
		}
	}
}

func (c *Cluster) launchOnce(ctx context.Context, p programs) error {
	log, err := openLog(c.path("postgres.log"))
	if err != nil {
		return err
	}
	defer log.Close()
	from, err := log.Seek(0, io.SeekEnd)
	if err != nil {
		return fmt.Errorf("localpg: %w", err)
	}
	cmd := c.who.command(p.postgres(), c.settings()...)
	cmd.Stdout, cmd.Stderr = log, log
	server, err := spawn(cmd)
	if err != nil {
		return fmt.Errorf("localpg: start PostgreSQL: %w", err)
	}
	if err := c.awaitReady(ctx, server); err != nil {
		return fmt.Errorf("localpg: %w; the end of %s:\n%s", err, log.Name(), tail(log, from))
	}
	c.child, c.pid = server, server.pid
	return nil
}

// settings are the server's arguments. Work of people is on the disk before it
// is answered; tests don't wait for disks.
func (c *Cluster) settings() []string {
	durable, connections := "on", "50"
	if c.throwaway {
		durable, connections = "off", "300"
	}
	args := []string{"-D", c.data(), "-p", port}
	for _, setting := range []string{
		"listen_addresses=",
		"unix_socket_directories=" + c.socket,
		"unix_socket_permissions=0700",
		"max_connections=" + connections,
		"timezone=UTC",
		"log_timezone=UTC",
		"fsync=" + durable,
		"synchronous_commit=" + durable,
		"full_page_writes=" + durable,
	} {
		args = append(args, "-c", setting)
	}
	return args
}

// spawn starts a program on a thread of its own. The system sends the program
// an interrupt when that thread ends, so the thread must last as long as we do.
func spawn(cmd *exec.Cmd) (*child, error) {
	started := make(chan error)
	c := &child{done: make(chan struct{})}
	go func() {
		runtime.LockOSThread() // and never unlocked
		if err := cmd.Start(); err != nil {
			started <- err
			return
		}
		c.pid = cmd.Process.Pid
		started <- nil
		_ = cmd.Wait() // how it ended stands in its log
		close(c.done)
	}()
	if err := <-started; err != nil {
		return nil, err
	}
	return c, nil
}

func (c *Cluster) awaitReady(ctx context.Context, server *child) error {
	for {
		file, err := readPidFile(c.data())
		if err == nil && file.pid == server.pid && file.ready() {
			return nil
		}
		select {
		case <-server.done:
			return errors.New("PostgreSQL did not start")
		case <-time.After(pause / 5):
		case <-ctx.Done():
			_ = syscall.Kill(server.pid, syscall.SIGINT)
			<-server.done
			return fmt.Errorf("PostgreSQL was not ready in time: %w", ctx.Err())
		}
	}
}

// Stop ends the server if this process is its keeper: sessions are cut, answered
// writes are kept. It returns when the server is gone. A server of another
// keeper is left alone.
func (c *Cluster) Stop() error {
	if c.keeper == nil {
		return nil
	}
	defer c.keeper.Close()
	ctx, cancel := context.WithTimeout(context.Background(), stopTime)
	defer cancel()
	start, err := lock(ctx, c.path("start.lock"))
	if err != nil {
		return err
	}
	defer start.Close()
	if err := c.end(ctx); err != nil {
		return err
	}
	if c.throwaway {
		return discard(c.folder, c.keeper.Name())
	}
	_ = os.Remove(c.socket) // holds nothing now; the next start can use it too
	return nil
}

// end asks the server to stop and waits until it has. Whether it has is judged
// by its file: the process may wait to be collected for long after.
func (c *Cluster) end(ctx context.Context) error {
	for asked := false; ; asked = true {
		running, err := readPidFile(c.data())
		if err != nil {
			return err
		}
		if running.pid != c.pid {
			break
		}
		if !asked {
			err = syscall.Kill(c.pid, syscall.SIGINT)
		}
		if errors.Is(err, syscall.ESRCH) {
			break // killed by somebody: the next start recovers
		}
		if err != nil {
			return fmt.Errorf("localpg: stop PostgreSQL: %w", err)
		}
		if err := wait(ctx); err != nil {
			return fmt.Errorf("localpg: PostgreSQL did not stop, see %s: %w", c.path("postgres.log"), err)
		}
	}
	if c.child != nil {
		<-c.child.done
	}
	return nil
}

// openLog opens the server's log for appending; a long one begins anew.
func openLog(path string) (*os.File, error) {
	flags := os.O_RDWR | os.O_CREATE | os.O_APPEND
	if info, err := os.Stat(path); err == nil && info.Size() > logLimit {
		flags |= os.O_TRUNC
	}
	file, err := os.OpenFile(path, flags, 0o600)
	if err != nil {
		return nil, fmt.Errorf("localpg: %w", err)
	}
	return file, nil
}

func tail(log io.ReaderAt, from int64) string {
	text, err := io.ReadAll(io.NewSectionReader(log, from, 8<<10))
	if err != nil {
		return err.Error()
	}
	return strings.TrimSpace(string(text))
}
