package domain

import "time"

// How long a session lives: idle since its last refresh, and at most.
const (
	sessionIdle = 14 * 24 * time.Hour
	SessionMost = 90 * 24 * time.Hour
)

// Session is one signed-in device.
type Session struct {
	ID      SessionID
	Account Account
	Refresh []byte // SHA-256 of the one refresh secret that is good now
	Browser string // in a few words, for people; empty when unknown
	BegunAt time.Time
	UsedAt  time.Time
	EndsAt  time.Time // at the latest
}

// Ends returns when the session ends if it isn't used again.
func (s Session) Ends() time.Time {
	if idle := s.UsedAt.Add(sessionIdle); idle.Before(s.EndsAt) {
		return idle
	}
	return s.EndsAt
}

// Live tells whether the session is still good at a time.
func (s Session) Live(now time.Time) bool { return now.Before(s.Ends()) }
