//go:build worked

package notebook_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain/notebook"
)

// It works the verdicts of the demo out again and writes them beside it, which takes
// minutes.
func TestWorkTheDemoOut(t *testing.T) {
	b := empty(t, notebook.Options{Demo: true})
	noted := b.NoteWorked(true)
	_, err := b.LoadDemo(ctx)
	for tries := 0; err != nil && tries < 30; tries++ { // its transaction may not wait for long
		t.Log(len(noted), err)
		_, err = b.LoadDemo(ctx)
	}
	require.NoError(t, err)
	old, err := filepath.Glob("demo/worked/*.json")
	require.NoError(t, err)
	for _, name := range old {
		require.NoError(t, os.Remove(name))
	}
	for sum, text := range noted {
		require.NoError(t, os.WriteFile("demo/worked/"+sum+".json", text, 0o644)) //nolint:gosec // part of the sources
	}
}
