package notebook

import (
	"context"

	"leat/domain"
	"leat/domain/store"
)

// Log returns a page of the log of a project, or of one of its builds, newest
// first.
func (n *Notebook) Log(ctx context.Context, who domain.Actor, project domain.ProjectID, build *domain.BuildID, page domain.Page) (domain.Log, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Log, error) {
		access, err := tx.ReadAccess(who, project)
		if err != nil {
			return domain.Log{}, err
		}
		entries, err := tx.Log(project, build, page)
		if err == nil {
			err = shown(tx, who, access, entries)
		}
		return domain.Log{Entries: entries, Allowed: domain.AllowedInLog(who, access)}, err
	})
}

// shown fills in what the actor may do to entries of a project.
func shown(tx *store.Tx, who domain.Actor, access domain.Access, entries []domain.Entry) error {
	builders, err := tx.BuildersOfProject(access.Project)
	for i := range entries {
		access.Builders = entries[i].Builders(builders)
		entries[i].Shown(who, access)
	}
	return err
}

// entry returns one entry as the actor sees it.
func entry(tx *store.Tx, who domain.Actor, access domain.Access, id domain.EntryID) (domain.Entry, error) {
	e, err := tx.Entry(access.Project, id)
	if err != nil {
		return e, err
	}
	list := []domain.Entry{e}
	err = shown(tx, who, access, list)
	return list[0], err
}

// WriteEntry writes into the log. A retry with the same key returns the first
// entry, and made is false.
func (n *Notebook) WriteEntry(ctx context.Context, who domain.Actor, cmd domain.WriteEntry) (e domain.Entry, made bool, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		access, permit, err := authorize(tx, who, cmd.Project, domain.WriteLog)
		if err != nil {
			return err
		}
		if err := cmd.Validate(n.now()); err != nil {
			return err
		}
		id, err := tx.EntryOfKey(who.Account, cmd.Project, cmd.Key)
		made = false
		if domain.KindOf(err) == domain.NotFound {
			id, made, err = n.write(tx, permit, cmd)
		}
		if err != nil {
			return err
		}
		e, err = entry(tx, who, access, id)
		return err
	})
	return e, made, err
}

func (n *Notebook) write(tx *store.Tx, permit domain.Permit, cmd domain.WriteEntry) (domain.EntryID, bool, error) {
	if cmd.Strikes != nil {
		old, err := tx.Entry(cmd.Project, *cmd.Strikes)
		if domain.KindOf(err) == domain.NotFound {
			err = domain.Faulty([]domain.Field{{Pointer: "/strikes", Code: "unknown_value", Message: "There is no such entry in this log. Reload the page and choose again; what you typed stays."}})
		}
		if err == nil {
			err = cmd.Corrects(old)
		}
		if err != nil {
			return 0, false, err
		}
	}
	return tx.WriteEntry(permit, cmd, n.now())
}

// MarkIncident marks an entry as an incident, whoever wrote it. An entry that is
// one already stays as it is.
func (n *Notebook) MarkIncident(ctx context.Context, who domain.Actor, project domain.ProjectID, id domain.EntryID) (domain.Entry, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Entry, error) {
		access, permit, err := authorize(tx, who, project, domain.CallIncident)
		if err != nil {
			return domain.Entry{}, err
		}
		if err := tx.MarkIncident(permit, id, n.now()); err != nil {
			return domain.Entry{}, err
		}
		return entry(tx, who, access, id)
	})
}

// RestIncident signs, with the password, that an incident was harmless: a steward
// does who did not build the machine.
func (n *Notebook) RestIncident(ctx context.Context, who domain.Actor, cmd domain.RestIncident) (domain.Entry, error) {
	err := n.db.InTx(ctx, func(tx *store.Tx) error {
		access, err := tx.ReadAccess(who, cmd.Project)
		if err == nil {
			_, _, err = mayRest(tx, who, access, cmd.Entry)
		}
		if err == nil {
			err = cmd.Validate()
		}
		return err
	})
	if err != nil {
		return domain.Entry{}, err
	}
	if _, err := n.confirm(ctx, who, who.Account, cmd.Proof); err != nil {
		return domain.Entry{}, err
	}
	return read(ctx, n, func(tx *store.Tx) (domain.Entry, error) {
		access, err := tx.Access(who, cmd.Project)
		if err != nil {
			return domain.Entry{}, err
		}
		access, permit, err := mayRest(tx, who, access, cmd.Entry)
		if err != nil {
			return domain.Entry{}, err
		}
		if err := tx.RestIncident(permit, cmd, n.now()); err != nil {
			return domain.Entry{}, err
		}
		return entry(tx, who, access, cmd.Entry)
	})
}

// mayRest decides whether somebody may lay an entry to rest, as it stands.
func mayRest(tx *store.Tx, who domain.Actor, access domain.Access, id domain.EntryID) (domain.Access, domain.Permit, error) {
	e, err := tx.Entry(access.Project, id)
	if err != nil {
		return access, domain.Permit{}, err
	}
	builders, err := tx.BuildersOfProject(access.Project)
	if err != nil {
		return access, domain.Permit{}, err
	}
	access.Builders = e.Builders(builders)
	permit, err := domain.Authorize(who, access, domain.LayIncident)
	if err == nil {
		err = e.Rests()
	}
	return access, permit, err
}
