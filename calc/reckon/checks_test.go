package reckon_test

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// No published value may be forgotten: each id of system.csv, up to its dash,
// stands in a test of the package that it belongs to, as a check or among what
// cannot be calculated.
func TestEveryCheckValueHasItsTest(t *testing.T) {
	var tests strings.Builder
	files, err := filepath.Glob("../*/*_test.go")
	require.NoError(t, err)
	for _, path := range files {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		tests.Write(text)
	}
	file, err := os.Open("../testdata/checks/system.csv")
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(rows), 100)
	for _, row := range rows[1:] {
		stem, _, _ := strings.Cut(row[0], "-")
		require.True(t, strings.Contains(tests.String(), `"`+stem), "%s: %s", row[0], row[1])
	}
}
