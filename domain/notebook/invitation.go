package notebook

import (
	"context"
	"strings"

	"leat/domain"
	"leat/domain/store"
)

// Invitations returns a page of those that still let somebody in, newest first.
func (n *Notebook) Invitations(ctx context.Context, who domain.Actor, page domain.Page) ([]domain.Invitation, error) {
	return read(ctx, n, func(tx *store.Tx) ([]domain.Invitation, error) { return tx.Invitations(page, n.now()) })
}

// Invite makes an invitation. Its code is told here and never again.
func (n *Notebook) Invite(ctx context.Context, who domain.Actor, cmd domain.InvitePerson) (domain.NewInvitation, error) {
	code := newCode()
	return read(ctx, n, func(tx *store.Tx) (domain.NewInvitation, error) {
		permit, err := authorizeInGroup(tx, who, domain.Invite)
		if err != nil {
			return domain.NewInvitation{}, err
		}
		if err := cmd.Validate(); err != nil {
			return domain.NewInvitation{}, err
		}
		i, err := tx.Invite(permit, cmd, codeHash(code), n.now())
		return domain.NewInvitation{Invitation: i, Code: code}, err
	})
}

// WithdrawInvitation makes the code of an invitation good for nothing.
func (n *Notebook) WithdrawInvitation(ctx context.Context, who domain.Actor, id domain.InvitationID) error {
	return n.db.InTx(ctx, func(tx *store.Tx) error {
		permit, err := authorizeInGroup(tx, who, domain.Invite)
		if err != nil {
			return err
		}
		return tx.WithdrawInvitation(permit, id, n.now())
	})
}

// AcceptInvitation makes an account with the code of an invitation, and signs it in.
func (n *Notebook) AcceptInvitation(ctx context.Context, cmd domain.AcceptInvitation) (SignedIn, error) {
	if err := cmd.Validate(); err != nil {
		return SignedIn{}, err
	}
	code := codeHash(cmd.Code)
	err := n.triesCode(ctx, cmd.From, func(tx *store.Tx) error {
		state, err := tx.CodeState(code, n.now())
		if err != nil {
			return err
		}
		return state.Refusal()
	})
	if err != nil {
		return SignedIn{}, err
	}
	hash, err := n.hasher.hash(ctx, cmd.Password) // takes long: outside the transaction
	if err != nil {
		return SignedIn{}, err
	}
	token := newToken()
	return read(ctx, n, func(tx *store.Tx) (SignedIn, error) {
		id, err := tx.AcceptInvitation(code, cmd, hash, n.now())
		if err != nil {
			return SignedIn{}, err
		}
		return n.startSession(tx, id, token, cmd.Browser)
	})
}

// GiveResetCode makes a code with which a member sets a new password. It is
// told here and never again; an earlier one is good no longer.
func (n *Notebook) GiveResetCode(ctx context.Context, who domain.Actor, member domain.AccountID) (domain.ResetCode, error) {
	code := newCode()
	return read(ctx, n, func(tx *store.Tx) (domain.ResetCode, error) {
		m, err := authorizeAbout(tx, who, member, domain.GiveResetCode)
		if err != nil {
			return domain.ResetCode{}, err
		}
		now := n.now()
		return domain.ResetCode{Code: code, EndsAt: now.Add(domain.ResetCodeLives)}, tx.GiveResetCode(m.permit, codeHash(code), now)
	})
}

// KeeperResetCode makes a reset code for the keeper with this address, on behalf
// of whoever runs the server: a sole keeper has nobody to ask. The act is on
// record as the keeper's own. It returns a NotFound error when no keeper has
// the address.
func (n *Notebook) KeeperResetCode(ctx context.Context, address string) (string, error) {
	keeper, err := read(ctx, n, func(tx *store.Tx) (domain.Account, error) {
		a, _, err := tx.AccountAt(strings.TrimSpace(address))
		return a, err
	})
	switch {
	case err == nil && (!keeper.Has(domain.Keeper) || !n.mayEnter(keeper)), domain.KindOf(err) == domain.NotFound:
		return "", domain.NoSuchKeeper()
	case err != nil:
		return "", err
	}
	code, err := n.GiveResetCode(ctx, domain.Actor{Account: keeper.ID, Name: keeper.Name, Roles: keeper.Roles}, keeper.ID)
	return code.Code, err
}

// ResetPassword sets a new password with a code from a keeper, ends all
// sessions of the account, and signs it in here.
func (n *Notebook) ResetPassword(ctx context.Context, cmd domain.ResetPassword) (SignedIn, error) {
	if err := cmd.Validate(domain.Account{}); err != nil {
		return SignedIn{}, err
	}
	code := codeHash(cmd.Code)
	var account domain.Account
	err := n.triesCode(ctx, cmd.From, func(tx *store.Tx) (err error) {
		account, err = tx.ResetAccount(code, n.now())
		return refusedCode(err)
	})
	if err != nil {
		return SignedIn{}, err
	}
	if err := cmd.Validate(account); err != nil {
		return SignedIn{}, err
	}
	hash, err := n.hasher.hash(ctx, cmd.Password)
	if err != nil {
		return SignedIn{}, err
	}
	token := newToken()
	return read(ctx, n, func(tx *store.Tx) (SignedIn, error) {
		if err := tx.ResetPassword(account.ID, code, hash, n.now()); err != nil {
			return SignedIn{}, refusedCode(err)
		}
		return n.startSession(tx, account.ID, token, cmd.Browser)
	})
}

func refusedCode(err error) error {
	if domain.KindOf(err) == domain.NotFound {
		return domain.BadResetCode()
	}
	return err
}

// triesCode looks a one-time code up, and slows down whoever guesses.
func (n *Notebook) triesCode(ctx context.Context, from string, look func(*store.Tx) error) error {
	at, key := n.now(), "code from "+from
	if err := n.limit.enter(at, key); err != nil {
		return err
	}
	err := n.db.InTx(ctx, look)
	if domain.KindOf(err) != domain.Invalid {
		n.limit.forgive(at, key)
	}
	return err
}
