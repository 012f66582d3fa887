package logger_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/calc/evidence"
	"leat/calc/logger"
)

// noise returns reproducible normal deviates.
func noise() func() float64 { return rand.New(rand.NewPCG(2026, 1)).NormFloat64 }

// sampled is a series of one channel a function, n rows at each second.
func sampled(n int, channels map[string]func(t float64) float64, names ...string) (s logger.Series) {
	for i := range n {
		s.Time = append(s.Time, float64(i))
	}
	for _, name := range names {
		c := logger.Channel{Name: name, Unit: "Pa"}
		for _, t := range s.Time {
			c.Values = append(c.Values, channels[name](t))
		}
		s.Channels = append(s.Channels, c)
	}
	return s
}

// A run is looked at from where the slowest channel has settled, also when
// another has values missing.
func TestCommonWindow(t *testing.T) {
	next := noise()
	channels := map[string]func(t float64) float64{
		"quick": func(float64) float64 { return 100 + next() },
		"slow":  func(t float64) float64 { return 100 - 30*math.Exp(-t/40) + next() },
		"gappy": func(t float64) float64 {
			if math.Mod(t, 3) == 1 {
				return math.NaN()
			}
			return 100 - 30*math.Exp(-t/20) + next()
		},
		"ramp":  func(t float64) float64 { return 100 + 0.8*t/900 + next() },
		"never": func(t float64) float64 { return t },
		"empty": func(float64) float64 { return math.NaN() },
	}
	s := sampled(900, channels, "quick", "slow", "gappy", "ramp", "never", "empty")
	asked := map[string]evidence.Tolerance{"quick": evidence.OnePercent, "slow": evidence.OnePercent, "gappy": evidence.OnePercent}
	alone := evidence.Steady(s.Channels[1].Values[100:], 1, evidence.SettleBlock, evidence.OnePercent)
	got := s.Common(logger.Window{From: 100, To: 900}, asked)
	require.True(t, got.Steady)
	require.Equal(t, logger.Window{From: 100 + alone.Cut, To: 900}, got.Window)
	require.Len(t, got.Channels, 3)
	require.Greater(t, got.Channels[0].Kept, got.Channels[2].Kept)
	for _, c := range got.Channels {
		require.Equal(t, evidence.IsSteady, c.Status, c.Name)
	}
	// The gaps of the third take a third of its rows; the time it settles in is that of the rows.
	only := s.Common(s.All(), map[string]evidence.Tolerance{"gappy": evidence.OnePercent})
	require.InDelta(t, 75, only.Window.From, 50)

	asked["ramp"] = evidence.Tolerance{Abs: 0.1}
	got = s.Common(s.All(), asked)
	require.False(t, got.Steady)
	require.Equal(t, "drifting", got.Channels[3].Reason)
	for name, reason := range map[string]string{"never": "still_settling", "empty": "too_short"} {
		got = s.Common(s.All(), map[string]evidence.Tolerance{"quick": evidence.OnePercent, name: evidence.OnePercent})
		require.False(t, got.Steady)
		require.Equal(t, s.All(), got.Window)
		require.Equal(t, name+" "+reason, got.Channels[0].Name+" "+got.Channels[0].Reason)
	}
	require.False(t, s.Common(s.All(), nil).Steady, "nothing is not steady")
}

// Specification of evidence, section 2.2: gaps up to two steps stay, longer ones
// part the series.
func TestPiecesAtLongGaps(t *testing.T) {
	s := logger.Series{Time: []float64{0, 1, 2.001, 4.002, 5, 8, 9, 10, 13.5}}
	require.Equal(t, []logger.Window{{From: 0, To: 5}, {From: 5, To: 8}, {From: 8, To: 9}}, s.Pieces(s.All()))
	require.Equal(t, []logger.Window{{From: 1, To: 2}}, s.Pieces(logger.Window{From: 1, To: 2}))
	require.Empty(t, s.Pieces(logger.Window{}))
	require.Equal(t, logger.Window{From: 1, To: 4}, s.Between(0.5, 4.5))
	require.Equal(t, 3, s.Part(s.Between(0.5, 4.5)).All().Len())
}

// Worked by hand.
func TestBlocksOfEqualTime(t *testing.T) {
	nan := math.NaN()
	s := logger.Series{Time: []float64{10, 11, 14, 21, 41, 45}, Channels: []logger.Channel{{Values: []float64{1, 3, nan, 7, nan, nan}}}}
	got := s.Blocks(10)
	require.Equal(t, []float64{15, 25, 45}, got.Time)
	require.Equal(t, []float64{2, 7}, got.Channels[0].Values[:2])
	require.True(t, math.IsNaN(got.Channels[0].Values[2]))
	require.Empty(t, s.Blocks(0).Time)
	require.Empty(t, logger.Series{}.Blocks(1).Time)
}

// No peak is lost, points are few, and what is missing breaks the line.
func TestReducedForAChart(t *testing.T) {
	next := noise()
	s := sampled(100_000, map[string]func(t float64) float64{"p": func(t float64) float64 {
		switch {
		case t == 54_321:
			return 1e6
		case t == 54_322:
			return -1e6
		case t >= 70_000 && t < 71_000:
			return math.NaN()
		}
		return next()
	}}, "p")
	times, values := s.Reduced(0, s.All(), logger.MostPoints)
	require.LessOrEqual(t, len(times), 2000)
	require.Greater(t, len(times), 1900)
	require.Contains(t, values, 1e6)
	require.Contains(t, values, -1e6)
	broken := 0
	for i := range times {
		require.True(t, i == 0 || times[i] > times[i-1])
		if math.IsNaN(values[i]) {
			broken++
			require.True(t, times[i] > 70_000 && times[i] < 71_000)
			continue
		}
		require.Equal(t, s.Channels[0].Values[int(times[i])], values[i])
	}
	require.InDelta(t, 10, broken, 1)
	times, _ = s.Reduced(0, s.Between(10, 2009), logger.MostPoints)
	require.Len(t, times, 2000, "all, where they are few")
	times, _ = s.Reduced(0, logger.Window{}, logger.MostPoints)
	require.Empty(t, times)
}

// Worked by hand: a line stays a line on a quicker clock, a slower one gets
// means, a valve holds its state, and a long gap stays one.
func TestOnTheClockOfAnother(t *testing.T) {
	s := logger.Series{Time: []float64{0, 1, 2, 4, 5, 9, 10}, Channels: []logger.Channel{
		{Name: "line", Values: []float64{0, 10, 20, 40, 50, 90, 100}}, {Name: "valve", Values: []float64{0, 0, 1, 1, 0, 1, 1}},
	}}
	nan := math.NaN()
	quick := logger.Series{}
	for t := -0.5; t <= 10.5; t += 0.5 {
		quick.Time = append(quick.Time, t)
	}
	got, err := s.On(quick, "valve")
	require.NoError(t, err)
	requireValues(t, []float64{nan, 0, 5, 10, 15, 20, 25, 30, 35, 40, 45, 50, nan, nan, nan, nan, nan, nan, nan, 90, 95, 100, nan}, got.Channels[0].Values)
	requireValues(t, []float64{nan, 0, 0, 0, 0, 1, 1, 1, 1, 1, 1, 0, 0, 0, 0, 0, nan, nan, nan, 1, 1, 1, 1}, got.Channels[1].Values)
	require.Equal(t, quick.Time, got.Time)

	slow, err := s.On(logger.Series{Time: []float64{1, 4, 7, 10}})
	require.NoError(t, err)
	requireValues(t, []float64{10, 45, nan, 95}, slow.Channels[0].Values) // blocks −0.5 to 2.5, 2.5 to 5.5, 5.5 to 8.5, 8.5 to 11.5

	dated := s
	dated.Start = time.Date(2026, 5, 1, 10, 0, 0, 0, time.UTC)
	_, err = dated.On(quick)
	require.ErrorIs(t, err, logger.ErrClocks)
	later := logger.Series{Start: dated.Start.Add(500 * time.Millisecond), Time: []float64{0, 1}}
	got, err = dated.On(later)
	require.NoError(t, err)
	requireValues(t, []float64{5, 15}, got.Channels[0].Values)
	require.Equal(t, later.Start, got.Start)
	require.Equal(t, 10.0, s.Channels[0].Values[1], "the series itself stays")
}

// requireValues compares values of which some are missing.
func requireValues(t *testing.T, want, got []float64) {
	t.Helper()
	require.Len(t, got, len(want))
	for i := range want {
		require.True(t, math.Abs(want[i]-got[i]) < 1e-12 || math.IsNaN(want[i]) && math.IsNaN(got[i]), "%d: %v, want %v", i, got, want)
	}
}
