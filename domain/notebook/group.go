package notebook

import (
	"context"

	"leat/domain"
	"leat/domain/store"
)

// Group returns the settings of the group and everybody who is or was in it.
func (n *Notebook) Group(ctx context.Context, who domain.Actor) (domain.Group, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Group, error) { return group(tx, who) })
}

// group returns the group with what the actor may do in it.
func group(tx *store.Tx, who domain.Actor) (domain.Group, error) {
	g, err := tx.Group()
	if err != nil {
		return domain.Group{}, err
	}
	access, err := tx.ReadGroupAccess(who, 0)
	if err != nil {
		return domain.Group{}, err
	}
	g.Allowed = domain.AllowedInGroup(who, access)
	for i, m := range g.Members {
		if access.About = m.ID; m.ClosedAt == nil {
			g.Members[i].Allowed = domain.AllowedAbout(who, access)
		}
	}
	return g, nil
}

// Acts returns a page of what was done about people and the group, newest first.
func (n *Notebook) Acts(ctx context.Context, who domain.Actor, page domain.Page) ([]domain.Act, error) {
	return read(ctx, n, func(tx *store.Tx) ([]domain.Act, error) { return tx.Acts(page) })
}

// SetGroupSettings replaces name, units and time zone of the group.
func (n *Notebook) SetGroupSettings(ctx context.Context, who domain.Actor, cmd domain.SetGroupSettings) (domain.Group, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Group, error) {
		permit, err := authorizeInGroup(tx, who, domain.SetGroup)
		if err != nil {
			return domain.Group{}, err
		}
		if err := cmd.Validate(); err != nil {
			return domain.Group{}, err
		}
		if err := tx.SetGroupSettings(permit, cmd, n.now()); err != nil {
			return domain.Group{}, err
		}
		return group(tx, who)
	})
}

// SetRoles replaces the roles of a member.
func (n *Notebook) SetRoles(ctx context.Context, who domain.Actor, cmd domain.SetMemberRoles) (domain.Group, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Group, error) {
		m, err := authorizeAbout(tx, who, cmd.Member, domain.SetRoles)
		if err != nil {
			return domain.Group{}, err
		}
		if err := cmd.Validate(); err != nil {
			return domain.Group{}, err
		}
		if err := cmd.Fits(m.access, m.account); err != nil {
			return domain.Group{}, err
		}
		if err := tx.SetRoles(m.permit, cmd.Version, m.account, cmd.Roles, n.now()); err != nil {
			return domain.Group{}, err
		}
		return group(tx, who)
	})
}

// CloseAccount closes the account of a member, or the actor's own, for good.
func (n *Notebook) CloseAccount(ctx context.Context, who domain.Actor, member domain.AccountID) error {
	return n.db.InTx(ctx, func(tx *store.Tx) error {
		m, err := authorizeAbout(tx, who, member, domain.CloseAccount)
		if err != nil {
			return err
		}
		if err := m.access.FitsClosing(); err != nil {
			return err
		}
		return tx.CloseAccount(m.permit, m.account, n.now())
	})
}

// about is an account that somebody may do something to.
type about struct {
	access  domain.Access
	permit  domain.Permit
	account domain.Account
}

// authorizeAbout reads what the database says about the actor and a member,
// holds the group, and decides. A closed account can't be changed any more.
func authorizeAbout(tx *store.Tx, who domain.Actor, member domain.AccountID, action domain.Action) (about, error) {
	access, err := tx.GroupAccess(who, member)
	if err != nil {
		return about{}, err
	}
	permit, err := domain.Authorize(who, access, action)
	if err != nil {
		return about{}, err
	}
	account, err := tx.Account(member)
	if domain.KindOf(err) == domain.NotFound {
		return about{}, domain.Missing("member")
	}
	if err == nil && account.ClosedAt != nil {
		err = domain.AccountClosed()
	}
	return about{access, permit, account}, err
}

func authorizeInGroup(tx *store.Tx, who domain.Actor, action domain.Action) (domain.Permit, error) {
	access, err := tx.GroupAccess(who, 0)
	if err != nil {
		return domain.Permit{}, err
	}
	return domain.Authorize(who, access, action)
}
