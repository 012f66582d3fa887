package store

import (
	"time"

	"leat/domain"
)

type approvalRow struct {
	Number int64     `gorm:"column:number"`
	Role   string    `gorm:"column:role"`
	Who    int64     `gorm:"column:who"`
	Name   string    `gorm:"column:name"`
	At     time.Time `gorm:"column:at"`
}

// approvals returns the signatures under proposals of one table, by their
// numbers.
func (tx *Tx) approvals(table, column string, numbers []int64) (map[int64]domain.Approvals, error) {
	signed := map[int64]domain.Approvals{}
	if len(numbers) == 0 {
		return signed, nil
	}
	rows, err := all[approvalRow](tx, "SELECT g."+column+" AS number, g.role, g.who, a.name, g.at FROM "+table+" g JOIN accounts a ON a.id = g.who WHERE g."+column+" IN ? ORDER BY g.at, g.link", numbers)
	for _, r := range rows {
		signed[r.Number] = append(signed[r.Number], domain.Approval{
			Role: domain.ApprovalRole(r.Role), By: domain.Person{ID: domain.AccountID(r.Who), Name: r.Name}, At: r.At.UTC(),
		})
	}
	return signed, err
}

// stewards returns who is steward, by name.
func (tx *Tx) stewards() ([]domain.Person, error) {
	return tx.people("SELECT id, name FROM accounts WHERE steward AND closed_at IS NULL ORDER BY lower(name), id")
}

// MemberCount returns how many members the group has.
func (tx *Tx) MemberCount() (int, error) {
	return one[int](tx, "group", "SELECT count(*) FROM accounts WHERE closed_at IS NULL")
}
