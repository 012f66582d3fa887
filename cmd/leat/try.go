package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"

	"leat/api"
	"leat/deploy/localpg"
	"leat/domain/notebook"
	"leat/domain/store"
)

// try serves the notebook with its invented people: on a private database in a
// data folder, or on the one that LEAT_DATABASE_URL names. No other command
// loads or accepts invented people.
func try(ctx context.Context, args []string, io streams) (err error) {
	if len(args) > 0 {
		fmt.Fprintln(io.err, "usage: leat try")
		return wrongUsage
	}
	c, err := readConfig(os.Getenv)
	if err != nil {
		return err
	}
	if host, _, splitErr := net.SplitHostPort(c.listen); splitErr != nil || !isLocal(host) {
		return errors.New("leat try has passwords that everybody knows, so LEAT_LISTEN must be an address of this machine alone, such as localhost:8080")
	}
	if c.databaseURL == "" {
		private, startErr := startPrivate(ctx, &c, io)
		if startErr != nil {
			return startErr
		}
		defer func() { err = errors.Join(err, private.Stop()) }()
		var release func() error
		ctx, release = whileRunning(ctx, private)
		defer func() { err = errors.Join(err, release()) }()
	}
	if err := migrateTo(ctx, c.databaseURL); err != nil {
		return err
	}
	db, err := store.Open(ctx, c.databaseURL)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	notes := notebook.New(db, notebook.Options{Demo: true})
	defer notes.Stop()
	loaded, err := notes.LoadDemo(ctx)
	if err != nil {
		return err
	}
	if loaded {
		fmt.Fprintln(io.out, "Loaded the invented group Thornwick Wheelhouse into the empty database.")
	}
	greetVisitor(c, io)
	return listen(ctx, c, notes, demoPeople(), io)
}

// startPrivate starts the private database, or joins it where it runs.
func startPrivate(ctx context.Context, c *config, io streams) (*localpg.Cluster, error) {
	folder, err := localpg.Folder(c.data)
	if err != nil {
		return nil, err
	}
	cluster, err := localpg.Start(ctx, localpg.Options{Folder: folder, Bin: c.postgresBin})
	if err != nil {
		return nil, err
	}
	fmt.Fprintf(io.out, "A private database keeps your work in %s.\n", cluster.Folder())
	c.databaseURL = cluster.URL()
	return cluster, nil
}

// errGone says that the private database was ended by somebody else.
var errGone = errors.New("the private database has ended: start again, what was saved is found again")

// whileRunning returns a context that ends with the private database. release
// frees it, and returns errGone if that is how it ended.
func whileRunning(ctx context.Context, private *localpg.Cluster) (running context.Context, release func() error) {
	running, cancel := context.WithCancelCause(ctx)
	go func() {
		select {
		case <-private.Gone():
			cancel(errGone)
		case <-running.Done():
		}
	}()
	return running, func() error {
		cancel(nil)
		if errors.Is(context.Cause(running), errGone) {
			return errGone
		}
		return nil
	}
}

func greetVisitor(c config, io streams) {
	fmt.Fprintf(io.out, "\nleat is at %s\nSign in as one of the invented people, all with the password %s; what they sign they sign with the code %s:\n", c.publicURL, notebook.DemoPassword, notebook.DemoCode)
	for _, p := range notebook.DemoPeople() {
		fmt.Fprintf(io.out, "  %-26s %s, %s\n", p.Address, p.Name, p.About)
	}
	fmt.Fprintln(io.out, "Stop with Ctrl-C; what was saved is found again at the next start.")
}

func demoPeople() (list []api.DemoPerson) {
	for _, p := range notebook.DemoPeople() {
		list = append(list, api.DemoPerson{Name: p.Name, Address: p.Address, Password: notebook.DemoPassword, About: p.About})
	}
	return list
}
