package evidence_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/calctest"
	"leat/calc/evidence"
)

// noise returns reproducible normal deviates.
func noise(number uint64) func() float64 {
	return rand.New(rand.NewPCG(2026, number)).NormFloat64
}

// following returns n deviates with variance 1, each correlated with the one
// before.
func following(n int, phi float64, next func() float64) []float64 {
	x := make([]float64, n)
	x[0] = next()
	for i := 1; i < n; i++ {
		x[i] = phi*x[i-1] + math.Sqrt(1-phi*phi)*next()
	}
	return x
}

// NIST StRD, univariate summary statistics: certified lag-1 autocorrelation of
// Lew.dat and Lottery.dat; a series shows the same one as repeats do.
func TestSeriesOfTheReferenceDatasets(t *testing.T) {
	for name, lag1 := range map[string]float64{"Lew": -0.307304800605679, "Lottery": -0.120948622967393} {
		values := univariate(t, name)
		got := evidence.SeriesMean(values, evidence.Batches)
		require.InDelta(t, lag1, got.Lag1, 1e-7, name)
		require.InDelta(t, 1, got.Tau, 1e-15, "what alternates counts as independent: %s", name)
		require.Equal(t, "ok", got.Status)
	}
}

// The integrated autocorrelation time of a first-order autoregressive process is
// (1 + φ)/(1 − φ); textbook.
func TestAutocorrelationTimeOfAnAutoregressiveProcess(t *testing.T) {
	for _, c := range []struct {
		phi float64
		n   int
	}{{0, 4000}, {0.5, 4000}, {0.5, 50_000}, {0.9, 200_000}, {0.99, 500_000}} {
		x := following(c.n, c.phi, noise(1))
		require.InEpsilon(t, (1+c.phi)/(1-c.phi), evidence.AutocorrelationTime(x), 0.1, "%v", c)
	}
	require.True(t, math.IsNaN(evidence.AutocorrelationTime([]float64{3, 3, 3})))
}

// The products of a long series come by Fourier transform. By definition they
// are those that are summed one by one, as here: a slow sine has many lags before
// its correlation turns.
func TestLagsByFourierTransformAreThoseOneByOne(t *testing.T) {
	for _, period := range []float64{400, 50_000} { // the second has more lags than are looked at first
		lagsOneByOne(t, 24_000, period)
	}
}

func lagsOneByOne(t *testing.T, n int, period float64) {
	x := make([]float64, n)
	var mean, squares float64
	for i := range x {
		x[i] = math.Sin(2*math.Pi*float64(i)/period) + 1e-3*float64(i%7)
		mean += x[i] / float64(n)
	}
	for i := range x {
		squares += (x[i] - mean) * (x[i] - mean)
	}
	rho := func(k int) (sum float64) {
		for i := range n - k {
			sum += (x[i] - mean) * (x[i+k] - mean) / squares
		}
		return sum
	}
	var pairs float64
	m := 0
	for last := 2.0; ; m++ {
		last = min(last, rho(2*m)+rho(2*m+1))
		if last <= 0 {
			break
		}
		pairs += last
	}
	t.Logf("%d lags", 2*m)
	require.InEpsilon(t, 2*pairs-1, evidence.AutocorrelationTime(x), 1e-9)
}

// Specification of evidence, section 2.5 [sim]: what covers the true mean in
// 95 % of runs. Here 400 runs, whose share has a standard deviation of 1.1 to
// 1.4 %; s/√n alone covers far less.
func TestCoverageOfTheMeanOfACorrelatedSeries(t *testing.T) {
	for _, c := range []struct {
		phi   float64
		n     int
		share float64
	}{{0.5, 200, 0.95}, {0.9, 200, 0.91}, {0.9, 1000, 0.93}} {
		next := noise(2)
		covered, naive, batches := 0, 0, 0
		const runs = 400
		for range runs {
			m := evidence.SeriesMean(following(c.n, c.phi, next), evidence.Batches)
			covered += inside(m.Mean, m.U, m.Nu)
			naive += inside(m.Mean, m.UNaive, float64(c.n-1))
			batches += inside(m.Mean, m.UBatch, evidence.Batches-1)
		}
		require.InDelta(t, c.share, float64(covered)/runs, 0.04, "%v", c)
		require.Less(t, float64(naive)/runs, 0.8, "%v", c)
		if c.phi == 0.9 && c.n == 200 {
			require.InDelta(t, 0.80, float64(batches)/runs, 0.06, "batches alone")
		}
	}
}

// inside counts an interval of 95 % that holds 0, the true mean.
func inside(mean, u, nu float64) int {
	if math.Abs(mean) <= evidence.StudentQuantile(0.975, nu)*u {
		return 1
	}
	return 0
}

func TestSeriesThatSayLittle(t *testing.T) {
	equal := evidence.SeriesMean(slices.Repeat([]float64{0.1}, 12), evidence.Batches)
	require.Equal(t, "zero_spread", equal.Status)
	require.Equal(t, [6]float64{0.1, 0, 0, 1, 12, 11}, [6]float64{equal.Mean, equal.S, equal.U, equal.Tau, equal.NEff, equal.Nu})
	require.True(t, math.IsNaN(equal.Lag1) && math.IsNaN(equal.UBatch))

	few := evidence.SeriesMean([]float64{1, 2, 3}, evidence.Batches)
	require.Equal(t, "short_ok", few.Status)
	require.Equal(t, [4]float64{2, 1, 1 / math.Sqrt(3), 2}, [4]float64{few.Mean, few.S, few.U, few.Nu})
	require.True(t, math.IsNaN(few.Tau) && math.IsNaN(few.NEff) && math.IsNaN(few.UNaive))
	require.Equal(t, "short_no_reading", evidence.SeriesMean(nil, evidence.Batches).Status)
	require.Equal(t, "short_single_reading", evidence.SeriesMean([]float64{1}, evidence.Batches).Status)

	ramp := make([]float64, 40) // nothing but change: a mean of it is hardly known
	for i := range ramp {
		ramp[i] = float64(i)
	}
	got := evidence.SeriesMean(ramp, evidence.Batches)
	require.Equal(t, "run_too_short", got.Status)
	require.Greater(t, got.U, 1.6*got.UNaive)
}

// Scaling the unit scales what has it, and nothing else.
func TestSeriesInOtherUnits(t *testing.T) {
	x := following(300, 0.7, noise(3))
	scaled := make([]float64, len(x))
	for i := range x {
		scaled[i] = 1000 * x[i]
	}
	a, b := evidence.SeriesMean(x, evidence.Batches), evidence.SeriesMean(scaled, evidence.Batches)
	for _, pair := range [][2]float64{{1000 * a.Mean, b.Mean}, {1000 * a.U, b.U}, {1000 * a.UBatch, b.UBatch}, {a.Tau, b.Tau}, {a.NEff, b.NEff}, {a.Lag1, b.Lag1}} {
		require.InEpsilon(t, pair[0], pair[1], 1e-9)
	}
}

// Specification of evidence, section 2.4 [sim]: white noise of 1 % over 300
// samples is steady, so is what has settled with a time constant of 40 samples
// by the 600th once the start is cut, and a ramp of 3 % never is.
func TestSteadyTellsNoiseSettlingAndRampApart(t *testing.T) {
	next := noise(4)
	run := func(n int, shape func(i int) float64) evidence.Steadiness {
		x := make([]float64, n)
		for i := range x {
			x[i] = shape(i)
		}
		return evidence.Steady(x, 1, evidence.SettleBlock, evidence.OnePercent)
	}
	for range 100 {
		white := run(300, func(int) float64 { return 100 + next() })
		require.Equal(t, "steady", white.Status)
		require.Empty(t, white.Reason)

		settling := run(600, func(i int) float64 { return 100 - 20*math.Exp(-float64(i)/40) + next() })
		require.Equal(t, "steady", settling.Status)
		require.Greater(t, settling.Cut, 40, "the start is cut off")
		require.Equal(t, 600, settling.Cut+settling.Kept)

		ramp := run(300, func(i int) float64 { return 100 + 3*float64(i)/300 + next() })
		require.NotEqual(t, "steady", ramp.Status)
	}
}

// Worked by hand: a line without noise drifts by its slope times its length and
// has no uncertainty; blocks of a line always go on settling.
func TestDriftByHand(t *testing.T) {
	line := make([]float64, 21)
	for i := range line {
		line[i] = 10 + 0.25*float64(i%2) + 0.01*float64(i)
	}
	got := evidence.Drifting(line, 0.5, evidence.Tolerance{Abs: 10, Rel: math.NaN()})
	require.InDelta(t, 0.2, got.Drift, 0.01)
	require.InDelta(t, got.Drift/math.Sqrt(12), got.BudgetLine, 1e-15)
	require.Equal(t, 10.0, got.Tol)
	for i := range line {
		line[i] = float64(i)
	}
	exact := evidence.Drifting(line, 0.5, evidence.OnePercent)
	require.InDelta(t, 20, exact.Drift, 1e-12)
	require.InDelta(t, 0, exact.UDrift, 1e-12)
	require.InDelta(t, 0.1, exact.Tol, 1e-15)
	require.Equal(t, "not_steady drifting", exact.Status+" "+exact.Reason)

	settling := evidence.Steady(line, 1, evidence.SettleBlock, evidence.OnePercent)
	require.Equal(t, "not_steady still_settling", settling.Status+" "+settling.Reason)
	require.Equal(t, 10, settling.Cut) // four blocks; two at most are cut
	short := evidence.Steady(line[:19], 1, evidence.SettleBlock, evidence.OnePercent)
	require.Equal(t, "not_steady too_short", short.Status+" "+short.Reason)

	quiet := evidence.Steady(slices.Repeat([]float64{0.1}, 40), 1, evidence.SettleBlock, evidence.OnePercent)
	require.Equal(t, "steady", quiet.Status)
	require.Equal(t, [3]float64{0, 0, 0}, [3]float64{float64(quiet.Cut), quiet.Drift, quiet.UDrift})
}

// By definition: the place is the first of the least sum of squares over the
// square of the number of blocks, found here in as many passes as there are
// places.
func TestSettledFromTheDefinition(t *testing.T) {
	next := noise(5)
	for range 50 {
		x := make([]float64, 137)
		for i := range x {
			x[i] = 5*math.Exp(-float64(i)/20) + next()
		}
		var z []float64
		for b := range 27 {
			z = append(z, (x[5*b]+x[5*b+1]+x[5*b+2]+x[5*b+3]+x[5*b+4])/5)
		}
		best, least := 0, math.Inf(1)
		for d := 0; d <= 13; d++ {
			var mean, squares float64
			for _, v := range z[d:] {
				mean += v / float64(27-d)
			}
			for _, v := range z[d:] {
				squares += (v - mean) * (v - mean)
			}
			if e := squares / float64((27-d)*(27-d)); e < least {
				best, least = d, e
			}
		}
		cut, _ := evidence.SettledFrom(x, 5)
		require.Equal(t, 5*best, cut)
	}
}

// Worked by hand: of nine equal values and one step within the resolution
// nothing is flagged; a spike is; the window is shorter at the ends.
func TestOutliers(t *testing.T) {
	x := []float64{5, 5, 5, 5, 5, 5, 5, 5, 5.1}
	require.Equal(t, []int{8}, evidence.Outliers(x, 5, 3, 0))
	require.Empty(t, evidence.Outliers(x, 5, 3, 0.1))
	require.Empty(t, evidence.Outliers(nil, 5, 3, 0))
	require.Empty(t, evidence.Outliers([]float64{7}, 5, 3, 0))
	// Window 1 2 3 4 100: median 3, distances 2 1 0 1 97, MAD 1: 97 > 4.4.
	require.Equal(t, []int{4}, evidence.Outliers([]float64{1, 2, 3, 4, 100}, 5, 3, 0))
	// Windows of two at the ends: 1 2 has median 1.5, MAD 0.5.
	require.Equal(t, []int{0, 1}, evidence.Outliers([]float64{1, 2}, 1, 0.5, 0))
}

// By definition, with windows sorted anew each time.
func TestOutliersFromTheDefinition(t *testing.T) {
	middle := func(y []float64) float64 {
		y = slices.Clone(y)
		slices.Sort(y)
		return (y[(len(y)-1)/2] + y[len(y)/2]) / 2
	}
	next := noise(6)
	for _, half := range []int{1, 2, 5, 300} {
		x := make([]float64, 200)
		for i := range x {
			x[i] = math.Round(3*next()) + 20*math.Floor(math.Abs(next())/2.2)
		}
		var want []int
		for i := range x {
			window := x[max(0, i-half):min(len(x), i+half+1)]
			m := middle(window)
			var off []float64
			for _, w := range window {
				off = append(off, math.Abs(w-m))
			}
			if math.Abs(x[i]-m) > 3*max(1.4826*middle(off), 0.5) {
				want = append(want, i)
			}
		}
		require.NotEmpty(t, want)
		require.Equal(t, want, evidence.Outliers(x, half, 3, 0.5), "half %d", half)
	}
}

// White noise, 6000 runs as the row has it.
func TestSteadyLightOnWhiteNoise(t *testing.T) {
	calctest.Rows(t, "142", func(t *testing.T, row calctest.Value) {
		require.Equal(t, "lambda 0.2 0.1 0.1", row["inputs"])
		figures := row.Figures(t, "expected")
		ratios := whiteRatios(6000)
		require.InDelta(t, figures[1], ratios[5700], 0.05, row["tolerance"])
		require.InDelta(t, figures[3], ratios[5940], 0.05, row["tolerance"])
		require.Equal(t, [2]float64{evidence.LightAmber, evidence.LightRed}, [2]float64{figures[1], figures[3]})
	})
	next := noise(9)
	var light evidence.SteadyLight
	var moving float64
	for i := range 200 {
		moving = light.Next(0.5*float64(i) + next())
	}
	require.Greater(t, moving, evidence.LightRed, "a ramp lights up")
	require.True(t, math.IsNaN(new(evidence.SteadyLight).Next(1)))
}

// whiteRatios are sorted.
func whiteRatios(runs int) []float64 {
	next := noise(7)
	ratios := make([]float64, runs)
	for run := range ratios {
		var light evidence.SteadyLight
		for range 150 {
			ratios[run] = light.Next(next())
		}
	}
	slices.Sort(ratios)
	return ratios
}
