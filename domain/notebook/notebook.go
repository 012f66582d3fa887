package notebook

import (
	"context"
	"encoding/json"
	"time"

	"leat/calc/confront"
	"leat/domain"
	"leat/domain/store"
)

// Options are how a server runs the notebook.
type Options struct {
	Demo    bool             // invented people may sign in, and their content be loaded
	Now     func() time.Time // nil: the system's clock
	Draws   int              // for the intervals of a save, and twice that for a verdict; 0: as many as there must be, fewer for tests
	HashKiB uint32           // memory of a new password hash, in KiB; 0: as much as it must have, less for tests
}

// Notebook is the notebook of one group.
type Notebook struct {
	db      *store.DB
	demo    bool
	clock   func() time.Time
	hasher  *hasher
	limit   *limit
	draws   int
	drawing turns // of intervals, which take all processors
	opening turns // of pictures, which take much memory
	reading turns // of the files of loggers, likewise
	parsed  *seriesCache
	moving  turns // of projects that are brought in

	searches *searches
	judges   *judges
	judged   confront.Draws // of a verdict
	learning *learning
	pauses   []time.Duration // of a job that failed
	worked   worked
}

// New returns the notebook that is kept in a database. [Notebook.Stop] ends what it does by itself.
func New(db *store.DB, o Options) *Notebook {
	clock := o.Now
	if clock == nil {
		clock = time.Now
	}
	judged := confront.Usual
	if o.Demo {
		judged = demoDraws
	}
	if o.Draws != 0 {
		judged = confront.Draws{Batch: o.Draws, Most: 2}
	}
	var known map[string]json.RawMessage
	if o.Demo {
		known = demoWorked()
	}
	return &Notebook{db: db, demo: o.Demo, clock: clock, hasher: newHasher(o.HashKiB), limit: newLimit(), draws: o.Draws, drawing: make(turns, 2), opening: make(turns, 2), reading: make(turns, 1), moving: make(turns, 1), parsed: &seriesCache{}, searches: newSearches(), judges: newJudges(), judged: judged, learning: newLearning(), pauses: jobPauses, worked: worked{known: known}}
}

// Ready returns an error unless the database answers and has the schema that
// this program was written for.
func (n *Notebook) Ready(ctx context.Context) error { return n.db.Ready(ctx) }

// now returns the time as the database keeps it.
func (n *Notebook) now() time.Time { return n.clock().UTC().Truncate(time.Microsecond) }

// mayEnter tells whether an account may sign in here at all.
func (n *Notebook) mayEnter(a domain.Account) bool {
	return a.ClosedAt == nil && (n.demo || !a.Demo)
}

// read runs a use case that changes nothing and returns what it found.
func read[thing any](ctx context.Context, n *Notebook, find func(*store.Tx) (thing, error)) (thing, error) {
	var found thing
	err := n.db.InTx(ctx, func(tx *store.Tx) (err error) {
		found, err = find(tx)
		return err
	})
	return found, err
}
