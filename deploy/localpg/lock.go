package localpg

import (
	"context"
	"errors"
	"fmt"
	"os"
	"syscall"
	"time"
)

const pause = 50 * time.Millisecond

// errHeld says that another process holds a lock.
var errHeld = errors.New("localpg: the lock is held")

// tryLock takes the exclusive lock of a file, or returns errHeld. The lock goes
// when the file is closed or we die.
func tryLock(path string) (*os.File, error) {
	file, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, fmt.Errorf("localpg: %w", err)
	}
	err = syscall.Flock(int(file.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
	if err == nil {
		return file, nil
	}
	file.Close()
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return nil, errHeld
	}
	return nil, fmt.Errorf("localpg: lock %s: %w", path, err)
}

// lock waits for the exclusive lock of a file.
func lock(ctx context.Context, path string) (*os.File, error) {
	for {
		file, err := tryLock(path)
		if !errors.Is(err, errHeld) {
			return file, err
		}
		if err := wait(ctx); err != nil {
			return nil, fmt.Errorf("localpg: waiting for %s: %w", path, err)
		}
	}
}

// wait pauses for a moment, or returns why it must not go on.
func wait(ctx context.Context) error {
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-time.After(pause):
		return nil
	}
}
