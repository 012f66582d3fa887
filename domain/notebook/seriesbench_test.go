package notebook_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/calc/logger"
	"leat/domain"
)

// longFile is a file of so many rows, ten a second, with four channels.
func longFile(rows int) string {
	noise := rand.New(rand.NewPCG(2026, 1))
	text := &strings.Builder{}
	fmt.Fprintln(text, "t [s],tank [kPa g],air [°C],water [L/s],supply [mm]")
	slow := 0.0
	for i := range rows {
		slow = 0.99*slow + 0.14*noise.NormFloat64()
		settling := math.Exp(-float64(i) / 36_000)
		fmt.Fprintf(text, "%.1f,%.2f,%.2f,%.3f,%.0f\n", float64(i)/10, 500-200*settling+slow, 15+0.05*slow, 3.2+0.01*slow, 1200-50*settling+4*slow)
	}
	return text.String()
}

// mostHeap samples the memory that is taken, until the returned function is
// called, which tells the most in MB.
func mostHeap() func() float64 {
	var most atomic.Uint64
	done, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		tick := time.NewTicker(5 * time.Millisecond)
		defer tick.Stop()
		for {
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			most.Store(max(most.Load(), m.HeapInuse))
			select {
			case <-done:
				return
			case <-tick.C:
			}
		}
	}()
	return func() float64 {
		close(done)
		<-ended
		return float64(most.Load()) / 1e6
	}
}

// A file of a million rows is read, cut and summarised from its parts in the
// database. At most 3 s and 300 MB.
func BenchmarkMillionRowsOfARun(b *testing.B) {
	l := inRun(b)
	text := longFile(logger.MostRows)
	f := l.bring(b, text, "file-0000001")
	text = ""
	b.ReportAllocs()
	runtime.GC()
	stop := mostHeap()
	for i := 0; b.Loop(); i++ {
		read, err := l.done(f, domain.SeriesAsked{Zone: fmt.Sprintf("+%02d:00", i%14)}) // other answers each time, so that it is read
		require.NoError(b, err)
		cmd := domain.TakeWindow{Run: l.run, Point: 1, File: &f.ID, Key: fmt.Sprintf("window-%06d", i)}
		for _, c := range read.Read.Report.Channels {
			cmd.Channels = append(cmd.Channels, domain.AskedChannel{Channel: c.Name})
		}
		w, _, err := l.TakeWindow(ctx, l.petra, cmd)
		require.NoError(b, err)
		require.Equal(b, "steady", w.Summary.Status)
	}
	b.ReportMetric(stop(), "peak-MB")
}

// What a person waits for who zooms in the chart of such a file, and who asks how
// a window is.
func BenchmarkChartOfARun(b *testing.B) {
	l := inRun(b)
	f := l.bring(b, longFile(logger.MostRows), "file-0000001")
	_, err := l.done(f, domain.SeriesAsked{})
	require.NoError(b, err)
	for name, summary := range map[string]bool{"points": false, "window": true} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				wish := domain.Whole("tank")
				wish.Summary = summary
				c, err := l.SeriesChart(ctx, l.petra, l.run, f.ID, wish)
				require.NoError(b, err)
				require.LessOrEqual(b, len(c.Times), logger.MostPoints)
			}
		})
	}
}
