package logger_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/evidence"
	"leat/calc/logger"
)

func wants(names ...string) (list []logger.Wanted) {
	for _, n := range names {
		list = append(list, logger.Wanted{Name: n, Tolerance: evidence.OnePercent})
	}
	return list
}

// The simulation of section 2.4 and 2.5 of the specification of evidence: white
// noise is steady and counts in full, settling is cut off, a ramp is not steady;
// and a mean whose samples hang together is known less well than s/√n says.
func TestSummaryOfAWindow(t *testing.T) {
	next := noise()
	slow := 0.0
	s := sampled(1200, map[string]func(t float64) float64{
		"white":  func(float64) float64 { return 500 + 5*next() },
		"settle": func(t float64) float64 { return 500 - 200*math.Exp(-t/40) + 2*next() },
		"ramp":   func(t float64) float64 { return 500 * (1 + 0.03*t/1200) },
		"linked": func(float64) float64 { slow = 0.95*slow + next(); return 500 + slow },
	}, "white", "settle", "ramp", "linked")

	got := s.Summarise(0, 1e9, wants("white", "settle"))
	require.Equal(t, "steady", got.Status)
	require.InDelta(t, 200, got.Cut, 120, "five time constants")
	require.Equal(t, got.From, got.Cut)
	require.Equal(t, 1199.0, got.To)
	white := got.Channels[0]
	require.InDelta(t, 500, *white.Mean.Mean, 4*5/math.Sqrt(1000))
	require.InEpsilon(t, *white.Mean.UNaive, *white.Mean.U, 0.6)
	require.InDelta(t, *white.Drift/math.Sqrt(12), *white.Budget, 1e-12)
	require.False(t, white.Decide)

	got = s.Summarise(0, 1e9, wants("white", "ramp"))
	require.Equal(t, "not_steady", got.Status)
	require.Contains(t, []string{"drifting", "still_settling"}, got.Channels[1].Reason)
	linked := s.Summarise(200, 1199, wants("linked")).Channels[0].Mean
	require.Greater(t, *linked.U, 3**linked.UNaive, "√((1+φ)/(1−φ)) = 6.2")
	require.Less(t, *linked.NEff, float64(linked.N)/10)

	require.Equal(t, "not_steady", s.Summarise(5000, 6000, wants("white")).Status)
	require.Equal(t, "not_steady", s.Summarise(0, 100, wants("nothing")).Status)
	require.Equal(t, "too_short", s.Summarise(0, 10, wants("white")).Channels[0].Reason)
}

// A few wild values ask a question once they move the mean by more than it is
// known; nothing is taken out by itself. Worked by hand: three values of 9000 on
// 1000 of about 500 move the mean by 25.4.
func TestWildValuesAskAQuestion(t *testing.T) {
	next := noise()
	s := sampled(1000, map[string]func(t float64) float64{
		"p": func(t float64) float64 {
			if t == 300 || t == 500 || t == 800 {
				return 9000
			}
			return 500 + next()
		},
	}, "p")
	c := s.Summarise(0, 999, []logger.Wanted{{Name: "p", Tolerance: evidence.Tolerance{Abs: 1e4}, Resolution: 1}}).Channels[0]
	require.Equal(t, 3, c.Stand)
	require.Equal(t, []logger.Outlier{{Time: 300, Value: 9000}, {Time: 500, Value: 9000}, {Time: 800, Value: 9000}}, c.Outliers)
	require.InDelta(t, 525.5, *c.Mean.Mean, 0.2)
	require.InDelta(t, 500, *c.Without.Mean, 0.2)
	require.Equal(t, 997, c.Without.N)
	require.True(t, c.Decide, "u is 8500·√3/1000 = 15")
	calm := s.Summarise(301, 499, []logger.Wanted{{Name: "p", Tolerance: evidence.OnePercent, Resolution: 1}}).Channels[0]
	require.Zero(t, calm.Stand)
	require.Nil(t, calm.Without)

	one := sampled(400, map[string]func(t float64) float64{"p": func(t float64) float64 {
		if int(t)%11 == 0 {
			return 520
		}
		return 500 + next()
	}}, "p")
	c = one.Summarise(0, 399, []logger.Wanted{{Name: "p", Tolerance: evidence.OnePercent, Resolution: 1}}).Channels[0]
	require.InDelta(t, 501.8, *c.Mean.Mean, 0.3, "one in eleven stands out by 20")
	require.InDelta(t, 500, *c.Without.Mean, 0.3)
	require.True(t, c.Decide)
}

// Uneven steps are averaged, and a long gap parts the series: the longer piece
// counts.
func TestSummaryOfUnevenStepsAndGaps(t *testing.T) {
	next := noise()
	var s logger.Series
	c := logger.Channel{Name: "p", Unit: "Pa"}
	for at, i := 0.0, 0; i < 900; i++ {
		at += 1 + 0.5*float64(i%2)
		if i == 200 {
			at += 60
		}
		s.Time, c.Values = append(s.Time, at), append(c.Values, 500+next())
	}
	s.Channels = []logger.Channel{c}
	got := s.Summarise(0, 1e9, wants("p"))
	require.Equal(t, 2, got.Parts)
	require.Equal(t, 1.5, got.Block)
	require.Greater(t, got.From, 310.0)
	require.Equal(t, "steady", got.Status)
	require.InDelta(t, 500, *got.Channels[0].Mean.Mean, 0.3)
}

// A window within a stretch of one value looks very steady; that the sensor moved
// before and after is told all the same. Rows without a value are counted.
func TestSummaryTellsWhatIsStuckAndMissing(t *testing.T) {
	next := noise()
	s := sampled(600, map[string]func(t float64) float64{
		"p": func(t float64) float64 {
			if t >= 200 && t < 400 {
				return 501
			}
			return 500 + next()
		},
		"q": func(t float64) float64 {
			if int(t)%10 == 3 {
				return math.NaN()
			}
			return 500 + next()
		},
	}, "p", "q")
	held := logger.StuckWithin{From: 200, To: 399, Value: 501}
	for _, w := range [][2]float64{{0, 599}, {250, 350}, {399, 599}} {
		require.Equal(t, []logger.StuckWithin{held}, s.Summarise(w[0], w[1], wants("p")).Channels[0].Stuck, w)
	}
	c := s.Summarise(0, 199, wants("p", "q")).Channels
	require.Empty(t, c[0].Stuck)
	require.Zero(t, c[0].Missing)
	require.Equal(t, c[0].Mean.N-c[1].Mean.N, c[1].Missing, "both have the same rows")
	require.InDelta(t, c[0].Mean.N/10, c[1].Missing, 1)
}

// Worked by hand: 0.1 m³ at 20 °C loses 100 Pa/min, so 0.1·(100/60)/1e5 m³/s of
// air of 100 kPa and 20 °C; one kelvin of warming hides 1/293.15 of 500 kPa.
func TestLeakOfAVessel(t *testing.T) {
	next := noise()
	s := sampled(3601, map[string]func(t float64) float64{
		"tank":  func(t float64) float64 { return 400_000 - t*100/60 + 5*next() },
		"still": func(float64) float64 { return 500_000 + 5*next() },
		"warm":  func(t float64) float64 { return 293.15 + t/3600 },
		"air":   func(float64) float64 { return 100_000 },
	}, "tank", "still", "warm", "air")
	hundred := 1e5
	got := s.LeakOf(0, 3600, "tank", false, logger.Vessel{Volume: 0.1, Ambient: &hundred})
	require.Equal(t, "leak", got.Status)
	require.InEpsilon(t, 0.1*(100/60.0)/1e5, *got.Leak, 0.01)
	require.False(t, got.Corrected)
	by := s.LeakOf(0, 3600, "tank", false, logger.Vessel{Volume: 0.1, AmbientChannel: "air"})
	require.Equal(t, *got.Leak, *by.Leak)
	require.Less(t, *s.LeakOf(0, 3600, "tank", false, logger.Vessel{Volume: 0.1, AmbientChannel: "air", GasChannel: "air"}).U, *by.U)

	got = s.LeakOf(0, 3600, "still", true, logger.Vessel{Volume: 0.1, GasChannel: "warm"})
	require.True(t, got.Corrected)
	require.InEpsilon(t, 0.1*500_000/293.15/3600/1e5, *got.Leak, 0.02, "a pressure that stays while it warms is a loss")
	require.Equal(t, "missing_condition", s.LeakOf(0, 3600, "tank", false, logger.Vessel{Volume: 0.1}).Status)
	require.Equal(t, "too_short", s.LeakOf(0, 3, "tank", true, logger.Vessel{Volume: 0.1}).Status)
	require.Nil(t, s.LeakOf(0, 3, "tank", true, logger.Vessel{Volume: 0.1}).Leak)
}
