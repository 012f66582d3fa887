package store

import (
	"encoding/json"
	"fmt"
	"time"

	"leat/domain"
)

type testEntryRow struct {
	ID       int64      `gorm:"column:id"`
	Item     string     `gorm:"column:item"`
	Role     string     `gorm:"column:role"`
	Recorded string     `gorm:"column:recorded"`
	Outcome  string     `gorm:"column:outcome"`
	Why      string     `gorm:"column:why"`
	Who      int64      `gorm:"column:who"`
	Name     string     `gorm:"column:name"`
	SentBy   int64      `gorm:"column:sent_by"`
	Sender   string     `gorm:"column:sender"`
	At       time.Time  `gorm:"column:at"`
	DeviceAt *time.Time `gorm:"column:device_at"`
	PaperAt  *time.Time `gorm:"column:paper_at"`
	File     *int64     `gorm:"column:paper_file"`
}

func (r testEntryRow) entry() (domain.TestEntry, error) {
	e := domain.TestEntry{
		ID: domain.TestEntryID(r.ID), Item: r.Item, Role: r.Role, Outcome: r.Outcome, Why: r.Why, At: r.At.UTC(), DeviceAt: utc(r.DeviceAt),
		Who: domain.Person{ID: domain.AccountID(r.Who), Name: r.Name}, SentBy: domain.Person{ID: domain.AccountID(r.SentBy), Name: r.Sender},
	}
	if r.PaperAt != nil {
		e.Paper = &domain.Paper{At: r.PaperAt.UTC(), File: *r.File}
	}
	if err := json.Unmarshal([]byte(r.Recorded), &e.Values); err != nil {
		return e, fmt.Errorf("store: decode entry: %w", err)
	}
	return e, nil
}

// attemptsMost is how many attempts of a test sheet are shown: the newest.
const attemptsMost = 200

// testEntries returns what was recorded on a test sheet, in the order in which it
// was: all that counts, and the newest attempts.
func (tx *Tx) testEntries(sheet domain.TestID) ([]domain.TestEntry, error) {
	rows, err := all[testEntryRow](tx, `SELECT e.id, e.item, e.role, e.recorded, e.outcome, e.why, e.who, a.name, e.sent_by, d.name AS sender, e.at, e.device_at, e.paper_at, e.paper_file
		FROM test_entries e JOIN accounts a ON a.id = e.who JOIN accounts d ON d.id = e.sent_by
		WHERE e.sheet_id = ? AND (e.outcome <> 'attempt' OR e.id IN (SELECT id FROM test_entries WHERE sheet_id = ? AND outcome = 'attempt' ORDER BY id DESC`+limit(attemptsMost)+`))
		ORDER BY e.id`, sheet, sheet)
	list := make([]domain.TestEntry, len(rows))
	for i, r := range rows {
		if err == nil {
			list[i], err = r.entry()
		}
	}
	return list, err
}

type testSignatureRow struct {
	Sheet    int64      `gorm:"column:sheet_id"`
	Entry    int64      `gorm:"column:entry_id"`
	Item     string     `gorm:"column:item"`
	Role     string     `gorm:"column:role"`
	Who      int64      `gorm:"column:who"`
	Name     string     `gorm:"column:name"`
	SentBy   int64      `gorm:"column:sent_by"`
	Sender   string     `gorm:"column:sender"`
	At       time.Time  `gorm:"column:at"`
	DeviceAt *time.Time `gorm:"column:device_at"`
	How      string     `gorm:"column:how"`
}

func (r testSignatureRow) signature() domain.TestSignature {
	return domain.TestSignature{
		Entry: domain.TestEntryID(r.Entry), Item: r.Item, Role: r.Role, At: r.At.UTC(), DeviceAt: utc(r.DeviceAt), How: domain.SignedBy(r.How),
		Who: domain.Person{ID: domain.AccountID(r.Who), Name: r.Name}, SentBy: domain.Person{ID: domain.AccountID(r.SentBy), Name: r.Sender},
	}
}

func (tx *Tx) testSignatureRows(sheets []int64) ([]testSignatureRow, error) {
	if len(sheets) == 0 {
		return nil, nil
	}
	return all[testSignatureRow](tx, `SELECT g.sheet_id, g.entry_id, g.item, g.role, g.who, a.name, g.sent_by, d.name AS sender, g.at, g.device_at, g.how
		FROM test_signatures g JOIN accounts a ON a.id = g.who JOIN accounts d ON d.id = g.sent_by WHERE g.sheet_id IN ? ORDER BY g.id`, sheets)
}

// testSignatures returns the signatures on test sheets, in the order in which
// they were given.
func (tx *Tx) testSignatures(sheets []int64) ([]domain.TestSignature, error) {
	rows, err := tx.testSignatureRows(sheets)
	list := make([]domain.TestSignature, len(rows))
	for i, r := range rows {
		list[i] = r.signature()
	}
	return list, err
}

// RecordedItem tells whether a member's device has recorded something that counts
// on a test sheet with a client's key.
func (tx *Tx) RecordedItem(who domain.AccountID, t domain.Test, key string) (bool, error) {
	return tx.keyedOn(t, "SELECT sheet_id FROM test_entries WHERE sent_by = ? AND client_key = ? AND outcome <> 'attempt'", who, key)
}

// SignedItem tells whether a member's device has sent a signature on a test sheet
// with a client's key.
func (tx *Tx) SignedItem(who domain.AccountID, t domain.Test, key string) (bool, error) {
	return tx.keyedOn(t, "SELECT sheet_id FROM test_signatures WHERE sent_by = ? AND client_key = ?", who, key)
}

func (tx *Tx) keyedOn(t domain.Test, query string, args ...any) (bool, error) {
	sheets, err := all[domain.TestID](tx, query, args...)
	if err != nil || len(sheets) == 0 {
		return false, err
	}
	if sheets[0] != t.ID {
		return false, keyUsed("an item of another test sheet", "sign it again")
	}
	return true, nil
}

// KeptItem is what is kept of a record or a signature, whatever became of it.
type KeptItem struct {
	Judged   domain.Judged
	Signer   domain.AccountID
	How      domain.SignedBy
	DeviceAt *time.Time
	At       time.Time
	Key      string
}

// RecordItem keeps what was recorded for an item: with its first signature where
// it is met, as what ended the test where it failed, else as an attempt.
func (tx *Tx) RecordItem(permit domain.Permit, t domain.Test, cmd domain.RecordItem, k KeptItem) error {
	if err := permit.For(domain.SignTest); err != nil {
		return err
	}
	if k.Judged.Refused != nil {
		return tx.addAttempt(permit, t, cmd, k)
	}
	id, err := tx.addTestEntry(permit, t, cmd, k)
	if err != nil {
		return err
	}
	if k.Judged.Why == "" {
		return tx.addSignature(permit, t, domain.TestEntry{ID: id, Item: cmd.Item}, cmd.Sign.Role, k)
	}
	task, err := t.Item(cmd.Item)
	if err != nil {
		return err
	}
	s := signature{kind: domain.LinkNonconformance, who: k.Signer, project: permit.Project(), at: k.At}
	err = tx.sign(s, func(link int64) error {
		_, err := run(tx, "INSERT INTO nonconformances (entry_id, sheet_id, item, text, who, at, link) VALUES (?, ?, ?, ?, ?, ?, ?)",
			id, t.ID, cmd.Item, domain.NonconformanceText(task, k.Judged.Why), k.Signer, k.At, link)
		return err
	})
	if err != nil {
		return err
	}
	return tx.EndTest(permit, t.ID, domain.TestFailed, k.At)
}

func (tx *Tx) addTestEntry(permit domain.Permit, t domain.Test, cmd domain.RecordItem, k KeptItem) (domain.TestEntryID, error) {
	recorded, err := json.Marshal(cmd.Values)
	if err != nil {
		return 0, fmt.Errorf("store: encode entry: %w", err)
	}
	var at *time.Time
	var file *int64
	if cmd.Paper != nil {
		at, file = &cmd.Paper.At, &cmd.Paper.File
	}
	return one[domain.TestEntryID](tx, "entry", `INSERT INTO test_entries (sheet_id, item, role, recorded, outcome, why, who, sent_by, at, device_at, paper_at, paper_file, client_key)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) RETURNING id`,
		t.ID, cmd.Item, cmd.Sign.Role, string(recorded), k.Judged.Outcome, k.Judged.Why, k.Signer, permit.Account(), k.At, k.DeviceAt, at, file, k.Key)
}

// addAttempt keeps what was refused, once however often it is sent.
func (tx *Tx) addAttempt(permit domain.Permit, t domain.Test, cmd domain.RecordItem, k KeptItem) error {
	recorded, err := json.Marshal(cmd.Values)
	if err != nil {
		return fmt.Errorf("store: encode entry: %w", err)
	}
	there, err := tx.exists(`SELECT 1 FROM test_entries WHERE sheet_id = ? AND sent_by = ? AND client_key = ? AND who = ? AND role = ? AND why = ? AND recorded = ?::jsonb`,
		t.ID, permit.Account(), k.Key, k.Signer, cmd.Sign.Role, k.Judged.Why, string(recorded))
	if err != nil || there {
		return err
	}
	if _, err := tx.addTestEntry(permit, t, cmd, k); err != nil {
		return err
	}
	return tx.bumpTest(t.ID)
}

// SignItem keeps a signature under what was recorded for an item, or an attempt
// at one.
func (tx *Tx) SignItem(permit domain.Permit, t domain.Test, e domain.TestEntry, cmd domain.SignItem, k KeptItem) error {
	if err := permit.For(domain.SignTest); err != nil {
		return err
	}
	if k.Judged.Refused != nil {
		return tx.addAttempt(permit, t, domain.RecordItem{Item: e.Item, Values: e.Values, Sign: cmd.Sign}, k)
	}
	return tx.addSignature(permit, t, e, cmd.Sign.Role, k)
}

func (tx *Tx) addSignature(permit domain.Permit, t domain.Test, e domain.TestEntry, role string, k KeptItem) error {
	s := signature{kind: domain.LinkTestSigned, who: k.Signer, project: permit.Project(), at: k.At}
	err := tx.sign(s, func(link int64) error {
		_, err := run(tx, `INSERT INTO test_signatures (entry_id, sheet_id, item, role, who, sent_by, at, device_at, how, client_key, link)
			VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`, e.ID, t.ID, e.Item, role, k.Signer, permit.Account(), k.At, k.DeviceAt, k.How, k.Key, link)
		return err
	})
	if err != nil {
		return err
	}
	return tx.bumpTest(t.ID)
}

// Pictures returns which of these files are pictures of a project that are there
// to be seen.
func (tx *Tx) Pictures(project domain.ProjectID, files []int64) (map[int64]string, error) {
	type pictureRow struct {
		ID     int64  `gorm:"column:id"`
		Digest string `gorm:"column:digest"`
	}
	there := map[int64]string{}
	if len(files) == 0 {
		return there, nil
	}
	rows, err := all[pictureRow](tx, `SELECT f.id, encode(f.digest, 'hex') AS digest FROM files f WHERE f.project_id = ? AND f.kind = 'picture' AND f.id IN ?
		AND NOT EXISTS (SELECT 1 FROM file_hides h WHERE h.file_id = f.id AND h.number = 2)`, project, files)
	for _, r := range rows {
		there[r.ID] = r.Digest
	}
	return there, err
}
