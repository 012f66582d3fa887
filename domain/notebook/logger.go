package notebook

import (
	"context"

	"leat/domain"
	"leat/domain/store"
)

// Loggers returns a page of the loggers of a build, newest first, and what the
// actor may do.
func (n *Notebook) Loggers(ctx context.Context, who domain.Actor, project domain.ProjectID, build domain.BuildID, page domain.Page) (list []domain.SendingLogger, allowed []domain.Action, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		access, err := tx.ReadAccess(who, project)
		if err != nil {
			return err
		}
		allowed = domain.AllowedWithLoggers(who, access)
		list, err = tx.Loggers(project, build, page)
		for i := range list {
			list[i].Shown(who, access)
		}
		return err
	})
	return list, allowed, err
}

// MakeLogger lets a device send samples of a build. The token is told this once;
// a retry with the same key returns the first logger without it, and made is
// false.
func (n *Notebook) MakeLogger(ctx context.Context, who domain.Actor, cmd domain.MakeLogger) (l domain.SendingLogger, token domain.LoggerToken, made bool, err error) {
	if err := cmd.Validate(); err != nil {
		return l, "", false, err
	}
	token = domain.NewLoggerToken()
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		access, permit, err := authorize(tx, who, cmd.Project, domain.LetSend)
		if err != nil {
			return err
		}
		id, now, err := tx.MakeLogger(permit, cmd, token.Sum(), n.now())
		if err != nil {
			return err
		}
		made = now
		l, err = tx.Logger(cmd.Project, cmd.Build, id)
		l.Shown(who, access)
		return err
	})
	if !made {
		token = ""
	}
	return l, token, made, err
}

// RevokeLogger ends that a logger may send. Once it ended this changes nothing.
func (n *Notebook) RevokeLogger(ctx context.Context, who domain.Actor, project domain.ProjectID, build domain.BuildID, id domain.LoggerID) (l domain.SendingLogger, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		access, err := tx.Access(who, project)
		if err != nil {
			return err
		}
		if l, err = tx.Logger(project, build, id); err != nil {
			return err
		}
		access.Maker = l.MadeBy
		permit, err := domain.Authorize(who, access, domain.StopSends)
		if err != nil {
			return err
		}
		if err := tx.RevokeLogger(permit, id, n.now()); err != nil {
			return err
		}
		l, err = tx.Logger(project, build, id)
		l.Shown(who, access)
		return err
	})
	return l, err
}

// SendingLogger returns the logger that may send with a token; an Unauthenticated
// error when none may.
func (n *Notebook) SendingLogger(ctx context.Context, token domain.LoggerToken) (domain.SendingLogger, error) {
	l, err := read(ctx, n, func(tx *store.Tx) (domain.SendingLogger, error) { return tx.LoggerWithToken(token) })
	if domain.KindOf(err) == domain.NotFound {
		err = domain.LoggerUnknown()
	}
	return l, err
}

// SendSamples keeps what a logger sends: in the open run of its machine, or marked
// where there is none. A retry with the same key is answered as the first time,
// and made is false.
func (n *Notebook) SendSamples(ctx context.Context, id domain.LoggerID, cmd domain.SendSamples) (kept domain.SamplesKept, made bool, err error) {
	if err := cmd.Validate(); err != nil {
		return kept, false, err
	}
	body, err := cmd.Packed()
	if err != nil {
		return kept, false, err
	}
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		l, err := tx.HoldLogger(id)
		if domain.KindOf(err) == domain.NotFound { // revoked a moment ago
			err = domain.LoggerUnknown()
		}
		if err != nil {
			return err
		}
		before, err := tx.BatchOfKey(id, cmd.Key)
		switch {
		case err == nil && before.Body != body:
			return domain.BatchDiffers()
		case err == nil:
			kept, made = before.Answer, false
			return nil
		case domain.KindOf(err) != domain.NotFound:
			return err
		case l.Bytes+int64(len(body)) > domain.LoggerBytesMost:
			return domain.LoggerFull()
		}
		kept, err = n.keepBatch(tx, l, cmd, body)
		made = err == nil
		return err
	})
	return kept, made, err
}

func (n *Notebook) keepBatch(tx *store.Tx, l domain.SendingLogger, cmd domain.SendSamples, body string) (domain.SamplesKept, error) {
	b := store.Batch{Logger: l.ID, Body: body, At: n.now(), Latest: cmd.Latest()}
	before := domain.HeardBefore{Newest: l.Newest}
	run, number, err := tx.OpenRunOf(l.Build)
	if err != nil {
		return b.Answer, err
	}
	if run != nil {
		b.Run = run
		if err := tx.SentBefore(l.ID, *run, &before); err != nil {
			return b.Answer, err
		}
	}
	if b.Samples = before.Samples + len(cmd.Samples); b.Samples > domain.LoggerRunMost {
		return b.Answer, domain.RunFullOfSamples()
	}
	if b.Certified, err = n.certifiedSince(tx, l.Build, cmd.Earliest()); err != nil {
		return b.Answer, err
	}
	b.Answer, b.Units = cmd.Look(before, b.At)
	b.Answer.Certified = b.Certified
	if run != nil {
		b.Answer.Run = &number
	}
	return b.Answer, tx.KeepBatch(b, cmd.Key)
}
