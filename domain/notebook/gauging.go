package notebook

import (
	"context"

	"leat/domain"
	"leat/domain/store"
)

// Gaugings returns a page of the gaugings of a site, the one that counts first.
func (n *Notebook) Gaugings(ctx context.Context, who domain.Actor, project domain.ProjectID, page domain.Page) ([]domain.Gauging, error) {
	return read(ctx, n, func(tx *store.Tx) ([]domain.Gauging, error) { return tx.Gaugings(project, page) })
}

// RecordGauging keeps a gauging of a site; from then on it is the one that
// counts. No sheet changes. A retry with the same key returns the first one, and
// made is false.
func (n *Notebook) RecordGauging(ctx context.Context, who domain.Actor, cmd domain.RecordGauging) (g domain.Gauging, made bool, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		_, permit, err := authorize(tx, who, cmd.Project, domain.RecordSite)
		if err != nil {
			return err
		}
		if err := cmd.Validate(n.now()); err != nil {
			return err
		}
		var id domain.GaugingID
		if id, made, err = tx.RecordGauging(permit, cmd, n.now()); err != nil {
			return err
		}
		g, err = tx.Gauging(cmd.Project, id)
		return err
	})
	return g, made, err
}
