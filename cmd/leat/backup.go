package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"leat/domain"
	"leat/domain/store"
)

// backup writes the database into a file that others cannot read, and prints where
// the record ends.
func backup(ctx context.Context, args []string, io streams) (err error) {
	if len(args) != 1 || args[0] == "" {
		fmt.Fprintln(io.err, "usage: leat backup FILE   (- for the standard output)")
		return wrongUsage
	}
	db, err := openStore(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	to, say := &counting{to: io.out}, io.err
	var taken store.Backup
	if args[0] == "-" {
		taken, err = db.Backup(ctx, to, release)
	} else {
		say = io.out
		err = writeNew(args[0], func(file *os.File) (err error) {
			to.to = file
			taken, err = db.Backup(ctx, to, release)
			return err
		})
	}
	if err != nil {
		return fmt.Errorf("no backup was made: %w", err)
	}
	_, err = fmt.Fprintf(say, "Backed up %d rows of %d tables, %d bytes, schema version %d, as of %s.\n%s\nKeep that number and sum on paper, or on another machine. Sessions and one-time codes are not in the backup.\n",
		taken.Rows(), len(taken.Tables), to.n, taken.Schema, taken.TakenAt.Format("2006-01-02 15:04:05 UTC"), ends(taken))
	return err
}

func ends(b store.Backup) string {
	return fmt.Sprintf("The record ends with number %d, sum %s.", b.Head.Number, b.Head.Sum)
}

// counting counts what is written.
type counting struct {
	to io.Writer
	n  int64
}

func (c *counting) Write(p []byte) (int, error) {
	n, err := c.to.Write(p)
	c.n += int64(n)
	return n, err
}

// writeNew makes a file that has its name only when it is whole. One that is there
// stays as it is.
func writeNew(name string, write func(*os.File) error) (err error) {
	part := name + ".part"
	file, err := os.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600) //nolint:gosec // the keeper's own choice
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s is there: another backup is being written, or one was broken off. If none is, remove it", part)
	}
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, os.Remove(part))
		}
	}()
	if _, err := os.Lstat(name); err == nil {
		return errors.Join(file.Close(), fmt.Errorf("%s is there already: choose another name", name))
	}
	if err := write(file); err != nil {
		return errors.Join(err, file.Close())
	}
	if err := errors.Join(file.Sync(), file.Close()); err != nil {
		return err
	}
	return os.Rename(part, name)
}

// restore puts a backup into an empty database.
func restore(ctx context.Context, args []string, io streams) (err error) {
	if len(args) != 1 || args[0] == "" {
		fmt.Fprintln(io.err, "usage: leat restore FILE")
		return wrongUsage
	}
	file, err := os.Open(args[0])
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	about, err := file.Stat()
	if err != nil {
		return err
	}
	saved, err := store.OpenBackup(file, about.Size())
	if err != nil {
		return fmt.Errorf("%s: %w", args[0], err)
	}
	db, err := openStore(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	err = db.Restore(ctx, saved, migrateWithin)
	broken, isBroken := errors.AsType[domain.BrokenRecord](err)
	if err != nil && !isBroken {
		return fmt.Errorf("nothing was restored: %w", err)
	}
	fmt.Fprintf(io.out, "Restored %d rows of %d tables, as of %s, from schema version %d to %d.\n",
		saved.Rows(), len(saved.Tables), saved.TakenAt.Format("2006-01-02 15:04:05 UTC"), saved.Schema, store.SchemaVersion)
	if isBroken {
		fmt.Fprintf(io.out, "The record in it is broken: %s. It was so when the backup was made.\n", broken)
		return answeredNo
	}
	_, err = fmt.Fprintf(io.out, "%s It holds: nothing that was signed has been changed. Compare number and sum with what you kept of the backup.\nEverybody signs in anew, and open invitations are withdrawn. What was closed, revoked or changed after the backup is as it was before: do it again.\n", ends(saved.Backup))
	return err
}
