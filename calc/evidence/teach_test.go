package evidence_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/calctest"
	"leat/calc/evidence"
	"leat/calc/reckon"
)

// Results that another program worked out: Python with 22 digits, written from
// the specification of evidence alone and by other ways where there are some
// (m and P by gains, one build after the other; scores by integrating squares;
// P₀^½ by its eigenvectors).
func TestLearnedAgainstAnotherProgram(t *testing.T) {
	calctest.ReferenceIn(t, evidence.Calculations(), "testdata/learned.json")
}

// one is a build that fits one coefficient; the rest of it is added.
const one = `"name": "a", "y": [1], "g": [1], "J": [[1]], "R": [0.1]`

func lesson(changes ...string) string {
	text := `{"m0": [0], "P0": [0.75], "builds": [{` + one + `}], "omega": [0.5]}`
	for i := 0; i < len(changes); i += 2 {
		text = strings.Replace(text, changes[i], changes[i+1], 1)
	}
	return text
}

// many are builds with so many values each, of one coefficient.
func many(builds, values int) string {
	list := make([]string, builds)
	for i := range list {
		list[i] = fmt.Sprintf(`{"name": "%d", "y": [%[2]s], "g": [%[2]s], "J": [%[3]s], "R": [%[2]s]}`, i, entries("1", values), entries("[1]", values))
	}
	return `{"m0": [0], "P0": [0.75], "omega": [0.5], "builds": [` + strings.Join(list, ", ") + `]}`
}

// vague is a lesson of so many coefficients, and of no build.
func vague(coefficients int) string {
	return fmt.Sprintf(`{"m0": [%s], "P0": [%[2]s], "omega": [%[2]s], "builds": []}`, entries("0", coefficients), entries("1", coefficients))
}

func entries(one string, n int) string { return strings.TrimSuffix(strings.Repeat(one+",", n), ",") }

// As many builds, values and coefficients as are learned from at once are answered.
func TestTheMostThatIsLearnedFromAtOnce(t *testing.T) {
	for _, c := range [][2]string{{"leave_one_out", many(40, 5)}, {"update", many(500, 1)}, {"update", many(1, 500)}, {"update", vague(30)}} {
		a, _, err := reckon.Run("evidence/"+c[0], []byte(c[1]))
		require.NoError(t, err)
		require.True(t, a.OK, "%v", a.Faults)
	}
}

// Section 8.1 of the specification of evidence.
func TestFaultsOfLessons(t *testing.T) {
	cases := [][4]string{
		{"", `{"m_0": [0], "builds": 3}`, "unknown_field", "/m_0"},
		{"", `{}`, "missing", "/m0"},
		{"", lesson(`"m0": [0]`, `"m0": []`), "missing", "/m0"},
		{"", lesson(`"m0": [0]`, `"m0": [null]`), "missing", "/m0/0"},
		{"", lesson(`"m0": [0]`, `"m0": ["NaN"]`), "not_a_number", "/m0/0"},
		{"", lesson(`"m0": [0]`, `"m0": [1e999]`), "not_a_number", "/m0/0"},
		{"", lesson(`"P0": [0.75]`, `"P0": 0.75`), "missing", "/P0"},
		{"", lesson(`"P0": [0.75]`, `"P0": [0.75, 1]`), "inconsistent", "/P0"},
		{"", lesson(`"P0": [0.75]`, `"P0": [[0.75, 0]]`), "inconsistent", "/P0"},
		{"", lesson(`"P0": [0.75]`, `"P0": [0]`), "range", "/P0"},
		{"", lesson(`"P0": [0.75]`, `"P0": [[-1]]`), "range", "/P0"},
		{"", `{"m0": [0, 0], "P0": [[1, 2], [2, 1]], "builds": [], "omega": [0]}`, "range", "/P0"},
		{"", lesson(`"builds": [{`+one+`}], `, ``), "missing", "/builds"},
		{"", lesson(`{`+one+`}`, `{}`), "missing", "/builds/0"},
		{"", lesson(`{`+one+`}`, `3`), "missing", "/builds/0"},
		{"", lesson(`"name": "a"`, `"nam": "a"`), "unknown_field", "/builds/0/nam"},
		{"", lesson(`"name": "a"`, `"name": 1`), "unknown_value", "/builds/0/name"},
		{"", lesson(`"name": "a", `, ``), "missing", "/builds/0/name"},
		{"", lesson(`"y": [1]`, `"y": []`), "missing", "/builds/0/y"},
		{"", lesson(`"y": [1]`, `"y": ["high"]`), "not_a_number", "/builds/0/y/0"},
		{"", lesson(`"y": [1]`, `"y": [1, 2]`), "inconsistent", "/builds/0/g"},
		{"", lesson(`"g": [1]`, `"g": null`), "missing", "/builds/0/g"},
		{"", lesson(`"J": [[1]]`, `"J": [[1], [1]]`), "inconsistent", "/builds/0/J"},
		{"", lesson(`"J": [[1]]`, `"J": [[1, 2]]`), "inconsistent", "/builds/0/J"},
		{"", lesson(`"J": [[1]]`, `"J": [1]`), "missing", "/builds/0/J/0"},
		{"", lesson(`"R": [0.1]`, `"R": [-0.1]`), "range", "/builds/0/R/0"},
		{"", lesson(`"R": [0.1]`, `"R": [[0.1, 0.1]]`), "inconsistent", "/builds/0/R"},
		{"", lesson(`{`+one+`}`, `{`+one+`}, {`+one+`}`), "inconsistent", "/builds/1/name"},
		{"", lesson(`"omega": [0.5]`, `"omega": [0.5, 0.5]`), "inconsistent", "/omega"},
		{"", lesson(`"omega": [0.5]`, `"omega": [-0.5]`), "range", "/omega/0"},
		{"", lesson(`"omega": [0.5]`, `"names": ["a"]`), "missing", "/omega"},
		{"", lesson(`"omega": [0.5]`, `"omega": [0.5], "disc": -1`), "range", "/disc"},
		{"", lesson(`"omega": [0.5]`, `"omega": [0.5], "robust_nu": -1`), "range", "/robust_nu"},
		{"", lesson(`"omega": [0.5]`, `"omega": [0.5], "names": ["a", "b"]`), "inconsistent", "/names"},
		{"", lesson(`"omega": [0.5]`, `"omega": [0.5], "names": [1]`), "unknown_value", "/names/0"},
		{"", lesson(`"omega": [0.5]`, `"omega": [0.5], "widen": 1`), "unknown_value", "/widen"},
		{"", lesson(`"R": [0.1]`, `"R": [0]`, `"omega": [0.5]`, `"omega": [0]`), "range", ""},
	}
	for _, name := range []string{"update", "leave_one_out"} {
		for i := range cases {
			cases[i][0] = "evidence/" + name
		}
		calctest.Faults(t, evidence.Calculations(), cases)
	}
	calctest.Faults(t, evidence.Calculations(), [][4]string{
		{"evidence/update", lesson(`"y": [1]`, `"y": [1e300]`), "range", ""},
		{"evidence/update", lesson(`"omega": [0.5]`, `"omega": [0.5], "min_builds": 3`), "unknown_field", "/min_builds"},
		{"evidence/leave_one_out", lesson(`"g": [1]`, `"g": [0]`), "range", "/builds/0/g/0"},
		{"evidence/leave_one_out", many(41, 1), "range", "/builds"},
		{"evidence/leave_one_out", many(3, 67), "range", "/builds"},
		{"evidence/update", many(501, 1), "range", "/builds"},
		{"evidence/update", many(1, 501), "range", "/builds"},
		{"evidence/update", vague(31), "range", "/m0"},
		{"evidence/update", vague(200_000), "range", "/m0"},
		{"evidence/leave_one_out", lesson(`"omega": [0.5]`, `"omega": [0.5], "min_builds": 1`), "range", "/min_builds"},
		{"evidence/leave_one_out", lesson(`"omega": [0.5]`, `"omega": [0.5], "min_builds": 2.5`), "range", "/min_builds"},
	})
}

func planned(changes ...string) string {
	text := `{"P": [1, 1], "candidates": [{"name": "a", "J": [1, 0], "u": 1}], "target": [1, 1]}`
	for i := 0; i < len(changes); i += 2 {
		text = strings.Replace(text, changes[i], changes[i+1], 1)
	}
	return text
}

func TestFaultsOfPlans(t *testing.T) {
	const name = "evidence/plan"
	calctest.Faults(t, evidence.Calculations(), [][4]string{
		{name, `{}`, "missing", "/P"},
		{name, planned(`[1, 1]`, `[1, 0]`), "range", "/P"},
		{name, planned(`[1, 1]`, `[[1, 0]]`), "inconsistent", "/P"},
		{name, planned(`[1, 1]`, `[[1, 0], [0, 1], [0, 0]]`), "inconsistent", "/P"},
		{name, planned(`"candidates": [{"name": "a", "J": [1, 0], "u": 1}]`, `"candidates": []`), "missing", "/candidates"},
		{name, planned(`"u": 1`, `"u": 0`), "range", "/candidates/0/u"},
		{name, planned(`"u": 1`, `"u": 1, "cost": 0`), "range", "/candidates/0/cost"},
		{name, planned(`"J": [1, 0]`, `"J": [1]`), "inconsistent", "/candidates/0/J"},
		{name, planned(`"J": [1, 0]`, `"J": [1, "NaN"]`), "not_a_number", "/candidates/0/J/1"},
		{name, planned(`"target": [1, 1]`, `"target": [1]`), "inconsistent", "/target"},
		{name, planned(`"target": [1, 1]`, `"target": [0, 0]`), "range", ""},
		{name, planned(`"target": [1, 1]`, `"target": [1, 1], "omega": [1]`), "inconsistent", "/omega"},
		{name, planned(`"target": [1, 1]`, `"target": [1, 1], "omega": []`), "missing", "/omega"},
		{name, planned(`"target": [1, 1]`, `"target": [1, 1], "disc": "2"`), "not_a_number", "/disc"},
		{name, planned(`"target": [1, 1]`, `"target": [1, 1], "steps": 0`), "range", "/steps"},
		{name, planned(`"target": [1, 1]`, `"target": [1, 1], "stepz": 0`), "unknown_field", "/stepz"},
	})
}

// Where a default stands null is the default, but a weight of null is none; a
// number that is missing leaves its build out, however it is written.
func TestWhatIsMissingInLessons(t *testing.T) {
	off := lesson(`"y": [1]`, `"y": [9]`)
	require.Less(t, judgedResult(t, "update", off)["weights"].(map[string]any)["a"].(float64), 1.0)
	for _, nu := range []string{"null", "0"} {
		got := judgedResult(t, "update", strings.Replace(off, `"omega"`, `"robust_nu": `+nu+`, "omega"`, 1))
		require.Equal(t, map[string]any{"a": 1.0}, got["weights"])
	}
	require.Equal(t, judgedResult(t, "update", off), judgedResult(t, "update", strings.Replace(off, `"omega"`, `"disc": null, "widen": null, "names": null, "omega"`, 1)))
	for _, gap := range []string{"null", `"NaN"`, `"inf"`, `"-inf"`} {
		for _, field := range []string{`"y": [1`, `"g": [1`, `"J": [[1`, `"R": [0.1`} {
			at := strings.LastIndex(field, "[") + 1
			got := judgedResult(t, "update", lesson(field, field[:at]+gap))
			require.Equal(t, []any{"a"}, got["skipped"], "%s %s", field, gap)
			require.Equal(t, map[string]any{}, got["weights"])
			require.Equal(t, []any{0.0}, got["m"])
		}
	}
}

// same holds two lessons against each other.
func same(t *testing.T, one, other map[string]any) {
	t.Helper()
	for _, field := range []string{"m", "sd", "singular"} {
		for i, x := range one[field].([]any) {
			require.InEpsilon(t, x, other[field].([]any)[i], 1e-8, field)
		}
	}
	for build, w := range one["weights"].(map[string]any) {
		require.InEpsilon(t, w, other["weights"].(map[string]any)[build], 1e-8, build)
	}
	require.InEpsilon(t, one["omega_scale"], other["omega_scale"], 1e-8)
}

// A value in another unit says the same: what is learned does not change.
func TestUnitsOfWhatIsMeasuredDoNotMatter(t *testing.T) {
	learnedIn := func(unit float64) map[string]any {
		text := fmt.Sprintf(`{"m0": [0, 0], "P0": [0.75, 0.75], "omega": [0.5, 0.4], "disc": 0.02, "builds": [
			{"name": "a", "y": [9.7, %g], "g": [9.9, %g], "J": [[-0.3, 0.02], [%g, %g]], "R": [0.06, %g]},
			{"name": "b", "y": [8, %g], "g": [9.9, %g], "J": [[-0.3, 0.02], [%g, %g]], "R": [[0.01, %g], [%g, %g]]}]}`,
			51*unit, 54*unit, -2*unit, -3*unit, unit, 60*unit, 54*unit, -2*unit, -3*unit, 0.01*unit, 0.01*unit, unit*unit)
		return judgedResult(t, "update", text)
	}
	for _, unit := range []float64{1e-12, 1e10} {
		same(t, learnedIn(1), learnedIn(unit))
	}
}

// Builds in any order teach the same, and a build that was left out says nothing.
func TestOrderOfBuildsDoesNotMatter(t *testing.T) {
	build := func(name string, y float64) string {
		return fmt.Sprintf(`{"name": %q, "y": [%g], "g": [10], "J": [[1]], "R": [0.1]}`, name, y)
	}
	ask := func(builds ...string) map[string]any {
		return judgedResult(t, "update", `{"m0": [0], "P0": [0.75], "omega": [0.5], "widen": false, "builds": [`+strings.Join(builds, ",")+`]}`)
	}
	a, b, c := build("a", 10.4), build("b", 9.8), build("c", 14)
	same(t, ask(a, b, c), ask(c, a, b))
	require.Less(t, ask(a, b, c)["weights"].(map[string]any)["c"].(float64), 0.5)
}

func TestRemarksOfLessons(t *testing.T) {
	sum := `{"m0": [0, 0, 0], "P0": [1, 1, 1], "omega": [0, 0, 0], "widen": false, %s"builds": [{"name": "a", "y": [18], "g": [10], "J": [[1, 1, 0]], "R": [0.1]}]}`
	require.Equal(t, []any{"0:moved_far", "1:moved_far", "2:not_informed", "0,1:only_combination_known"}, judgedResult(t, "update", fmt.Sprintf(sum, ""))["warnings"])
	named := judgedResult(t, "update", fmt.Sprintf(sum, `"names": ["zeta", "alpha", "mid"], `))
	require.Equal(t, []any{"zeta:moved_far", "alpha:moved_far", "mid:not_informed", "alpha,zeta:only_combination_known"}, named["warnings"])
}

// Every number of an answer is there, whatever was asked.
func TestAnswersOfLessonsAreWhole(t *testing.T) {
	for _, name := range []string{"update", "leave_one_out"} {
		got := judgedResult(t, name, `{"m0": [0], "P0": [0.75], "builds": [], "omega": [0.5]}`)
		for field, value := range got {
			if field != "mean_difference" {
				require.NotNil(t, value, field)
			}
		}
	}
	step := judgedResult(t, "plan", planned())["order"].([]any)[0].(map[string]any)
	require.Equal(t, "a", step["name"])
	require.InDelta(t, 0.75, step["variance_left"], 1e-12)
	require.InDelta(t, math.Log(2)/2, step["information"], 1e-12)
}
