package localpg

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"runtime"
	"strings"
	"syscall"
)

// makeOnce makes the cluster unless it is there. It is made beside its place
// and moved there whole, so that one interrupted half way is never taken for
// a cluster.
func (c *Cluster) makeOnce(ctx context.Context, p programs) error {
	_, err := os.Stat(c.data())
	if err == nil {
		return c.who.checkFolder(c.data())
	}
	if !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("localpg: %w", err)
	}
	half := c.data() + ".making"
	if err := os.RemoveAll(half); err != nil {
		return fmt.Errorf("localpg: %w", err)
	}
	if err := c.who.makeFolder(half); err != nil {
		return err
	}
	if err := c.initdb(ctx, p, half); err != nil {
		return err
	}
	if err := os.Rename(half, c.data()); err != nil {
		return fmt.Errorf("localpg: %w", err)
	}
	return syncFolder(c.folder)
}

func (c *Cluster) initdb(ctx context.Context, p programs, data string) error {
	args := []string{"-D", data, "-U", role, "--encoding=UTF8", "--locale=" + locale}
	if c.throwaway {
		args = append(args, "--auth=trust", "--no-sync")
	} else {
		if err := c.writePassword(); err != nil {
			return err
		}
		args = append(args, "--auth=scram-sha-256", "--pwfile="+c.path("password"), "--data-checksums")
	}
	if err := run(ctx, c.who.command(p.initdb(), args...)); err != nil {
		return err
	}
	create := c.who.command(p.postgres(), "--single", "-D", data, "postgres")
	create.Stdin = strings.NewReader("CREATE DATABASE " + database + "\n")
	return run(ctx, create)
}

// run runs a program to its end. It dies with us: the thread that starts it is
// kept for it, because the system watches the thread.
func run(ctx context.Context, cmd *exec.Cmd) error {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	var said strings.Builder
	cmd.Stdout, cmd.Stderr = &said, &said
	if err := cmd.Start(); err != nil {
		return fmt.Errorf("localpg: %w", err)
	}
	stop := context.AfterFunc(ctx, func() { _ = syscall.Kill(-cmd.Process.Pid, syscall.SIGTERM) })
	defer stop()
	if err := cmd.Wait(); err != nil {
		return fmt.Errorf("localpg: %s: %w\n%s", cmd.Path, err, strings.TrimSpace(said.String()))
	}
	return nil
}

// writePassword makes the password of a cluster that is about to be made. The
// server's account must be able to read it then; nobody else is.
func (c *Cluster) writePassword() error {
	path := c.path("password")
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("localpg: %w", err)
	}
	if err := os.WriteFile(path, []byte(rand.Text()+"\n"), 0o600); err != nil {
		return fmt.Errorf("localpg: %w", err)
	}
	return c.who.own(path)
}

func (c *Cluster) readPassword() error {
	if c.throwaway {
		return nil
	}
	text, err := os.ReadFile(c.path("password"))
	if err != nil {
		return fmt.Errorf("localpg: the cluster's password: %w", err)
	}
	c.password = strings.TrimSpace(string(text))
	return nil
}

func syncFolder(path string) error {
	dir, err := os.Open(path)
	if err != nil {
		return fmt.Errorf("localpg: %w", err)
	}
	defer dir.Close()
	if err := dir.Sync(); err != nil {
		return fmt.Errorf("localpg: %w", err)
	}
	return nil
}
