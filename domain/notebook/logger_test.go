package notebook_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/store/storetest"
)

func (l *logged) device(t testing.TB, key string) (domain.SendingLogger, domain.LoggerToken) {
	t.Helper()
	d, token, made, err := l.MakeLogger(ctx, l.tomasz, domain.MakeLogger{Project: l.project.ID, Build: l.machine.ID, Name: "Float logger", Key: key})
	require.NoError(t, err)
	require.True(t, made)
	return d, token
}

// sends is a batch of samples each second from a time on.
func sends(from time.Time, key, unit string, values ...float64) domain.SendSamples {
	cmd := domain.SendSamples{Key: key}
	for i, v := range values {
		cmd.Samples = append(cmd.Samples, domain.Sample{At: from.Add(time.Duration(i) * time.Second), Channel: "tank", Value: v, Unit: unit})
	}
	return cmd
}

// Product, "Run": a logger posts with its own token. It is shown once, kept as
// its sum, and good until it is revoked: by who made it, the crew or a keeper.
func TestTokenOfALogger(t *testing.T) {
	t.Parallel()
	l := inRun(t)
	d, token := l.device(t, "logger-00001")
	require.Len(t, string(token), 43, "256 bits in base64")
	again, none, made, err := l.MakeLogger(ctx, l.tomasz, domain.MakeLogger{Project: l.project.ID, Build: l.machine.ID, Name: "Float logger", Key: "logger-00001"})
	require.NoError(t, err)
	require.False(t, made)
	require.Empty(t, none)
	require.Equal(t, d.ID, again.ID)
	require.Zero(t, l.db.Number(t, "SELECT count(*) FROM loggers WHERE token_sum = $1", []byte(token)))

	found, err := l.SendingLogger(ctx, token)
	require.NoError(t, err)
	require.Equal(t, d.ID, found.ID)
	_, err = l.SendingLogger(ctx, domain.NewLoggerToken())
	requireCode(t, "logger-refused", err)

	stranger := l.db.Person(t, "Sol Marsh")
	_, err = l.RevokeLogger(ctx, stranger, l.project.ID, l.machine.ID, d.ID)
	requireCode(t, "not-on-crew", err)
	require.ErrorContains(t, err, "Tomasz Reyes")
	for i, who := range []domain.Actor{l.tomasz, l.petra, l.db.Person(t, "Ines Calloway", domain.Keeper)} {
		d, token := l.device(t, "logger-0001"+string(rune('a'+i)))
		d, err = l.RevokeLogger(ctx, who, l.project.ID, l.machine.ID, d.ID)
		require.NoError(t, err, who.Name)
		require.Equal(t, who.Name, d.RevokedBy.Name)
		require.Empty(t, d.Allowed)
		_, err = l.SendingLogger(ctx, token)
		requireCode(t, "logger-refused", err)
		_, _, err = l.SendSamples(ctx, d.ID, sends(l.clock.now(), "batch-000001", "kPa", 1))
		requireCode(t, "logger-refused", err)
		_, err = l.RevokeLogger(ctx, l.petra, l.project.ID, l.machine.ID, d.ID)
		require.NoError(t, err, "once more changes nothing")
	}
}

// What a logger sends is kept once, in the open run of its machine, or marked
// where there is none; what is odd is said and kept.
func TestSamplesAreKeptOnce(t *testing.T) {
	t.Parallel()
	l := inRun(t)
	d, _ := l.device(t, "logger-00001")
	start := l.clock.now().Add(-time.Hour).UTC().Truncate(time.Second)
	first := sends(start, "batch-000001", "kPa g", 40, math.NaN(), 41)
	kept, made, err := l.SendSamples(ctx, d.ID, first)
	require.NoError(t, err)
	require.True(t, made)
	require.Equal(t, 1, *kept.Run)
	require.False(t, kept.Certified)
	require.Equal(t, 3, kept.Kept)
	require.Equal(t, 1, kept.Missing)
	require.Equal(t, []string{"tank"}, kept.New)
	require.Empty(t, kept.Problems)
	again, made, err := l.SendSamples(ctx, d.ID, first)
	require.NoError(t, err)
	require.False(t, made)
	require.Equal(t, kept, again)
	require.Equal(t, 1, l.db.Number(t, "SELECT count(*) FROM logger_batches"))
	_, _, err = l.SendSamples(ctx, d.ID, sends(start, "batch-000001", "kPa g", 40))
	requireCode(t, "client-key-used", err)
	_, _, err = l.SendSamples(ctx, d.ID, domain.SendSamples{Key: "batch-000002"})
	requireCode(t, "invalid", err)

	odd := sends(start.Add(-time.Minute), "batch-000003", "kPa g", 39)
	odd.Samples = append(odd.Samples,
		domain.Sample{At: start, Channel: "tank", Value: 12, Unit: "L/min"},
		domain.Sample{At: start, Channel: "float", Value: 12, Unit: "hands"},
		domain.Sample{At: l.clock.now().Add(time.Hour), Channel: "tank", Value: 12, Unit: "kPa g"})
	kept, _, err = l.SendSamples(ctx, d.ID, odd)
	require.NoError(t, err)
	var codes []string
	for _, p := range kept.Problems {
		codes = append(codes, p.Code)
	}
	require.Equal(t, []string{"clock_back", "unit_mixed", "unit_unknown", "clock_ahead"}, codes)
	require.Equal(t, 4, kept.Kept)

	c, err := l.LoggerChart(ctx, l.petra, l.run, d.ID, domain.Whole("tank"))
	require.NoError(t, err)
	require.Equal(t, 39_000.0, c.Values[0], "put in order")
	require.Equal(t, 40_000.0, c.Values[1])
	require.True(t, math.IsNaN(c.Values[2]))

	l.db.Exec(t, "ALTER TABLE logger_batches DISABLE TRIGGER logger_batches_append_only")
	l.db.Exec(t, "UPDATE logger_batches SET samples = $1", domain.LoggerRunMost-1)
	l.db.Exec(t, "ALTER TABLE logger_batches ENABLE ALWAYS TRIGGER logger_batches_append_only")
	_, _, err = l.SendSamples(ctx, d.ID, sends(start, "batch-000009", "kPa g", 40, 41))
	requireCode(t, "run-full", err)

	_, err = l.SubmitRun(ctx, l.petra, l.run)
	require.NoError(t, err)
	kept, _, err = l.SendSamples(ctx, d.ID, sends(start.Add(time.Minute), "batch-000004", "kPa g", 40))
	require.NoError(t, err)
	require.Nil(t, kept.Run)
	require.Equal(t, 1, l.db.Number(t, "SELECT count(*) FROM logger_batches WHERE run_id IS NULL"))
}

// A window of what a logger sent counts when the machine had a certificate from
// before its first sample.
func TestWindowOfALogger(t *testing.T) {
	t.Parallel()
	l := inRun(t)
	l.certified(t)
	issued := l.clock.now()
	l.clock.forward(time.Hour)
	d, _ := l.device(t, "logger-00001")
	window := func(key string) domain.TakeWindow {
		return domain.TakeWindow{Run: l.run, Point: 1, Logger: &d.ID, Key: key, Channels: []domain.AskedChannel{
			{Channel: "tank", Quantity: "delivery_pressure_pa", Instrument: &l.sensor.ID, Counted: "gauge"},
		}}
	}
	_, _, err := l.TakeWindow(ctx, l.petra, window("window-00001"))
	requireCode(t, "nothing-sent", err)
	var values []float64
	for i := range 200 {
		values = append(values, 40+0.1*math.Sin(float64(i)*2.1))
	}
	kept, _, err := l.SendSamples(ctx, d.ID, sends(issued.Add(time.Minute), "batch-000001", "kPa", values...))
	require.NoError(t, err)
	require.True(t, kept.Certified)
	w, _, err := l.TakeWindow(ctx, l.petra, window("window-00001"))
	require.NoError(t, err)
	require.True(t, w.Certified)
	r, err := l.Run(ctx, l.petra, l.run)
	require.NoError(t, err)
	require.True(t, r.Points[0].Windows[0].Channels[0].Counts)
	require.InDelta(t, 40_000, *r.Points[0].Worked[0].Value, 30)

	kept, _, err = l.SendSamples(ctx, d.ID, sends(issued.Add(-time.Minute), "batch-000002", "kPa", 40))
	require.NoError(t, err)
	require.False(t, kept.Certified, "from before it was issued")
	w, _, err = l.TakeWindow(ctx, l.petra, window("window-00002"))
	require.NoError(t, err)
	require.False(t, w.Certified)
}

// Who brought a series took part in the run, and does not confirm it; nobody does
// while a window waits for a decision.
func TestRunWithAWindowThatWaitsIsNotConfirmed(t *testing.T) {
	t.Parallel()
	l := inRun(t)
	l.certified(t)
	f := l.brought(t)
	w, _, err := l.TakeWindow(ctx, l.petra, l.window(f, "window-00001"))
	require.NoError(t, err)
	l.db.Exec(t, "ALTER TABLE series_windows DISABLE TRIGGER series_windows_append_only")
	l.db.Exec(t, "UPDATE series_windows SET decide = true")
	l.db.Exec(t, "ALTER TABLE series_windows ENABLE ALWAYS TRIGGER series_windows_append_only")
	_, err = l.SubmitRun(ctx, l.tomasz, l.run)
	require.NoError(t, err)
	l.db.Exec(t, `INSERT INTO run_verdicts (run_id, body, digest, seed, draws, at) SELECT id, '{}', sha256('{}'), 's', 1, now() FROM runs ON CONFLICT DO NOTHING`)
	confirm := func(who domain.Actor) error {
		_, err := l.ConfirmRun(ctx, who, domain.ConfirmRun{Run: l.run, Proof: domain.Proof{Password: storetest.Password}})
		return err
	}
	l.db.Exec(t, "UPDATE accounts SET steward = true WHERE id = $1", l.petra.Account)
	petra := l.petra
	require.Error(t, confirm(petra))
	requireCode(t, "window-undecided", confirm(l.wen))
	_, err = l.DecideWindow(ctx, l.tomasz, domain.DecideWindow{Run: l.run, Window: w.ID, Answer: domain.LeaveOutliers, Reason: "radio", Key: "decide-00001"})
	requireCode(t, "decision-refused", err)
	_, err = l.DecideWindow(ctx, l.tomasz, domain.DecideWindow{Run: l.run, Window: w.ID, Answer: domain.KeepOutliers, Reason: "they are real", Key: "decide-00002"})
	require.NoError(t, err)
	require.NoError(t, confirm(l.wen))
}

// A token appends to its own machine and to nothing else: neither to the open run
// of another one, nor by the database itself.
func TestTokenIsGoodForOneMachineOnly(t *testing.T) {
	t.Parallel()
	l := inRun(t)
	other, _, err := l.StartBuild(ctx, l.petra, l.start(domain.RevisionRef{Design: l.design.ID, Letter: "A"}, "build-0002"))
	require.NoError(t, err)
	other, err = l.to(other, domain.Built)
	require.NoError(t, err)
	d, token, _, err := l.MakeLogger(ctx, l.tomasz, domain.MakeLogger{Project: l.project.ID, Build: other.ID, Name: "Other", Key: "logger-00001"})
	require.NoError(t, err)
	found, err := l.SendingLogger(ctx, token)
	require.NoError(t, err)
	require.Equal(t, other.ID, found.Build)
	kept, _, err := l.SendSamples(ctx, d.ID, sends(l.clock.now(), "batch-000001", "kPa", 40))
	require.NoError(t, err)
	require.Nil(t, kept.Run, "the open run is of another machine")
	_, err = l.LoggerChart(ctx, l.petra, l.run, d.ID, domain.Whole("tank"))
	requireCode(t, "not-found", err)
	_, _, err = l.TakeWindow(ctx, l.petra, domain.TakeWindow{Run: l.run, Point: 1, Logger: &d.ID, Key: "window-00001", Channels: []domain.AskedChannel{{Channel: "tank"}}})
	requireCode(t, "not-found", err)
	_, err = l.db.SQL.ExecContext(ctx, `INSERT INTO logger_batches (logger_id, run_id, client_key, body, units, answer, certified, at)
		SELECT b.logger_id, r.id, 'batch-000002', b.body, b.units, b.answer, b.certified, b.at FROM logger_batches b, runs r`)
	require.ErrorContains(t, err, "of another build")
	for _, change := range []string{"UPDATE logger_batches SET body = '{}'", "DELETE FROM logger_batches", "UPDATE loggers SET build_id = build_id"} {
		_, err = l.db.SQL.ExecContext(ctx, change)
		require.Error(t, err, change)
	}
	_, err = l.RevokeLogger(ctx, l.petra, l.project.ID, other.ID, d.ID)
	require.NoError(t, err)
	_, _, err = l.SendSamples(ctx, d.ID, sends(l.clock.now(), "batch-000003", "kPa", 40))
	requireCode(t, "logger-refused", err)
	require.Equal(t, 1, l.db.Number(t, "SELECT count(*) FROM logger_batches"))
}
