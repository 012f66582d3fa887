package evidence_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/calctest"
	"leat/calc/evidence"
)

// The data of the NIST Statistical Reference Datasets that are not among the
// copied files; from memory, and proven by the certified values, which no other
// data would give to nine digits.
var (
	pontius = points(150000, 150000,
		.11019, .21956, .32949, .43899, .54803, .65694, .76562, .87487, .98292, 1.09146, 1.20001, 1.30822, 1.41599, 1.52399, 1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844,
		.11052, .22018, .32939, .43886, .54798, .65739, .76596, .87474, .98300, 1.09150, 1.20004, 1.30818, 1.41613, 1.52408, 1.63159, 1.73965, 1.84696, 1.95445, 2.06177, 2.16829)
	noInt2 = [2][]float64{{4, 5, 6}, {3, 4, 4}}
	boxBOD = [2][]float64{{1, 2, 3, 5, 7, 10}, {109, 149, 149, 191, 213, 224}}
	// Prices, product, unemployed, forces, population, year; then employed.
	longley = [][]float64{
		{83.0, 234289, 2356, 1590, 107608, 1947, 60323}, {88.5, 259426, 2325, 1456, 108632, 1948, 61122},
		{88.2, 258054, 3682, 1616, 109773, 1949, 60171}, {89.5, 284599, 3351, 1650, 110929, 1950, 61187},
		{96.2, 328975, 2099, 3099, 112075, 1951, 63221}, {98.1, 346999, 1932, 3594, 113270, 1952, 63639},
		{99.0, 365385, 1870, 3547, 115094, 1953, 64989}, {100.0, 363112, 3578, 3350, 116219, 1954, 63761},
		{101.2, 397469, 2904, 3048, 117388, 1955, 66019}, {104.6, 419180, 2822, 2857, 118734, 1956, 67857},
		{108.4, 442769, 2936, 2798, 120445, 1957, 68169}, {110.8, 444546, 4681, 2637, 121950, 1958, 66513},
		{112.6, 482704, 3813, 2552, 123366, 1959, 68655}, {114.2, 502601, 3931, 2514, 125368, 1960, 69564},
		{115.7, 518173, 4806, 2572, 127852, 1961, 69331}, {116.9, 554894, 4007, 2827, 130081, 1962, 70551},
	}
	// y before x, as in the file.
	filip = pairs(
		0.8116, -6.860120914, 0.9072, -4.324130045, 0.9052, -4.358625055, 0.9039, -4.358426747, 0.8053, -6.955852379, 0.8377, -6.661145254,
		0.8667, -6.355462942, 0.8809, -6.118102026, 0.7975, -7.115148017, 0.8162, -6.815308569, 0.8515, -6.519993057, 0.8766, -6.204119983,
		0.8885, -5.853871964, 0.8859, -6.109523091, 0.8959, -5.79832982, 0.8913, -5.482672118, 0.8959, -5.171791386, 0.8971, -4.851705903,
		0.9021, -4.517126416, 0.909, -4.143573228, 0.9139, -3.709075441, 0.9199, -3.499489089, 0.8692, -6.300769497, 0.8872, -5.953504836,
		0.89, -5.642065153, 0.891, -5.031376979, 0.8977, -4.680685696, 0.9035, -4.329846955, 0.9078, -3.928486195, 0.7675, -8.56735134,
		0.7705, -8.363211311, 0.7713, -8.107682739, 0.7736, -7.823908741, 0.7775, -7.522878745, 0.7841, -7.218819279, 0.7971, -6.920818754,
		0.8329, -6.628932138, 0.8641, -6.323946875, 0.8804, -5.991399828, 0.7668, -8.781464495, 0.7633, -8.663140179, 0.7678, -8.473531488,
		0.7697, -8.247337057, 0.77, -7.971428747, 0.7749, -7.676129393, 0.7796, -7.352812702, 0.7897, -7.072065318, 0.8131, -6.774174009,
		0.8498, -6.478861916, 0.8741, -6.159517513, 0.8061, -6.835647144, 0.846, -6.53165267, 0.8751, -6.224098421, 0.8856, -5.910094889,
		0.8919, -5.598599459, 0.8934, -5.290645224, 0.894, -4.974284616, 0.8957, -4.64454848, 0.9047, -4.290560426, 0.9129, -3.885055584,
		0.9209, -3.408378962, 0.9219, -3.13200249, 0.7739, -8.726767166, 0.7681, -8.66695597, 0.7665, -8.511026475, 0.7703, -8.165388579,
		0.7702, -7.886056648, 0.7761, -7.588043762, 0.7809, -7.283412422, 0.7961, -6.995678626, 0.8253, -6.691862621, 0.8602, -6.392544977,
		0.8809, -6.067374056, 0.8301, -6.684029655, 0.8664, -6.378719832, 0.8834, -6.065855188, 0.8898, -5.752272167, 0.8964, -5.132414673,
		0.8963, -4.811352704, 0.9074, -4.098269308, 0.9119, -3.66174277, 0.9228, -3.2644011)
	chwirut2 = pairs(0.5, 92.9, 1, 57.1, 1.75, 31.05, 3.75, 11.5875, 5.75, 8.025, 0.875, 63.6, 2.25, 21.4, 3.25, 14.25, 5.25, 8.475,
		0.75, 63.8, 1.75, 26.8, 2.75, 16.4625, 4.75, 7.125, 0.625, 67.3, 1.25, 41, 2.25, 21.15, 4.25, 8.175, 0.5, 81.5, 3, 13.12, 0.75, 59.9, 3, 14.62, 1.5, 32.9,
		6, 5.44, 3, 12.56, 6, 5.44, 1.5, 32, 3, 13.95, 0.5, 75.8, 2, 20, 4, 10.42, 0.75, 59.5, 2, 21.67, 5, 8.55, 0.75, 62, 2.25, 20.2, 3.75, 7.76, 5.75, 3.75,
		3, 11.81, 0.75, 54.7, 2.5, 23.7, 4, 11.55, 0.75, 61.3, 2.5, 17.7, 4, 8.74, 0.75, 59.2, 2.5, 16.3, 4, 8.62, 0.5, 81, 6, 4.87, 3, 14.62, 0.5, 81.7, 2.75, 17.17,
		0.5, 81.3, 1.75, 28.9)
)

// points are two series over x from first in steps.
func points(first, step float64, y ...float64) [2][]float64 {
	x := make([]float64, len(y))
	for i := range y {
		x[i] = first + step*float64(i%20)
	}
	return [2][]float64{x, y}
}

// pairs parts what stands as x, y.
func pairs(both ...float64) (xy [2][]float64) {
	for i := 0; i < len(both); i += 2 {
		xy[0], xy[1] = append(xy[0], both[i]), append(xy[1], both[i+1])
	}
	return xy
}

// linear is the fit of a dataset, which does not end in a fault.
func linear(t *testing.T, name string) evidence.Fit {
	var rows [][]float64
	var y []float64
	switch name {
	case "Pontius":
		rows, y = evidence.Polynomial(pontius[0], 2), pontius[1]
	case "Filip":
		require.Len(t, filip[0], 82)
		rows, y = evidence.Polynomial(filip[1], 10), filip[0]
	case "Longley":
		for _, row := range longley {
			rows, y = append(rows, append([]float64{1}, row[:6]...)), append(y, row[6])
		}
	}
	fit, ok := evidence.LeastSquares(rows, y)
	require.True(t, ok, name)
	return fit
}

// filipFromItsMiddle is the scatter about the polynomial with x counted from its
// middle. What is left is the same, and tenth powers round away less of it.
func filipFromItsMiddle(t *testing.T) float64 {
	middle := make([]float64, len(filip[1]))
	for i, x := range filip[1] {
		middle[i] = x + 6
	}
	fit, ok := evidence.LeastSquares(evidence.Polynomial(middle, 10), filip[0])
	require.True(t, ok)
	return fit.S
}

// straight asks the calculation for the line of a dataset.
func straight(t *testing.T, name string) (b, u []float64, s float64) {
	in := map[string]any{"origin": name != "Norris"}
	switch name {
	case "Norris":
		in["x"], in["y"] = strd(t).Linear[name].X, strd(t).Linear[name].Y
	case "NoInt1":
		in["x"], in["y"] = []int{60, 61, 62, 63, 64, 65, 66, 67, 68, 69, 70}, []int{130, 131, 132, 133, 134, 135, 136, 137, 138, 139, 140}
	case "NoInt2":
		in["x"], in["y"] = noInt2[0], noInt2[1]
	}
	text, err := json.Marshal(in)
	require.NoError(t, err)
	var out struct {
		B, U []float64
		S    float64
	}
	require.NoError(t, json.Unmarshal([]byte(answered(t, "linreg", string(text))), &out))
	return out.B, out.U, out.S
}

// fitOf is parameters, uncertainties and scatter of a named dataset.
func fitOf(t *testing.T, name string) (b, u []float64, s float64) {
	switch name {
	case "Norris", "NoInt1", "NoInt2":
		return straight(t, name)
	}
	fit := linear(t, name)
	return fit.B, fit.U(), fit.S
}

// NIST Statistical Reference Datasets, linear regression.
func TestLinesOfTheReferenceDatasets(t *testing.T) {
	calctest.Rows(t, "26-47", func(t *testing.T, row calctest.Value) {
		var name string
		var place int
		_, err := fmt.Sscanf(strings.Replace(row["inputs"], " B", " ", 1), "%s %d", &name, &place)
		require.NoError(t, err)
		if !strings.Contains(row["inputs"], "B0") && strings.HasPrefix(name, "NoInt") {
			place = 0 // through the origin the slope is alone
		}
		b, u, _ := fitOf(t, name)
		got := b[place]
		if strings.HasPrefix(row["quantity"], "standard") {
			got = u[place]
		}
		calctest.Near(func(*testing.T, calctest.Value) []float64 { return []float64{got} })(t, row)
	})
	calctest.Rows(t, "48-53", calctest.Near(func(t *testing.T, row calctest.Value) []float64 {
		_, _, s := fitOf(t, row["inputs"])
		if row["inputs"] == "Filip" {
			s = filipFromItsMiddle(t)
		}
		return []float64{s}
	}))
	calctest.Rows(t, "54", calctest.Near(func(t *testing.T, _ calctest.Value) []float64 {
		_, _, s := straight(t, "Norris")
		y := evidence.TypeA(strd(t).Linear["Norris"].Y)
		n := float64(y.N)
		return []float64{1 - s*s*(n-2)/(y.S*y.S*(n-1))}
	}))
}

// curves are the models of the NIST Statistical Reference Datasets, nonlinear
// regression, with the two first guesses that come with each.
var curves = map[string]struct {
	curve   evidence.Curve
	guesses [2][]float64
}{
	"Misra1a":  {func(x float64, b []float64) float64 { return b[0] * (1 - math.Exp(-b[1]*x)) }, [2][]float64{{500, 0.0001}, {250, 0.0005}}},
	"DanWood":  {func(x float64, b []float64) float64 { return b[0] * math.Pow(x, b[1]) }, [2][]float64{{1, 5}, {0.7, 4}}},
	"BoxBOD":   {func(x float64, b []float64) float64 { return b[0] * (1 - math.Exp(-b[1]*x)) }, [2][]float64{{1, 1}, {100, 0.75}}},
	"Rat42":    {func(x float64, b []float64) float64 { return b[0] / (1 + math.Exp(b[1]-b[2]*x)) }, [2][]float64{{100, 1, 0.1}, {75, 2.5, 0.07}}},
	"Chwirut2": {func(x float64, b []float64) float64 { return math.Exp(-b[0]*x) / (b[1] + b[2]*x) }, [2][]float64{{0.1, 0.01, 0.02}, {0.15, 0.008, 0.010}}},
}

func curvePoints(t *testing.T, name string) (x, y []float64) {
	switch name {
	case "BoxBOD":
		return boxBOD[0], boxBOD[1]
	case "Chwirut2":
		require.Len(t, chwirut2[0], 54)
		return chwirut2[0], chwirut2[1]
	}
	data := strd(t).Nonlinear[strings.ToLower(name)]
	require.NotEmpty(t, data.X, name)
	return data.X, data.Y
}

// NIST Statistical Reference Datasets, nonlinear regression, from both guesses.
func TestCurvesOfTheReferenceDatasets(t *testing.T) {
	calctest.Rows(t, "55-83", func(t *testing.T, row calctest.Value) {
		name, _, _ := strings.Cut(row["inputs"], " ")
		x, y := curvePoints(t, name)
		for _, guess := range curves[name].guesses {
			fit, ok := evidence.FitCurve(curves[name].curve, x, y, guess)
			require.True(t, ok, "%s from %v", name, guess)
			got := fit.RSS
			place := int(row["quantity"][len(row["quantity"])-1] - '1')
			switch {
			case strings.HasPrefix(row["quantity"], "standard"):
				got = fit.U()[place]
			case strings.HasPrefix(row["quantity"], "b"):
				got = fit.B[place]
			}
			calctest.Near(func(*testing.T, calctest.Value) []float64 { return []float64{got} })(t, row)
		}
	})
}
