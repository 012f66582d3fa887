package parts_test

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/parts"
)

// paper is a published cutting-stock instance: widths in mm of rolls that are
// cut from rolls of 5600 mm, and how many; from memory of the publication. That
// they add up to the 219 pieces and 407 160 mm of the table is checked.
var paper = [][2]int{
	{1380, 22}, {1520, 25}, {1560, 12}, {1710, 14}, {1820, 18}, {1880, 18}, {1930, 20},
	{2000, 10}, {2050, 12}, {2100, 14}, {2140, 16}, {2150, 18}, {2200, 20},
}

// checks are the rows of the table of check values that this package answers.
var checks = map[int]func(t *testing.T) float64{
	130: diameter("G 1/2"), 131: diameter("G 3/4"), 132: diameter("G 1"), 133: diameter("G 1-1/2"), 134: diameter("G 2"),
	136: func(t *testing.T) float64 {
		in := map[string]any{"stock_m": 5.6}
		var pieces []map[string]any
		count, sum := 0, 0
		for _, p := range paper {
			pieces = append(pieces, map[string]any{"len_m": float64(p[0]) / 1000, "qty": p[1]})
			count, sum = count+p[1], sum+p[0]*p[1]
		}
		in["pieces"] = pieces
		require.Equal(t, []int{219, 407160}, []int{count, sum})
		out := stockBars(t, in)
		require.Equal(t, out.LowerBound, out.Bars, "the published optimum is the bound")
		require.True(t, out.Exact)
		require.InDelta(t, 0.00401, out.WasteM/out.BoughtM, 0.0000051, "0.401 % waste")
		return float64(out.LowerBound)
	},
	137: func(t *testing.T) float64 {
		return float64(stockBars(t, map[string]any{"stock_m": 3, "kerf_m": 0.003, "pieces": lengths(0.9, 2.097)}).Bars)
	},
	138: func(t *testing.T) float64 {
		out := stockBars(t, map[string]any{"stock_m": 6, "pieces": lengths(2.2, 1.7, 1.4, 3.3, 2.1, 1.4, 3.3, 1.1, 1.3)})
		require.Equal(t, 4, out.FFDBars, "first fit decreasing gives 4")
		require.True(t, out.Exact)
		return float64(out.Bars)
	},
}

// notCalculated are rows of this package that are no number, and why.
var notCalculated = map[int]string{135: "a rule in words, held to by TestThreadsOfTwoFamiliesDoNotMate"}

func diameter(name string) func(*testing.T) float64 {
	return func(t *testing.T) float64 {
		thread, ok := parts.ThreadNamed(name)
		require.True(t, ok)
		return 1000 * thread.MajorM
	}
}

func lengths(m ...float64) (pieces []map[string]any) {
	for _, l := range m {
		pieces = append(pieces, map[string]any{"len_m": l})
	}
	return pieces
}

func TestCheckValues(t *testing.T) {
	file, err := os.Open("../testdata/checks/safety.csv")
	require.NoError(t, err)
	defer file.Close() //nolint:errcheck // read only
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	for line, why := range notCalculated {
		t.Logf("line %d %s: %s", line, rows[line-1][0], why)
	}
	for line, value := range checks {
		row := rows[line-1]
		t.Run(fmt.Sprintf("line %d %s", line, row[0]), func(t *testing.T) {
			want, err := strconv.ParseFloat(row[2], 64)
			require.NoError(t, err)
			tolerance, err := strconv.ParseFloat(row[4], 64)
			require.NoError(t, err)
			t.Logf("tolerance %s %s, source: %s", row[4], row[3], row[5])
			if strings.Contains(row[5], "memory") {
				t.Log("from memory")
			}
			require.InDelta(t, want, value(t), tolerance+1e-12)
		})
	}
}

// Line 135 is a rule in words: 1/2 and 3/4 have 14 turns an inch in both
// families, 1 has 11 against 11.5, and they do not mate, 55 against 60 degrees.
func TestThreadsOfTwoFamiliesDoNotMate(t *testing.T) {
	for _, size := range []string{"1/2", "3/4", "1"} {
		for _, pair := range [][2]string{{"R ", "NPT "}, {"NPT ", "Rp "}, {"G ", "NPT "}} {
			against := parts.MayScrew(parts.ThreadEnd{Thread: pair[0] + size}, parts.ThreadEnd{Thread: pair[1] + size})
			require.Len(t, against, 1, "%v %s", pair, size)
			require.Equal(t, "across_families", against[0].Code)
		}
	}
	turns := func(name string) []float64 {
		thread, ok := parts.ThreadNamed(name)
		require.True(t, ok)
		return []float64{thread.PerInch, thread.FlankDeg}
	}
	require.Equal(t, []float64{14, 55}, turns("R 1/2"))
	require.Equal(t, []float64{14, 60}, turns("NPT 3/4"))
	require.Equal(t, []float64{11, 55}, turns("G 1"))
	require.Equal(t, []float64{11.5, 60}, turns("NPT 1"))
}

// find returns a calculation of the package.
func find(t testing.TB, name string) calc.Calculation {
	for _, c := range parts.Calculations() {
		if c.Name == name {
			return c
		}
	}
	t.Fatalf("there is no calculation %s", name)
	return calc.Calculation{}
}

func ask(t testing.TB, name, input string) calc.Answer {
	answer, err := find(t, name).Run(json.RawMessage(input))
	require.NoError(t, err)
	return answer
}

func stockBars(t testing.TB, in map[string]any) parts.StockOut {
	text, err := json.Marshal(in)
	require.NoError(t, err)
	answer := ask(t, "safety/stock", string(text))
	require.True(t, answer.OK, "%v", answer.Fault)
	out, ok := answer.Result.(parts.StockOut)
	require.True(t, ok)
	return out
}

// Expected values: the formulas of the field, by hand.
func TestCutsAndTubes(t *testing.T) {
	cut := ask(t, "safety/cut", `{"runs": [{"c2c_m": 1.2, "z1_m": 0.03, "z2_m": 0.05, "face_m": -9}, {"face_m": 0.5, "ins1_m": 0.03, "ins2_m": 0.04, "z1_m": -1, "qty": 3}]}`)
	require.True(t, cut.OK, "%v", cut.Fault)
	out := cut.Result.(parts.CutOut) //nolint:errcheck,forcetypeassert // a test
	require.InDeltaSlice(t, []float64{1.12, 0.57}, out.CutM, 1e-12)
	require.InDelta(t, 1.12+3*0.57, out.TotalM, 1e-12)

	tubes := ask(t, "safety/tubes", `{"count": 26, "length_m": 0.4, "stock_m": 3, "kerf_m": 0.002, "end_waste_m": 0.05}`)
	require.Equal(t, parts.TubesOut{PerStock: 7, Stocks: 4, NetM: 10.4, BoughtM: 12, WasteM: 1.6}, tubes.Result)
	exact := ask(t, "safety/tubes", `{"count": 3, "length_m": 0.999, "stock_m": 3, "kerf_m": 0.0015}`)
	require.Equal(t, 3, exact.Result.(parts.TubesOut).PerStock, "the last cut falls off the end") //nolint:errcheck,forcetypeassert // a test
	require.False(t, math.Signbit(exact.Result.(parts.TubesOut).WasteM))                          //nolint:errcheck,forcetypeassert // a test
}
