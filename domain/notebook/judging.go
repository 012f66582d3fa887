package notebook

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"sync"

	"leat/calc/confront"
	"leat/calc/trompe"
	"leat/domain"
	"leat/domain/digest"
	"leat/domain/store"
)

// judges knows how far the verdicts are that are being worked out, one at a time.
// It is kept in memory alone: after a restart those that lack are worked out
// again, to the same bytes.
type judges struct {
	mu       sync.Mutex
	now      domain.RunID // 0: none
	done, of int
	failed   map[domain.RunID]string

	due chan struct{} // holds one when somebody submitted a run
}

func newJudges() *judges {
	return &judges{failed: map[domain.RunID]string{}, due: make(chan struct{}, 1)}
}

// wake says that a run wants its verdict. It never waits.
func (j *judges) wake() { tell(j.due) }

func (j *judges) set(id domain.RunID, done, of int) {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.now, j.done, j.of = id, done, of
}

func (j *judges) fail(id domain.RunID, why string) {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.failed[id] = why
}

// progress tells how far the verdict of a run is.
func (j *judges) progress(r domain.Run) domain.RunJudgement {
	j.mu.Lock()
	defer j.mu.Unlock()
	why, failed := j.failed[r.ID]
	switch {
	case r.Verdict != nil:
		return domain.RunJudgement{State: domain.JudgementReady, Verdict: r.Verdict}
	case r.State() != domain.RunSubmitted:
		return domain.RunJudgement{State: domain.NoJudgement}
	case j.now == r.ID:
		return domain.RunJudgement{State: domain.JudgementRuns, Done: j.done, Of: j.of}
	case failed:
		return domain.RunJudgement{State: domain.JudgementFailure, Failure: why}
	}
	return domain.RunJudgement{State: domain.JudgementWaits}
}

// KeepJudging works out the verdicts of submitted runs, those that are left from
// before first, until it is ended. failed is told what could not be worked out.
func (n *Notebook) KeepJudging(ctx context.Context, failed func(error)) {
	n.keep(ctx, n.judges.due, n.JudgeDue, failed)
}

// JudgeDue works out the verdicts of all submitted runs that have none, one after
// the other, and tells how many it worked out. A run that it fails at is passed
// over; the errors are returned together at the end.
func (n *Notebook) JudgeDue(ctx context.Context) (done int, err error) {
	for at := domain.RunID(0); ctx.Err() == nil; {
		c, id, failure := n.dueToJudge(ctx, at)
		if domain.KindOf(failure) == domain.NotFound {
			return done, err
		}
		if failure == nil {
			failure = n.judge(ctx, id, c)
		}
		n.judges.set(0, 0, 0)
		switch {
		case failure == nil:
			done++
		case ctx.Err() != nil:
		case id == 0:
			return done, errors.Join(err, failure)
		default:
			n.judges.fail(id, fmt.Sprintf(failedText, "verdict"))
			err = errors.Join(err, fmt.Errorf("notebook: verdict of run %d: %w", id, failure))
		}
		at = id
	}
	return done, errors.Join(err, ctx.Err())
}

// dueToJudge returns the next run after one that wants its verdict, as a case.
func (n *Notebook) dueToJudge(ctx context.Context, after domain.RunID) (c confront.Case, id domain.RunID, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		r, err := tx.ToJudge(after)
		if err != nil {
			return err
		}
		id = r.ID
		c, err = n.caseOf(tx, r)
		return err
	})
	return c, id, err
}

func (n *Notebook) caseOf(tx *store.Tx, r domain.Run) (confront.Case, error) {
	v, err := n.machineOf(tx, r)
	if err != nil {
		return confront.Case{}, err
	}
	zone, err := tx.TimeZone()
	if err != nil {
		return confront.Case{}, err
	}
	text, err := tx.CoefficientSet(r.CoefficientSet)
	if err != nil {
		return confront.Case{}, err
	}
	set, err := trompe.ParseSet(text)
	if err != nil {
		return confront.Case{}, fmt.Errorf("notebook: coefficient set %s: %w", r.CoefficientSet, err)
	}
	r.Judge(zone)
	workOut(&r, v, zone)
	return caseOf(r, v, set, n.judged), nil
}

// judge works out a verdict and keeps it, outside any transaction until it stands.
// No handler of a request stands above it, so that a panic would end the server;
// it becomes an error instead.
func (n *Notebook) judge(ctx context.Context, id domain.RunID, c confront.Case) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic: %v", p)
		}
	}()
	n.judges.set(id, 0, 0)
	v, err := workedOut(n.worked, c, func() (confront.Verdict, error) {
		return confront.Judge(ctx, c, func(done, of int) { n.judges.set(id, done, of) })
	})
	if err != nil {
		return err
	}
	kept, err := frozen(v)
	if err != nil {
		return err
	}
	kept.At = n.now()
	err = n.db.InTx(ctx, func(tx *store.Tx) error { return tx.KeepVerdict(id, kept) })
	if domain.KindOf(err) == domain.Conflict {
		return nil // it was set aside meanwhile
	}
	return err
}

// frozen is a verdict as it is kept: its text in the form of RFC 8785.
func frozen(v confront.Verdict) (kept domain.RunVerdict, err error) {
	text, err := json.Marshal(v)
	if err != nil {
		return kept, fmt.Errorf("notebook: write a verdict: %w", err)
	}
	body, err := digest.Canonical(json.RawMessage(text))
	return domain.RunVerdict{Body: body, Digest: sha256.Sum256(body), Seed: v.Seed, Draws: v.Draws}, err
}

func sortedNames(limits map[string]domain.RunLimits) []string {
	return slices.Sorted(maps.Keys(limits))
}
