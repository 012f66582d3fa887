package main

import (
	"context"
	"errors"
	"fmt"
	"os"

	"leat/domain/notebook"
	"leat/domain/store"
)

// user makes the code with which the first keeper signs up.
func user(ctx context.Context, args []string, io streams) (err error) {
	if len(args) != 1 || args[0] != "keeper-code" {
		fmt.Fprintln(io.err, "usage: leat user keeper-code")
		return wrongUsage
	}
	c, err := readConfig(os.Getenv)
	if err != nil {
		return err
	}
	if c.databaseURL == "" {
		return errors.New("set LEAT_DATABASE_URL to the database of your group")
	}
	db, err := store.Open(ctx, c.databaseURL)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	code, err := notebook.New(db, notebook.Options{}).NewKeeperCode(ctx)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(io.out, "%s\n", code)
	return err
}
