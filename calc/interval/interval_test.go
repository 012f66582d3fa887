package interval_test

import (
	"encoding/json"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/evidence"
	"leat/calc/interval"
	"leat/calc/trompe"
)

func predict(t testing.TB, raw json.RawMessage, asked interval.Asked) trompe.Result {
	t.Helper()
	in, faults := trompe.Decode(raw)
	require.Empty(t, faults)
	res, err := interval.Predict(raw, in, asked)
	require.NoError(t, err)
	return res
}

// Of one input, one seed and one version come the same bytes, on any number of
// processors; another seed gives other draws.
func TestSameSeedSameBytes(t *testing.T) {
	raw := interval.WorkedInput(t, "26")
	before := runtime.GOMAXPROCS(1)
	one := asJSON(t, predict(t, raw, interval.Asked{Draws: 64}))
	runtime.GOMAXPROCS(max(4, before))
	two := predict(t, raw, interval.Asked{Draws: 64})
	runtime.GOMAXPROCS(before)
	require.Equal(t, one, asJSON(t, two))

	seed, err := evidence.ParseSeed(two.Uncertainty.Seed)
	require.NoError(t, err)
	require.Equal(t, one, asJSON(t, predict(t, raw, interval.Asked{Draws: 64, Seed: &seed})), "a stored seed gives its interval again")
	other := evidence.SeedOf("another")
	require.NotEqual(t, one, asJSON(t, predict(t, raw, interval.Asked{Draws: 64, Seed: &other})))
	require.Equal(t, two.Uncertainty.Seed, predict(t, respelt(t, raw), interval.Asked{Draws: 64}).Uncertainty.Seed, "order and spelling of the input change no seed")
}

// respelt writes the same input with its names in another order and its numbers
// spelt otherwise.
func respelt(t *testing.T, raw json.RawMessage) json.RawMessage {
	t.Helper()
	var v map[string]map[string]any
	require.NoError(t, json.Unmarshal(raw, &v))
	site := v["site"]
	site["altitude_m"] = json.RawMessage("2.00e2")
	text, err := json.Marshal(v)
	require.NoError(t, err)
	return text
}

func asJSON(t testing.TB, v any) string {
	t.Helper()
	text, err := json.Marshal(v)
	require.NoError(t, err)
	return string(text)
}

func BenchmarkPredict(b *testing.B) {
	for _, name := range []string{"01", "08", "22", "26"} {
		raw := interval.WorkedInput(b, name)
		in, faults := trompe.Decode(raw)
		require.Empty(b, faults)
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := interval.Predict(raw, in, interval.Asked{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
