package notebook

import (
	"context"
	"errors"
	"fmt"

	"leat/calc"
	"leat/domain"
	"leat/domain/store"
)

// Recalculate answers every issued sheet of an older calculation, or of an older
// set of coefficients, with those that answer now, beside the old answer, and
// tells how many it answered. A sheet that it fails at is passed over; the errors
// are returned together at the end. It may be ended and begun again at any time.
func (n *Notebook) Recalculate(ctx context.Context) (done int, err error) {
	for at := int64(0); ctx.Err() == nil; {
		revision, s, failure := n.dueAfter(ctx, at)
		if failure != nil || revision == 0 {
			return done, errors.Join(err, failure)
		}
		if failure := n.recalculate(ctx, revision, s); failure != nil {
			err = errors.Join(err, fmt.Errorf("notebook: recalculate sheet %s.%d of design %d: %w", s.Letter, s.Number, s.Design, failure))
		} else {
			done++
		}
		at = revision
	}
	return done, errors.Join(err, ctx.Err())
}

func (n *Notebook) dueAfter(ctx context.Context, after int64) (revision int64, s domain.Sheet, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		set, err := tx.SetInForce()
		if err != nil {
			return err
		}
		revision, s, err = tx.ToRecalculate(calc.Version, set.Name, after)
		return err
	})
	return revision, s, err
}

// recalculate answers one sheet. No handler of a request stands above it, so that
// a panic would end the server; it becomes an error instead.
func (n *Notebook) recalculate(ctx context.Context, revision int64, s domain.Sheet) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic: %v", p)
		}
	}()
	fresh, err := n.report(ctx, s.Input)
	if err != nil {
		return err
	}
	again := domain.Recalculated{Revision: revision, Report: fresh, Differs: domain.Differs(s.Report, fresh), At: n.now()}
	return n.db.InTx(ctx, func(tx *store.Tx) error { return tx.Recalculated(again) })
}
