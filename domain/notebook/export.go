package notebook

import (
	"context"

	"leat/domain"
	"leat/domain/archive"
	"leat/domain/store"
)

// Export adds to an archive everything that a project is made of, as it was at one
// moment: its rows, and each of its files under its digest.
func (n *Notebook) Export(ctx context.Context, who domain.Actor, project domain.ProjectID, to *archive.Writer) (p archive.Project, err error) {
	err = n.db.Snapshot(ctx, func(tx *store.Tx) error {
		if _, err := tx.ReadAccess(who, project); err != nil {
			return err
		}
		var blobs []store.Blob
		if p, blobs, err = tx.Archive(project, n.now()); err != nil {
			return err
		}
		for _, b := range blobs {
			name := archive.Files + "/" + b.Digest
			if to.Has(name) {
				continue
			}
			content, err := tx.BlobBytes(b)
			if err != nil {
				return err
			}
			if err := to.Add(name, content); err != nil {
				return err
			}
		}
		return to.AddJSON(archive.Rows, p)
	})
	return p, err
}
