package localpg

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"time"
)

const (
	database = "leat"
	role     = "leat"
	port     = "5432" // of the socket's name only: nothing listens on the network

	startTime = 60 * time.Second // recovery after a kill may take its time
	stopTime  = 60 * time.Second
)

// Options say which cluster is wanted.
type Options struct {
	Folder string // where it lives; made when missing. See [Folder]
	Bin    string // folder of initdb and postgres; looked for when empty
}

// Cluster is a PostgreSQL server that runs and takes connections.
type Cluster struct {
	folder    string
	who       account
	socket    string   // folder of the socket
	pid       int      // of the server
	keeper    *os.File // held by the one process that stops the server; nil in others
	child     *child   // nil when the server was joined
	password  string
	throwaway bool
}

// Start starts the cluster of a folder, or joins it when it runs. It makes the
// cluster first when there is none: with checksums, and with settings under
// which no answered write is lost when the machine loses power.
//
// It returns [ErrNoServer] when PostgreSQL is not installed.
func Start(ctx context.Context, o Options) (*Cluster, error) {
	ctx, cancel := context.WithTimeout(ctx, startTime)
	defer cancel()
	who, err := findAccount()
	if err != nil {
		return nil, err
	}
	folder, err := filepath.Abs(o.Folder)
	if err != nil {
		return nil, fmt.Errorf("localpg: %w", err)
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return nil, fmt.Errorf("localpg: %w", err)
	}
	c := &Cluster{folder: folder, who: who, socket: socketFolder(folder)}
	if err := c.come(ctx, o.Bin); err != nil {
		return nil, err
	}
	return c, nil
}

// come keeps trying until the cluster runs: another process may be about to
// start or to stop it.
func (c *Cluster) come(ctx context.Context, bin string) error {
	for {
		err := c.startOrJoin(ctx, bin)
		if !errors.Is(err, errHeld) {
			return err
		}
		if err := wait(ctx); err != nil {
			return fmt.Errorf("localpg: another process keeps %s, but no server answers there: %w", c.folder, err)
		}
	}
}

// startOrJoin returns errHeld when another process is the keeper and its server
// does not answer.
func (c *Cluster) startOrJoin(ctx context.Context, bin string) error {
	start, err := lock(ctx, c.path("start.lock"))
	if err != nil {
		return err
	}
	defer start.Close()
	running, err := readPidFile(c.data())
	if err != nil {
		return err
	}
	keeper, err := tryLock(c.path("keeper.lock"))
	if err != nil && !(errors.Is(err, errHeld) && running.answers()) {
		return err
	}
	if running.answers() {
		err = c.join(running)
	} else {
		err = c.begin(ctx, bin)
	}
	if err != nil {
		closeLock(keeper)
		return err
	}
	c.keeper = keeper
	return nil
}

func (c *Cluster) join(running pidFile) error {
	c.pid, c.socket = running.pid, running.socket
	return c.readPassword()
}

func (c *Cluster) begin(ctx context.Context, bin string) error {
	p, err := findPrograms(bin, c.data())
	if err != nil {
		return err
	}
	if err := c.makeOnce(ctx, p); err != nil {
		return err
	}
	if err := c.readPassword(); err != nil {
		return err
	}
	if err := c.who.makeFolder(c.socket); err != nil {
		return err
	}
	return c.launch(ctx, p)
}

// URL is the connection string of the cluster's database.
func (c *Cluster) URL() string {
	u := url.URL{
		Scheme:   "postgres",
		User:     url.User(role),
		Path:     "/" + database,
		RawQuery: url.Values{"host": {c.socket}, "port": {port}, "sslmode": {"disable"}}.Encode(),
	}
	if c.password != "" {
		u.User = url.UserPassword(role, c.password)
	}
	return u.String()
}

// Folder is where the cluster lives.
func (c *Cluster) Folder() string { return c.folder }

// Keeper reports whether this process is the one that stops the server.
func (c *Cluster) Keeper() bool { return c.keeper != nil }

// Gone is closed when the server has ended. It stays open for a server that
// this process joined.
func (c *Cluster) Gone() <-chan struct{} {
	if c.child == nil {
		return nil
	}
	return c.child.done
}

func (c *Cluster) path(name string) string { return filepath.Join(c.folder, name) }
func (c *Cluster) data() string            { return c.path("postgres") }

func closeLock(file *os.File) {
	if file != nil {
		file.Close()
	}
}
