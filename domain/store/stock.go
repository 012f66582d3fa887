package store

import (
	"time"

	"leat/domain"
)

type stockRow struct {
	ID        int64     `gorm:"column:id"`
	Key       string    `gorm:"column:key"`
	ForSale   bool      `gorm:"column:for_sale"`
	LengthM   *float64  `gorm:"column:length_m"`
	Quantity  *int      `gorm:"column:quantity"`
	KerfM     *float64  `gorm:"column:kerf_m"`
	TrimM     *float64  `gorm:"column:trim_m"`
	Price     *int64    `gorm:"column:price"`
	Note      string    `gorm:"column:note"`
	Version   int64     `gorm:"column:version"`
	ChangedBy int64     `gorm:"column:changed_by"`
	ChangedAt time.Time `gorm:"column:changed_at"`
	Changer   string    `gorm:"column:changer"`
}

const stockQuery = `SELECT s.id, s.key, s.for_sale, s.length_m, s.quantity, s.kerf_m, s.trim_m, s.price, s.note, s.version,
	s.changed_by, s.changed_at, a.name AS changer FROM stock_items s JOIN accounts a ON a.id = s.changed_by`

func (r stockRow) item() domain.StockItem {
	return domain.StockItem{
		ID: domain.StockItemID(r.ID), Version: r.Version, ChangedAt: r.ChangedAt.UTC(),
		ChangedBy: domain.Person{ID: domain.AccountID(r.ChangedBy), Name: r.Changer},
		StockFacts: domain.StockFacts{
			Key: r.Key, ForSale: r.ForSale, LengthM: r.LengthM, Quantity: r.Quantity, KerfM: r.KerfM, TrimM: r.TrimM, Price: r.Price, Note: r.Note,
		},
	}
}

// Stock returns the whole stock list: things of one key together, what is on
// the shelf first, the longest pieces first.
func (tx *Tx) Stock() ([]domain.StockItem, error) {
	rows, err := all[stockRow](tx, stockQuery+" ORDER BY s.key, s.for_sale, s.length_m DESC, s.id")
	list := make([]domain.StockItem, len(rows))
	for i, r := range rows {
		list[i] = r.item()
	}
	return list, err
}

// StockItem returns one line of the stock list.
func (tx *Tx) StockItem(id domain.StockItemID) (domain.StockItem, error) {
	row, err := one[stockRow](tx, "line of the stock list", stockQuery+" WHERE s.id = ?", id)
	return row.item(), err
}

// RecordStock adds a line. When the client's key was used before it returns the
// line of that time, and made is false. It returns a Conflict when the list is
// full, or says already how this thing is sold.
func (tx *Tx) RecordStock(permit domain.Permit, cmd domain.RecordStock, now time.Time) (id domain.StockItemID, made bool, err error) {
	if err := permit.For(domain.KeepStock); err != nil {
		return 0, false, err
	}
	f, who := cmd.Facts, permit.Account()
	ids, err := all[domain.StockItemID](tx, `INSERT INTO stock_items
			(key, for_sale, length_m, quantity, kerf_m, trim_m, price, note, recorded_by, recorded_at, changed_by, changed_at, client_key, version)
		SELECT ?, ?, ?::float8, ?::int, ?::float8, ?::float8, ?::bigint, ?, ?::bigint, ?::timestamptz, ?::bigint, ?::timestamptz, ?, 1
		WHERE (SELECT count(*) FROM stock_items) < ? ON CONFLICT (recorded_by, client_key) DO NOTHING RETURNING id`,
		f.Key, f.ForSale, f.LengthM, f.Quantity, f.KerfM, f.TrimM, f.Price, f.Note, who, now, who, now, cmd.Key, domain.StockMost)
	if err != nil {
		return 0, false, err
	}
	if len(ids) == 1 {
		return ids[0], true, nil
	}
	id, err = one[domain.StockItemID](tx, "line of the stock list", "SELECT id FROM stock_items WHERE recorded_by = ? AND client_key = ?", who, cmd.Key)
	if domain.KindOf(err) == domain.NotFound {
		err = domain.StockFull()
	}
	return id, false, err
}

// CorrectStock replaces what a line says. It returns a Stale error when
// somebody changed it since it was read.
func (tx *Tx) CorrectStock(permit domain.Permit, cmd domain.CorrectStock, now time.Time) error {
	if err := permit.For(domain.KeepStock); err != nil {
		return err
	}
	f := cmd.Facts
	n, err := run(tx, `UPDATE stock_items SET version = version + 1, key = ?, for_sale = ?, length_m = ?, quantity = ?,
			kerf_m = ?, trim_m = ?, price = ?, note = ?, changed_by = ?, changed_at = ?
		WHERE id = ? AND version = ?`,
		f.Key, f.ForSale, f.LengthM, f.Quantity, f.KerfM, f.TrimM, f.Price, f.Note, permit.Account(), now, cmd.Item, cmd.Version)
	return tx.changedStock(cmd.Item, n, err)
}

// RemoveStock takes a line out. It returns a Stale error when somebody changed
// it since it was read.
func (tx *Tx) RemoveStock(permit domain.Permit, cmd domain.RemoveStock) error {
	if err := permit.For(domain.KeepStock); err != nil {
		return err
	}
	n, err := run(tx, "DELETE FROM stock_items WHERE id = ? AND version = ?", cmd.Item, cmd.Version)
	return tx.changedStock(cmd.Item, n, err)
}

func (tx *Tx) changedStock(id domain.StockItemID, n int64, err error) error {
	if err != nil || n == 1 {
		return err
	}
	if _, err := tx.StockItem(id); err != nil {
		return err
	}
	return domain.Outdated("stock")
}
