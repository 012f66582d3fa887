package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/trompe"
)

// workedInput returns a machine of the worked cases beside the calculation.
func workedInput(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", "hose.json"))
	require.NoError(t, err)
	return string(text)
}

type answer struct {
	OK     bool
	Result json.RawMessage
	Fault  struct{ Code, At, Message string }
}

func answers(t *testing.T, out string) (list []answer) {
	t.Helper()
	for line := range strings.Lines(out) {
		var a answer
		require.NoError(t, json.Unmarshal([]byte(line), &a), line)
		list = append(list, a)
	}
	return list
}

func TestCalcOne(t *testing.T) {
	t.Parallel()
	done := run(t, nil, workedInput(t), "calc", "trompe")
	require.Zero(t, done.status, done.err)
	got := answers(t, done.out)
	require.Len(t, got, 1)
	require.True(t, got[0].OK)
	require.Contains(t, string(got[0].Result), `"status":"ok"`)
}

func TestCalcWithIntervals(t *testing.T) {
	t.Parallel()
	type interval struct {
		Uncertainty struct {
			Draws   int
			Seed    string
			Set     string
			Outputs map[string]struct{ Low, High float64 }
		}
	}
	asked := func(args ...string) (u interval) {
		done := run(t, nil, workedInput(t), append([]string{"calc"}, args...)...)
		require.Zero(t, done.status, done.err)
		require.NoError(t, json.Unmarshal(answers(t, done.out)[0].Result, &u))
		return u
	}
	plain := asked("trompe")
	require.Zero(t, plain.Uncertainty.Draws)
	first := asked("trompe", "-uncertainty", "-draws", "60")
	require.Equal(t, 60, first.Uncertainty.Draws)
	require.Equal(t, first, asked("-draws=60", "--uncertainty", "-seed", first.Uncertainty.Seed, "trompe"), "options stand where they like")

	_, text := trompe.SetZero()
	file := filepath.Join(t.TempDir(), "set.json")
	require.NoError(t, os.WriteFile(file, bytes.Replace(text, []byte(`"set": "0"`), []byte(`"set": "3"`), 1), 0o600))
	other := asked("trompe", "-uncertainty", "-draws", "60", "-set", file)
	require.Equal(t, "3", other.Uncertainty.Set)
	require.NotEqual(t, first.Uncertainty.Seed, other.Uncertainty.Seed)

	for version, status := range map[string]int{calc.Version: 0, "0": 2} {
		learned, err := trompe.NewSet("4", "", trompe.Learned{
			Parent: "0", CalcVersion: version, Names: []string{"k_v"}, M: []float64{1}, P: [][]float64{{0.1}}, Omega: []float64{0.5},
		})
		require.NoError(t, err)
		text, err := learned.Text()
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(file, text, 0o600))
		done := run(t, nil, workedInput(t), "calc", "trompe", "-uncertainty", "-draws", "60", "-set", file)
		require.Equal(t, status, done.status, "a set learned with another version of the model is of no use")
	}

	faulty := run(t, nil, `{"site": {"altitude": 3}}`, "calc", "trompe", "-uncertainty")
	require.Equal(t, 1, faulty.status)
}

func TestCalcRefuses(t *testing.T) {
	t.Parallel()
	faulty := run(t, nil, `{"site": {"altitude": 3}}`, "calc", "trompe")
	require.Equal(t, 1, faulty.status)
	require.False(t, answers(t, faulty.out)[0].OK)

	unknown := run(t, nil, `{}`, "calc", "millstone")
	require.Equal(t, 1, unknown.status)
	require.Equal(t, "unknown_calc", answers(t, unknown.out)[0].Fault.Code)
}

func TestCalcWrongUsage(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		input string
		args  []string
	}{
		"not JSON":         {"{", []string{"trompe"}},
		"nothing":          {"", []string{"trompe"}},
		"two values":       {"{} {}", []string{"trompe"}},
		"two names":        {"{}", []string{"trompe", "trompe"}},
		"unknown option":   {"{}", []string{"-loud", "trompe"}},
		"batch of one":     {"{}", []string{"-batch", "trompe"}},
		"describe nothing": {"", []string{"-describe"}},
		"describe unknown": {"", []string{"-describe", "millstone"}},
		"interval of what": {"{}", []string{"-uncertainty"}},
		"no such interval": {"{}", []string{"-uncertainty", "millstone"}},
		"too few draws":    {"{}", []string{"-uncertainty", "-draws", "3", "trompe"}},
		"draws in words":   {"{}", []string{"-uncertainty", "trompe", "-draws", "many"}},
		"short seed":       {"{}", []string{"-uncertainty", "-seed", "c0ffee", "trompe"}},
		"no such set":      {"{}", []string{"-uncertainty", "-set", "nowhere.json", "trompe"}},
		"draws of nothing": {"{}", []string{"-draws", "100", "trompe"}},
		"batch of draws":   {"{}", []string{"-uncertainty", "-batch"}},
	} {
		refused := run(t, nil, c.input, append([]string{"calc"}, c.args...)...)
		require.Equal(t, 2, refused.status, name)
		require.Empty(t, refused.out, name)
		require.NotEmpty(t, refused.err, name)
	}
}

func TestCalcBatch(t *testing.T) {
	t.Parallel()
	var compact bytes.Buffer
	require.NoError(t, json.Compact(&compact, []byte(workedInput(t))))
	good := `{"calc": "trompe", "input": ` + compact.String() + `}`
	lines := []struct{ line, code, at string }{
		{good, "", ""},
		{`{"calc": "trompe", "input": {}}`, "missing", "*"},
		{`{"calc": "millstone", "input": {}}`, "unknown_calc", "/calc"},
		{`{"input": {}}`, "missing", "/calc"},
		{`{"calc": "trompe"}`, "missing", "/input"},
		{`{"calc": "trompe", "input": {}, "loud": true}`, "unknown_field", "/loud"},
		{`not JSON`, "unknown_value", "*"},
		{good + ` {}`, "unknown_value", "*"},
		{`[]`, "unknown_value", "*"},
		{good, "", ""},
	}
	var input strings.Builder
	for _, l := range lines {
		input.WriteString(l.line + "\n")
	}
	done := run(t, nil, strings.TrimSuffix(input.String(), "\n"), "calc", "-batch")
	require.Zero(t, done.status, done.err)
	got := answers(t, done.out)
	require.Len(t, got, len(lines))
	for i, l := range lines {
		require.Equal(t, l.code == "", got[i].OK, l.line)
		if l.code == "unknown_value" { // no code of the set says "not JSON"; the message does
			require.Contains(t, got[i].Fault.Message, "JSON", l.line)
			continue
		}
		require.Equal(t, l.code, got[i].Fault.Code, l.line)
		if l.at != "*" {
			require.Equal(t, l.at, got[i].Fault.At, l.line)
		}
	}
	require.Equal(t, string(got[0].Result), string(got[len(got)-1].Result), "same input, same bytes")
}

func TestCalcDescribes(t *testing.T) {
	t.Parallel()
	list := run(t, nil, "", "calc")
	require.Zero(t, list.status)
	require.Contains(t, list.out, "trompe ")
	before := run(t, nil, "", "calc", "-describe", "trompe")
	behind := run(t, nil, "", "calc", "trompe", "-describe")
	require.Zero(t, before.status)
	require.Equal(t, before, behind, "options may stand behind the name")
	require.Contains(t, before.out, `"inputs"`)
}
