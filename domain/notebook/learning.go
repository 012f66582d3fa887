package notebook

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"leat/calc/confront"
	"leat/calc/lessons"
	"leat/calc/trompe"
	"leat/domain"
	"leat/domain/digest"
	"leat/domain/store"
)

// learning knows which proposals of sets could not be worked out. It is kept in
// memory alone: they are tried again.
type learning struct {
	mu     sync.Mutex
	failed map[domain.SetProposalID]string

	due     chan struct{} // holds one when somebody proposed a set
	adopted chan struct{} // holds one when somebody adopted a set
}

func newLearning() *learning {
	return &learning{failed: map[domain.SetProposalID]string{}, due: make(chan struct{}, 1), adopted: make(chan struct{}, 1)}
}

// wake says that a proposal wants to be worked out, and adopt that new answers are
// due. They never wait.
func (l *learning) wake()  { tell(l.due) }
func (l *learning) adopt() { tell(l.adopted) }

func tell(c chan struct{}) {
	select {
	case c <- struct{}{}:
	default:
	}
}

func (l *learning) fail(id domain.SetProposalID, why string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.failed[id] = why
}

func (l *learning) failure(id domain.SetProposalID) string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.failed[id]
}

// KeepLearning works out what the runs of proposed sets say, those that are left
// from before first, until it is ended. failed is told what could not be worked
// out.
func (n *Notebook) KeepLearning(ctx context.Context, failed func(error)) {
	n.keep(ctx, n.learning.due, n.LearnDue, failed)
}

// KeepRecalculating is [Notebook.Recalculate], again whenever a set was adopted,
// until it is ended.
func (n *Notebook) KeepRecalculating(ctx context.Context, failed func(error)) {
	n.keep(ctx, n.learning.adopted, n.Recalculate, failed)
}

// jobPauses are how long a job waits before it tries again what it failed at, each
// time longer: a database that was away is back by then. What fails for good is left
// alone after an hour, until something new is due or the server starts.
var jobPauses = []time.Duration{time.Minute, 2 * time.Minute, 4 * time.Minute, 8 * time.Minute, 16 * time.Minute, 32 * time.Minute}

// failedText is what people are told of a proposal or a verdict that a job failed at.
const failedText = "leat failed at this %s. It tries again by itself, a few times within the hour. If this still stands here then, tell whoever keeps this server."

// keep does what is due, again whenever something is, until it is ended.
func (n *Notebook) keep(ctx context.Context, due <-chan struct{}, do func(context.Context) (int, error), failed func(error)) {
	for tries := 0; ; {
		_, err := do(ctx)
		if err != nil && ctx.Err() == nil {
			failed(err)
		}
		var again <-chan time.Time
		if err != nil && tries < len(n.pauses) {
			again = time.After(n.pauses[tries])
		}
		select {
		case <-ctx.Done():
			return
		case <-due:
			tries = 0
		case <-again:
			tries++
		}
	}
}

// LearnDue works out all proposals that wait for it, one after the other, and
// tells how many. One that it fails at is passed over; the errors are returned
// together at the end.
func (n *Notebook) LearnDue(ctx context.Context) (done int, err error) {
	for at := domain.SetProposalID(0); ctx.Err() == nil; {
		asked, failure := n.dueToLearn(ctx, at)
		if domain.KindOf(failure) == domain.NotFound {
			return done, err
		}
		if failure == nil {
			failure = n.learn(ctx, asked)
		}
		switch {
		case failure == nil:
			done++
		case ctx.Err() != nil:
		case asked.id == 0:
			return done, errors.Join(err, failure)
		default:
			n.learning.fail(asked.id, fmt.Sprintf(failedText, "proposal"))
			err = errors.Join(err, fmt.Errorf("notebook: proposal %d of a set: %w", asked.id, failure))
		}
		at = asked.id
	}
	return done, errors.Join(err, ctx.Err())
}

// lessonAsked is a proposal with its runs as they are learned from.
type lessonAsked struct {
	id      domain.SetProposalID
	builds  []lessons.Build
	current *trompe.Set
}

func (n *Notebook) dueToLearn(ctx context.Context, after domain.SetProposalID) (asked lessonAsked, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		p, err := tx.ToLearn(after)
		if err != nil {
			return err
		}
		asked.id = p.ID
		if asked.current, err = setNamed(tx, p.Current); err != nil {
			return err
		}
		asked.builds, err = n.taught(tx, p)
		return err
	})
	return asked, err
}

func setNamed(tx *store.Tx, name string) (*trompe.Set, error) {
	text, err := tx.CoefficientSet(name)
	if err != nil {
		return nil, err
	}
	set, err := trompe.ParseSet(text)
	if err != nil {
		return nil, fmt.Errorf("notebook: coefficient set %s: %w", name, err)
	}
	return set, nil
}

// taught gathers the runs of a proposal by their machines.
func (n *Notebook) taught(tx *store.Tx, p domain.SetProposal) (builds []lessons.Build, err error) {
	all, err := tx.EvidenceRuns()
	if err != nil {
		return nil, err
	}
	all = slices.DeleteFunc(all, func(r domain.EvidenceRun) bool {
		return !slices.ContainsFunc(p.Runs, func(t domain.TaughtRun) bool { return t.ID == r.ID })
	})
	places, crews := map[domain.BuildID]int{}, map[string]int{}
	for _, r := range all {
		c, err := n.learnable(tx, r)
		if err != nil {
			return nil, err
		}
		if _, there := places[r.Build]; !there {
			places[r.Build] = len(builds)
			if crews[r.Crew] == 0 {
				crews[r.Crew] = len(crews) + 1
			}
			builds = append(builds, lessons.Build{Crew: fmt.Sprint(crews[r.Crew]), People: strings.Split(r.Crew, ","), Shown: confront.Shown{Build: namedAmong(all, r)}})
		}
		b := &builds[places[r.Build]]
		b.Runs = append(b.Runs, c)
	}
	return builds, nil
}

// namedAmong is the title of a machine, with its tag where another has the same title.
func namedAmong(all []domain.EvidenceRun, r domain.EvidenceRun) string {
	if slices.ContainsFunc(all, func(other domain.EvidenceRun) bool { return other.Build != r.Build && other.Machine == r.Machine }) {
		return fmt.Sprintf("%s (tag %d)", r.Machine, r.Tag)
	}
	return r.Machine
}

func (n *Notebook) learnable(tx *store.Tx, r domain.EvidenceRun) (confront.Case, error) {
	full, err := tx.EvidenceRun(r.ID)
	if err != nil {
		return confront.Case{}, err
	}
	c, err := n.caseOf(tx, full)
	if err != nil {
		return confront.Case{}, err
	}
	return r.Learnable(c)
}

// learn works a proposal out and keeps it, outside any transaction until it
// stands. No handler of a request stands above it, so that a panic would end the
// server; it becomes an error instead.
func (n *Notebook) learn(ctx context.Context, asked lessonAsked) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic: %v", p)
		}
	}()
	p, err := workedOut(n.worked, map[string]any{"builds": asked.builds, "current": asked.current}, func() (lessons.Proposal, error) {
		return lessons.Learn(ctx, asked.builds, asked.current)
	})
	if err != nil {
		return err
	}
	text, err := json.Marshal(p)
	if err != nil {
		return fmt.Errorf("notebook: write what was learned: %w", err)
	}
	body, err := digest.Canonical(json.RawMessage(text))
	if err != nil {
		return err
	}
	kept := domain.SetLesson{Body: body, Digest: sha256.Sum256(body), Adoptable: p.Adoptable, At: n.now()}
	return n.db.InTx(ctx, func(tx *store.Tx) error { return tx.KeepLesson(asked.id, kept) })
}
