package notebook

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"hash"
	"io"
	"maps"
	"slices"
	"time"

	"leat/calc/logger"
	"leat/domain"
	"leat/domain/store"
)

// inRun runs a use case about a run that somebody may do something to. The run is
// held until it ends.
func (n *Notebook) inRun(ctx context.Context, who domain.Actor, ref domain.RunRef, action domain.Action, do func(*store.Tx, held) error) error {
	return n.db.InTx(ctx, func(tx *store.Tx) error {
		h, err := n.holdRun(tx, who, ref, action)
		if err != nil {
			return err
		}
		return do(tx, h)
	})
}

// SeriesFiles returns the files of loggers of a run.
func (n *Notebook) SeriesFiles(ctx context.Context, who domain.Actor, ref domain.RunRef) ([]domain.SeriesFile, error) {
	return read(ctx, n, func(tx *store.Tx) ([]domain.SeriesFile, error) {
		r, err := tx.Run(ref)
		if err != nil {
			return nil, err
		}
		return tx.SeriesFiles(r.ID)
	})
}

// SeriesFile returns a file of a logger.
func (n *Notebook) SeriesFile(ctx context.Context, who domain.Actor, ref domain.RunRef, id domain.SeriesFileID) (domain.SeriesFile, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.SeriesFile, error) {
		r, err := tx.Run(ref)
		if err != nil {
			return domain.SeriesFile{}, err
		}
		return tx.SeriesFile(r.ID, id)
	})
}

// AddSeriesFile announces a file of a logger. A retry with the same key returns
// the first one, and so does a file with the same sum that the run has already, in
// full or in part; made is false then.
func (n *Notebook) AddSeriesFile(ctx context.Context, who domain.Actor, cmd domain.AddSeriesFile) (f domain.SeriesFile, made bool, err error) {
	if err := cmd.Validate(); err != nil {
		return f, false, err
	}
	err = n.inRun(ctx, who, cmd.Run, domain.RecordReadings, func(tx *store.Tx, h held) error {
		made = false
		if f, err = announcedBefore(tx, h.run.ID, who, cmd); domain.KindOf(err) != domain.NotFound {
			return err
		}
		if err := h.run.Takes(); err != nil {
			return err
		}
		id, err := tx.AddSeriesFile(h.permit, h.run.ID, cmd, n.now())
		if err != nil {
			return err
		}
		made = true
		f, err = tx.SeriesFile(h.run.ID, id)
		return err
	})
	return f, made, err
}

// announcedBefore returns the file that somebody announces once more; a NotFound
// error when it is new.
func announcedBefore(tx *store.Tx, run domain.RunID, who domain.Actor, cmd domain.AddSeriesFile) (f domain.SeriesFile, err error) {
	id, err := tx.SeriesFileOfKey(run, who.Account, cmd.Key)
	if err != nil {
		return f, err
	}
	if id != 0 {
		f, err = tx.SeriesFile(run, id)
		if err == nil && !cmd.SameAnnouncement(f) {
			err = domain.AnnouncedOther()
		}
		return f, err
	}
	if cmd.Sum == nil {
		return f, domain.Missing("file")
	}
	if f, err = tx.SeriesFileWithSum(run, cmd.Sum); domain.KindOf(err) != domain.NotFound {
		return f, err
	}
	return tx.BrokenSeriesFile(run, cmd.Sum, cmd.Size)
}

// PutSeriesPart keeps a part of a file.
func (n *Notebook) PutSeriesPart(ctx context.Context, who domain.Actor, cmd domain.PutSeriesPart) (f domain.SeriesFile, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		_, permit, err := authorize(tx, who, cmd.Run.Project, domain.RecordReadings)
		if err != nil {
			return err
		}
		r, err := tx.Run(cmd.Run)
		if err != nil {
			return err
		}
		if f, err = tx.SeriesFile(r.ID, cmd.File); err != nil {
			return err
		}
		if err := cmd.Fits(f); err != nil {
			return err
		}
		if !slices.Contains(f.Have, cmd.Number) {
			if err := r.Takes(); err != nil {
				return err
			}
		}
		if err := tx.PutSeriesPart(permit, f, cmd.Number, cmd.Bytes); err != nil {
			return err
		}
		f, err = tx.SeriesFile(r.ID, cmd.File)
		return err
	})
	return f, err
}

// CompleteSeriesFile looks whether a file is all there, and reads it. What is
// wrong with it, or has to be asked, is an Invalid error; the file stays, and this
// may be done again with the answers. Of a file that the run has already it
// returns that.
func (n *Notebook) CompleteSeriesFile(ctx context.Context, who domain.Actor, cmd domain.CompleteSeriesFile) (domain.SeriesFile, error) {
	if err := cmd.Validate(); err != nil {
		return domain.SeriesFile{}, err
	}
	f, err := n.wholeFile(ctx, who, cmd)
	if err != nil || f.Read != nil && sameAnswers(f.Read.Asked, cmd.Asked) {
		return f, err
	}
	s, report, err := n.readSeries(ctx, f, cmd.Asked)
	if err != nil {
		return domain.SeriesFile{}, err
	}
	err = n.inRun(ctx, who, cmd.Run, domain.RecordReadings, func(tx *store.Tx, h held) error {
		if err := h.run.Takes(); err != nil {
			return err
		}
		now, err := tx.SeriesFile(h.run.ID, f.ID)
		if err != nil {
			return err
		}
		if now.Read != nil && sameAnswers(now.Read.Asked, cmd.Asked) { // asked twice at the same time
			f = now
			return nil
		}
		kept := domain.SeriesRead{Number: 1, Asked: cmd.Asked, Report: domain.NewSeriesReport(s, report), At: n.now()}
		if now.Read != nil {
			kept.Number = now.Read.Number + 1
		}
		if kept.Certified, err = n.certifiedSince(tx, h.run.Build, s.Start); err != nil {
			return err
		}
		if err := tx.KeepSeriesRead(h.permit, f, kept); err != nil {
			return err
		}
		f, err = tx.SeriesFile(h.run.ID, f.ID)
		return err
	})
	if err == nil {
		n.parsed.put(seriesKey{file: f.ID, number: f.Read.Number}, s)
	}
	return f, err
}

func sameAnswers(a, b domain.SeriesAsked) bool {
	return maps.Equal(a.Units, b.Units) && a.Zone == b.Zone && a.Time == b.Time && slices.Equal(a.Without, b.Without)
}

// certifiedSince tells whether the machine has a certificate now, which was issued
// before a time; the zero time is one that nobody told.
func (n *Notebook) certifiedSince(tx *store.Tx, build domain.BuildID, since time.Time) (bool, error) {
	v, err := tx.CertificateNow(build, n.now())
	if err != nil || !v.Valid || since.IsZero() {
		return v.Valid, err
	}
	c, err := tx.NewestCertificate(build)
	return err == nil && !since.Before(c.IssuedAt), err
}

// wholeFile holds a file against its size and its sum, once.
func (n *Notebook) wholeFile(ctx context.Context, who domain.Actor, cmd domain.CompleteSeriesFile) (f domain.SeriesFile, err error) {
	err = n.inRun(ctx, who, cmd.Run, domain.RecordReadings, func(tx *store.Tx, h held) error {
		f, err = tx.SeriesFile(h.run.ID, cmd.File)
		if err == nil && (f.Read == nil || !sameAnswers(f.Read.Asked, cmd.Asked)) {
			err = h.run.Takes()
		}
		if missing := f.Missing(); err == nil && len(missing) > 0 {
			err = domain.PartsMissing(missing)
		}
		return err
	})
	if err != nil || f.CompleteAt != nil {
		return f, err
	}
	sum, err := n.sumOf(ctx, f)
	if err != nil {
		return f, err
	}
	if f.Sum != nil && !slices.Equal(f.Sum, sum) {
		if err := n.dropParts(ctx, who, cmd, f); err != nil {
			return f, err
		}
		return f, domain.FileDiffers()
	}
	err = n.inRun(ctx, who, cmd.Run, domain.RecordReadings, func(tx *store.Tx, h held) error {
		var same *domain.SeriesFileID
		first, err := tx.SeriesFileWithSum(h.run.ID, sum)
		if err == nil && first.ID != f.ID {
			same = &first.ID
		}
		if err != nil && domain.KindOf(err) != domain.NotFound {
			return err
		}
		if err := tx.CompleteSeriesFile(h.permit, f, sum, same, n.now()); err != nil {
			return err
		}
		f, err = tx.SeriesFile(h.run.ID, f.ID)
		return err
	})
	return f, err
}

// dropParts forgets what came of a file, so that it can be sent again.
func (n *Notebook) dropParts(ctx context.Context, who domain.Actor, cmd domain.CompleteSeriesFile, f domain.SeriesFile) error {
	return n.inRun(ctx, who, cmd.Run, domain.RecordReadings, func(tx *store.Tx, h held) error {
		if now, err := tx.SeriesFile(h.run.ID, f.ID); err != nil || now.CompleteAt != nil {
			return err
		}
		return tx.DropSeriesParts(h.permit, f)
	})
}

// partsOf reads a file part by part, so that no more than one is in memory.
type partsOf struct {
	ctx  context.Context //nolint:containedctx // it lives no longer than the call that reads
	n    *Notebook
	file domain.SeriesFile
	next int
	rest []byte
}

// Read reads on.
func (p *partsOf) Read(into []byte) (int, error) {
	if len(p.rest) == 0 {
		if p.next == p.file.Parts() {
			return 0, io.EOF
		}
		p.next++
		part, err := read(p.ctx, p.n, func(tx *store.Tx) ([]byte, error) { return tx.SeriesPart(p.file.ID, p.next) })
		if err != nil {
			return 0, err
		}
		p.rest = part
	}
	copied := copy(into, p.rest)
	p.rest = p.rest[copied:]
	return copied, nil
}

func (n *Notebook) sumOf(ctx context.Context, f domain.SeriesFile) ([]byte, error) {
	var sum hash.Hash = sha256.New()
	_, err := io.Copy(sum, &partsOf{ctx: ctx, n: n, file: f})
	return sum.Sum(nil), err
}

// readSeries reads a file, one at a time: a large one fills much memory.
func (n *Notebook) readSeries(ctx context.Context, f domain.SeriesFile, asked domain.SeriesAsked) (logger.Series, logger.Report, error) {
	if err := n.reading.take(ctx); err != nil {
		return logger.Series{}, logger.Report{}, err
	}
	defer n.reading.end()
	return n.parse(ctx, f, asked)
}

func (n *Notebook) parse(ctx context.Context, f domain.SeriesFile, asked domain.SeriesAsked) (logger.Series, logger.Report, error) {
	wish, err := asked.Reader()
	if err != nil {
		return logger.Series{}, logger.Report{}, err
	}
	n.parsed.makeRoom()
	s, report, err := logger.Read(&partsOf{ctx: ctx, n: n, file: f}, wish)
	if faults, ok := errors.AsType[logger.Faults](err); ok {
		err = domain.Unreadable(faults)
	}
	return s, report, err
}

// series returns the series of a file as it was read the last time. The last two
// that were asked for are in memory.
func (n *Notebook) series(ctx context.Context, f domain.SeriesFile) (logger.Series, error) {
	if f.Read == nil {
		return logger.Series{}, domain.NotRead()
	}
	key := seriesKey{file: f.ID, number: f.Read.Number}
	if s, ok := n.parsed.get(key); ok {
		return s, nil
	}
	if err := n.reading.take(ctx); err != nil {
		return logger.Series{}, err
	}
	defer n.reading.end()
	if s, ok := n.parsed.get(key); ok { // somebody else asked for it meanwhile
		return s, nil
	}
	s, _, err := n.parse(ctx, f, f.Read.Asked)
	if err != nil {
		return s, fmt.Errorf("notebook: read a file again: %w", err)
	}
	n.parsed.put(key, s)
	return s, nil
}
