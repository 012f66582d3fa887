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

// StartDesign makes a design with revision A in state draft. A retry with the
// same key returns the first one, and made is false.
func (n *Notebook) StartDesign(ctx context.Context, who domain.Actor, cmd domain.StartDesign) (d domain.Design, made bool, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) (err error) {
		d, made, err = n.startDesign(tx, who, cmd)
		return err
	})
	return d, made, err
}

func (n *Notebook) startDesign(tx *store.Tx, who domain.Actor, cmd domain.StartDesign) (domain.Design, bool, error) {
	_, permit, err := authorize(tx, who, cmd.Project, domain.BeginDesign)
	if err != nil {
		return domain.Design{}, false, err
	}
	if err := cmd.Validate(); err != nil {
		return domain.Design{}, false, err
	}
	id, made, err := tx.StartDesign(permit, cmd, n.now())
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
	d.Allowed = d.Allows(domain.Allowed(who, access))
	return d, err
}
