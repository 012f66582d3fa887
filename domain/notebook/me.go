package notebook

import (
	"context"
	"fmt"

	"leat/domain"
	"leat/domain/store"
)

// Me returns the account of the actor.
func (n *Notebook) Me(ctx context.Context, who domain.Actor) (domain.Account, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Account, error) { return tx.Account(who.Account) })
}

// ChangeMe changes the actor's own name or units.
func (n *Notebook) ChangeMe(ctx context.Context, who domain.Actor, cmd domain.ChangeMe) (domain.Account, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Account, error) {
		permit, err := authorizeSelf(tx, who)
		if err != nil {
			return domain.Account{}, err
		}
		if err := cmd.Validate(); err != nil {
			return domain.Account{}, err
		}
		if err := tx.ChangeMe(permit, cmd); err != nil {
			return domain.Account{}, err
		}
		return tx.Account(who.Account)
	})
}

// ChangePassword replaces the actor's own password and ends all their sessions
// but this one. Guessing at the present one is slowed down as at sign-in.
func (n *Notebook) ChangePassword(ctx context.Context, who domain.Actor, cmd domain.ChangePassword) error {
	me, err := n.Me(ctx, who)
	if err != nil {
		return err
	}
	if err := cmd.Validate(me); err != nil {
		return err
	}
	at, key := n.now(), fmt.Sprintf("account %d", who.Account)
	if err := n.limit.enter(at, key); err != nil {
		return err
	}
	err = n.changePassword(ctx, who, cmd)
	if domain.KindOf(err) != domain.Invalid { // else the present one was wrong, and that counts
		n.limit.forgive(at, key)
	}
	return err
}

func (n *Notebook) changePassword(ctx context.Context, who domain.Actor, cmd domain.ChangePassword) error {
	old, err := read(ctx, n, func(tx *store.Tx) (string, error) { return tx.PasswordOf(who.Account) })
	if err != nil {
		return err
	}
	fits, _, err := n.hasher.fits(ctx, cmd.Present, old)
	if err != nil {
		return err
	}
	if !fits {
		return domain.WrongPassword()
	}
	fresh, err := n.hasher.hash(ctx, cmd.New) // takes long: outside the transaction
	if err != nil {
		return err
	}
	return n.db.InTx(ctx, func(tx *store.Tx) error {
		permit, err := authorizeSelf(tx, who)
		if err != nil {
			return err
		}
		return tx.ChangePassword(permit, old, fresh, who.Session)
	})
}

// SetSigningCode sets the code with which the actor signs items of a test.
func (n *Notebook) SetSigningCode(ctx context.Context, who domain.Actor, cmd domain.SetSigningCode) error {
	if err := cmd.Validate(); err != nil {
		return err
	}
	if _, err := n.confirm(ctx, who, who.Account, domain.Proof{Password: cmd.Password}); err != nil {
		return err
	}
	hash, err := n.hasher.hash(ctx, cmd.Code) // takes long: outside the transaction
	if err != nil {
		return err
	}
	return n.db.InTx(ctx, func(tx *store.Tx) error {
		permit, err := authorizeSelf(tx, who)
		if err != nil {
			return err
		}
		return tx.SetSigningCode(permit, hash)
	})
}

// Sessions returns the actor's own sessions that are still good, the one used
// last first.
func (n *Notebook) Sessions(ctx context.Context, who domain.Actor) ([]domain.Session, error) {
	return read(ctx, n, func(tx *store.Tx) ([]domain.Session, error) { return tx.SessionsOf(who.Account, n.now()) })
}

// EndSession ends one of the actor's own sessions.
func (n *Notebook) EndSession(ctx context.Context, who domain.Actor, id domain.SessionID) error {
	return n.db.InTx(ctx, func(tx *store.Tx) error {
		permit, err := authorizeSelf(tx, who)
		if err != nil {
			return err
		}
		return tx.EndOwnSession(permit, id)
	})
}

// EndOtherSessions ends all the actor's own sessions but this one.
func (n *Notebook) EndOtherSessions(ctx context.Context, who domain.Actor) error {
	return n.db.InTx(ctx, func(tx *store.Tx) error {
		permit, err := authorizeSelf(tx, who)
		if err != nil {
			return err
		}
		return tx.EndOtherSessions(permit, who.Session)
	})
}

func authorizeSelf(tx *store.Tx, who domain.Actor) (domain.Permit, error) {
	access, err := tx.AccountAccess(who)
	if err != nil {
		return domain.Permit{}, err
	}
	return domain.Authorize(who, access, domain.ChangeSelf)
}
