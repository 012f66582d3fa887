package reckon_test

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/calctest"
)

// No published value may be forgotten: each id of system.csv, up to its dash,
// stands in a test of the package that it belongs to, as a check or among what
// cannot be calculated.
func TestEveryCheckValueHasItsTest(t *testing.T) {
	tests := sources(t, "../*/*_test.go")
	file, err := os.Open("../testdata/checks/system.csv")
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(rows), 100)
	for _, row := range rows[1:] {
		stem, _, _ := strings.Cut(row[0], "-")
		require.True(t, strings.Contains(tests, `"`+stem), "%s: %s", row[0], row[1])
	}
}

// The same of evidence.csv, whose lines have no id: each stands in a test of
// package evidence that gives it to calctest.Rows, by its number or in a span.
func TestEveryLineOfEvidenceHasItsTest(t *testing.T) {
	tested := map[int]bool{}
	named := regexp.MustCompile(`(?:Rows\(t, |^\t\t)"([0-9][-0-9, ]*)"`)
	for _, source := range strings.Split(sources(t, "../evidence/*_test.go"), "\n") {
		if found := named.FindStringSubmatch(source); found != nil {
			for _, line := range calctest.LineNumbers(t, found[1]) {
				tested[line] = true
			}
		}
	}
	rows := calctest.Read(t, "../testdata/checks/evidence.csv")
	require.Greater(t, len(rows), 100)
	for i, row := range rows {
		require.True(t, tested[i+2], "line %d: %s, %s", i+2, row["quantity"], row["source"])
	}
}

// sources returns the text of all files of a pattern.
func sources(t *testing.T, pattern string) string {
	var all strings.Builder
	files, err := filepath.Glob(pattern)
	require.NoError(t, err)
	for _, path := range files {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		all.Write(text)
	}
	return all.String()
}
