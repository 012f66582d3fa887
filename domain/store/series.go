package store

import (
	"bytes"
	"encoding/json"
	"fmt"
	"time"

	"leat/domain"
)

type seriesFileRow struct {
	ID         int64      `gorm:"column:id"`
	Run        int64      `gorm:"column:run_id"`
	Name       string     `gorm:"column:name"`
	Size       int        `gorm:"column:size"`
	Sum        []byte     `gorm:"column:sum"`
	AddedBy    int64      `gorm:"column:added_by"`
	Adder      string     `gorm:"column:adder"`
	At         time.Time  `gorm:"column:at"`
	CompleteAt *time.Time `gorm:"column:complete_at"`
	SameAs     *int64     `gorm:"column:same_as"`
	Have       []byte     `gorm:"column:have"`
	Read       *int       `gorm:"column:read"`
	Asked      []byte     `gorm:"column:asked"`
	Report     []byte     `gorm:"column:report"`
	Certified  *bool      `gorm:"column:certified"`
	ReadBy     *int64     `gorm:"column:read_by"`
	Reader     *string    `gorm:"column:reader"`
	ReadAt     *time.Time `gorm:"column:read_at"`
}

// seriesFiles is the query for files of loggers, each with its parts and how it
// was read the last time.
const seriesFiles = `SELECT f.id, f.run_id, f.name, f.size, f.sum, f.added_by, a.name AS adder, f.at, f.complete_at, f.same_as,
		(SELECT coalesce(jsonb_agg(p.number ORDER BY p.number), '[]') FROM series_parts p WHERE p.file_id = f.id) AS have,
		s.number AS read, s.asked, s.report, s.certified, s.who AS read_by, sa.name AS reader, s.at AS read_at
	FROM series_files f JOIN accounts a ON a.id = f.added_by
	LEFT JOIN LATERAL (SELECT * FROM series_reads WHERE file_id = f.id ORDER BY number DESC LIMIT 1) s ON true
	LEFT JOIN accounts sa ON sa.id = s.who`

func (r seriesFileRow) file() (domain.SeriesFile, error) {
	f := domain.SeriesFile{
		ID: domain.SeriesFileID(r.ID), Run: domain.RunID(r.Run), Name: r.Name, Size: r.Size, Sum: r.Sum,
		By: domain.Person{ID: domain.AccountID(r.AddedBy), Name: r.Adder}, At: r.At.UTC(), CompleteAt: utc(r.CompleteAt),
	}
	if r.SameAs != nil {
		same := domain.SeriesFileID(*r.SameAs)
		f.SameAs = &same
	}
	if err := json.Unmarshal(r.Have, &f.Have); err != nil {
		return f, fmt.Errorf("store: decode parts: %w", err)
	}
	if r.Read == nil {
		return f, nil
	}
	f.Read = &domain.SeriesRead{Number: *r.Read, Certified: *r.Certified, By: domain.Person{ID: domain.AccountID(*r.ReadBy), Name: *r.Reader}, At: r.ReadAt.UTC()}
	if err := json.Unmarshal(r.Asked, &f.Read.Asked); err != nil {
		return f, fmt.Errorf("store: decode what was asked: %w", err)
	}
	if err := json.Unmarshal(r.Report, &f.Read.Report); err != nil {
		return f, fmt.Errorf("store: decode report of a file: %w", err)
	}
	return f, nil
}

func (tx *Tx) seriesFiles(condition string, args ...any) ([]domain.SeriesFile, error) {
	rows, err := all[seriesFileRow](tx, seriesFiles+" WHERE "+condition, args...)
	if err != nil {
		return nil, err
	}
	list := make([]domain.SeriesFile, len(rows))
	for i, r := range rows {
		if list[i], err = r.file(); err != nil {
			return nil, err
		}
	}
	return list, nil
}

// SeriesFiles returns the files of loggers of a run, in the order in which they
// came; those that are the same as another are left out.
func (tx *Tx) SeriesFiles(run domain.RunID) ([]domain.SeriesFile, error) {
	return tx.seriesFiles("f.run_id = ? AND f.same_as IS NULL ORDER BY f.id", run)
}

// SeriesFile returns a file of a run; of one that is the same as another, that.
func (tx *Tx) SeriesFile(run domain.RunID, id domain.SeriesFileID) (domain.SeriesFile, error) {
	list, err := tx.seriesFiles("f.id = (SELECT coalesce(same_as, id) FROM series_files WHERE id = ? AND run_id = ?)", id, run)
	if err != nil || len(list) == 0 {
		return domain.SeriesFile{}, orMissing(err, "file in this run")
	}
	return list[0], nil
}

// SeriesFileWithSum returns the complete file of a run with a sum; a NotFound
// error when there is none.
func (tx *Tx) SeriesFileWithSum(run domain.RunID, sum []byte) (domain.SeriesFile, error) {
	list, err := tx.seriesFiles("f.run_id = ? AND f.sum = ? AND f.complete_at IS NOT NULL AND f.same_as IS NULL", run, sum)
	if err != nil || len(list) == 0 {
		return domain.SeriesFile{}, orMissing(err, "file")
	}
	return list[0], nil
}

// BrokenSeriesFile returns the first file of a run that was announced with a sum
// and a size, and is not complete: its parts can be sent on. A NotFound error when
// there is none.
func (tx *Tx) BrokenSeriesFile(run domain.RunID, sum []byte, size int) (domain.SeriesFile, error) {
	list, err := tx.seriesFiles("f.run_id = ? AND f.sum = ? AND f.size = ? AND f.complete_at IS NULL ORDER BY f.id LIMIT 1", run, sum, size)
	if err != nil || len(list) == 0 {
		return domain.SeriesFile{}, orMissing(err, "file")
	}
	return list[0], nil
}

// DropSeriesParts forgets the parts of a file that is not complete: what came is
// not what was announced, and can be sent again.
func (tx *Tx) DropSeriesParts(permit domain.Permit, f domain.SeriesFile) error {
	if err := permit.For(domain.RecordReadings); err != nil {
		return err
	}
	_, err := run(tx, "DELETE FROM series_parts WHERE file_id = ?", f.ID)
	if err != nil {
		return err
	}
	return tx.bumpRun(f.Run)
}

// SeriesFileOfKey returns the file that a key of a member announced before; 0 for
// none, and a Conflict where that was in another run.
func (tx *Tx) SeriesFileOfKey(run domain.RunID, who domain.AccountID, key string) (domain.SeriesFileID, error) {
	return tx.keyedInRun(run, "SELECT id, run_id FROM series_files WHERE added_by = ? AND client_key = ?", who, key)
}

// keyedInRun returns what a key of a member made in a run; 0 for nothing, and a
// Conflict where that was in another run.
func (tx *Tx) keyedInRun(run domain.RunID, query string, who domain.AccountID, key string) (domain.SeriesFileID, error) {
	type keyed struct {
		ID  domain.SeriesFileID `gorm:"column:id"`
		Run domain.RunID        `gorm:"column:run_id"`
	}
	rows, err := all[keyed](tx, query, who, key)
	switch {
	case err != nil || len(rows) == 0:
		return 0, err
	case rows[0].Run != run:
		return 0, keyUsed("something in another run", "send it again")
	}
	return rows[0].ID, nil
}

// AddSeriesFile announces a file to a run that the caller holds.
func (tx *Tx) AddSeriesFile(permit domain.Permit, run domain.RunID, cmd domain.AddSeriesFile, now time.Time) (domain.SeriesFileID, error) {
	if err := permit.For(domain.RecordReadings); err != nil {
		return 0, err
	}
	announced, err := one[int](tx, "run", "SELECT count(*) FROM series_files WHERE run_id = ?", run)
	if err == nil && announced >= domain.RunFilesMost {
		err = domain.RunFullOfSeries()
	}
	if err != nil {
		return 0, err
	}
	var sum any
	if cmd.Sum != nil {
		sum = cmd.Sum
	}
	id, err := one[domain.SeriesFileID](tx, "file", `INSERT INTO series_files (run_id, name, size, sum, added_by, at, client_key) VALUES (?, ?, ?, ?, ?, ?, ?) RETURNING id`,
		run, cmd.Name, cmd.Size, sum, permit.Account(), now, cmd.Key)
	if err != nil {
		return 0, err
	}
	return id, tx.bumpRun(run)
}

// PutSeriesPart keeps a part of a file. When it came before, nothing is kept, and
// other bytes are a Conflict.
func (tx *Tx) PutSeriesPart(permit domain.Permit, f domain.SeriesFile, number int, part []byte) error {
	if err := permit.For(domain.RecordReadings); err != nil {
		return err
	}
	kept, err := tx.SeriesPart(f.ID, number)
	if domain.KindOf(err) == domain.NotFound {
		n, err := run(tx, "INSERT INTO series_parts (file_id, number, bytes) VALUES (?, ?, ?) ON CONFLICT (file_id, number) DO NOTHING", f.ID, number, part)
		if err != nil || n == 1 {
			return err
		}
		if kept, err = tx.SeriesPart(f.ID, number); err != nil { // it came at the same time
			return err
		}
		return samePart(kept, part, number)
	}
	if err != nil {
		return err
	}
	return samePart(kept, part, number)
}

func samePart(kept, part []byte, number int) error {
	if !bytes.Equal(kept, part) {
		return domain.PartDiffers(number)
	}
	return nil
}

// SeriesPart returns the bytes of a part, and a NotFound error while it has not
// come.
func (tx *Tx) SeriesPart(file domain.SeriesFileID, number int) ([]byte, error) {
	type part struct {
		Bytes []byte `gorm:"column:bytes"`
	}
	p, err := one[part](tx, "part", "SELECT bytes FROM series_parts WHERE file_id = ? AND number = ?", file, number)
	return p.Bytes, err
}

// CompleteSeriesFile says that a file is all there, with its sum. Of one that the
// run has already the bytes go.
func (tx *Tx) CompleteSeriesFile(permit domain.Permit, f domain.SeriesFile, sum []byte, same *domain.SeriesFileID, now time.Time) error {
	if err := permit.For(domain.RecordReadings); err != nil {
		return err
	}
	_, err := run(tx, "UPDATE series_files SET sum = ?, complete_at = ?, same_as = ? WHERE id = ? AND complete_at IS NULL", sum, now, same, f.ID)
	if err == nil && same != nil {
		_, err = run(tx, "DELETE FROM series_parts WHERE file_id = ?", f.ID)
	}
	if err != nil {
		return err
	}
	return tx.bumpRun(f.Run)
}

// KeepSeriesRead keeps how a file was read, as the newest.
func (tx *Tx) KeepSeriesRead(permit domain.Permit, f domain.SeriesFile, r domain.SeriesRead) error {
	if err := permit.For(domain.RecordReadings); err != nil {
		return err
	}
	asked, err := encoded(r.Asked)
	if err != nil {
		return err
	}
	report, err := encoded(r.Report)
	if err != nil {
		return err
	}
	_, err = run(tx, `INSERT INTO series_reads (file_id, number, asked, report, certified, who, at) VALUES (?, ?, ?::jsonb, ?::jsonb, ?, ?, ?)`,
		f.ID, r.Number, asked, report, r.Certified, permit.Account(), r.At)
	if err != nil {
		return err
	}
	return tx.bumpRun(f.Run)
}
