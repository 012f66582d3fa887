package evidence_test

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

// Results that another program worked out: Python with 40 digits, written from
// the specification of evidence alone and by other ways where there are some (t by
// integrating its density, scores by integrating squares, shares by summing the
// binomial distribution, S by plain inversion, evenness by Steck's determinant).
func TestJudgedAgainstAnotherProgram(t *testing.T) {
	text, err := os.ReadFile("testdata/judged.json")
	require.NoError(t, err)
	var cases []struct {
		Calc   string
		Input  json.RawMessage
		Result map[string]any
	}
	require.NoError(t, json.Unmarshal(text, &cases))
	require.NotEmpty(t, cases)
	for _, c := range cases {
		alike(t, c.Calc+" "+string(c.Input), c.Result, judgedResult(t, c.Calc[len("evidence/"):], string(c.Input)))
	}
}

// alike compares two results: numbers to 1e-9, all else exactly.
func alike(t *testing.T, at string, want, got any) {
	switch w := want.(type) {
	case map[string]any:
		g, ok := got.(map[string]any)
		require.True(t, ok, "%s: %v", at, got)
		require.Len(t, g, len(w), at)
		for name := range w {
			alike(t, at+" "+name, w[name], g[name])
		}
	case []any:
		g, ok := got.([]any)
		require.True(t, ok, "%s: %v", at, got)
		require.Len(t, g, len(w), at)
		for i := range w {
			alike(t, fmt.Sprint(at, " ", i), w[i], g[i])
		}
	case float64:
		g, ok := got.(float64)
		require.True(t, ok, "%s: %v", at, got)
		require.InDelta(t, w, g, 1e-9*math.Abs(w), at)
	default:
		require.Equal(t, want, got, at)
	}
}
