package api

import (
	"sync"
	"time"

	"leat/domain"
)

// tries counts what each network address tried within the running minute. It
// keeps a flood away from the password hash; the notebook itself limits how
// often a password may be wrong.
type tries struct {
	most int
	now  func() time.Time

	mu    sync.Mutex
	start time.Time
	made  map[string]int
}

// count returns a TooMany error when the address tried too often.
func (t *tries) count(from string) error {
	t.mu.Lock()
	defer t.mu.Unlock()
	now := t.now()
	if now.Sub(t.start) >= time.Minute || now.Before(t.start) {
		t.start, t.made = now, map[string]int{}
	}
	t.made[from]++
	if t.made[from] <= t.most {
		return nil
	}
	return &domain.Error{
		Kind: domain.TooMany, Code: "too-many-tries", After: t.start.Add(time.Minute).Sub(now),
		Message: "Too many tries from your network within a minute. Wait a minute and try again.",
	}
}
