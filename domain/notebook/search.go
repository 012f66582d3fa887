package notebook

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"leat/calc/search"
	"leat/domain"
)

const (
	searchesAtOnce = 2                // each takes all processors
	searchesEach   = 3                // kept for one member; a further one takes the place of the oldest
	searchKept     = 10 * time.Minute // from when it was last asked after
)

// The states of a search.
const (
	SearchWaits = "waiting" // for others to end
	SearchRuns  = "running"
	SearchEnded = "ended"
)

// SearchProgress is how far a search is.
type SearchProgress struct {
	ID     domain.SearchID
	State  string
	Done   int            // candidates judged
	Of     int            // candidates
	Answer *search.Answer // once it has ended
}

// searches are those under way and those that ended lately. They are kept in
// memory alone: what takes seconds can be asked again after a restart.
type searches struct {
	mu      sync.Mutex
	kept    []*looking // the oldest first
	turns   turns
	running sync.WaitGroup
}

func newSearches() *searches { return &searches{turns: make(turns, searchesAtOnce)} }

// looking is one search.
type looking struct {
	id     domain.SearchID
	by     domain.AccountID
	grid   *search.Search // nil once it has ended: it is large
	of     int
	cancel context.CancelFunc
	runs   atomic.Bool
	done   atomic.Int64
	ended  chan struct{} // closed when answer and err stand

	touched time.Time // guarded by searches.mu
	answer  search.Answer
	err     error // a defect of leat, or cancelled
}

// StartSearch starts to look for the machines that serve a wish best at a site,
// and returns at once. What is asked is JSON as [search.Decode] reads it; its
// faults are an Invalid error.
func (n *Notebook) StartSearch(ctx context.Context, who domain.Actor, asked json.RawMessage) (SearchProgress, error) {
	a, faults := search.Decode(asked)
	if err := domain.SearchFaults(faults); err != nil {
		return SearchProgress{}, err
	}
	grid := search.New(a)
	// It outlives the request that started it, and ends with Stop.
	ctx, cancel := context.WithCancel(context.WithoutCancel(ctx))
	l := &looking{id: domain.SearchID(rand.Text()), by: who.Account, grid: grid, of: grid.Count(), cancel: cancel, ended: make(chan struct{}), touched: n.now()}
	n.searches.add(l, n.now())
	n.searches.running.Go(func() { n.searches.run(ctx, l) })
	return l.progress(), nil
}

// Search returns how far a search of one's own is, and its answer once it has
// ended. A search that is kept no longer is a NotFound error.
func (n *Notebook) Search(_ context.Context, who domain.Actor, id domain.SearchID) (SearchProgress, error) {
	l := n.searches.find(who, id, n.now())
	if l == nil {
		return SearchProgress{}, domain.SearchGone()
	}
	p := l.progress()
	switch {
	case p.State != SearchEnded || l.err == nil:
		return p, nil
	case errors.Is(l.err, context.Canceled): // between finding it and looking at it
		return SearchProgress{}, domain.SearchGone()
	default:
		return SearchProgress{}, l.err
	}
}

// CancelSearch ends a search of one's own and forgets it.
func (n *Notebook) CancelSearch(_ context.Context, who domain.Actor, id domain.SearchID) error {
	l := n.searches.find(who, id, n.now())
	if l == nil {
		return domain.SearchGone()
	}
	n.searches.forget(func(other *looking) bool { return other == l })
	return nil
}

// Stop ends what the notebook does by itself, and returns when nothing runs any
// more.
func (n *Notebook) Stop() {
	n.searches.forget(func(*looking) bool { return true })
	n.searches.running.Wait()
}

func (s *searches) add(l *looking, now time.Time) {
	s.forget(func(k *looking) bool { return now.Sub(k.touched) >= searchKept })
	s.mu.Lock()
	defer s.mu.Unlock()
	own := 0
	for _, k := range slices.Backward(s.kept) {
		if k.by == l.by {
			if own++; own >= searchesEach {
				k.cancel()
				s.kept = slices.DeleteFunc(s.kept, func(x *looking) bool { return x == k })
				break
			}
		}
	}
	s.kept = append(s.kept, l)
}

func (s *searches) find(who domain.Actor, id domain.SearchID, now time.Time) *looking {
	s.forget(func(k *looking) bool { return now.Sub(k.touched) >= searchKept })
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, k := range s.kept {
		if k.id == id && k.by == who.Account {
			k.touched = now
			return k
		}
	}
	return nil
}

// forget cancels some searches and keeps them no longer.
func (s *searches) forget(which func(*looking) bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.kept = slices.DeleteFunc(s.kept, func(k *looking) bool {
		if !which(k) {
			return false
		}
		k.cancel()
		return true
	})
}
