package domain

import (
	"errors"
	"time"
)

// Kind says what sort of failure an error is. What is not an [Error] is
// Internal, and so is the zero Kind: its text is for the log only.
type Kind int

// The kinds of error.
const (
	Internal        Kind = iota
	Malformed            // can't be read at all
	Invalid              // can be read, breaks a rule; Fields say where
	Unauthenticated      // not signed in, or refused
	Forbidden            // signed in, without the right
	NotFound             // there is no such thing
	Gone                 // there was one, and it must not be shown any more
	Conflict             // can't be done as things stand
	Stale                // somebody else changed it first
	TooMany              // too often; After says how long to wait
)

// Error is a failure that a person can be told about.
type Error struct {
	Kind    Kind
	Code    string        // stable, kebab-case
	Message string        // for people, safe to show, says what to do next
	Fields  []Field       // for Invalid: every fault that was found
	After   time.Duration // for TooMany: how long to wait
	Project ProjectID     // for an archive that is here: what it was brought in as
	Err     error         // the cause, for the log
}

// Field is one fault in what was sent.
type Field struct {
	Pointer string // JSON Pointer (RFC 6901) into the request
	Code    string
	Message string
}

// Error returns the text for the log.
func (e *Error) Error() string {
	text := e.Code + ": " + e.Message
	for _, f := range e.Fields {
		text += " [" + f.Pointer + " " + f.Code + "]"
	}
	if e.Err != nil {
		text += ": " + e.Err.Error()
	}
	return text
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Err }

// KindOf returns the kind of the first [Error] in the chain of err, and
// Internal when there is none.
func KindOf(err error) Kind {
	if e, ok := errors.AsType[*Error](err); ok {
		return e.Kind
	}
	return Internal
}

// Words is what an error says to people; empty where it is not meant for them.
func Words(err error) string {
	if e, ok := errors.AsType[*Error](err); ok {
		return e.Message
	}
	return ""
}

// Faulty returns the Invalid error for fields, or nil when there are none.
func Faulty(fields []Field) error {
	if len(fields) == 0 {
		return nil
	}
	return &Error{
		Kind: Invalid, Code: "invalid",
		Message: "Some of what was sent can't be used. Nothing was saved; each place is named.",
		Fields:  fields,
	}
}

// Missing returns the NotFound error for a thing, named as people name it.
func Missing(thing string) error {
	return &Error{
		Kind: NotFound, Code: "not-found",
		Message: "There is no such " + thing + " here. Go back to the list and choose again.",
	}
}

// Outdated returns the Stale error for a thing that somebody changed first.
func Outdated(thing string) error {
	return &Error{
		Kind: Stale, Code: thing + "-stale",
		Message: "Somebody saved this " + thing + " after you opened it. Nothing of yours was saved: keep your text, load the newer one, compare, and save again.",
	}
}

// SignedOut returns the Unauthenticated error of a session that is no more.
func SignedOut() error {
	return &Error{
		Kind: Unauthenticated, Code: "signed-out",
		Message: "You are no longer signed in on this device. Sign in again; what you typed stays where it is.",
	}
}
