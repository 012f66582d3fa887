package notebook

import (
	"context"

	"leat/domain"
	"leat/domain/store"
)

// Design returns a design with its open revision and its newest sheet in full.
func (n *Notebook) Design(ctx context.Context, who domain.Actor, project domain.ProjectID, id domain.DesignID) (domain.Design, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Design, error) { return design(tx, who, project, id) })
}

// StartDesign makes a design with revision A in state draft, with a copy of the
// named sheet as its first. A retry with the same key returns the first one, and
// made is false.
func (n *Notebook) StartDesign(ctx context.Context, who domain.Actor, cmd domain.StartDesign) (d domain.Design, made bool, err error) {
	var first *domain.Sheet
	if cmd.From != nil {
		if first, err = n.copied(ctx, who, cmd.Project, 0, *cmd.From, domain.BeginDesign); err != nil {
			return domain.Design{}, false, err
		}
	}
	err = n.db.InTx(ctx, func(tx *store.Tx) (err error) {
		d, made, err = n.startDesign(tx, who, cmd, first)
		return err
	})
	return d, made, err
}

func (n *Notebook) startDesign(tx *store.Tx, who domain.Actor, cmd domain.StartDesign, first *domain.Sheet) (domain.Design, bool, error) {
	_, permit, err := authorize(tx, who, cmd.Project, domain.BeginDesign)
	if err != nil {
		return domain.Design{}, false, err
	}
	if err := cmd.Validate(); err != nil {
		return domain.Design{}, false, err
	}
	id, made, err := tx.StartDesign(permit, cmd, first, n.now())
	if err != nil {
		return domain.Design{}, false, err
	}
	d, err := design(tx, who, cmd.Project, id)
	return d, made, err
}

// design returns a design with what the actor may do to it.
func design(tx *store.Tx, who domain.Actor, project domain.ProjectID, id domain.DesignID) (domain.Design, error) {
	d, err := tx.Design(project, id)
	if err != nil {
		return domain.Design{}, err
	}
	access, err := tx.ReadAccess(who, project)
	d.Allowed = d.Allows(who.Account, domain.Allowed(who, access))
	return d, err
}
