package store

import (
	"encoding/json"
	"fmt"
	"time"

	"leat/domain"
)

// addAct writes down what the holder of a permit does, in the transaction that
// does it and before it is done, as a link of the record.
func (tx *Tx) addAct(permit domain.Permit, kind domain.ActKind, now time.Time, before, after domain.ActFacts) error {
	return tx.addActOf(permit.Account(), permit.About(), kind, now, before, after)
}

// addActOf is addAct for those who act by a code. About is 0 for nobody.
func (tx *Tx) addActOf(who, about domain.AccountID, kind domain.ActKind, now time.Time, before, after domain.ActFacts) error {
	b, err := json.Marshal(before)
	if err != nil {
		return fmt.Errorf("store: act: %w", err)
	}
	a, err := json.Marshal(after)
	if err != nil {
		return fmt.Errorf("store: act: %w", err)
	}
	return tx.sign(signature{kind: domain.LinkAct, who: who, at: now}, func(link int64) error {
		_, err := run(tx, "INSERT INTO acts (kind, at, who, about, before, after, link) VALUES (?, ?, ?, nullif(?, 0), ?, ?, ?)",
			kind, now, who, about, string(b), string(a), link)
		return err
	})
}

type actRow struct {
	ID        int64     `gorm:"column:id"`
	Kind      string    `gorm:"column:kind"`
	At        time.Time `gorm:"column:at"`
	Who       int64     `gorm:"column:who"`
	WhoName   string    `gorm:"column:who_name"`
	About     *int64    `gorm:"column:about"`
	AboutName *string   `gorm:"column:about_name"`
	Before    []byte    `gorm:"column:before"`
	After     []byte    `gorm:"column:after"`
}

func (r actRow) act() (domain.Act, error) {
	a := domain.Act{
		ID: r.ID, Kind: domain.ActKind(r.Kind), At: r.At.UTC(), By: domain.Person{ID: domain.AccountID(r.Who), Name: r.WhoName},
	}
	if r.About != nil && r.AboutName != nil {
		a.About = &domain.Person{ID: domain.AccountID(*r.About), Name: *r.AboutName}
	}
	if err := json.Unmarshal(r.Before, &a.Before); err != nil {
		return a, fmt.Errorf("store: act %d: %w", r.ID, err)
	}
	if err := json.Unmarshal(r.After, &a.After); err != nil {
		return a, fmt.Errorf("store: act %d: %w", r.ID, err)
	}
	return a, nil
}

// Acts returns a page of what was done about people and the group, newest first.
func (tx *Tx) Acts(page domain.Page) ([]domain.Act, error) {
	rows, err := all[actRow](tx, `SELECT x.id, x.kind, x.at, x.who, w.name AS who_name, x.about, o.name AS about_name, x.before, x.after
		FROM acts x JOIN accounts w ON w.id = x.who LEFT JOIN accounts o ON o.id = x.about
		WHERE `+newest("x.id", page), below(page))
	if err != nil {
		return nil, err
	}
	acts := make([]domain.Act, len(rows))
	for i, r := range rows {
		if acts[i], err = r.act(); err != nil {
			return nil, err
		}
	}
	return acts, nil
}
