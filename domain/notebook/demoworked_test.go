//go:build worked

package notebook_test

import (
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain/notebook"
)

// It works the verdicts of the demo out again and writes them beside it, which takes
// minutes.
func TestWorkTheDemoOut(t *testing.T) {
	known := maps.Clone(notebook.Worked()) // what is still asked stays
	var noted map[string]json.RawMessage
	for tries := 0; ; tries++ { // a transaction may not wait for long; each time more is known
		b := empty(t, notebook.Options{Demo: true})
		b.KnowWorked(known)
		noted = b.NoteWorked()
		_, err := b.LoadDemo(ctx)
		maps.Copy(known, noted)
		if err == nil {
			break
		}
		require.Less(t, tries, 20, err)
	}
	old, err := filepath.Glob("demo/worked/*.json")
	require.NoError(t, err)
	for _, name := range old {
		require.NoError(t, os.Remove(name))
	}
	for sum, text := range noted {
		require.NoError(t, os.WriteFile("demo/worked/"+sum+".json", text, 0o644)) //nolint:gosec // part of the sources
	}
}
