package notebook

import (
	"context"
	"crypto/sha256"
	"fmt"
	"io"

	"leat/domain"
	"leat/domain/archive"
	"leat/domain/store"
)

// MayImport returns why somebody may not bring a project in, or nil.
func (n *Notebook) MayImport(ctx context.Context, who domain.Actor) error {
	return n.db.InTx(ctx, func(tx *store.Tx) error {
		_, err := authorizeInGroup(tx, who, domain.BringIn)
		return err
	})
}

// ImportProject brings in a project that another group took along: all of it, or
// nothing. The archive is looked through as a whole first. A retry with the same key
// returns the first one, and made is false.
func (n *Notebook) ImportProject(ctx context.Context, who domain.Actor, cmd domain.ImportProject, from io.ReaderAt, size int64) (p domain.Project, made bool, err error) {
	before, err := n.mayImport(ctx, who, &cmd)
	if err != nil {
		return p, false, err
	}
	if _, err := n.confirm(ctx, who, who.Account, cmd.Proof); err != nil {
		return p, false, err
	}
	if before != nil {
		p, err = n.Project(ctx, who, before.Project)
		return p, false, err
	}
	if err := n.moving.take(ctx); err != nil {
		return p, false, err
	}
	defer n.moving.end()
	sum := sha256.New()
	if _, err := io.Copy(sum, io.NewSectionReader(from, 0, size)); err != nil {
		return p, false, fmt.Errorf("notebook: read an archive: %w", err)
	}
	cmd.Digest = [sha256.Size]byte(sum.Sum(nil))
	whole, err := archive.Open(from, size, archive.Usual)
	if err != nil {
		return p, false, err
	}
	rows, err := whole.Project(store.SchemaVersion)
	if err != nil {
		return p, false, err
	}
	if err := n.lookAtFiles(ctx, rows, whole); err != nil {
		return p, false, err
	}
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		p, made, err = n.bringIn(tx, who, cmd, whole, rows)
		return err
	})
	return p, made, err
}

// mayImport decides, and returns what a retry brought in before.
func (n *Notebook) mayImport(ctx context.Context, who domain.Actor, cmd *domain.ImportProject) (*domain.Import, error) {
	return read(ctx, n, func(tx *store.Tx) (*domain.Import, error) {
		if _, err := authorizeInGroup(tx, who, domain.BringIn); err != nil {
			return nil, err
		}
		if err := cmd.Validate(); err != nil {
			return nil, err
		}
		return tx.ImportOfKey(who.Account, cmd.Key)
	})
}

func (n *Notebook) bringIn(tx *store.Tx, who domain.Actor, cmd domain.ImportProject, whole *archive.Reader, rows archive.Project) (p domain.Project, made bool, err error) {
	permit, err := authorizeInGroup(tx, who, domain.BringIn)
	if err != nil {
		return p, false, err
	}
	before, err := tx.ImportOfKey(who.Account, cmd.Key)
	if err != nil {
		return p, false, err
	}
	if before != nil {
		p, err = project(tx, who, before.Project)
		return p, false, err
	}
	if before, err = tx.ImportOfArchive(cmd.Digest); err != nil {
		return p, false, err
	}
	if before != nil && !cmd.Again {
		return p, false, domain.ImportedBefore(*before)
	}
	id, err := tx.Import(permit, cmd, rows, whole.Blob, n.now())
	if err != nil {
		return p, false, err
	}
	p, err = project(tx, who, id)
	return p, true, err
}
