package main

import (
	"context"
	"errors"
	"fmt"
	"os"

	"leat/domain/notebook"
	"leat/domain/store"
)

// user makes the code with which the first keeper signs up, or with which a
// keeper who lost the password sets a new one.
func user(ctx context.Context, args []string, io streams) (err error) {
	var code func(*notebook.Notebook) (string, error)
	switch {
	case len(args) == 1 && args[0] == "keeper-code":
		code = func(n *notebook.Notebook) (string, error) { return n.NewKeeperCode(ctx) }
	case len(args) == 2 && args[0] == "reset-code":
		code = func(n *notebook.Notebook) (string, error) { return n.KeeperResetCode(ctx, args[1]) }
	default:
		fmt.Fprintln(io.err, "usage: leat user keeper-code | leat user reset-code ADDRESS")
		return wrongUsage
	}
	notes, end, err := openNotebook(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, end()) }()
	made, err := code(notes)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(io.out, "%s\n", made)
	return err
}

// openNotebook opens the notebook on the database that the settings name; the
// function that it returns closes it.
func openNotebook(ctx context.Context) (notes *notebook.Notebook, end func() error, err error) {
	db, err := openStore(ctx)
	if err != nil {
		return nil, nil, err
	}
	return notebook.New(db, notebook.Options{}), db.Close, nil
}

// openStore opens the database that the settings name.
func openStore(ctx context.Context) (*store.DB, error) {
	c, err := readConfig(os.Getenv)
	if err != nil {
		return nil, err
	}
	if c.databaseURL == "" {
		return nil, errors.New("set LEAT_DATABASE_URL to the database of your group")
	}
	return store.Open(ctx, c.databaseURL)
}
