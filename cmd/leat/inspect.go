package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"os"

	"leat/domain/store"
)

// inspect prints a line about everything that must be right before a group relies
// on it, and answers no when something is not.
func inspect(ctx context.Context, args []string, io streams) (err error) {
	if len(args) > 0 {
		fmt.Fprintln(io.err, "usage: leat inspect")
		return wrongUsage
	}
	r := &report{io: io}
	c, err := readConfig(os.Getenv)
	r.line("settings", "can be read", err)
	if err != nil {
		return answeredNo
	}
	r.line("address", "is "+c.publicURL.String(), c.signInWorks())
	if c.tlsCert != "" {
		_, err := tls.LoadX509KeyPair(c.tlsCert, c.tlsKey)
		r.line("certificate", "goes with its key", err)
	}
	db, err := openStore(ctx)
	r.line("database", "answers", err)
	if err == nil {
		defer func() { err = errors.Join(err, db.Close()) }()
		r.database(ctx, db)
	}
	if r.wrong {
		return answeredNo
	}
	return nil
}

type report struct {
	io    streams
	wrong bool
}

// line says that a subject is well, or what is wrong with it.
func (r *report) line(subject, well string, err error) {
	if err == nil {
		fmt.Fprintf(r.io.out, "%-12s %s\n", subject, well)
		return
	}
	r.wrong = true
	fmt.Fprintf(r.io.out, "%-12s WRONG: %s\n", subject, err)
}

func (r *report) database(ctx context.Context, db *store.DB) {
	if err := db.Ready(ctx); err != nil {
		r.line("schema", "", err)
		return
	}
	r.line("schema", fmt.Sprintf("has version %d, that of this release", store.SchemaVersion), nil)
	for _, look := range []struct {
		subject string
		at      func(tx *store.Tx) (well string, err error)
	}{
		{"rules", func(tx *store.Tx) (string, error) {
			n, err := tx.Guards()
			return fmt.Sprintf("are held by %d keys, checks and triggers, all there and switched on", n), err
		}},
		{"grants", func(tx *store.Tx) (string, error) { return "let nobody write but the owner of the tables", tx.Grants() }},
		{"record", func(tx *store.Tx) (string, error) {
			head, err := tx.VerifyRecord()
			return fmt.Sprintf("holds, and ends with number %d, sum %s", head.Number, head.Sum), err
		}},
	} {
		var well string
		err := db.InTx(ctx, func(tx *store.Tx) (err error) {
			well, err = look.at(tx)
			return err
		})
		r.line(look.subject, well, err)
	}
}
