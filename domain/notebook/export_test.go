package notebook

import (
	"context"
	"encoding/json"
	"fmt"
	"sync"
	"time"

	"golang.org/x/crypto/argon2"

	"leat/domain"
)

// Hashing is what one derivation of a password hash takes.
type Hashing struct {
	KiB, Passes uint32
	Lanes       uint8
}

// CountHashes makes a notebook that nobody uses yet take note of each password
// hash that it derives. The function returned answers those since it was last
// asked.
func (n *Notebook) CountHashes() func() []Hashing {
	var mu sync.Mutex
	var derived []Hashing
	n.hasher.derive = func(password, salt []byte, passes, kib uint32, lanes uint8, size uint32) []byte {
		mu.Lock()
		derived = append(derived, Hashing{kib, passes, lanes})
		mu.Unlock()
		return argon2.IDKey(password, salt, passes, kib, lanes, size)
	}
	return func() []Hashing {
		mu.Lock()
		defer mu.Unlock()
		since := derived
		derived = nil
		return since
	}
}

// Confirm and Hash are what signing does before its transaction.
func (n *Notebook) Confirm(ctx context.Context, who domain.Actor, signer domain.AccountID, proof domain.Proof) (domain.SignedBy, error) {
	return n.confirm(ctx, who, signer, proof)
}

// Hash is explained at [Notebook.Confirm].
func (n *Notebook) Hash(ctx context.Context, secret string) (string, error) {
	return n.hasher.hash(ctx, secret)
}

// TryAgainAfter makes jobs that fail try again after these pauses.
func (n *Notebook) TryAgainAfter(pauses ...time.Duration) { n.pauses = pauses }

// Keep is what the jobs of the server do, whatever they work out.
func (n *Notebook) Keep(ctx context.Context, due <-chan struct{}, do func(context.Context) (int, error), failed func(error)) {
	n.keep(ctx, due, do, failed)
}

// HoldOpening takes turns in which pictures are opened, until release.
func (n *Notebook) HoldOpening(turns int) (release func()) {
	for range turns {
		n.opening <- struct{}{}
	}
	return func() {
		for range turns {
			n.opening.end()
		}
	}
}

// derived are the hashes of all tests that share them.
var derived sync.Map

// ShareHashes makes a notebook that nobody uses yet derive a hash that another
// test has derived no second time: what that costs is tested elsewhere.
func (n *Notebook) ShareHashes() {
	derive := n.hasher.derive
	n.hasher.derive = func(password, salt []byte, passes, kib uint32, lanes uint8, size uint32) []byte {
		key := fmt.Sprintf("%q %q %d %d %d %d", password, salt, passes, kib, lanes, size)
		if known, ok := derived.Load(key); ok {
			return known.([]byte) //nolint:forcetypeassert // nothing else is in it
		}
		hash := derive(password, salt, passes, kib, lanes, size)
		derived.Store(key, hash)
		return hash
	}
}

// NoteWorked makes the notebook note what it works out, or knew before, by what it was
// worked out from.
func (n *Notebook) NoteWorked() map[string]json.RawMessage {
	noted := map[string]json.RawMessage{}
	n.worked.note = func(sum string, r any) { noted[sum], _ = json.Marshal(r) }
	return noted
}

// KnowWorked makes the notebook know this and nothing else.
func (n *Notebook) KnowWorked(known map[string]json.RawMessage) { n.worked.known = known }

// Worked is what was worked out for the demo before.
func Worked() map[string]json.RawMessage { return demoWorked() }
