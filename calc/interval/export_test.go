package interval

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

// WorkedInput returns the input of one of the specification's worked cases.
func WorkedInput(t testing.TB, name string) json.RawMessage {
	t.Helper()
	text, err := os.ReadFile("../trompe/testdata/worked.json")
	require.NoError(t, err)
	var file struct {
		Cases []struct {
			Case  string          `json:"worked_case"`
			Input json.RawMessage `json:"input"`
		}
	}
	require.NoError(t, json.Unmarshal(text, &file))
	for _, c := range file.Cases {
		if c.Case == name {
			return c.Input
		}
	}
	t.Fatalf("there is no worked case %s", name)
	return nil
}
