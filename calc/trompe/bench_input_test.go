package trompe

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/water"
)

// benchInput is the bench rig among the worked cases.
func benchInput(t testing.TB) Input {
	t.Helper()
	text, err := os.ReadFile("testdata/worked.json")
	require.NoError(t, err)
	var file struct {
		Cases []struct{ Input json.RawMessage }
	}
	require.NoError(t, json.Unmarshal(text, &file))
	in, faults := Decode(file.Cases[0].Input)
	require.Empty(t, faults)
	return in
}

func frictionOfFilm(m *machine, q1 float64) float64 {
	return water.FrictionFactor(4*m.rho*q1/(3.141592653589793*m.bore*m.mu), m.wallFilm)
}
