package notebook

import (
	"context"

	"leat/domain"
	"leat/domain/store"
)

// Projects returns a page of all projects, newest first.
func (n *Notebook) Projects(ctx context.Context, who domain.Actor, page domain.Page) ([]domain.Project, error) {
	return read(ctx, n, func(tx *store.Tx) ([]domain.Project, error) { return tx.Projects(page) })
}

// Project returns a project with its site and its designs, each with the head
// of its newest sheet.
func (n *Notebook) Project(ctx context.Context, who domain.Actor, id domain.ProjectID) (domain.Project, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Project, error) { return project(tx, who, id) })
}

// StartProject makes a project, with an empty site and the actor as its crew.
// A retry with the same key returns the first one, and made is false.
func (n *Notebook) StartProject(ctx context.Context, who domain.Actor, cmd domain.StartProject) (p domain.Project, made bool, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) (err error) {
		p, made, err = n.startProject(tx, who, cmd)
		return err
	})
	return p, made, err
}

func (n *Notebook) startProject(tx *store.Tx, who domain.Actor, cmd domain.StartProject) (domain.Project, bool, error) {
	access, err := tx.AccountAccess(who)
	if err != nil {
		return domain.Project{}, false, err
	}
	permit, err := domain.Authorize(who, access, domain.BeginProject)
	if err != nil {
		return domain.Project{}, false, err
	}
	if err := cmd.Validate(); err != nil {
		return domain.Project{}, false, err
	}
	id, made, err := tx.StartProject(permit, cmd, n.now())
	if err != nil {
		return domain.Project{}, false, err
	}
	p, err := project(tx, who, id)
	return p, made, err
}

// ChangeProject changes the title or the purpose of a project, closes it or
// opens it again.
func (n *Notebook) ChangeProject(ctx context.Context, who domain.Actor, cmd domain.ChangeProject) (domain.Project, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Project, error) {
		access, permit, err := authorize(tx, who, cmd.Project, domain.AlterProject)
		if err != nil {
			return domain.Project{}, err
		}
		if err := cmd.Validate(); err != nil {
			return domain.Project{}, err
		}
		if access.Closed && !cmd.Reopens() {
			return domain.Project{}, domain.ProjectClosed()
		}
		if err := tx.ChangeProject(permit, cmd, n.now()); err != nil {
			return domain.Project{}, err
		}
		return project(tx, who, cmd.Project)
	})
}

// Site returns the site of a project.
func (n *Notebook) Site(ctx context.Context, who domain.Actor, id domain.ProjectID) (domain.Site, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Site, error) {
		s, err := tx.Site(id)
		if err != nil {
			return domain.Site{}, err
		}
		access, err := tx.ReadAccess(who, id)
		s.Allowed = domain.Allowed(who, access)
		return s, err
	})
}

// DescribeSite replaces all facts of the site of a project.
func (n *Notebook) DescribeSite(ctx context.Context, who domain.Actor, cmd domain.DescribeSite) (domain.Site, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Site, error) { return n.describeSite(tx, who, cmd) })
}

func (n *Notebook) describeSite(tx *store.Tx, who domain.Actor, cmd domain.DescribeSite) (domain.Site, error) {
	access, permit, err := authorize(tx, who, cmd.Project, domain.RecordSite)
	if err != nil {
		return domain.Site{}, err
	}
	if err := cmd.Validate(); err != nil {
		return domain.Site{}, err
	}
	if err := tx.DescribeSite(permit, cmd, n.now()); err != nil {
		return domain.Site{}, err
	}
	s, err := tx.Site(cmd.Project)
	s.Allowed = domain.Allowed(who, access)
	return s, err
}

// project returns a project with what the actor may do to it and to its parts.
func project(tx *store.Tx, who domain.Actor, id domain.ProjectID) (domain.Project, error) {
	p, err := tx.Project(id)
	if err != nil {
		return domain.Project{}, err
	}
	p.Allowed = domain.Allowed(who, p.Access(who))
	p.Site.Allowed = p.Allowed
	for i := range p.Designs {
		p.Designs[i].Allowed = p.Designs[i].Allows(who.Account, p.Allowed)
	}
	return p, nil
}

// authorize reads what the database says about the actor and a project, holds
// the project, and decides.
func authorize(tx *store.Tx, who domain.Actor, id domain.ProjectID, action domain.Action) (domain.Access, domain.Permit, error) {
	access, err := tx.Access(who, id)
	if err != nil {
		return domain.Access{}, domain.Permit{}, err
	}
	permit, err := domain.Authorize(who, access, action)
	return access, permit, err
}
