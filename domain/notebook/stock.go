package notebook

import (
	"context"

	"leat/calc/build"
	"leat/domain"
	"leat/domain/store"
)

// Stock returns the whole stock list of the group.
func (n *Notebook) Stock(ctx context.Context, who domain.Actor) ([]domain.StockItem, error) {
	return read(ctx, n, (*store.Tx).Stock)
}

// RecordStock adds a line to the stock list. A retry with the same key returns
// the first one, and made is false.
func (n *Notebook) RecordStock(ctx context.Context, who domain.Actor, cmd domain.RecordStock) (item domain.StockItem, made bool, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		permit, err := mayKeepStock(tx, who)
		if err != nil {
			return err
		}
		if err := cmd.Validate(); err != nil {
			return err
		}
		var id domain.StockItemID
		if id, made, err = tx.RecordStock(permit, cmd, n.now()); err != nil {
			return err
		}
		item, err = tx.StockItem(id)
		return err
	})
	return item, made, err
}

// CorrectStock replaces what a line of the stock list says.
func (n *Notebook) CorrectStock(ctx context.Context, who domain.Actor, cmd domain.CorrectStock) (domain.StockItem, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.StockItem, error) {
		permit, err := mayKeepStock(tx, who)
		if err != nil {
			return domain.StockItem{}, err
		}
		if err := cmd.Validate(); err != nil {
			return domain.StockItem{}, err
		}
		if err := tx.CorrectStock(permit, cmd, n.now()); err != nil {
			return domain.StockItem{}, err
		}
		return tx.StockItem(cmd.Item)
	})
}

// RemoveStock takes a line out of the stock list.
func (n *Notebook) RemoveStock(ctx context.Context, who domain.Actor, cmd domain.RemoveStock) error {
	return n.db.InTx(ctx, func(tx *store.Tx) error {
		permit, err := mayKeepStock(tx, who)
		if err != nil {
			return err
		}
		return tx.RemoveStock(permit, cmd)
	})
}

func mayKeepStock(tx *store.Tx, who domain.Actor) (domain.Permit, error) {
	access, err := tx.AccountAccess(who)
	if err != nil {
		return domain.Permit{}, err
	}
	return domain.Authorize(who, access, domain.KeepStock)
}

// Cuts holds what a saved sheet needs against the stock list as it is now. A
// sheet without described parts needs nothing.
func (n *Notebook) Cuts(ctx context.Context, who domain.Actor, project domain.ProjectID, design domain.DesignID, letter string, number int, saw domain.Saw) (domain.Cuts, error) {
	var needs build.Materials
	var barred []string
	var stock []domain.StockItem
	err := n.db.InTx(ctx, func(tx *store.Tx) error {
		s, err := tx.Sheet(project, design, letter, number)
		if err != nil {
			return err
		}
		if s.Report.Materials != nil {
			needs = *s.Report.Materials
		}
		barred = s.Report.Build.Barred()
		stock, err = tx.Stock()
		return err
	})
	if err == nil {
		err = n.drawing.take(ctx) // a plan of many pieces keeps a processor busy
	}
	if err != nil {
		return domain.Cuts{}, err
	}
	defer n.drawing.end()
	cuts, err := domain.PlanCuts(needs, stock, saw)
	cuts.Barred = barred
	return cuts, err
}
