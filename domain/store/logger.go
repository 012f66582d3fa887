package store

import (
	"encoding/json"
	"fmt"
	"time"

	"leat/domain"
)

type loggerRow struct {
	ID        int64      `gorm:"column:id"`
	Project   int64      `gorm:"column:project_id"`
	Build     int64      `gorm:"column:build_id"`
	Name      string     `gorm:"column:name"`
	MadeBy    int64      `gorm:"column:made_by"`
	Maker     string     `gorm:"column:maker"`
	MadeAt    time.Time  `gorm:"column:made_at"`
	RevokedBy *int64     `gorm:"column:revoked_by"`
	Revoker   *string    `gorm:"column:revoker"`
	RevokedAt *time.Time `gorm:"column:revoked_at"`
	Bytes     int64      `gorm:"column:bytes"`
	HeardAt   *time.Time `gorm:"column:heard_at"`
	Newest    *time.Time `gorm:"column:newest"`
}

func (r loggerRow) logger() domain.SendingLogger {
	l := domain.SendingLogger{
		ID: domain.LoggerID(r.ID), Project: domain.ProjectID(r.Project), Build: domain.BuildID(r.Build), Name: r.Name,
		MadeBy: domain.Person{ID: domain.AccountID(r.MadeBy), Name: r.Maker}, MadeAt: r.MadeAt.UTC(), RevokedAt: utc(r.RevokedAt), Bytes: r.Bytes, HeardAt: utc(r.HeardAt), Newest: utc(r.Newest),
	}
	if r.RevokedBy != nil {
		l.RevokedBy = &domain.Person{ID: domain.AccountID(*r.RevokedBy), Name: *r.Revoker}
	}
	return l
}

func (tx *Tx) loggers(condition string, args ...any) ([]domain.SendingLogger, error) {
	rows, err := all[loggerRow](tx, `SELECT l.id, b.project_id, l.build_id, l.name, l.made_by, a.name AS maker, l.made_at, l.revoked_by, ra.name AS revoker, l.revoked_at, l.bytes, l.heard_at, l.newest
		FROM loggers l JOIN builds b ON b.id = l.build_id JOIN accounts a ON a.id = l.made_by LEFT JOIN accounts ra ON ra.id = l.revoked_by WHERE `+condition, args...)
	list := make([]domain.SendingLogger, len(rows))
	for i, r := range rows {
		list[i] = r.logger()
	}
	return list, err
}

// Loggers returns a page of the loggers of a build, newest first.
func (tx *Tx) Loggers(project domain.ProjectID, build domain.BuildID, page domain.Page) ([]domain.SendingLogger, error) {
	there, err := tx.exists("SELECT 1 FROM builds WHERE id = ? AND project_id = ?", build, project)
	if err != nil || !there {
		return nil, orMissing(err, "build")
	}
	return tx.loggers("l.build_id = ? AND "+newest("l.id", page), build, below(page))
}

// Logger returns a logger of a build.
func (tx *Tx) Logger(project domain.ProjectID, build domain.BuildID, id domain.LoggerID) (domain.SendingLogger, error) {
	return tx.oneLogger("b.project_id = ? AND l.build_id = ? AND l.id = ?", project, build, id)
}

// LoggerWithToken returns the logger that may send with a token.
func (tx *Tx) LoggerWithToken(token domain.LoggerToken) (domain.SendingLogger, error) {
	return tx.oneLogger("l.token_sum = ? AND l.revoked_at IS NULL", token.Sum())
}

func (tx *Tx) oneLogger(condition string, args ...any) (domain.SendingLogger, error) {
	list, err := tx.loggers(condition, args...)
	if err != nil || len(list) == 0 {
		return domain.SendingLogger{}, orMissing(err, "logger")
	}
	return list[0], nil
}

// MakeLogger adds a logger with the sum of its token. When the client's key was
// used before it returns the one of that time, and made is false.
func (tx *Tx) MakeLogger(permit domain.Permit, cmd domain.MakeLogger, sum []byte, now time.Time) (id domain.LoggerID, made bool, err error) {
	if err := permit.For(domain.LetSend); err != nil {
		return 0, false, err
	}
	// The build puts those who make loggers in a queue.
	if _, err := one[int64](tx, "build", "SELECT id FROM builds WHERE id = ? AND project_id = ? FOR NO KEY UPDATE", cmd.Build, permit.Project()); err != nil {
		return 0, false, err
	}
	type keyed struct {
		ID    domain.LoggerID `gorm:"column:id"`
		Build domain.BuildID  `gorm:"column:build_id"`
	}
	before, err := all[keyed](tx, "SELECT id, build_id FROM loggers WHERE made_by = ? AND client_key = ?", permit.Account(), cmd.Key)
	switch {
	case err != nil:
		return 0, false, err
	case len(before) > 0 && before[0].Build != cmd.Build:
		return 0, false, keyUsed("a logger of another build", "make the logger again")
	case len(before) > 0:
		return before[0].ID, false, nil
	}
	sending, err := one[int](tx, "build", "SELECT count(*) FROM loggers WHERE build_id = ? AND revoked_at IS NULL", cmd.Build)
	if err == nil && sending >= domain.LoggersMost {
		err = domain.LoggersFull()
	}
	if err != nil {
		return 0, false, err
	}
	id, err = one[domain.LoggerID](tx, "logger", "INSERT INTO loggers (build_id, name, token_sum, made_by, made_at, client_key) VALUES (?, ?, ?, ?, ?, ?) RETURNING id",
		cmd.Build, cmd.Name, sum, permit.Account(), now, cmd.Key)
	return id, true, err
}

// RevokeLogger ends that a logger may send; once is enough.
func (tx *Tx) RevokeLogger(permit domain.Permit, id domain.LoggerID, now time.Time) error {
	if err := permit.For(domain.StopSends); err != nil {
		return err
	}
	_, err := run(tx, "UPDATE loggers SET revoked_by = ?, revoked_at = ? WHERE id = ? AND revoked_at IS NULL", permit.Account(), now, id)
	return err
}

// HoldLogger makes everything else that a logger sends wait, and returns the
// logger as it stands.
func (tx *Tx) HoldLogger(id domain.LoggerID) (domain.SendingLogger, error) {
	if _, err := one[int64](tx, "logger", "SELECT id FROM loggers WHERE id = ? AND revoked_at IS NULL FOR NO KEY UPDATE", id); err != nil {
		return domain.SendingLogger{}, err
	}
	return tx.oneLogger("l.id = ?", id)
}

// Batch is what a logger sent at once.
type Batch struct {
	Logger    domain.LoggerID
	Run       *domain.RunID
	Body      string
	Answer    domain.SamplesKept
	Units     map[string]string // in SI, of all channels that came in the run so far
	Samples   int               // that came of the logger in the run so far
	Certified bool
	At        time.Time
	Latest    time.Time // of the times that it tells
}

// BatchOfKey returns what a logger sent with a key before, and what it was
// answered; a NotFound error when there is none.
func (tx *Tx) BatchOfKey(id domain.LoggerID, key string) (Batch, error) {
	type row struct {
		Body   string `gorm:"column:body"`
		Answer []byte `gorm:"column:answer"`
	}
	r, err := one[row](tx, "batch", "SELECT body, answer FROM logger_batches WHERE logger_id = ? AND client_key = ?", id, key)
	if err != nil {
		return Batch{}, err
	}
	b := Batch{Logger: id, Body: r.Body}
	if err := json.Unmarshal(r.Answer, &b.Answer); err != nil {
		return b, fmt.Errorf("store: decode answer to a logger: %w", err)
	}
	return b, nil
}

// KeepBatch keeps what a logger sent, which the caller holds.
func (tx *Tx) KeepBatch(b Batch, key string) error {
	answer, err := encoded(b.Answer)
	if err != nil {
		return err
	}
	units, err := encoded(b.Units)
	if err != nil {
		return err
	}
	_, err = run(tx, "INSERT INTO logger_batches (logger_id, run_id, client_key, body, units, samples, answer, certified, at) VALUES (?, ?, ?, ?, ?::jsonb, ?, ?::jsonb, ?, ?)",
		b.Logger, b.Run, key, b.Body, units, b.Samples, answer, b.Certified, b.At)
	if err != nil {
		return err
	}
	_, err = run(tx, "UPDATE loggers SET bytes = bytes + ?, heard_at = ?, newest = greatest(newest, ?::timestamptz) WHERE id = ?", len(b.Body), b.At, b.Latest, b.Logger)
	if err != nil || b.Run == nil {
		return err
	}
	return tx.bumpRun(*b.Run)
}

// OpenRunOf returns the newest run of a build that takes readings, and its number;
// nil when there is none. It holds the run.
func (tx *Tx) OpenRunOf(build domain.BuildID) (*domain.RunID, int, error) {
	type open struct {
		ID     domain.RunID `gorm:"column:id"`
		Number int          `gorm:"column:number"`
	}
	rows, err := all[open](tx, `SELECT r.id, r.number FROM runs r JOIN builds b ON b.id = r.build_id AND b.newest = r.build_version
		WHERE r.build_id = ? AND NOT EXISTS (SELECT 1 FROM run_submissions s WHERE s.run_id = r.id) AND NOT EXISTS (SELECT 1 FROM run_ends e WHERE e.run_id = r.id)
		ORDER BY r.number DESC LIMIT 1 FOR NO KEY UPDATE OF r`, build)
	if err != nil || len(rows) == 0 {
		return nil, 0, err
	}
	return &rows[0].ID, rows[0].Number, nil
}

// BatchesCount is what there is of a logger in a run.
type BatchesCount struct {
	Batches   int  `gorm:"column:batches"`
	Samples   int  `gorm:"column:samples"`
	Certified bool `gorm:"column:certified"` // the machine had a certificate each time
}

// BatchCount returns how much a logger sent in a run.
func (tx *Tx) BatchCount(id domain.LoggerID, run domain.RunID) (BatchesCount, error) {
	return one[BatchesCount](tx, "logger", `SELECT count(*) AS batches, coalesce(max(samples), 0) AS samples, coalesce(bool_and(certified), false) AS certified
		FROM logger_batches WHERE logger_id = ? AND run_id = ?`, id, run)
}

// LoggersOfRun returns the loggers that sent something in a run, the newest first,
// and no more than a machine may have at one time.
func (tx *Tx) LoggersOfRun(run domain.RunID) ([]domain.SendingLogger, error) {
	return tx.loggers("EXISTS (SELECT 1 FROM logger_batches s WHERE s.run_id = ? AND s.logger_id = l.id) ORDER BY l.id DESC LIMIT ?", run, domain.LoggersMost)
}

// Batches returns the first batches that a logger sent in a run, in the order in
// which they came.
func (tx *Tx) Batches(id domain.LoggerID, run domain.RunID, count int) ([]string, error) {
	return all[string](tx, "SELECT body FROM logger_batches WHERE logger_id = ? AND run_id = ? ORDER BY id LIMIT ?", id, run, count)
}

// SentBefore fills in what a logger sent in a run: its channels, each with the SI
// unit of what came first, and how many samples.
func (tx *Tx) SentBefore(id domain.LoggerID, run domain.RunID, before *domain.HeardBefore) error {
	type row struct {
		Units   []byte `gorm:"column:units"`
		Samples int    `gorm:"column:samples"`
	}
	rows, err := all[row](tx, "SELECT units, samples FROM logger_batches WHERE logger_id = ? AND run_id = ? ORDER BY id DESC LIMIT 1", id, run)
	if err != nil || len(rows) == 0 {
		return err
	}
	before.Samples = rows[0].Samples
	if err := json.Unmarshal(rows[0].Units, &before.Units); err != nil {
		return fmt.Errorf("store: decode units of a logger: %w", err)
	}
	return nil
}
