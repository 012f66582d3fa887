package localpg

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
)

const (
	memory     = "/dev/shm"
	memoryNeed = 1 << 30 // bytes free, below which the disk is taken
	testPrefix = "leat-test-"
)

// StartThrowaway starts a cluster that is gone after Stop, in memory where
// there is room. It trades safety for speed: tests only.
//
// Each is entered in a register of the user, under a lock that lasts as long
// as the process that started it. What killed processes left is cleared first.
func StartThrowaway(ctx context.Context, bin string) (*Cluster, error) {
	ctx, cancel := context.WithTimeout(ctx, startTime)
	defer cancel()
	who, err := findAccount()
	if err != nil {
		return nil, err
	}
	c, err := enter(ctx, who)
	if err != nil {
		return nil, err
	}
	if err := c.begin(ctx, bin); err != nil {
		c.keeper.Close()
		return nil, errors.Join(err, discard(c.folder, c.keeper.Name()))
	}
	return c, nil
}

// enter clears the register and puts a new, empty cluster into it.
func enter(ctx context.Context, who account) (*Cluster, error) {
	register, err := openRegister()
	if err != nil {
		return nil, err
	}
	turn, err := lock(ctx, filepath.Join(register, "lock"))
	if err != nil {
		return nil, err
	}
	defer turn.Close()
	if err := sweep(ctx, register, who); err != nil {
		return nil, err
	}
	name := testPrefix + strings.ToLower(rand.Text()[:8])
	folder := filepath.Join(roomiest(), name)
	entry, err := tryLock(filepath.Join(register, name))
	if err != nil {
		return nil, err
	}
	if _, err := entry.WriteString(folder); err != nil {
		return nil, fmt.Errorf("localpg: %w", err)
	}
	if err := os.Mkdir(folder, 0o711); err != nil { //nolint:gosec // the server's account must pass through
		return nil, fmt.Errorf("localpg: %w", err)
	}
	return &Cluster{folder: folder, who: who, socket: filepath.Join(folder, "socket"), keeper: entry, throwaway: true}, nil
}

// openRegister returns the folder that lists this user's throw-away clusters,
// one file each that holds where it is.
func openRegister() (string, error) {
	me := account{uid: os.Geteuid(), gid: os.Getegid()}
	register := filepath.Join("/tmp", testPrefix+"register-"+strconv.Itoa(me.uid))
	return register, me.makeFolder(register)
}

// roomiest returns where a throw-away cluster is put.
func roomiest() string {
	var fs syscall.Statfs_t
	if err := syscall.Statfs(memory, &fs); err != nil {
		return "/tmp"
	}
	if uint64(fs.Bavail)*uint64(fs.Bsize) <= memoryNeed {
		return "/tmp"
	}
	return memory
}

// sweep ends and removes the clusters whose processes are gone.
func sweep(ctx context.Context, register string, who account) error {
	entries, err := os.ReadDir(register)
	if err != nil {
		return fmt.Errorf("localpg: %w", err)
	}
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), testPrefix) {
			continue
		}
		if err := sweepOne(ctx, filepath.Join(register, e.Name()), who); err != nil {
			return err
		}
	}
	return nil
}

func sweepOne(ctx context.Context, entry string, who account) error {
	held, err := tryLock(entry)
	if errors.Is(err, errHeld) {
		return nil // in use
	}
	if err != nil {
		return err
	}
	defer held.Close()
	text, err := os.ReadFile(entry)
	if err != nil {
		return fmt.Errorf("localpg: %w", err)
	}
	folder := string(text)
	if filepath.Base(folder) != filepath.Base(entry) {
		return discardEntry(entry) // killed before it said where it is
	}
	c := &Cluster{folder: folder, who: who, throwaway: true}
	running, err := readPidFile(c.data())
	if err != nil {
		return err
	}
	if running.answers() {
		c.pid = running.pid
		if err := c.end(ctx); err != nil {
			return err
		}
	}
	return discard(folder, entry)
}

// discard removes a throw-away cluster that has ended, and its entry.
func discard(folder, entry string) error {
	if err := os.RemoveAll(folder); err != nil {
		return fmt.Errorf("localpg: %w", err)
	}
	return discardEntry(entry)
}

func discardEntry(entry string) error {
	if err := os.Remove(entry); err != nil {
		return fmt.Errorf("localpg: %w", err)
	}
	return nil
}
