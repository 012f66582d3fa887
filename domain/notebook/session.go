package notebook

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"strings"
	"time"

	"leat/domain"
	"leat/domain/store"
)

// SignedIn is a session that was just begun or refreshed.
type SignedIn struct {
	Account domain.Account
	Session domain.SessionID
	Refresh string    // the refresh token: good once
	Ends    time.Time // if it isn't refreshed before
}

// SignIn begins a session. Whether the address or the password is wrong can be
// told neither from the answer nor from the time it takes.
func (n *Notebook) SignIn(ctx context.Context, cmd domain.SignIn) (SignedIn, error) {
	if err := cmd.Validate(); err != nil {
		return SignedIn{}, err
	}
	at, keys := n.now(), limitKeysOf(cmd)
	if err := n.limit.enter(at, keys...); err != nil {
		return SignedIn{}, err
	}
	in, err := n.signIn(ctx, cmd)
	switch {
	case err == nil:
		n.limit.clear(keys[0])
		n.limit.forgive(at, keys[1:]...)
	case domain.KindOf(err) != domain.Unauthenticated:
		n.limit.forgive(at, keys...)
	}
	return in, err
}

func limitKeysOf(cmd domain.SignIn) []string {
	keys := []string{"address " + strings.ToLower(cmd.Address)}
	if cmd.From != "" {
		keys = append(keys, "from "+cmd.From)
	}
	return keys
}

func (n *Notebook) signIn(ctx context.Context, cmd domain.SignIn) (SignedIn, error) {
	account, hash, err := n.accountAt(ctx, cmd.Address)
	if err != nil {
		return SignedIn{}, err
	}
	fits, dated, err := n.hasher.fits(ctx, cmd.Password, hash)
	if err != nil {
		return SignedIn{}, err
	}
	if !fits || !n.mayEnter(account) {
		return SignedIn{}, refused()
	}
	fresh := hash
	if dated {
		if fresh, err = n.hasher.hash(ctx, cmd.Password); err != nil {
			return SignedIn{}, err
		}
	}
	token := newToken()
	return read(ctx, n, func(tx *store.Tx) (SignedIn, error) {
		if fresh != hash {
			if err := tx.Rehash(account.ID, hash, fresh); err != nil {
				return SignedIn{}, err
			}
		}
		err := tx.HoldPassword(account.ID, fresh) // it may have been reset meanwhile, which ends all sessions
		if domain.KindOf(err) == domain.NotFound {
			return SignedIn{}, refused()
		}
		if err != nil {
			return SignedIn{}, err
		}
		return n.startSession(tx, account.ID, token, cmd.Browser)
	})
}

// accountAt returns the account with an address and the hash of its password;
// for an address that nobody has, no account and a hash that nothing fits.
func (n *Notebook) accountAt(ctx context.Context, address string) (account domain.Account, hash string, err error) {
	decoy := n.hasher.decoy()
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		account, hash, err = tx.AccountAt(address)
		return err
	})
	if domain.KindOf(err) == domain.NotFound {
		return domain.Account{}, decoy, nil
	}
	return account, hash, err
}

func (n *Notebook) startSession(tx *store.Tx, id domain.AccountID, t token, browser string) (SignedIn, error) {
	account, err := tx.Account(id)
	if err != nil {
		return SignedIn{}, err
	}
	if !n.mayEnter(account) {
		return SignedIn{}, refused()
	}
	session, err := tx.StartSession(id, t.familyHash(), t.secretHash(), browser, n.now())
	if err != nil {
		return SignedIn{}, err
	}
	s, err := tx.Session(session)
	return SignedIn{Account: account, Session: session, Refresh: t.text(), Ends: s.Ends()}, err
}

// Refresh exchanges a refresh token for the next one. A token that was
// exchanged before is in the wrong hands, or its successor is: the session
// ends, for both.
func (n *Notebook) Refresh(ctx context.Context, text string) (SignedIn, error) {
	old, ok := parseToken(text)
	if !ok {
		return SignedIn{}, domain.SignedOut()
	}
	next := token{family: old.family, secret: random(secretBytes)}
	in, err := read(ctx, n, func(tx *store.Tx) (SignedIn, error) {
		s, err := tx.LockSession(old.familyHash())
		if err != nil {
			return SignedIn{}, err
		}
		now := n.now()
		if !s.Live(now) || !n.mayEnter(s.Account) || !bytes.Equal(s.Refresh, old.secretHash()) {
			return SignedIn{}, tx.EndSession(s.ID)
		}
		s.UsedAt = now
		return SignedIn{Account: s.Account, Session: s.ID, Refresh: next.text(), Ends: s.Ends()},
			tx.RotateSession(s.ID, next.secretHash(), now)
	})
	if domain.KindOf(err) == domain.NotFound || err == nil && in.Session == 0 {
		return SignedIn{}, domain.SignedOut()
	}
	return in, err
}

// SignOut ends the session of the actor.
func (n *Notebook) SignOut(ctx context.Context, who domain.Actor) error {
	return n.db.InTx(ctx, func(tx *store.Tx) error { return tx.EndSession(who.Session) })
}

// Actor returns who is behind an access token, as the database knows them now.
// It returns an Unauthenticated error when the session has ended or the
// account may not enter.
func (n *Notebook) Actor(ctx context.Context, account domain.AccountID, session domain.SessionID) (domain.Actor, error) {
	s, err := read(ctx, n, func(tx *store.Tx) (domain.Session, error) { return tx.Session(session) })
	if domain.KindOf(err) == domain.NotFound {
		return domain.Actor{}, domain.SignedOut()
	}
	if err != nil {
		return domain.Actor{}, err
	}
	if s.Account.ID != account || !s.Live(n.now()) || !n.mayEnter(s.Account) {
		return domain.Actor{}, domain.SignedOut()
	}
	return domain.Actor{Account: account, Session: session, Name: s.Account.Name, Roles: s.Account.Roles}, nil
}

func refused() error {
	return &domain.Error{
		Kind: domain.Unauthenticated, Code: "sign-in-refused",
		Message: "This address and this password don't go together. Check both and try again.",
	}
}

const (
	familyBytes = 16
	secretBytes = 32
)

// token is a refresh token. The family stays for the life of a session, the
// secret is good once: an old secret of a known family is a reuse, however old.
type token struct{ family, secret []byte }

func newToken() token { return token{family: random(familyBytes), secret: random(secretBytes)} }

func parseToken(text string) (token, bool) {
	raw, err := base64.RawURLEncoding.Strict().DecodeString(text)
	if err != nil || len(raw) != familyBytes+secretBytes {
		return token{}, false
	}
	return token{family: raw[:familyBytes], secret: raw[familyBytes:]}, true
}

func (t token) text() string {
	return base64.RawURLEncoding.EncodeToString(append(bytes.Clone(t.family), t.secret...))
}

func (t token) familyHash() []byte { sum := sha256.Sum256(t.family); return sum[:] }
func (t token) secretHash() []byte { sum := sha256.Sum256(t.secret); return sum[:] }
