package calctest

import (
	"encoding/csv"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Value is a published value, or several, that a calculation is held against.
type Value map[string]string // by the heading of the column

// Check compares a calculation with a published value.
type Check func(t *testing.T, published Value)

// Values runs a check for each named row of ../testdata/checks/system.csv, with
// its source in the output.
func Values(t *testing.T, checks map[string]Check) {
	rows := Read(t, "../testdata/checks/system.csv")
	found := map[string]bool{}
	for _, row := range rows {
		check, ok := checks[row["id"]]
		if !ok {
			continue
		}
		found[row["id"]] = true
		t.Run(row["id"], func(t *testing.T) {
			t.Logf("%s, %s: %s %s, tolerance %s; %s", row["quantity"], row["inputs"], row["expected"], row["unit"], row["tolerance"], row["source"])
			if strings.Contains(row["source"], "from memory") {
				t.Log("from memory")
			}
			check(t, row)
		})
	}
	require.Len(t, found, len(checks), "every check has its row")
}

// Read returns the rows of a table whose first line has the headings.
func Read(t *testing.T, path string) (rows []Value) {
	file, err := os.Open(path)
	require.NoError(t, err)
	defer file.Close()
	lines, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	for _, line := range lines[1:] {
		row := Value{}
		for i, heading := range lines[0] {
			row[heading] = line[i]
		}
		rows = append(rows, row)
	}
	return rows
}

// Is checks numbers against those that are published, in their order, within
// the tolerance of the row: "exact", or a first "0.5 %" or "1e-9 relative".
func Is(calculate func(t *testing.T) []float64) Check {
	return func(t *testing.T, published Value) {
		got, want := calculate(t), published.Numbers(t)
		require.Len(t, got, len(want))
		for i := range got {
			published.near(t, want[i], got[i], published.share(t))
		}
	}
}

// Within is [Is] where the row states no tolerance or one for people: share is
// relative.
func Within(share float64, calculate func(t *testing.T) []float64) Check {
	return func(t *testing.T, published Value) {
		got, want := calculate(t), published.Numbers(t)
		require.Len(t, got, len(want))
		for i := range got {
			published.near(t, want[i], got[i], share)
		}
	}
}

func (v Value) near(t *testing.T, want, got, share float64) {
	require.InDelta(t, want, got, share*math.Abs(want)+1e-15, v["quantity"])
}

var number = regexp.MustCompile(`^-?[0-9.]+(e-?[0-9]+)?`)

// Numbers returns the number that each part of the expected value begins with,
// the parts parted by semicolons.
func (v Value) Numbers(t *testing.T) (all []float64) {
	for _, part := range strings.Split(v["expected"], ";") {
		x, err := strconv.ParseFloat(number.FindString(strings.TrimSpace(part)), 64)
		require.NoError(t, err, v["expected"])
		all = append(all, x)
	}
	return all
}

func (v Value) share(t *testing.T) float64 {
	text := v["tolerance"]
	if text == "exact" {
		return 1e-12
	}
	first, rest, _ := strings.Cut(strings.Replace(text, "%", " %", 1), " ")
	x, err := strconv.ParseFloat(first, 64)
	require.NoError(t, err, "tolerance %q", text)
	if strings.HasPrefix(strings.TrimSpace(rest), "%") {
		return x / 100
	}
	require.True(t, strings.HasPrefix(rest, "relative"), "tolerance %q", text)
	return x
}
