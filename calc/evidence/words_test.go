package evidence_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/calctest"
	"leat/calc/evidence"
)

// Sentences are those of sections 4 and 5 of the specification of evidence.

func TestWordsOfAVerdict(t *testing.T) {
	ask := func(y, u float64) []string {
		out, _, _ := evidence.Verdict(evidence.VerdictIn{Y: calc.Reading(y), U: calc.Reading(u), Nu: calc.Freedom(math.Inf(1)),
			Lower: new(0.7), Upper: new(1.3), Pred: new(1.0), UPred: new(0.15), PMet: 0.95, PMiss: 0.975, RepeatabilityKnown: true})
		return out.Words()
	}
	require.Equal(t, []string{"Met: the true value is within the promise with a probability of 98 %.", // Φ(2) less Φ(−10)
		"Met does not say that all is understood: several errors can cancel."}, ask(1.2, 0.05))
	require.Equal(t, []string{"Missed: the true value is below the promise with a probability of more than 99.9 %."}, ask(0.5, 0.05))
	require.Equal(t, []string{"Missed: the true value is above the promise with a probability of 98 %."}, ask(1.4, 0.05))
	require.Equal(t, []string{"Undecided: the value is too close to a limit for this measurement.", evidence.DisagreeUndecided}, ask(1.35, 0.05))
	require.Equal(t, []string{"Undecided: the value is too close to a limit for this measurement."}, ask(1.28, 0.05))
	require.Contains(t, ask(1, 1)[0], "too coarse")
	require.Contains(t, ask(math.NaN(), 1)[0], "record is not complete")
}

func TestEveryReasonHasWords(t *testing.T) {
	for _, r := range []evidence.Reason{evidence.IncompleteRecord, evidence.NoPromise, evidence.RepeatabilityUnknown, evidence.RunTooShort,
		evidence.NotSteady, evidence.TooCoarse, evidence.Borderline} {
		require.Greater(t, len(evidence.VerdictOut{Outcome: evidence.Undecided, Reason: r}.Words()[0]), 40, r)
	}
	for _, r := range []evidence.Reason{evidence.NothingMeasured, evidence.PatternDisagrees, evidence.SomeUndecided} {
		require.Greater(t, len(evidence.BuildVerdictOut{Outcome: evidence.Undecided, Reason: r, Which: []string{"air"}}.Words()), 20, r)
	}
	require.Equal(t, "Missed: free air, head.", evidence.BuildVerdictOut{Outcome: evidence.Missed, Which: []string{"free air", "head"}}.Words())
}

// A gauge of the register, or one to buy: section 4.4.
func TestWhatWouldDecide(t *testing.T) {
	used := evidence.Instrument{Name: "class 2.5 gauge of 0–10 bar", Limit: 25_000}
	d := evidence.Deciding{Y: 1.5e5, UNeeded: 2000, Used: used, Instruments: append(evidence.GaugesFor(1.5e5), used)}
	d.InstrumentNeededOut, _, _ = evidence.InstrumentNeeded(evidence.InstrumentNeededIn{UNeeded: 2000, UOther: 1000, S: new(3000.0), UB: new(1000.0)})
	require.Equal(t, "The class 1.0 gauge of 0–2.5 bar would do; the class 2.5 gauge of 0–10 bar can't.", d.Words())
	d.Instruments = nil
	require.Equal(t, "An instrument with an error of at most ±2 % of this value is needed; the class 2.5 gauge of 0–10 bar can't.", d.Words())
	d.UNeeded = 0
	require.Equal(t, "No instrument decides this: the value lies on a limit. Change the operating point or the promise.", d.Words())
	d.UNeeded = 2000
	d.InstrumentNeededOut, _, _ = evidence.InstrumentNeeded(evidence.InstrumentNeededIn{UNeeded: 2000, UOther: 3000, S: new(6000.0), UB: new(1000.0)})
	require.Contains(t, d.Words(), "12 repeats would decide this") // 36/(4 − 1)
	d.Repeats = nil
	require.Contains(t, d.Words(), "conditions are not known well enough")
}

// EN 837-1, table 11: the limit of error is the class in percent of the span;
// EN 837-2: a steady pressure is read up to three quarters of the scale, from memory.
func TestGaugesForAPressure(t *testing.T) {
	gauges := evidence.GaugesFor(1.9e5)
	require.Equal(t, "class 1.0 gauge of 0–4 bar", gauges[0].Name)
	require.InDelta(t, 4000, gauges[0].Limit, 1e-9)
	require.InDelta(t, 10_000, gauges[2].Limit, 1e-9)
	require.Empty(t, evidence.GaugesFor(1e9))
}

// JCGM 100, H.3: slope of a thermometer's corrections and its standard
// uncertainty, with the standard deviation of the points for known.
func TestPatternOfAThermometer(t *testing.T) {
	calctest.Rows(t, "96", calctest.Near(func(t *testing.T, _ calctest.Value) []float64 {
		x := []float64{21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511} // line 95
		b := []float64{-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160}
		p, ok := evidence.PatternOf(x, b, diagonal(len(x), 0.0035*0.0035))
		require.True(t, ok)
		span := x[len(x)-1] - x[0]
		return []float64{p.Tilt / span, p.TiltHalf / 1.959964 / span}
	}))
}

func diagonal(n int, v float64) [][]float64 {
	s := make([][]float64, n)
	for i := range s {
		s[i] = make([]float64, n)
		s[i][i] = v
	}
	return s
}

// An error that all points share makes the level less certain and leaves the
// tilt alone.
func TestASharedErrorMovesTheLevelOnly(t *testing.T) {
	x, deviation := []float64{1, 2, 4}, []float64{0.05, 0.06, 0.1}
	alone, ok := evidence.PatternOf(x, deviation, diagonal(3, 1e-4))
	require.True(t, ok)
	s := diagonal(3, 1e-4)
	for i := range s {
		for j := range s {
			s[i][j] += 9e-4
		}
	}
	shared, ok := evidence.PatternOf(x, deviation, s)
	require.True(t, ok)
	require.InDelta(t, alone.Tilt, shared.Tilt, 1e-12)
	require.InDelta(t, alone.TiltHalf, shared.TiltHalf, 1e-12)
	require.InDelta(t, math.Hypot(alone.LevelHalf, 1.959964*0.03), shared.LevelHalf, 1e-7)
	require.InDelta(t, 0.07, alone.Level, 1e-12, "the mean")
	_, ok = evidence.PatternOf([]float64{2, 2}, []float64{0, 0}, diagonal(2, 1))
	require.False(t, ok, "points that do not differ have no tilt")
	_, ok = evidence.PatternOf([]float64{1, 2}, []float64{0, 0}, [][]float64{{1, 1}, {1, 1}})
	require.False(t, ok)
}

func TestWordsOfACurve(t *testing.T) {
	for want, p := range map[string]evidence.Pattern{
		"The whole curve of air flow lies 6 % above prediction (2 to 10 %); its shape is as predicted.":                                                                     {Level: 0.06, LevelHalf: 0.04, Tilt: 0.01, TiltHalf: 0.02},
		"The whole curve of air flow lies 6 % below prediction (2 to 10 %), and it tilts: 8 % down against the prediction (3 to 13 %) from the lowest to the highest head.": {Level: -0.06, LevelHalf: 0.04, Tilt: -0.08, TiltHalf: 0.05},
		"The curve of air flow tilts: 8 % up against the prediction (3 to 13 %) from the lowest to the highest head; as a whole it is neither high nor low.":                {Level: 0.01, LevelHalf: 0.04, Tilt: 0.08, TiltHalf: 0.05},
		"The curve of air flow lies as predicted, in level and in shape.":                                                                                                   {Level: 0.01, LevelHalf: 0.04, Tilt: -0.01, TiltHalf: 0.05},
	} {
		require.Equal(t, want, p.Words("air flow", "head"))
	}
}

// Section 4.7. The share of all together is that of the formula with the plain
// inverse: 1 − rᵀ(I + AAᵀ)⁻¹r/rᵀr.
func TestWhyItMissed(t *testing.T) {
	unit := calc.Matrix{{1, 0}, {0, 1}}
	in := evidence.ExplainMissIn{D: []float64{5, 1}, R: unit, J: calc.Matrix{{2, 0.2}, {0.6, -0.1}}, Names: []string{"intake loss", "drift velocity"}}
	out, _, _ := evidence.ExplainMiss(in)
	// I + AAᵀ = {{5.04, 1.18}, {1.18, 1.37}}, determinant 5.5124; r = (5, 1).
	inverse := (1.37*25 - 2*1.18*5 + 5.04) / 5.5124
	require.InDelta(t, 1-inverse/26, out.JointShare(), 1e-12)
	words, fault := evidence.WhyItMissed(in, evidence.Signs{})
	require.Nil(t, fault)
	// aᵀr = 10.6, aᵀa = 4.36: shift 1.98, share 10.6²/(5.36·26) = 0.806; and 0.9, 0.05: 0.03.
	require.Equal(t, []string{"Intake loss 2.0 sd higher than believed would explain 81 % of the miss; drift velocity 3 %.", "This is a pointer, not a finding."}, words)

	in.J = calc.Matrix{{2, 1.9}, {0.6, 0.6}}
	words, _ = evidence.WhyItMissed(in, evidence.Signs{})
	require.Contains(t, words, "One run can't tell intake loss and drift velocity apart: they act alike.")

	in.D = []float64{10, 3}
	words, _ = evidence.WhyItMissed(in, evidence.Signs{Air: evidence.MeasuredLow})
	require.Len(t, words, 1)
	require.True(t, strings.HasPrefix(words[0], "No coefficient explains this. Look for: a leak"), words[0])

	in.R = calc.Matrix{{0, 0}, {0, 1}}
	_, fault = evidence.WhyItMissed(in, evidence.Signs{})
	require.Equal(t, calc.Range, fault.Code)
}

// The order of section 4.7, common practice.
func TestWhatToLookFor(t *testing.T) {
	const low, fits, high = evidence.MeasuredLow, evidence.MeasuredFits, evidence.MeasuredHigh
	for first, signs := range map[string]evidence.Signs{
		"a leak":             {Pressure: fits, Air: low, Head: fits},
		"a head":             {Pressure: low, Air: low, Head: low},
		"bubbles":            {Pressure: low, Air: high, Head: fits},
		"a leak between sep": {Pressure: high, Air: high, Head: high},
	} {
		all := evidence.LookFor(signs)
		require.True(t, strings.HasPrefix(all[0], first), all[0])
		require.Len(t, all, 8, "nothing is forgotten")
	}
	require.Equal(t, low, evidence.SignOf(-2.1))
	require.Equal(t, fits, evidence.SignOf(2))
	require.Equal(t, high, evidence.SignOf(2.1))
}

// Section 5.2.
func TestWordsOfCoverage(t *testing.T) {
	lower, upper := evidence.WilsonInterval(8, 8, 0.95)
	require.Equal(t, "With n = 8 and all inside, 95 % coverage is known only to be ≥ 68 %.", evidence.Coverage{K: 8, N: 8, Lower: lower, Upper: upper, Consistent: true}.Words(0.95))
	lower, upper = evidence.WilsonInterval(15, 148, 0.95) // Newcombe 1998: 0.0624 to 0.1605
	require.Equal(t, "Of n = 148, only 15 were inside: coverage is 6 to 16 %, not the 95 % that was said. The intervals are too narrow, or lie to one side of what is measured.",
		evidence.Coverage{K: 15, N: 148, Lower: lower, Upper: upper}.Words(0.95))
	words := func(pits ...float64) string {
		in := evidence.CalibrationIn{}
		for i, p := range pits {
			in.Records = append(in.Records, evidence.Placed{Build: string(rune('a' + i)), PIT: new(calc.Reading(p))})
		}
		out, _, _ := evidence.Calibration(in)
		return strings.Join(out.Words(2), " ")
	}
	require.Equal(t, "2 kept, 2 set aside. "+evidence.FewBuilds, words(0.4, 0.6))
	require.Contains(t, words(0.99, 0.98, 0.97, 0.985, 0.99), "standard uncertainties of the prediction above it.")
	require.Contains(t, words(0.01, 0.02, 0.03, 0.015, 0.01), "standard uncertainties of the prediction below it.")
	require.Contains(t, words(0.001, 0.999, 0.002, 0.998, 0.001, 0.999, 0.999, 0.001), "too narrow")
	require.Contains(t, words(0.5, 0.51, 0.49, 0.5, 0.51, 0.49), "wider than they need be, or these builds err alike")
	// 1.2 standard uncertainties to one side, with a scatter as was said: too narrow is not what they are.
	off := words(0.01, 0.02, 0.04, 0.08, 0.12, 0.2, 0.3)
	require.Contains(t, off, "below it")
	require.NotContains(t, off, "too narrow:")
	require.Contains(t, words(0.05, 0.15, 0.25, 0.35, 0.45, 0.55, 0.65, 0.75, 0.85, 0.95), "as evenly as chance would have it")
}

// Section 5.4.
func TestWordsOfScatter(t *testing.T) {
	out := evidence.RandomEffectsOut{K: 9, Mean: math.Log(1.04), Interval: []float64{math.Log(1.01), math.Log(1.07)}, Tau: 0.05, Tau2: 0.0025}
	require.Equal(t, "Pressures come out 4 % above prediction (1 to 7 %); from build to build they scatter by 5 %.", out.Words("pressures"))
	out.Mean, out.Interval = math.Log(0.96), []float64{math.Log(0.93), math.Log(0.99)}
	require.Equal(t, "Pressures come out 4 % below prediction (1 to 7 %); from build to build they scatter by 5 %.", out.Words("pressures"))
	out.Interval[1], out.Tau2 = math.Log(1.01), 0
	require.Equal(t, "Pressures come out as predicted, as far as can be told (−7 to 1 %); from build to build no scatter can be told beyond that of the measurement.", out.Words("pressures"))
	out.Interval, out.Tau, out.Tau2 = []float64{math.Log(0.9992), math.Log(1.0004)}, 0.004, 0.004*0.004
	require.Equal(t, "Pressures come out as predicted, as far as can be told (−0.08 to 0.04 %); from build to build they scatter by 0.4 %.", out.Words("pressures"), "little is not nothing")
	out.Tau, out.Tau2 = math.Log(1.48), math.Pow(math.Log(1.48), 2)
	require.Contains(t, out.Words("pressures"), "from build to build they scatter by a factor of 1.5.", "39 % up are not 39 % down")
	out.K = 2
	require.Contains(t, out.Words("pressures"), "too few builds")
}

// Section 6: at as much uncertainty as the prediction's it can decide nothing.
func TestWordsOfAPlan(t *testing.T) {
	ask := func(u float64) string {
		out, _, _ := evidence.PDecide(evidence.PDecideIn{UPred: 1, U: u, Lower: -1.96, Upper: 1.96, PMet: 0.95, PMiss: 0.975})
		return out.Words()
	}
	require.Contains(t, ask(0.3), "decides with a probability of 85 %")
	require.Contains(t, ask(1), "decide next to nothing")
}
