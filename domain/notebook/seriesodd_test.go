package notebook_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

// Specification of evidence, section 2.1: a unit is in the heading or asked for,
// decimal commas go with a semicolon or a tab. What a file does not say clearly is
// never read as some number: it is said where it stands, and the file stays.
func TestFilesThatAreNotClearAreNotRead(t *testing.T) {
	t.Parallel()
	l := inRun(t)
	for i, c := range []struct{ text, pointer, code, words string }{
		{"t [s],tank [kPa g]\n0,40\n1,0.4 bar\n", "", "unit_mixed", "Line 3, column 2"},
		{"t [s],tank [kPa g]\n0,40\nt [s],tank [bar]\n1,0.4\n", "", "second_header", "Line 3"},
		{"t [s],tank [kPa g]\n0,40,5\n1,40,6\n", "", "decimal_comma", "Line 2"},
		{"t [s];tank [kPa g]\n0;40,5\n1;40.5\n", "", "decimal_mixed", "Line 3, column 2"},
		{"t [s],tank\n0,40\n", "/units/tank", "unit_missing", "Line 1, column 2"},
		{"time,tank [kPa g]\n2026-05-01T10:00,40\n", "/zone", "zone_missing", "Line 2, column 1"},
		{"t [s],tank [kPa g]\n", "", "no_rows", ""},
		{"\x00\x01\x02\xff", "", "not_text", ""},
	} {
		f := l.bring(t, c.text, fmt.Sprintf("file-000000%d", i))
		_, err := l.done(f, domain.SeriesAsked{})
		require.Error(t, err, c.text)
		e := requireCode(t, "file-unreadable", err)
		require.Equal(t, c.pointer, e.Fields[0].Pointer, c.text)
		require.Equal(t, c.code, e.Fields[0].Code, c.text)
		require.Contains(t, e.Fields[0].Message, c.words, c.text)
		f, err = l.SeriesFile(ctx, l.petra, l.run, f.ID)
		require.NoError(t, err)
		require.Nil(t, f.Read)
		require.NotNil(t, f.CompleteAt, "it was kept")
		_, err = l.SeriesChart(ctx, l.petra, l.run, f.ID, domain.Whole("tank"))
		requireCode(t, "file-not-read", err)
	}
	require.Zero(t, l.db.Number(t, "SELECT count(*) FROM series_reads"))
}

// The clock goes back, the logger pauses, the sensor sticks, cells have no value
// or rubbish: the file is read, and each is in the report and at the window.
func TestOddRowsAreSaidAndListed(t *testing.T) {
	t.Parallel()
	l := inRun(t)
	l.certified(t)
	text := &strings.Builder{}
	fmt.Fprintln(text, "t [s];tank [kPa g]")
	for i := range 600 {
		at, cell := i, strings.Replace(fmt.Sprintf("%.2f", 40+0.3*math.Sin(float64(i)*1.7)), ".", ",", 1)
		switch {
		case i == 50:
			at = 20 // the clock was set back: a time that is there already
		case i == 60:
			at = 49 // and once more
		case i >= 300 && i < 350:
			cell = "40,10"
		case i >= 400 && i < 410:
			cell = []string{"NaN", "", "inf", "---", "oops"}[i%5]
		}
		if i >= 500 {
			at += 120 // it paused
		}
		fmt.Fprintf(text, "%d;%s\n", at, cell)
	}
	fmt.Fprint(text, "9999") // and the last line broke off
	f, err := l.done(l.bring(t, text.String(), "file-0000001"), domain.SeriesAsked{})
	require.NoError(t, err)
	r := f.Read.Report
	require.Equal(t, ";", r.Separator)
	require.True(t, r.DecimalComma)
	require.Equal(t, []int{2, 52, 2}, []int{r.OutOfOrder, r.FirstOutOfOrder, r.Duplicates})
	require.Equal(t, 602, r.BrokenOff)
	require.Equal(t, domain.SeriesGap{After: 499, Length: 121}, r.LongestGap)
	c := r.Channels[0]
	require.Equal(t, 10, c.Missing)
	require.Equal(t, []domain.SeriesStuck{{From: 300, To: 349, Value: 40_100}}, c.Stuck)

	w, _, err := l.TakeWindow(ctx, l.petra, l.window(f, "window-00001"))
	require.NoError(t, err)
	require.LessOrEqual(t, w.Summary.To, 499.0, "it never reaches over a long gap")
	require.Equal(t, 2, w.Summary.Parts)
	found := w.Summary.Channels[0]
	require.Equal(t, 10, found.Missing)
	require.Len(t, found.Stuck, 1)
	require.Equal(t, w.Summary.Rows, found.Mean.N+found.Missing, "what is missing is no zero")
	require.InDelta(t, 40_000, *found.Mean.Mean, 50)
	run, err := l.Run(ctx, l.petra, l.run)
	require.NoError(t, err)
	var codes []string
	for _, m := range run.Points[0].Windows[0].Channels[0].Marks {
		codes = append(codes, m.Code)
	}
	require.Equal(t, []string{"stuck", "gaps", "missing"}, codes)
}

// A channel without one value gives no number at all.
func TestChannelWithoutValuesGivesNoNumber(t *testing.T) {
	t.Parallel()
	l := inRun(t)
	l.certified(t)
	text := "t [s],tank [kPa g]\n" + strings.Repeat("%d,NaN\n", 100)
	seconds := make([]any, 100)
	for i := range seconds {
		seconds[i] = i
	}
	f, err := l.done(l.bring(t, fmt.Sprintf(text, seconds...), "file-0000001"), domain.SeriesAsked{})
	require.NoError(t, err)
	w, _, err := l.TakeWindow(ctx, l.petra, l.window(f, "window-00001"))
	require.NoError(t, err)
	require.Equal(t, "not_steady", w.Summary.Status)
	run, err := l.Run(ctx, l.petra, l.run)
	require.NoError(t, err)
	for _, q := range run.Points[0].Worked {
		require.Nil(t, q.Value)
		require.Nil(t, q.U)
	}

	// One number all the time is said: a sensor that is stuck shows the same.
	f, err = l.done(l.bring(t, strings.ReplaceAll(fmt.Sprintf(text, seconds...), "NaN", "40"), "file-0000002"), domain.SeriesAsked{})
	require.NoError(t, err)
	_, _, err = l.TakeWindow(ctx, l.petra, l.window(f, "window-00002"))
	require.NoError(t, err)
	run, err = l.Run(ctx, l.petra, l.run)
	require.NoError(t, err)
	require.Contains(t, codes(run.Points[0].Windows[1].Channels[0].Marks), "zero_spread")
}

// A run takes so many files and windows; who sends one more is told.
func TestRunTakesSoManyFilesAndWindows(t *testing.T) {
	t.Parallel()
	l := inRun(t)
	f := l.brought(t)
	_, _, err := l.TakeWindow(ctx, l.petra, l.window(f, "window-00001"))
	require.NoError(t, err)
	l.db.Exec(t, `INSERT INTO series_files (run_id, name, size, added_by, at, client_key)
		SELECT run_id, name, size, added_by, at, 'many-0000' || n FROM series_files, generate_series(2, $1::int) n`, domain.RunFilesMost)
	_, _, err = l.AddSeriesFile(ctx, l.petra, domain.AddSeriesFile{Run: l.run, Name: "a", Size: 1, Key: "file-0000002"})
	requireCode(t, "run-full", err)
	l.db.Exec(t, `INSERT INTO series_windows (run_id, point_id, file_id, reading, from_s, to_s, channels, summary, decide, certified, who, at, client_key)
		SELECT run_id, point_id, file_id, reading, from_s, to_s, channels, summary, decide, certified, who, at, 'many-0000' || n FROM series_windows, generate_series(2, $1::int) n`, domain.RunWindowsMost)
	_, _, err = l.TakeWindow(ctx, l.petra, l.window(f, "window-00002"))
	requireCode(t, "run-full", err)
}
