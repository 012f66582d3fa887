package logger_test

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/calc/evidence"
	"leat/calc/logger"
)

// longRun writes a run of a million rows with four channels, and returns its
// path. The first part of an hour of it is settling.
func longRun(b *testing.B, rows int) string {
	path := filepath.Join(b.TempDir(), "run.csv")
	file, err := os.Create(path)
	require.NoError(b, err)
	out := bufio.NewWriter(file)
	fmt.Fprintln(out, "time,tank [kPa],air [°C],water [L/s],supply [mm]")
	start := time.Date(2026, 5, 1, 0, 0, 0, 0, time.UTC)
	next := noise()
	var slow float64
	for i := range rows {
		settling := math.Exp(-float64(i) / 36_000)
		slow = 0.99*slow + 0.14*next()
		at := start.Add(time.Duration(i) * 100 * time.Millisecond)
		fmt.Fprintf(out, "%s,%.2f,%.2f,%.3f,%.0f\n", at.Format("2006-01-02T15:04:05.0Z"),
			500-200*settling+slow, 15+0.05*slow, 3.2+0.01*slow, 1200-50*settling+4*slow)
	}
	require.NoError(b, out.Flush())
	require.NoError(b, file.Close())
	return path
}

// watchHeap samples how much memory is taken, until the returned function is
// called, which tells the most in MB.
func watchHeap() func() float64 {
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

// A million rows are read, cut and summarised. At most 3 s and 300 MB.
func BenchmarkMillionRows(b *testing.B) {
	path := longRun(b, logger.MostRows)
	info, err := os.Stat(path)
	require.NoError(b, err)
	b.SetBytes(info.Size())
	b.ReportAllocs()
	runtime.GC()
	stop := watchHeap()
	var live float64
	for b.Loop() {
		file, err := os.Open(path)
		require.NoError(b, err)
		s, report, err := logger.Read(file, logger.Asked{})
		require.NoError(b, err)
		require.NoError(b, file.Close())
		require.Equal(b, logger.MostRows, report.Rows)
		asked := map[string]evidence.Tolerance{}
		for _, c := range s.Channels {
			asked[c.Name] = evidence.OnePercent
		}
		common := s.Common(s.All(), asked)
		require.True(b, common.Steady, "%v", common)
		for _, c := range s.Channels {
			mean := evidence.SeriesMean(c.Present(common.Window), evidence.Batches)
			require.Equal(b, evidence.OK, mean.Status)
		}
		b.StopTimer()
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		live = float64(m.HeapAlloc) / 1e6
		runtime.KeepAlive(s)
		b.StartTimer()
	}
	b.ReportMetric(stop(), "peak-MB")
	b.ReportMetric(live, "live-MB")
}

// What a person waits for who zooms in a chart of a million rows.
func BenchmarkReduced(b *testing.B) {
	file, err := os.Open(longRun(b, logger.MostRows))
	require.NoError(b, err)
	defer file.Close()
	s, _, err := logger.Read(file, logger.Asked{})
	require.NoError(b, err)
	b.ReportAllocs()
	for b.Loop() {
		times, _ := s.Reduced(0, s.All(), logger.MostPoints)
		require.LessOrEqual(b, len(times), logger.MostPoints)
	}
}
