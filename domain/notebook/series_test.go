package notebook_test

import (
	"crypto/sha256"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

// logged is a shed with an open run and one point in it.
type logged struct {
	*shed
	run    domain.RunRef
	sensor domain.Instrument
}

func inRun(t testing.TB) *logged {
	t.Helper()
	l := &logged{shed: inShed(t)}
	class, step, day := 1.0, 10.0, l.clock.now().AddDate(0, -1, 0).UTC().Truncate(24*time.Hour)
	var err error
	l.sensor, _, _, err = l.AddInstrument(ctx, l.db.Person(t, "Jo Keel", domain.Keeper), domain.AddInstrument{
		Facts:        domain.InstrumentFacts{Name: "Sensor", Kind: domain.PressureGauge, Unit: "Pa", High: 1.6e5, ClassPct: &class, Resolution: &step, IntervalDays: 365},
		CalibratedOn: &day, Calibration: "against the column", Key: "sensor-0001",
	})
	require.NoError(t, err)
	r, _, err := l.OpenRun(ctx, l.tomasz, domain.OpenRun{Project: l.project.ID, Build: l.machine.ID, Title: "Morning", Limits: map[string]domain.RunLimits{}, Key: "run-00000001"})
	require.NoError(t, err)
	l.run = r.Ref()
	_, _, err = l.AddRunPoint(ctx, l.tomasz, domain.AddRunPoint{Run: l.run, Name: "as it runs", Setting: "as_drawn", Key: "point-000001"})
	require.NoError(t, err)
	return l
}

// steadyFile is what a logger writes at a steady pressure, in kPa, with some noise
// and settling at the start.
func steadyFile(rows int, unit string) string {
	noise := rand.New(rand.NewPCG(2026, 12))
	text := &strings.Builder{}
	fmt.Fprintln(text, "t [s],tank"+unit)
	for i := range rows {
		fmt.Fprintf(text, "%d,%.3f\n", i, 40-20*math.Exp(-float64(i)/20)+0.05*noise.NormFloat64())
	}
	return text.String()
}

func sumOf(text string) []byte {
	sum := sha256.Sum256([]byte(text))
	return sum[:]
}

// announce announces a file, and brings its parts.
func (l *logged) bring(t testing.TB, text, key string) domain.SeriesFile {
	t.Helper()
	f, _, err := l.AddSeriesFile(ctx, l.petra, domain.AddSeriesFile{Run: l.run, Name: "run.csv", Size: len(text), Sum: sumOf(text), Key: key})
	require.NoError(t, err)
	for _, number := range f.Missing() {
		from := (number - 1) * domain.PartBytes
		f, err = l.PutSeriesPart(ctx, l.petra, domain.PutSeriesPart{Run: l.run, File: f.ID, Number: number, Bytes: []byte(text[from : from+f.PartSize(number)])})
		require.NoError(t, err)
	}
	return f
}

func (l *logged) done(f domain.SeriesFile, asked domain.SeriesAsked) (domain.SeriesFile, error) {
	return l.CompleteSeriesFile(ctx, l.petra, domain.CompleteSeriesFile{Run: l.run, File: f.ID, Asked: asked})
}

// brought is a file of 600 rows that was read.
func (l *logged) brought(t testing.TB) domain.SeriesFile {
	t.Helper()
	f, err := l.done(l.bring(t, steadyFile(600, " [kPa] (g)"), "file-0000001"), domain.SeriesAsked{Units: map[string]string{"tank [kPa] (g)": "kPa g"}})
	require.NoError(t, err)
	return f
}

// Product, "weak connection": a broken upload goes on where it stopped, and what
// is sent again changes nothing.
func TestFileOfALoggerComesInParts(t *testing.T) {
	t.Parallel()
	l := inRun(t)
	text := steadyFile(250_000, " [kPa]") // more than one part
	cmd := domain.AddSeriesFile{Run: l.run, Name: " run.csv ", Size: len(text), Sum: sumOf(text), Key: "file-0000001"}
	f, made, err := l.AddSeriesFile(ctx, l.petra, cmd)
	require.NoError(t, err)
	require.True(t, made)
	require.Equal(t, "run.csv", f.Name)
	require.Equal(t, []int{1, 2}, f.Missing())
	again, made, err := l.AddSeriesFile(ctx, l.petra, cmd)
	require.NoError(t, err)
	require.False(t, made)
	require.Equal(t, f.ID, again.ID)

	part := func(number int, bytes string) error {
		f, err = l.PutSeriesPart(ctx, l.petra, domain.PutSeriesPart{Run: l.run, File: again.ID, Number: number, Bytes: []byte(bytes)})
		return err
	}
	second := text[domain.PartBytes:]
	require.NoError(t, part(2, second))
	require.NoError(t, part(2, second), "sent again")
	requireCode(t, "part-differs", part(2, strings.ToUpper(strings.Replace(second, "1", "2", 1))))
	requireCode(t, "invalid", part(1, text[:100]))
	requireCode(t, "not-found", part(3, "x"))
	_, err = l.done(again, domain.SeriesAsked{})
	requireCode(t, "parts-missing", err)
	f, err = l.SeriesFile(ctx, l.tomasz, l.run, again.ID)
	require.NoError(t, err)
	require.Equal(t, []int{2}, f.Have)
	require.NoError(t, part(1, text[:domain.PartBytes]))

	f, err = l.done(again, domain.SeriesAsked{})
	require.NoError(t, err)
	require.Equal(t, 250_000, f.Read.Report.Rows)
	require.Equal(t, 1.0, f.Read.Report.MedianStep)
	require.Equal(t, fmt.Sprintf("%x", cmd.Sum), f.Read.Report.Digest)
	require.Equal(t, "pressure", f.Read.Report.Channels[0].Kind)
	require.Equal(t, "Pa", f.Read.Report.Channels[0].Unit)
	require.False(t, f.Read.Certified)
	require.NoError(t, part(1, text[:domain.PartBytes]), "a late retry")
	f, err = l.done(again, domain.SeriesAsked{})
	require.NoError(t, err)
	require.Equal(t, 1, f.Read.Number, "the same answers read nothing again")
}

func TestFileThatIsNotTheOneAnnounced(t *testing.T) {
	t.Parallel()
	l := inRun(t)
	text := steadyFile(100, " [kPa]")
	f, _, err := l.AddSeriesFile(ctx, l.petra, domain.AddSeriesFile{Run: l.run, Name: "a", Size: len(text), Sum: sumOf("other"), Key: "file-0000001"})
	require.NoError(t, err)
	_, err = l.PutSeriesPart(ctx, l.petra, domain.PutSeriesPart{Run: l.run, File: f.ID, Number: 1, Bytes: []byte(text)})
	require.NoError(t, err)
	_, err = l.done(f, domain.SeriesAsked{})
	requireCode(t, "file-differs", err)
	f, err = l.SeriesFile(ctx, l.petra, l.run, f.ID)
	require.NoError(t, err)
	require.Empty(t, f.Have, "it can be sent again")
	require.Nil(t, f.CompleteAt)
	f, made, err := l.AddSeriesFile(ctx, l.tomasz, domain.AddSeriesFile{Run: l.run, Name: "a", Size: len(text), Sum: sumOf("other"), Key: "file-0000003"})
	require.NoError(t, err)
	require.False(t, made, "who announces it once more sends on where it stopped")
	_, _, err = l.AddSeriesFile(ctx, l.petra, domain.AddSeriesFile{Run: l.run, Name: "a", Size: len(text) + 1, Sum: sumOf("other"), Key: "file-0000001"})
	requireCode(t, "client-key-used", err)
	_, _, err = l.AddSeriesFile(ctx, l.petra, domain.AddSeriesFile{Run: l.run, Name: "a", Size: 50_000_001, Sum: sumOf("a")[:3], Key: "file-0000002"})
	require.Len(t, requireCode(t, "invalid", err).Fields, 2)
}

// A file that asks for something stays, and is read once that is answered. Read
// with other answers, windows keep what they were taken from.
func TestFileIsReadWithAnswers(t *testing.T) {
	t.Parallel()
	l := inRun(t)
	text := strings.ReplaceAll(steadyFile(300, ""), "t [s]", "time")
	for i := 299; i >= 0; i-- {
		text = strings.Replace(text, fmt.Sprintf("\n%d,", i), fmt.Sprintf("\n2026-05-01T10:%02d:%02d,", i/60, i%60), 1)
	}
	f := l.bring(t, text, "file-0000001")
	_, err := l.done(f, domain.SeriesAsked{})
	e := requireCode(t, "file-unreadable", err)
	require.Equal(t, "/units/tank", e.Fields[0].Pointer)
	require.Equal(t, "unit_missing", e.Fields[0].Code)
	require.Contains(t, e.Fields[0].Message, "Line 1, column 2")
	_, err = l.done(f, domain.SeriesAsked{Units: map[string]string{"tank": "bar g"}})
	require.Equal(t, "/zone", requireCode(t, "file-unreadable", err).Fields[0].Pointer)
	_, err = l.done(f, domain.SeriesAsked{Zone: "Local"})
	requireCode(t, "invalid", err)
	f, err = l.done(f, domain.SeriesAsked{Units: map[string]string{"tank": "kPa g"}, Zone: "+02:00"})
	require.NoError(t, err)
	require.Equal(t, time.Date(2026, 5, 1, 8, 0, 0, 0, time.UTC), f.Read.Report.Start.UTC())
	require.Equal(t, "gauge", f.Read.Report.Channels[0].Counted)
	f, err = l.done(f, domain.SeriesAsked{Units: map[string]string{"tank": "bar g"}, Zone: "+02:00"})
	require.NoError(t, err)
	require.Equal(t, 2, f.Read.Number)
	c, err := l.SeriesChart(ctx, l.petra, l.run, f.ID, domain.Whole("tank"))
	require.NoError(t, err)
	require.InDelta(t, 40e5, c.Values[299], 1e5, "40 bar")
}

// The same bytes are kept once in a run, whether their sum was told or not.
func TestSameFileTwiceIsKeptOnce(t *testing.T) {
	t.Parallel()
	l := inRun(t)
	first := l.brought(t)
	text := steadyFile(600, " [kPa] (g)")
	f, made, err := l.AddSeriesFile(ctx, l.tomasz, domain.AddSeriesFile{Run: l.run, Name: "again.csv", Size: len(text), Sum: sumOf(text), Key: "file-0000002"})
	require.NoError(t, err)
	require.False(t, made)
	require.Equal(t, first.ID, f.ID)
	f, made, err = l.AddSeriesFile(ctx, l.tomasz, domain.AddSeriesFile{Run: l.run, Name: "again.csv", Size: len(text), Key: "file-0000003"})
	require.NoError(t, err)
	require.True(t, made)
	_, err = l.PutSeriesPart(ctx, l.tomasz, domain.PutSeriesPart{Run: l.run, File: f.ID, Number: 1, Bytes: []byte(text)})
	require.NoError(t, err)
	for range 2 {
		same, err := l.done(f, first.Read.Asked)
		require.NoError(t, err)
		require.Equal(t, first.ID, same.ID)
	}
	require.Equal(t, 1, l.db.Number(t, "SELECT count(*) FROM series_parts"))
	list, err := l.SeriesFiles(ctx, l.petra, l.run)
	require.NoError(t, err)
	require.Len(t, list, 1)
}

func (l *logged) window(f domain.SeriesFile, key string) domain.TakeWindow {
	return domain.TakeWindow{Run: l.run, Point: 1, File: &f.ID, Key: key, Channels: []domain.AskedChannel{
		{Channel: f.Read.Report.Channels[0].Name, Quantity: "delivery_pressure_pa", Instrument: &l.sensor.ID, Counted: "gauge"},
	}}
}

// A window counts as reading: its mean, that of a class 1 gauge of 160 kPa with
// u = 1600/√3 Pa (EN 837-1, table 11), and what the series leaves open.
func TestWindowCountsAsReading(t *testing.T) {
	t.Parallel()
	l := inRun(t)
	l.certified(t)
	f := l.brought(t)
	require.True(t, f.Read.Certified)
	wish := domain.Whole(f.Read.Report.Channels[0].Name)
	c, err := l.SeriesChart(ctx, l.petra, l.run, f.ID, wish)
	require.NoError(t, err)
	require.Nil(t, c.Summary)
	wish.Summary = true
	c, err = l.SeriesChart(ctx, l.petra, l.run, f.ID, wish)
	require.NoError(t, err)
	require.Equal(t, "steady", c.Summary.Status)
	require.InDelta(t, 100, c.Summary.Cut, 60, "five time constants of 20 s")
	_, err = l.SeriesChart(ctx, l.petra, l.run, f.ID, domain.Whole("none"))
	requireCode(t, "not-found", err)

	cmd := l.window(f, "window-00001")
	w, made, err := l.TakeWindow(ctx, l.petra, cmd)
	require.NoError(t, err)
	require.True(t, made)
	again, made, err := l.TakeWindow(ctx, l.petra, cmd)
	require.NoError(t, err)
	require.False(t, made)
	require.Equal(t, w.ID, again.ID)
	r, err := l.Run(ctx, l.tomasz, l.run)
	require.NoError(t, err)
	got := r.Points[0].Windows[0].Channels[0]
	require.True(t, got.Counts)
	require.Empty(t, got.Marks)
	require.InDelta(t, 40_000, *got.Worked.Value, 20)
	require.InEpsilon(t, 1600/math.Sqrt(3), *got.Worked.U, 0.01)
	require.Empty(t, got.Worked.Reason)
	require.Len(t, r.Points[0].Worked, 1)
	require.Equal(t, *got.Worked.Value, *r.Points[0].Worked[0].Value)
	require.Equal(t, 1, r.Counts.Readings)
	require.Zero(t, r.Counts.Uncertified)

	ten := 10.0
	short := l.window(f, "window-00002")
	short.To = &ten
	_, _, err = l.TakeWindow(ctx, l.petra, short)
	require.NoError(t, err)
	r, err = l.Run(ctx, l.tomasz, l.run)
	require.NoError(t, err)
	got = r.Points[0].Windows[1].Channels[0]
	require.False(t, got.Counts, "the first one stands")
	require.EqualValues(t, "not_steady", got.Worked.Reason)

	_, err = l.DecideWindow(ctx, l.petra, domain.DecideWindow{Run: l.run, Window: w.ID, Answer: domain.KeepOutliers, Reason: "so", Key: "decide-00001"})
	requireCode(t, "decision-refused", err)
	_, err = l.DecideWindow(ctx, l.petra, domain.DecideWindow{Run: l.run, Window: w.ID, Answer: domain.StrikeWindow, Reason: "the valve was shut", Key: "decide-00002"})
	require.NoError(t, err)
	r, err = l.Run(ctx, l.tomasz, l.run)
	require.NoError(t, err)
	require.False(t, r.Points[0].Windows[0].Channels[0].Counts)
	require.True(t, r.Points[0].Windows[1].Channels[0].Counts)
	_, err = l.SubmitRun(ctx, l.petra, l.run)
	require.NoError(t, err)
	_, _, err = l.TakeWindow(ctx, l.petra, l.window(f, "window-00003"))
	requireCode(t, "run-frozen", err)
	_, _, err = l.AddSeriesFile(ctx, l.petra, domain.AddSeriesFile{Run: l.run, Name: "a", Size: 1, Key: "file-0000009"})
	requireCode(t, "run-frozen", err)
	_, err = l.done(f, domain.SeriesAsked{Zone: "UTC"})
	requireCode(t, "run-frozen", err)
}

func TestWindowFindsItsFaults(t *testing.T) {
	t.Parallel()
	l := inRun(t)
	f := l.brought(t)
	for at, change := range map[string]func(*domain.TakeWindow){
		"/file":                  func(c *domain.TakeWindow) { c.File = nil },
		"/channels":              func(c *domain.TakeWindow) { c.Channels = nil },
		"/channels/0/quantity":   func(c *domain.TakeWindow) { c.Channels[0].Quantity = "efficiency" },
		"/channels/0/instrument": func(c *domain.TakeWindow) { c.Channels[0].Instrument = nil },
		"/channels/0/channel":    func(c *domain.TakeWindow) { c.Channels[0].Channel = "none" },
		"/channels/0/counted":    func(c *domain.TakeWindow) { c.Channels[0].Quantity = "/site/p_amb_pa" },
		"/channels/1":            func(c *domain.TakeWindow) { c.Channels = append(c.Channels, c.Channels[0]) },
		"/vessel":                func(c *domain.TakeWindow) { c.Channels[0].Quantity, c.Channels[0].Decay = "", true },
		"/vessel/volume_m3":      func(c *domain.TakeWindow) { c.Vessel = &domain.AskedVessel{} },
		"/vessel/gas_channel": func(c *domain.TakeWindow) {
			c.Vessel = &domain.AskedVessel{VolumeM3: 1, GasChannel: c.Channels[0].Channel}
		},
		"/from_s": func(c *domain.TakeWindow) { from := 1e6; c.From = &from },
	} {
		cmd := l.window(f, "window-00001")
		cmd.Channels = append([]domain.AskedChannel{}, cmd.Channels...)
		change(&cmd)
		_, _, err := l.TakeWindow(ctx, l.petra, cmd)
		e := requireCode(t, "invalid", err)
		require.Equal(t, at, e.Fields[0].Pointer)
	}
	// Without a certificate it is kept, and never counts.
	_, _, err := l.TakeWindow(ctx, l.petra, l.window(f, "window-00002"))
	require.NoError(t, err)
	r, err := l.Run(ctx, l.petra, l.run)
	require.NoError(t, err)
	require.False(t, r.Points[0].Windows[0].Channels[0].Counts)
	require.Equal(t, "uncertified", r.Points[0].Windows[0].Channels[0].Marks[0].Code)
	require.Equal(t, 1, r.Counts.Uncertified)
}

// Worked by hand: one value in eleven of 520 kPa among 500 moves the mean by 1.8.
// Somebody has to say whether they are kept; what is left out changes the value.
func TestWildValuesWaitForADecision(t *testing.T) {
	t.Parallel()
	l := inRun(t)
	l.certified(t)
	noise := rand.New(rand.NewPCG(2026, 13))
	text := &strings.Builder{}
	fmt.Fprintln(text, "t [s],tank [kPa g]")
	for i := range 440 {
		p := 50 + 0.1*noise.NormFloat64()
		if i%11 == 0 {
			p = 52
		}
		fmt.Fprintf(text, "%d,%.3f\n", i, p)
	}
	f, err := l.done(l.bring(t, text.String(), "file-0000001"), domain.SeriesAsked{})
	require.NoError(t, err)
	w, _, err := l.TakeWindow(ctx, l.petra, l.window(f, "window-00001"))
	require.NoError(t, err)
	require.True(t, w.Open())
	value := func() float64 {
		r, err := l.Run(ctx, l.petra, l.run)
		require.NoError(t, err)
		return *r.Points[0].Worked[0].Value
	}
	require.InDelta(t, 50_182, value(), 30)
	w, err = l.DecideWindow(ctx, l.tomasz, domain.DecideWindow{Run: l.run, Window: w.ID, Answer: domain.LeaveOutliers, Reason: "the radio nearby", Key: "decide-00001"})
	require.NoError(t, err)
	require.False(t, w.Open())
	require.InDelta(t, 50_000, value(), 30)
	again, err := l.DecideWindow(ctx, l.tomasz, domain.DecideWindow{Run: l.run, Window: w.ID, Answer: domain.LeaveOutliers, Reason: "the radio nearby", Key: "decide-00001"})
	require.NoError(t, err)
	require.Len(t, again.Decisions, 1)
}
