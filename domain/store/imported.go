package store

import (
	"time"

	"leat/domain"
	"leat/domain/digest"
)

type importRow struct {
	Project      int64     `gorm:"column:project_id"`
	Title        string    `gorm:"column:title"`
	Group        string    `gorm:"column:group_name"`
	WrittenAt    time.Time `gorm:"column:written_at"`
	RecordNumber int64     `gorm:"column:record_number"`
	RecordLink   []byte    `gorm:"column:record_link"`
	Digest       []byte    `gorm:"column:digest"`
	Who          int64     `gorm:"column:who"`
	Name         string    `gorm:"column:name"`
	At           time.Time `gorm:"column:at"`
}

func (r importRow) imported() domain.Import {
	i := domain.Import{
		Project: domain.ProjectID(r.Project), Title: r.Title, Group: r.Group, WrittenAt: r.WrittenAt.UTC(), Record: domain.RecordHead{Number: r.RecordNumber},
		By: domain.Person{ID: domain.AccountID(r.Who), Name: r.Name}, At: r.At.UTC(),
	}
	copy(i.Record.Sum[:], r.RecordLink)
	copy(i.Digest[:], r.Digest)
	return i
}

// imports returns what came with archives, the newest first.
func (tx *Tx) imports(condition string, args ...any) ([]domain.Import, error) {
	rows, err := all[importRow](tx, `SELECT i.project_id, p.title, i.group_name, i.written_at, i.record_number, i.record_link, i.digest, i.who, a.name, i.at
		FROM imports i JOIN projects p ON p.id = i.project_id JOIN accounts a ON a.id = i.who WHERE `+condition+" ORDER BY i.id DESC", args...)
	list := make([]domain.Import, len(rows))
	for n, r := range rows {
		list[n] = r.imported()
	}
	return list, err
}

// ImportOf says where a project came from; nil: it was begun here.
func (tx *Tx) ImportOf(project domain.ProjectID) (*domain.Import, error) {
	return first(tx.imports("i.project_id = ?", project))
}

// ImportOfKey returns what somebody brought in under a key, and nil for nothing.
func (tx *Tx) ImportOfKey(who domain.AccountID, key string) (*domain.Import, error) {
	return first(tx.imports("i.who = ? AND i.client_key = ?", who, key))
}

// ImportOfArchive returns what came of an archive before, and nil for nothing.
func (tx *Tx) ImportOfArchive(sum digest.Sum) (*domain.Import, error) {
	return first(tx.imports("i.digest = ?", sum[:]))
}

// SignedHere returns a Conflict when a revision was checked in another group.
func (tx *Tx) SignedHere(project domain.ProjectID, ref domain.RevisionRef) error {
	groups, err := all[string](tx, `SELECT m.group_name FROM revision_issues i JOIN revisions r ON r.id = i.revision_id JOIN designs d ON d.id = r.design_id
		JOIN imports m ON i.link > m.link AND i.link <= m.link + m.signed WHERE d.project_id = ? AND d.id = ? AND r.letter = ?`, project, ref.Design, ref.Letter)
	if err == nil && len(groups) > 0 {
		return domain.ClearedElsewhere(ref.Letter, groups[0])
	}
	return err
}

// TestedHere returns a Conflict when a test sheet was begun in another group.
func (tx *Tx) TestedHere(id domain.TestID) error {
	groups, err := all[string](tx, "SELECT m.group_name FROM test_sheets s JOIN imports m ON s.link > m.link AND s.link <= m.link + m.signed WHERE s.id = ?", id)
	if err == nil && len(groups) > 0 {
		return domain.TestedElsewhere(groups[0])
	}
	return err
}

func first(list []domain.Import, err error) (*domain.Import, error) {
	if err != nil || len(list) == 0 {
		return nil, err
	}
	return &list[0], nil
}
