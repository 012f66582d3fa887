package calctest

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Lines runs a check for each of these lines of ../testdata/checks/safety.csv,
// counted from 1 with the headings, with its source in the output.
func Lines(t *testing.T, checks map[int]Check) {
	rows := Read(t, "../testdata/checks/safety.csv")
	for line, check := range checks {
		require.Less(t, line-2, len(rows), "line %d", line)
		row := rows[line-2]
		t.Run(fmt.Sprintf("line %d %s", line, row["quantity"]), func(t *testing.T) {
			t.Logf("%s: %s %s, tolerance %s; %s", row["inputs"], row["expected"], row["unit"], row["tolerance"], row["source"])
			if strings.Contains(row["kind"]+row["source"], "from memory") {
				t.Log("from memory")
			}
			check(t, row)
		})
	}
}

// Span gives the lines from first to last one check.
func Span(checks map[int]Check, first, last int, check Check) {
	for line := first; line <= last; line++ {
		checks[line] = check
	}
}

// Gives checks one number, in the unit of the line, within its tolerance: "2%",
// or a difference in that unit.
func Gives(calculate func(t *testing.T, published Value) float64) Check {
	return func(t *testing.T, published Value) {
		want, tolerance := published.first(t, "expected"), published.first(t, "tolerance")
		if strings.HasSuffix(published["tolerance"], "%") {
			tolerance *= math.Abs(want) / 100
		}
		require.InDelta(t, want, calculate(t, published), tolerance+1e-12*math.Abs(want), published["unit"])
	}
}

// Arg returns the number behind a name and an equals sign among the inputs.
func (v Value) Arg(t *testing.T, name string) float64 {
	found := regexp.MustCompile(`\b` + name + `=([-0-9.]+)`).FindStringSubmatch(v["inputs"])
	require.NotNil(t, found, "%s in %q", name, v["inputs"])
	x, err := strconv.ParseFloat(found[1], 64)
	require.NoError(t, err)
	return x
}

var anyNumber = regexp.MustCompile(`-?[0-9]+(\.[0-9]+)?`)

func (v Value) first(t *testing.T, column string) float64 {
	x, err := strconv.ParseFloat(anyNumber.FindString(v[column]), 64)
	require.NoError(t, err, "%s %q", column, v[column])
	return x
}
