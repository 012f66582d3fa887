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

// Rows runs a check for each of these lines of ../testdata/checks/evidence.csv,
// counted from 1 with the headings and written as "3", "5-8" or "3, 5-8", with
// its source in the output. A test of package reckon looks for these texts: no
// line may be without a check.
func Rows(t *testing.T, lines string, check Check) {
	rows := Read(t, "../testdata/checks/evidence.csv")
	for _, line := range LineNumbers(t, lines) {
		require.Less(t, line-2, len(rows), "line %d", line)
		row := rows[line-2]
		t.Run(fmt.Sprintf("line %d %s, %s", line, row["quantity"], row["source"]), func(t *testing.T) {
			t.Logf("%s: %s, tolerance %s; %s, %s", row["inputs"], row["expected"], row["tolerance"], row["source"], row["basis"])
			check(t, row)
		})
	}
}

// LineNumbers reads "3, 5-8".
func LineNumbers(t *testing.T, lines string) (all []int) {
	for _, part := range strings.Split(lines, ",") {
		from, to, isSpan := strings.Cut(strings.TrimSpace(part), "-")
		if !isSpan {
			to = from
		}
		first, err := strconv.Atoi(from)
		require.NoError(t, err, lines)
		last, err := strconv.Atoi(to)
		require.NoError(t, err, lines)
		for line := first; line <= last; line++ {
			all = append(all, line)
		}
	}
	return all
}

// Near checks numbers against those that the expected value begins with, each
// within the tolerance of the row: "rel 1e-9", "abs 0.05", "exact", or "last
// digit", which is half a unit of the last digit that is printed.
func Near(calculate func(t *testing.T, published Value) []float64) Check {
	return func(t *testing.T, published Value) {
		got := calculate(t, published)
		printed := figure.FindAllString(published["expected"], -1)
		require.GreaterOrEqual(t, len(printed), len(got), published["expected"])
		for i := range got {
			want, err := strconv.ParseFloat(printed[i], 64)
			require.NoError(t, err)
			require.InDelta(t, want, got[i], published.tolerance(t, printed[i], want), "number %d of %s", i+1, published["expected"])
		}
	}
}

var figure = regexp.MustCompile(`-?[0-9]+(\.[0-9]+)?([eE][-+]?[0-9]+)?`)

// Figures returns all numbers in a column.
func (v Value) Figures(t *testing.T, column string) (all []float64) {
	for _, text := range figure.FindAllString(v[column], -1) {
		x, err := strconv.ParseFloat(text, 64)
		require.NoError(t, err, v[column])
		all = append(all, x)
	}
	return all
}

// tolerance is the difference that a row allows to a number printed like this.
func (v Value) tolerance(t *testing.T, printed string, want float64) float64 {
	kind, rest, _ := strings.Cut(v["tolerance"], " ")
	switch {
	case kind == "exact":
		return 1e-12 * math.Abs(want)
	case v["tolerance"] == "last digit":
		return lastDigit(t, printed)/2 + 1e-12*math.Abs(want)
	}
	x, err := strconv.ParseFloat(figure.FindString(rest), 64)
	require.NoError(t, err, "tolerance %q", v["tolerance"])
	switch kind {
	case "rel":
		return x * math.Abs(want)
	case "abs":
		return x
	}
	t.Fatalf("tolerance %q", v["tolerance"])
	return 0
}

// lastDigit is the place of the last digit of a printed number.
func lastDigit(t *testing.T, printed string) float64 {
	mantissa, exponent, _ := strings.Cut(strings.ToLower(printed), "e")
	power := 0
	if exponent != "" {
		var err error
		power, err = strconv.Atoi(exponent)
		require.NoError(t, err)
	}
	if _, decimals, ok := strings.Cut(mantissa, "."); ok {
		power -= len(decimals)
	}
	return math.Pow10(power)
}
