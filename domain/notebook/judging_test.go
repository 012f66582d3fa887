package notebook_test

import (
	"context"
	"math"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/calc/confront"
	"leat/domain"
	"leat/domain/notebook"
)

// A server that was killed works the verdict out again, to the same bytes; two
// servers at once keep one.
func TestAVerdictIsWorkedOutAgainToTheSameBytes(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	s.certified(t)
	m := measured(t, s)
	m.takes(t, m.bucket(25, 25.2))
	m.takes(t, m.pressure(20000, 20100))
	m.submits(t)
	ended, cancel := context.WithCancel(ctx)
	cancel()
	_, err := m.JudgeDue(ended)
	require.ErrorIs(t, err, context.Canceled)
	require.Equal(t, 0, m.db.Number(t, "SELECT count(*) FROM run_verdicts"))

	var both sync.WaitGroup
	for range 2 {
		both.Go(func() {
			other := notebook.New(m.db.DB, notebook.Options{Now: m.clock.now, Draws: draws})
			_, err := other.JudgeDue(ctx)
			require.NoError(t, err)
		})
	}
	both.Wait()
	m.reload(t)
	first := m.run.Verdict.Body
	m.db.Exec(t, "ALTER TABLE run_verdicts DISABLE TRIGGER ALL")
	m.db.Exec(t, "DELETE FROM run_verdicts")
	m.clock.forward(time.Hour)
	_, err = m.JudgeDue(ctx)
	require.NoError(t, err)
	m.reload(t)
	require.Equal(t, string(first), string(m.run.Verdict.Body))
}

// The job of the server judges what is due when it starts, and what is submitted
// later, and ends when it is told.
func TestTheServerKeepsJudging(t *testing.T) {
	t.Parallel()
	m := measured(t, inShed(t))
	m.takes(t, m.bucket(25, 25.2))
	m.submits(t)
	job, end := context.WithCancel(ctx)
	stopped := make(chan struct{})
	go func() {
		defer close(stopped)
		m.KeepJudging(job, func(err error) { t.Error(err) })
	}()
	judged := func(n int) func() bool {
		return func() bool { return m.db.Number(t, "SELECT count(*) FROM run_verdicts") == n }
	}
	require.Eventually(t, judged(1), 30*time.Second, 5*time.Millisecond)
	later := measured(t, m.shed)
	later.takes(t, later.bucket(25, 25.2))
	later.submits(t)
	require.Eventually(t, judged(2), 30*time.Second, 5*time.Millisecond)
	end()
	<-stopped
}

// What was set aside while its verdict was worked out gets none.
func TestARunThatWasSetAsideIsNotJudged(t *testing.T) {
	t.Parallel()
	m := measured(t, inShed(t))
	m.takes(t, m.bucket(25, 25.2))
	m.submits(t)
	r, err := m.setsAside(m.tomasz)
	require.NoError(t, err)
	require.Equal(t, domain.NoJudgement, r.Judgement.State)
	done, err := m.JudgeDue(ctx)
	require.NoError(t, err)
	require.Zero(t, done)
	m.violates(t, "run_verdicts_of_submitted", "INSERT INTO run_verdicts (run_id, body, digest, seed, draws, at) SELECT id, '{}', sha256('{}'), 'a', 1, now() FROM runs")
	_, err = m.SubmitRun(ctx, m.petra, m.run.Ref())
	requireCode(t, "run-frozen", err)
	_, err = m.setsAside(m.wen)
	requireCode(t, "run-ended", err)
}

// Section 6 of the specification of evidence: at u = u_pred an instrument decides
// next to nothing, at a tenth of it nearly always.
func TestAPlanSaysWhatAnInstrumentCouldDecide(t *testing.T) {
	t.Parallel()
	m := measured(t, inShed(t))
	plan, err := m.RunPlan(ctx, m.tomasz, m.run.Ref(), 0)
	require.NoError(t, err)
	found := false
	for _, p := range plan {
		require.NotEqual(t, confront.Efficiency, p.Name)
		require.NotEqual(t, confront.HighestPressure, p.Name, "the sheet draws the valve open, so it does not predict this")
		if p.Name != confront.DeliveryPressure {
			continue
		}
		found = true
		require.Len(t, p.Instruments, 1)
		i := p.Instruments[0]
		require.InEpsilon(t, 1600/math.Sqrt(3), i.U, 1e-12, "class 1 of a span of 1.6 bar")
		require.InDelta(t, i.Decided, i.Met+i.Missed, 1e-12)
		require.GreaterOrEqual(t, i.Decided, 0.0)
		require.LessOrEqual(t, i.Decided, 1.0)
	}
	require.True(t, found)
	_, err = m.RunPlan(ctx, m.tomasz, m.run.Ref(), 999)
	require.Equal(t, domain.NotFound, domain.KindOf(err))
}

// A server that is killed in the middle of a verdict has told how far it was,
// answered others meanwhile, and kept nothing of it; the next one begins anew.
func TestAVerdictThatWasCutShortIsPickedUp(t *testing.T) {
	t.Parallel()
	m := measured(t, inShed(t))
	m.takes(t, m.bucket(25, 25.2))
	m.submits(t)
	slow := notebook.New(m.db.DB, notebook.Options{Now: m.clock.now, Draws: 1_000_000})
	job, kill := context.WithCancel(ctx)
	ended := make(chan error)
	go func() { _, err := slow.JudgeDue(job); ended <- err }()
	require.Eventually(t, func() bool {
		j, err := slow.RunJudgement(ctx, m.petra, m.run.Ref())
		return err == nil && j.State == domain.JudgementRuns && j.Done > 0 && j.Done < j.Of && j.Of == 2_000_000
	}, 30*time.Second, time.Millisecond)
	kill()
	require.ErrorIs(t, <-ended, context.Canceled)
	require.Equal(t, 0, m.db.Number(t, "SELECT count(*) FROM run_verdicts"))
	m.reload(t)
	require.Equal(t, domain.JudgementWaits, m.run.Judgement.State)
	done, err := notebook.New(m.db.DB, notebook.Options{Now: m.clock.now, Draws: draws}).JudgeDue(ctx)
	require.NoError(t, err)
	require.Equal(t, 1, done)
	m.reload(t)
	m.verdict(t)
}

// The usual verdict, of ten thousand draws at least, while others read the run:
// how long it takes, and how long the slowest of them waited.
func BenchmarkVerdict(b *testing.B) {
	s := inShed(b)
	s.certified(b)
	m := measured(b, s)
	m.takes(b, m.bucket(25, 25.2))
	m.takes(b, m.pressure(20000, 20100))
	m.submits(b)
	usual := notebook.New(m.db.DB, notebook.Options{Now: m.clock.now})
	m.db.Exec(b, "ALTER TABLE run_verdicts DISABLE TRIGGER ALL")
	var slowest time.Duration
	for b.Loop() {
		m.db.Exec(b, "DELETE FROM run_verdicts")
		ended := make(chan error, 1)
		go func() { _, err := usual.JudgeDue(ctx); ended <- err }()
		for judging := true; judging; {
			begun := time.Now()
			_, err := usual.Run(ctx, m.petra, m.run.Ref())
			require.NoError(b, err)
			slowest = max(slowest, time.Since(begun))
			select {
			case err := <-ended:
				require.NoError(b, err)
				judging = false
			case <-time.After(20 * time.Millisecond):
			}
		}
	}
	b.ReportMetric(float64(slowest.Milliseconds()), "ms/slowest-read")
	m.reload(b)
	b.ReportMetric(float64(m.run.Verdict.Draws), "draws")
}
