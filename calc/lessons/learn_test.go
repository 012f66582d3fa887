package lessons_test

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/confront"
	"leat/calc/evidence"
	"leat/calc/lessons"
	"leat/calc/trompe"
)

// group is a simulated group whose truth is known: what its builds have in
// common, as z, and what each has of its own.
type group struct {
	*rand.Rand
	common map[string]float64
	own    float64 // standard deviation of a build's own part
	noise  float64 // of a reading, as a share
}

func newGroup(seed uint64, common map[string]float64) group {
	return group{rand.New(rand.NewPCG(seed, 55)), common, 0.25, 0.01} //nolint:gosec // a simulation that must come out the same again
}

func machineOf(t testing.TB, file string) json.RawMessage {
	t.Helper()
	text, err := os.ReadFile("../../domain/notebook/demo/" + file)
	require.NoError(t, err)
	return text
}

// files are machines that differ in size, of the demonstration.
var files = []string{"bench.json", "pond.json", "standpipe.json", "sawpit.json", "quarry.json"}

func names() (list []string) {
	set, _ := trompe.SetZero()
	for _, c := range set.Coefficients {
		list = append(list, c.Name)
	}
	return list
}

// truth is what a build really does: at the common coefficients, its own part
// added.
func (g group) truth(t testing.TB, in trompe.Input) *trompe.Numbers {
	t.Helper()
	list := names()
	z := make([]float64, len(list))
	for i, name := range list {
		z[i] = g.common[name] + g.own*g.NormFloat64()
	}
	n := trompe.Trial(in.At(list, z))
	require.NotNil(t, n, "the machine runs")
	return n
}

// build measures one of them: pressure with the valve shut, air and water as
// drawn, each to 1 %. Of its air a share arrives at the meter: less than 1 where
// nobody found the leak.
func (g group) build(t testing.TB, i int, share float64) lessons.Build {
	t.Helper()
	raw := machineOf(t, files[i%len(files)])
	in, faults := trompe.Decode(raw)
	require.Empty(t, faults)
	n := g.truth(t, in)
	var measured []confront.Quantity
	for _, name := range []string{confront.HighestPressure, confront.FreeAir, confront.WaterFlow} {
		value := outputs[name](n)
		if name == confront.FreeAir {
			value *= share
		}
		measured = append(measured, read(name, value*(1+g.noise*g.NormFloat64()), 0.01*value))
	}
	return lessons.Build{Crew: fmt.Sprint(i % 2), People: []string{"helps both", fmt.Sprint(i % 2)}, Shown: confront.Shown{Build: fmt.Sprintf("build %d", i+1), Runs: []confront.Case{{
		Machine: raw, SetName: "0", Points: []confront.Point{{Name: "1", Setting: confront.AsDrawn, Measured: measured}},
	}}}}
}

var outputs = map[string]func(n *trompe.Numbers) float64{
	confront.HighestPressure: func(n *trompe.Numbers) float64 { return n.BlowOffGaugePa },
	confront.FreeAir:         func(n *trompe.Numbers) float64 { return n.FreeAirM3S },
	confront.WaterFlow:       func(n *trompe.Numbers) float64 { return n.WaterFlowM3S },
}

func read(name string, value, u float64) confront.Quantity {
	return confront.Quantity{Name: name, Value: &value, U: &u, Nu: calc.Freedom(math.Inf(1)), Lines: []confront.Line{{Name: "all", Signed: &u, Nu: calc.Freedom(math.Inf(1)), Instrument: true}}}
}

func learn(t testing.TB, builds ...lessons.Build) lessons.Proposal {
	t.Helper()
	zero, _ := trompe.SetZero()
	p, err := lessons.Learn(t.Context(), builds, zero)
	require.NoError(t, err)
	return p
}

func reasons(p lessons.Proposal) (codes []string) {
	for _, c := range p.Checks {
		if !c.Holds {
			codes = append(codes, c.Code)
		}
	}
	return codes
}

// honest are builds of one truth.
func honest(t testing.TB, g group, n int) (builds []lessons.Build) {
	t.Helper()
	for i := range n {
		builds = append(builds, g.build(t, i, 1))
	}
	return builds
}

var common = map[string]float64{"k_v": 1.2, "k_c0": -1}

// Section 5.5 of the specification of evidence simulated that honest builds are
// mostly adopted (86 % of five) and that adopted sets predict the next build
// better on average. The truth is the simulation's own.
func TestHonestBuildsMakeASetThatPredictsBetter(t *testing.T) {
	t.Parallel()
	g := newGroup(1, common)
	p := learn(t, honest(t, g, 5)...)
	require.Empty(t, reasons(p))
	require.True(t, p.Adoptable)
	require.Negative(t, *p.Difference)
	require.Positive(t, p.Directions)
	for _, c := range p.Coefficients {
		if c.Name == "k_c0" {
			require.Less(t, c.After.Middle, c.Before.Middle, "the truth lies below set 0")
			require.Less(t, c.After.High-c.After.Low, c.Before.High-c.Before.Low)
		}
	}

	set, err := p.Set("1", "learned in a test")
	require.NoError(t, err)
	require.NoError(t, set.Usable())
	text, err := set.Text()
	require.NoError(t, err)
	again, err := trompe.ParseSet(text)
	require.NoError(t, err)
	require.Equal(t, p.Learned, again.Learned)

	var before, after float64
	for i := range 4 {
		next := g.build(t, i, 1).Runs[0]
		next.Draws = confront.Draws{Batch: 200, Most: 2}
		before += score(t, next)
		next.Set, next.SetName = set, set.Name
		after += score(t, next)
	}
	require.Less(t, after, before, "the next builds are predicted better")
}

func score(t *testing.T, c confront.Case) (sum float64) {
	t.Helper()
	v, err := confront.Judge(t.Context(), c, nil)
	require.NoError(t, err)
	for _, item := range v.Items {
		sum += *item.CRPS
	}
	return sum
}

// Section 5.5: with four builds near 0 and one at 4 standard deviations, what is
// learned moves by 0.22 (0.05 to 0.27) of the 0.74 (to 0.79) that it would move
// without weights, and the odd build weighs 0.37, so that it is to be looked at.
// Here an odd machine leaks three quarters of its air, and eleven coefficients share
// what it says: none may move by half of what it would without weights.
func TestAnOddBuildMovesLittle(t *testing.T) {
	t.Parallel()
	g := newGroup(2, nil)
	builds := honest(t, g, 4)
	without := learn(t, builds...)
	with := learn(t, append(slices.Clone(builds), g.build(t, 5, 0.25))...)
	for i, m := range with.Learned.M {
		require.Less(t, math.Abs(m-without.Learned.M[i]), 0.37, with.Learned.Names[i])
	}
	require.Less(t, *with.Builds[4].Weight, 0.5)
	require.Contains(t, with.Words[0], "build 6 is unlike the others")
	for _, b := range with.Builds[:4] {
		require.Greater(t, *b.Weight, *with.Builds[4].Weight)
	}
}

// The same section: with one of three odd by 4 standard deviations, 1 to 5 % are
// adopted.
func TestAnOddBuildOfThreeIsRefused(t *testing.T) {
	t.Parallel()
	g := newGroup(3, nil)
	p := learn(t, append(honest(t, g, 2), g.build(t, 2, 0.25))...)
	require.False(t, p.Adoptable)
	require.NotEmpty(t, reasons(p))
}

// Section 5.7 wants two crews, and does not say what two are. A crew with a helper more
// is the same one; one that shares a helper with another, as all of these do else, is
// another.
func TestTwoBuildsOrOneCrewAreTooFew(t *testing.T) {
	t.Parallel()
	g := newGroup(1, common)
	builds := honest(t, g, 3)
	require.Contains(t, reasons(learn(t, builds[:2]...)), evidence.TooFewBuilds)
	for i := range builds {
		builds[i].People = []string{"Petra", "Tomasz", "Wen"}[:i+1]
	}
	require.Equal(t, []string{lessons.TooFewCrews}, reasons(learn(t, builds...)))
}

func TestTheSameRunsTeachTheSameBytes(t *testing.T) {
	builds := honest(t, newGroup(4, common), 2)
	one, err := json.Marshal(learn(t, builds...))
	require.NoError(t, err)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	two, err := json.Marshal(learn(t, builds...))
	require.NoError(t, err)
	require.Equal(t, string(one), string(two))
}

// What is not known of the hour is not blamed on coefficients, and one instrument
// is one error in however many runs it was read. Section 1.7.
func TestWhatIsUncertainBesideTeachesLess(t *testing.T) {
	t.Parallel()
	g := newGroup(5, nil)
	g.own, g.noise = 0, 0 // as set 0 says, so that both are learned from about the same place
	b := g.build(t, 0, 1)
	removed := func(change func(q *confront.Case)) (sum float64) {
		c := b.Runs[0]
		c.Points = slices.Clone(c.Points)
		change(&c)
		for _, k := range learn(t, lessons.Build{Shown: confront.Shown{Build: "1", Runs: []confront.Case{c}}}).Coefficients {
			sum += k.Removed
		}
		return sum
	}
	plain := removed(func(*confront.Case) {})
	vague := removed(func(c *confront.Case) {
		c.Points[0].Conditions = []confront.Quantity{read("/riser/outlet_m", riser(t, c.Machine), 0.1)}
	})
	require.Less(t, vague, plain)

	repeated := func(source string) float64 {
		return removed(func(c *confront.Case) {
			p := c.Points[0]
			p.Measured = nil
			for range 9 {
				q := read(confront.FreeAir, *c.Points[0].Measured[1].Value, 0.1**c.Points[0].Measured[1].Value)
				q.Lines[0].Source = source
				p.Measured = append(p.Measured, q)
			}
			c.Points[0] = p
		})
	}
	require.Less(t, repeated("meter 3"), repeated(""), "nine readings of one meter are not nine meters")
}

func riser(t testing.TB, machine json.RawMessage) float64 {
	t.Helper()
	in, faults := trompe.Decode(machine)
	require.Empty(t, faults)
	return in.Riser.OutletM
}

func TestABuildWithoutANumberIsLeftOutAndNamed(t *testing.T) {
	t.Parallel()
	g := newGroup(1, common)
	builds := honest(t, g, 2)
	builds = append(builds, lessons.Build{Shown: confront.Shown{Build: "nothing measured", Runs: []confront.Case{{Machine: machineOf(t, files[0])}}}})
	p := learn(t, builds...)
	require.True(t, p.Builds[2].Skipped)
	require.Contains(t, p.Words[0], "nothing measured was left out")
	require.Contains(t, reasons(p), evidence.TooFewBuilds)
}

func TestLearningEndsWhenNobodyWaits(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	zero, _ := trompe.SetZero()
	_, err := lessons.Learn(ctx, honest(t, newGroup(1, common), 1), zero)
	require.ErrorIs(t, err, context.Canceled)
}
