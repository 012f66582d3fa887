package notebook

import (
	"sync"
	"time"

	"leat/domain"
)

const (
	limitFailures = 10
	limitWindow   = 15 * time.Minute
	limitKeys     = 10_000 // swept when more are held
)

// limit slows down whoever guesses passwords. It counts the attempts of the
// last quarter of an hour, per address that was tried and per place they came
// from, and forgets them when the server restarts.
type limit struct {
	mu    sync.Mutex
	tries map[string][]time.Time
}

func newLimit() *limit { return &limit{tries: make(map[string][]time.Time)} }

// enter counts an attempt under all keys, or returns a TooMany error. An
// attempt counts as failed until forgive is called.
func (l *limit) enter(now time.Time, keys ...string) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.sweep(now)
	for _, key := range keys {
		recent := l.recent(key, now)
		if len(recent) >= limitFailures {
			return tooMany(recent[len(recent)-limitFailures].Add(limitWindow).Sub(now))
		}
	}
	for _, key := range keys {
		l.tries[key] = append(l.recent(key, now), now)
	}
	return nil
}

// forgive takes the attempt made at a time back, after it succeeded or could
// not be judged.
func (l *limit) forgive(at time.Time, keys ...string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, key := range keys {
		for i, t := range l.tries[key] {
			if t.Equal(at) {
				l.tries[key] = append(l.tries[key][:i:i], l.tries[key][i+1:]...)
				break
			}
		}
	}
}

// clear forgets everything under a key.
func (l *limit) clear(key string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	delete(l.tries, key)
}

func (l *limit) recent(key string, now time.Time) []time.Time {
	tries := l.tries[key]
	for len(tries) > 0 && now.Sub(tries[0]) >= limitWindow {
		tries = tries[1:]
	}
	return tries
}

func (l *limit) sweep(now time.Time) {
	if len(l.tries) < limitKeys {
		return
	}
	for key := range l.tries {
		if len(l.recent(key, now)) == 0 {
			delete(l.tries, key)
		}
	}
}

func tooMany(wait time.Duration) error {
	return &domain.Error{
		Kind: domain.TooMany, Code: "too-many-sign-ins", After: wait,
		Message: "Too many attempts failed. Wait a quarter of an hour, then try again with care.",
	}
}
