package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"os"
	"time"

	"leat/api"
	"leat/domain"
	"leat/domain/notebook"
	"leat/domain/store"
	"leat/frontend"
)

const stopPatience = 20 * time.Second

// serve runs the notebook for a real group.
func serve(ctx context.Context, args []string, io streams) (err error) {
	c, err := readConfig(os.Getenv)
	if err != nil {
		return err
	}
	flags := flag.NewFlagSet("leat serve", flag.ContinueOnError)
	flags.SetOutput(io.err)
	flags.StringVar(&c.tlsCert, "cert", c.tlsCert, "file of the TLS certificate, with its chain")
	flags.StringVar(&c.tlsKey, "key", c.tlsKey, "file of the certificate's key")
	if err := flags.Parse(args); err != nil {
		return wrongUsage
	}
	if c.databaseURL == "" {
		return errors.New("set LEAT_DATABASE_URL to the database of your group, such as postgres://leat@localhost/leat (to look around with invented people: make run)")
	}
	if (c.tlsCert == "") != (c.tlsKey == "") {
		return errors.New("-cert and -key go together: give both, or neither")
	}
	if c.migrate {
		if err := migrateTo(ctx, c.databaseURL); err != nil {
			return err
		}
	}
	db, err := store.Open(ctx, c.databaseURL)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	notes := notebook.New(db, notebook.Options{})
	defer notes.Stop()
	if err := notes.Ready(ctx); err != nil {
		return fmt.Errorf("%w (leat migrate, or LEAT_MIGRATE=true)", err)
	}
	if err := greetKeeper(ctx, notes, c, io); err != nil {
		return err
	}
	return listen(ctx, c, notes, nil, io)
}

// greetKeeper prints the one-time code while the group has no keeper.
func greetKeeper(ctx context.Context, notes *notebook.Notebook, c config, io streams) error {
	code, err := notes.NewKeeperCode(ctx)
	if problem, ok := errors.AsType[*domain.Error](err); ok && problem.Kind == domain.Conflict {
		return nil
	}
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(io.out, "This notebook has no keeper yet. Open %s and give this code, good for a day:\n\n    %s\n\n", c.publicURL, code)
	return err
}

// listen serves until it is told to stop, and lets running requests finish.
func listen(ctx context.Context, c config, notes *notebook.Notebook, demo []api.DemoPerson, io streams) error {
	log := slog.New(slog.NewJSONHandler(io.out, &slog.HandlerOptions{ReplaceAttr: inUTC}))
	handler, err := newHandler(c, notes, demo, log)
	if err != nil {
		return err
	}
	if err := c.signInWorks(); err != nil {
		log.Warn(err.Error(), "public_url", c.publicURL.String())
	}
	server := &http.Server{
		Addr: c.listen, Handler: handler,
		ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 30 * time.Second, WriteTimeout: 60 * time.Second, IdleTimeout: 120 * time.Second,
		MaxHeaderBytes: 64 << 10, ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelWarn),
	}
	socket, err := (&net.ListenConfig{}).Listen(ctx, "tcp", c.listen)
	if err != nil {
		return fmt.Errorf("%w (is leat running already? LEAT_LISTEN sets another address)", err)
	}
	defer inBackground(ctx, func(ctx context.Context) {
		notes.KeepRecalculating(ctx, func(err error) {
			log.Error("a newer calculation or set of coefficients could not answer all that was issued", "error", err.Error())
		})
	})()
	defer inBackground(ctx, func(ctx context.Context) {
		notes.KeepLearning(ctx, func(err error) {
			log.Error("what runs say of the coefficients could not be worked out", "error", err.Error())
		})
	})()
	defer inBackground(ctx, func(ctx context.Context) {
		notes.KeepJudging(ctx, func(err error) { log.Error("a verdict could not be worked out", "error", err.Error()) })
	})()
	log.Info("serving", "address", socket.Addr().String(), "public_url", c.publicURL.String())
	ended := make(chan error, 1)
	go func() {
		if c.tlsCert != "" {
			ended <- server.ServeTLS(socket, c.tlsCert, c.tlsKey)
			return
		}
		ended <- server.Serve(socket)
	}()
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	patience, cancel := context.WithTimeout(context.Background(), stopPatience)
	defer cancel()
	log.Info("stopping")
	return server.Shutdown(patience)
}

// inBackground does something beside, until it is done or the function that it
// returns ends it.
func inBackground(ctx context.Context, do func(context.Context)) (end func()) {
	ctx, cancel := context.WithCancel(ctx)
	done := make(chan struct{})
	go func() {
		defer close(done)
		do(ctx)
	}()
	return func() {
		cancel()
		<-done
	}
}

func newHandler(c config, notes *notebook.Notebook, demo []api.DemoPerson, log *slog.Logger) (http.Handler, error) {
	keys, err := loadKeys(c)
	if err != nil {
		return nil, err
	}
	pages, err := fs.Sub(frontend.Dist, "dist")
	if err != nil {
		return nil, err
	}
	return api.New(api.Options{
		Notebook: notes, Keys: keys, PublicURL: c.publicURL, TrustedProxies: c.trustedProxies, Static: pages, Log: log, Demo: demo,
	}), nil
}

func loadKeys(c config) (*api.Keys, error) {
	if c.tokenKeys == "" {
		return api.NewKeys() // people refresh their session after a restart
	}
	return api.LoadKeys(c.tokenKeys)
}

func isLocal(host string) bool {
	ip := net.ParseIP(host)
	return host == "localhost" || (ip != nil && ip.IsLoopback())
}

func inUTC(_ []string, a slog.Attr) slog.Attr {
	if a.Key == slog.TimeKey {
		return slog.Time(a.Key, a.Value.Time().UTC())
	}
	return a
}
