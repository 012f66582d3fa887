package notebook

import (
	"context"

	"leat/domain"
	"leat/domain/digest"
	"leat/domain/store"
)

// VerifyRecord proves that nothing signed was changed since, and returns where
// the record ends, or a [domain.BrokenRecord] that names the first link that
// does not hold. Given the sum of a link from paper, it demands that the record
// goes through it.
func (n *Notebook) VerifyRecord(ctx context.Context, paper *digest.Sum) (domain.RecordHead, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.RecordHead, error) {
		head, err := tx.VerifyRecord()
		if err != nil || paper == nil {
			return head, err
		}
		_, err = tx.LinkOf(*paper)
		if domain.KindOf(err) == domain.NotFound {
			err = domain.BrokenRecord{Number: head.Number + 1, Kind: "end", What: "the link on the paper is not in it: its end was cut off, or it is the record of another notebook"}
		}
		return head, err
	})
}

// Links returns a page of the record, newest first.
func (n *Notebook) Links(ctx context.Context, _ domain.Actor, page domain.Page) ([]domain.Link, error) {
	return read(ctx, n, func(tx *store.Tx) ([]domain.Link, error) { return tx.Links(page) })
}
