package notebook

import (
	"context"
	"fmt"
	"runtime"
	"sync"
	"sync/atomic"

	"leat/calc/search"
)

// batch is how many candidates a worker judges before it looks whether anybody
// still wants to know: some ten milliseconds of work.
const batch = 32

// run waits for a turn, judges all candidates and leaves the answer.
func (s *searches) run(ctx context.Context, l *looking) {
	defer l.cancel()
	defer close(l.ended)
	if l.err = s.turns.take(ctx); l.err != nil {
		return
	}
	defer s.turns.end()
	l.runs.Store(true)
	best, err := l.judge(ctx)
	if err == nil {
		l.answer, err = l.grid.Answer(best)
	}
	l.grid, l.err = nil, err
}

// judge spreads the candidates over all processors.
func (l *looking) judge(ctx context.Context) (*search.Best, error) {
	var (
		all     search.Best
		failure error
		next    atomic.Int64
		mu      sync.Mutex // guards all and failure
		workers sync.WaitGroup
	)
	for range runtime.GOMAXPROCS(0) {
		workers.Go(func() {
			for ctx.Err() == nil {
				from := int(next.Add(batch)) - batch
				if from >= l.of {
					return
				}
				best, err := l.judgeBatch(from, min(from+batch, l.of))
				mu.Lock()
				if err != nil {
					failure = err
					next.Store(int64(l.of))
				} else {
					l.grid.Merge(&all, best)
				}
				mu.Unlock()
			}
		})
	}
	workers.Wait()
	if failure == nil {
		failure = ctx.Err()
	}
	return &all, failure
}

// judgeBatch judges a few candidates. No handler of a request stands above a
// worker, so that a panic here would end the server; it ends the search instead.
func (l *looking) judgeBatch(from, to int) (best *search.Best, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("notebook: search, candidates from %d: panic: %v", from, p)
		}
	}()
	best = l.grid.Judge(from, to)
	l.done.Add(int64(to - from))
	return best, nil
}

func (l *looking) progress() SearchProgress {
	p := SearchProgress{ID: l.id, State: SearchWaits, Done: int(l.done.Load()), Of: l.of}
	select {
	case <-l.ended:
		p.State, p.Answer = SearchEnded, &l.answer
	default:
		if l.runs.Load() {
			p.State = SearchRuns
		}
	}
	return p
}
