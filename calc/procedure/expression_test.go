package procedure_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/procedure"
)

var (
	one   = procedure.Number(1)
	names = procedure.Names{
		"a": one, "b": procedure.Number(2.5), "word": procedure.Text("mains"), "yes": procedure.Yes(true), "no": procedure.Yes(false),
		"day": procedure.Text("2026-11-30"), "stage_bar": procedure.List(procedure.Number(0.25), procedure.Number(0.5)),
		"site":   procedure.Record(map[string]procedure.Value{"stream": procedure.Yes(true), "depth_m": procedure.Number(0.8)}),
		"joints": procedure.Record(map[string]procedure.Value{"value": procedure.Number(7), "solvent": procedure.Yes(false)}),
		"lines":  procedure.List(procedure.Record(map[string]procedure.Value{"rating_bar": procedure.Number(10)})),
		"none":   procedure.List(),
	}
)

// The answers follow from the grammar of the procedure: arithmetic, chains as in
// mathematics, and what is not known stays so where it makes a difference.
func TestExpressionsAreAnswered(t *testing.T) {
	for source, want := range map[string]string{
		"1 + 2 * 3": "7", "(1 + 2) * 3": "9", "-a + 3": "2", "- -a": "1", "7 / 2 / 2": "1.75", "5 - 2 - 1": "2", "2 * -a": "-2", "0.1*2": "0.2",
		"abs(-2.5)": "2.5", "min(3, 1, 2)": "1", "max(0.1*b, 0.2)": "0.25", "len(stage_bar)": "2", "len(none)": "0", "len(word)": "5",
		"a < b": "true", "a >= b": "false", "a == 1": "true", "a != 1": "false",
		"1 <= a <= 1": "true", "0 < a < 1": "false", "5 <= a <= nobody": "false", "0 < a <= nobody": "null",
		"word == 'mains'": "true", `word == "roof"`: "false", `word != "roof"`: "true", "word < 'n'": "null", "day <= '2026-12-01'": "true", "day > '2026-12-01'": "false",
		"yes and no": "false", "yes or no": "true", "not no": "true", "not yes or yes": "true", "no or no or yes": "true", "not (yes and no)": "true",
		"a < 2 and not b < 2": "true", "not a == 1": "false",
		"nobody": "null", "not nobody": "null", "no and nobody": "false", "nobody and no": "false", "yes or nobody": "true", "nobody or yes": "true",
		"yes and nobody": "null", "no or nobody": "null", "nobody + 1": "null", "nobody == nobody": "null",
		"site.stream": "true", "site.depth_m > 0.5": "true", "site.head_m > 2": "null", "site.stream or site.head_m > 2": "true", "site": `{"depth_m":0.8,"stream":true}`,
		"stage_bar[0]": "0.25", "stage_bar[a]": "0.5", "stage_bar[2]": "null", "stage_bar[-1]": "null", "stage_bar[0.5]": "null", "stage_bar['x']": "null", "a[0]": "null",
		"lines[0].rating_bar": "10", "lines[1].rating_bar": "null", "a.b.c": "null", "joints": `{"solvent":false,"value":7}`, "joints + 1": "8", "joints == 7": "true", "joints.solvent": "false",
		"a / 0": "null", "0 / 0": "null", "word + 1": "null", "a and yes": "null", "not a": "null", "abs(word)": "null", "len(a)": "null", "word < a": "null", "yes == a": "null", "yes == yes": "true", "yes < no": "null",
		"0.8 <= 0.7 + 0.1": "true", "0.1 + 0.2 > 0.3": "false", "0.1 + 0.2 == 0.3": "true", "0.3 < 0.3000001": "true",
		"abs(a - stage_bar[0]) <= max(0.1*stage_bar[0], b)": "true",
	} {
		e, err := procedure.ParseExpression(source)
		require.NoError(t, err, source)
		got, err := json.Marshal(e.Evaluate(names))
		require.NoError(t, err)
		require.Equal(t, want, string(got), source)
	}
}

func TestWhatIsNoExpressionIsRefused(t *testing.T) {
	for _, source := range []string{
		"", " ", "1 +", "* 2", "(1", "1)", "a b", "a.", "a.1", ".a", "a[1", "a[]", "min()", "abs(1, 2)", "sin(1)", "'open", "a = 1", "a & b", "1..2", "1.", "and", "a and", "not", "a < ", "< 3",
		"len(a)(b)", "5 < < 6", "ä", "min(1,)", strings.Repeat("(", 60) + "1" + strings.Repeat(")", 60), strings.Repeat("not ", 60) + "a", strings.Repeat("- ", 60) + "a", strings.Repeat("a[", 60) + "1" + strings.Repeat("]", 60), strings.Repeat("1+", 400) + "1",
	} {
		_, err := procedure.ParseExpression(source)
		require.Error(t, err, source)
	}
}

func TestNamesInAnExpressionAreListed(t *testing.T) {
	e, err := procedure.ParseExpression("site.stream or not len(legal_flags) > 0 and abs(value - stage_bar[i]) <= max(0.1*stage_bar[0], gauge_mpe_bar) or lines[0].rating_bar > joints")
	require.NoError(t, err)
	require.Equal(t, []string{"site.stream", "legal_flags", "value", "stage_bar", "i", "gauge_mpe_bar", "lines", "joints"}, e.Uses())
}

// A condition with something unknown in it applies; a limit does not hold.
func TestUnknownAppliesAndDoesNotHold(t *testing.T) {
	e, err := procedure.ParseExpression("site.head_m > 2")
	require.NoError(t, err)
	require.True(t, e.Applies(names))
	_, known := e.Holds(names)
	require.False(t, known)
	require.True(t, procedure.Expression{}.Applies(nil), "no condition")
	require.False(t, procedure.Expression{}.Evaluate(nil).Known())
}

// The bounds of a limit are shown rounded inwards: what is shown passes.
func TestBoundsOfALimit(t *testing.T) {
	for source, want := range map[string]string{
		"value >= 1/3": "at least 0.3334", "value <= 2/3": "at most 0.6666", "0 < value <= b": "above 0 and at most 2.5", "value < 85": "below 85", "1/3 <= value <= 200/3": "at least 0.3334 and at most 66.66",
		"abs(value - 0.5) <= max(0.1*0.5, 0.01)": "at least 0.45 and at most 0.55", "value >= 1 and value >= 3": "at least 3", "value > 3 and value >= 2": "above 3", "value == 2": "at least 2 and at most 2",
		"value < 85 or yes": "", "value <= nobody": "", "a < 2": "", "value >= -1/3": "at least -0.3333", "value <= 123456": "at most 123400", "abs(value) <= 2": "",
	} {
		e, err := procedure.ParseExpression(source)
		require.NoError(t, err)
		require.Equal(t, want, e.Bounds(names).String(), source)
	}
}

// Whatever is written: it is refused in words, or answered, always the same, and
// what it names is listed.
func FuzzExpression(f *testing.F) {
	for _, item := range procedure.First().Items {
		f.Add(item.When.String())
		for _, w := range item.Record {
			f.Add(w.Limits.String())
		}
	}
	f.Add("-min(1, a[0].b) / (len('x') - 1) != not 3")
	f.Add(strings.Repeat("(", 100))
	f.Fuzz(func(t *testing.T, source string) {
		e, err := procedure.ParseExpression(source)
		if err != nil {
			require.NotEmpty(t, err.Error())
			require.False(t, e.Given())
			return
		}
		first, err := json.Marshal(e.Evaluate(names))
		require.NoError(t, err)
		_ = e.Bounds(names).String()
		again, err := procedure.ParseExpression(e.String())
		require.NoError(t, err)
		second, err := json.Marshal(again.Evaluate(names))
		require.NoError(t, err)
		require.Equal(t, string(first), string(second))
		if len(e.Uses()) == 0 {
			alone, err := json.Marshal(e.Evaluate(nil))
			require.NoError(t, err)
			require.Equal(t, string(first), string(alone), "nothing is named, so nothing hangs on the names")
		}
	})
}

func TestValuesComeBackFromJSON(t *testing.T) {
	const written = `{"a":[1,"x",true,null,{"b":-0.5}],"c":{}}`
	values, err := procedure.ReadValues([]byte(written))
	require.NoError(t, err)
	again, err := json.Marshal(values)
	require.NoError(t, err)
	require.JSONEq(t, written, string(again))
	for _, bad := range []string{`3`, `{`, `{"a": 1e999}`, `{} {}`, `null`, `{"a":` + strings.Repeat("[", 50) + strings.Repeat("]", 50) + `}`} {
		_, err := procedure.ReadValues([]byte(bad))
		require.Error(t, err, bad)
	}
}
