package domain_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

// What was sent comes back as it was, and is put on one clock in SI: 1 bar is
// 100000 Pa, 0 °C is 273.15 K. Of two samples at one time the first counts; a unit
// that nobody knows, or another than before, gives no number.
func TestSamplesBecomeASeries(t *testing.T) {
	start := time.Date(2026, 5, 1, 10, 0, 0, 0, time.UTC)
	at := func(s float64) time.Time { return start.Add(time.Duration(s * 1e9)) }
	cmd := domain.SendSamples{Samples: []domain.Sample{
		{at(1), "tank", 2, "bar"}, {at(0), "tank", 1, "bar"}, {at(1), "air", 20, "°C"}, {at(1), "tank", 9, "bar"},
		{at(2), "tank", math.NaN(), "bar"}, {at(2.5), "tank", 7, "°C"}, {at(2.5), "float", 7, "hands"}, {at(3), "tank", 300, "kPa"},
	}}
	text, err := cmd.Packed()
	require.NoError(t, err)
	back, err := domain.Unpack(text)
	require.NoError(t, err)
	require.Len(t, back, len(cmd.Samples))
	for i, want := range cmd.Samples {
		require.Equal(t, want.At, back[i].At)
		require.Equal(t, want.Channel+want.Unit, back[i].Channel+back[i].Unit)
		require.True(t, want.Value == back[i].Value || math.IsNaN(want.Value) && math.IsNaN(back[i].Value))
	}
	s := domain.SeriesOf([][]domain.Sample{back[4:], back[:4]})
	require.Equal(t, start, s.Start)
	require.Equal(t, []float64{0, 1, 2, 3}, s.Time)
	require.Len(t, s.Channels, 2)
	require.Equal(t, []float64{1e5, 2e5, 3e5}, []float64{s.Channels[0].Values[0], s.Channels[0].Values[1], s.Channels[0].Values[3]})
	require.True(t, math.IsNaN(s.Channels[0].Values[2]))
	require.InDelta(t, 293.15, s.Channels[1].Values[1], 1e-9)
	for _, broken := range []string{"", "[]", "{}", `{"start":"2026-05-01T10:00:00Z","channels":[],"ns":[0],"c":[0],"values":[1]}`} {
		_, err := domain.Unpack(broken)
		require.Error(t, err, broken)
	}
}

// All that a logger may send in one run, put together.
func BenchmarkSeriesOfALogger(b *testing.B) {
	cmd := domain.SendSamples{}
	for i := range domain.LoggerSamplesMost {
		cmd.Samples = append(cmd.Samples, domain.Sample{At: time.Unix(1_777_000_000+int64(i), 0), Channel: "tank", Value: float64(i) * 0.01, Unit: "kPa g"})
	}
	text, err := cmd.Packed()
	require.NoError(b, err)
	count := domain.LoggerRunMost / domain.LoggerSamplesMost
	b.ReportAllocs()
	for b.Loop() {
		batches := make([][]domain.Sample, count)
		for i := range batches {
			batches[i], err = domain.Unpack(text)
			require.NoError(b, err)
		}
		domain.SeriesOf(batches)
	}
}

// Channels that come at times of their own are no gaps of each other: each has the
// rows for which it was sent, also those without a value. A pressure of another
// counting is another unit.
func TestChannelsSentAtTheirOwnTimes(t *testing.T) {
	start := time.Date(2026, 5, 1, 10, 0, 0, 0, time.UTC)
	at := func(s float64) time.Time { return start.Add(time.Duration(s * 1e9)) }
	s := domain.SeriesOf([][]domain.Sample{{
		{at(0), "tank", 40, "kPa g"}, {at(0.25), "air", 12, "°C"}, {at(1), "tank", math.NaN(), "kPa g"}, {at(1.5), "tank", 140, "kPa a"},
		{at(2), "tank", 41, "kPa g"}, {at(10.25), "air", 13, "°C"},
	}})
	require.Equal(t, []float64{0, 0.25, 1, 2, 10.25}, s.Time)
	tank, air := s.Of("tank"), s.Of("air")
	require.Equal(t, []float64{0, 1, 2}, tank.Time)
	require.Equal(t, []float64{0.25, 10.25}, air.Time)
	require.Equal(t, s.Time, s.Of("air", "tank").Time)
	require.Equal(t, s.Time, s.Of("nothing").Time)
	require.Equal(t, "gauge", tank.Channels[0].Counted)

	var sent domain.SentInRun
	sent.Found(s)
	require.Equal(t, start, *sent.Start)
	first, last := at(0), at(2)
	require.Equal(t, domain.SentChannel{
		Name: "tank", Unit: "Pa", Kind: "pressure", Counted: "gauge", FileUnit: "kPa g", Count: 2, First: &first, Last: &last, MedianStep: 1,
	}, sent.Channels[0])
	require.Equal(t, []any{"temperature", 2, 10.0}, []any{sent.Channels[1].Kind, sent.Channels[1].Count, sent.Channels[1].MedianStep})

	var none domain.SentInRun
	none.Found(domain.SeriesOf([][]domain.Sample{{{at(0), "float", 7, "hands"}}}))
	require.Nil(t, none.Start)
	require.Empty(t, none.Channels)
}
