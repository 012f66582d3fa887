package evidence_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/calctest"
	"leat/calc/evidence"
	"leat/calc/source"
	"leat/calc/water"
)

// standard is a line whose standard uncertainty is known.
func standard(u, nu float64) evidence.Line {
	return evidence.Line{Name: "line", U: u, Sens: 1, Nu: nu}
}

// of is the standard uncertainty that the calculation gives for one component.
func of(t *testing.T, component string) float64 {
	return number(t, "budget", `{"value": 30, "components": [`+component+`]}`, "u")
}

// gives checks numbers that hang on nothing.
func gives(numbers ...float64) calctest.Check {
	return calctest.Near(func(*testing.T, calctest.Value) []float64 { return numbers })
}

func TestEndGauge(t *testing.T) {
	at99 := evidence.Combine([]evidence.Line{standard(25, 18), standard(9.7, 25.6), standard(2.9, 50), standard(16.6, 2)}, 0.99)
	calctest.Rows(t, "84", gives(at99.U))
	calctest.Rows(t, "85", gives(
		of(t, `{"kind": "certificate", "U": 75, "k": 3}`),                // of the standard
		of(t, `{"kind": "limits", "a": 0.05, "sens": 575}`),              // 11.5e-6/K of 50 mm
		of(t, `{"kind": "certificate", "U": 20, "k": 3}`),                // comparator, systematic
		of(t, fmt.Sprintf(`{"kind": "standard", "u": %v}`, pooledOf5())), // repeats
		of(t, `{"kind": "certificate", "U": 10, "p": 0.95, "nu": 5}`),    // comparator, random
		of(t, `{"kind": "limits", "a": 1e-6, "sens": -5e6}`),             // −0.1 K of 50 mm
	))
	calctest.Rows(t, "86", gives(at99.NuEff, at99.NuUsed))
	calctest.Rows(t, "87", gives(at99.K))
	calctest.Rows(t, "88", gives(at99.Expanded))

	const length = 50e6 // nm
	temperature := math.Hypot(0.2, evidence.Limits(0.5, evidence.ArcsineShape, 0))
	expansion := func(a float64) float64 { return length * evidence.Limits(a, evidence.RectangularShape, 0) }
	calctest.Rows(t, "89", gives(math.Hypot(at99.U, math.Hypot(expansion(1e-6)*temperature, expansion(2e-6)*evidence.Limits(0.05, evidence.RectangularShape, 0)))))
}

// pooledOf5 is the uncertainty of a mean of five by the scatter of 25 earlier
// readings, 13 nm.
func pooledOf5() float64 {
	s, _ := evidence.Pool([]evidence.Repeats{{S: 13, Nu: 12}, {S: 13, Nu: 12}})
	return s / math.Sqrt(5)
}

// JCGM 100:2008, H.2: voltage, current and phase read together.
func TestResistanceAndReactance(t *testing.T) {
	volts := []float64{5.007, 4.994, 5.005, 4.990, 4.999}
	amperes := []float64{19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3}
	phases := []float64{1.0456, 1.0438, 1.0468, 1.0428, 1.0433}
	v, i, phi := evidence.TypeA(volts), evidence.TypeA(amperes), evidence.TypeA(phases)
	cov := evidence.CovarianceOfMeans(volts, amperes, phases)
	corr := evidence.Correlations(cov)
	calctest.Rows(t, "90", gives(v.Mean, v.U*1e4, i.Mean*1000, i.U*1000, phi.Mean, phi.U)) // u of V printed in its last place
	calctest.Rows(t, "91", gives(corr[0][1], corr[0][2], corr[1][2]))

	z := v.Mean / i.Mean
	sin, cos := math.Sincos(phi.Mean)
	sens := [][]float64{
		{cos / i.Mean, -z * cos / i.Mean, -z * sin},
		{sin / i.Mean, -z * sin / i.Mean, z * cos},
		{1 / i.Mean, -z / i.Mean, 0},
	}
	calctest.Rows(t, "92", gives(z*cos, z*sin, z))
	in := asJSON(t, map[string]any{"sens": sens, "u": evidence.Deviations(cov), "corr": corr})
	var out struct {
		U    []float64
		Corr [][]float64
	}
	into(t, answered(t, "propagate_linear", in), &out)
	calctest.Rows(t, "93", gives(out.U...))
	calctest.Rows(t, "94", gives(out.Corr[0][1], out.Corr[0][2], out.Corr[1][2]))
	into(t, answered(t, "propagate_linear", asJSON(t, map[string]any{"sens": sens, "cov": cov, "u": "not read"})), &out)
	calctest.Rows(t, "93", gives(out.U...))
}

// JCGM 100:2008, H.3: a thermometer's corrections, about 20 °C.
func TestThermometerLine(t *testing.T) {
	x := []float64{21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511}
	for i := range x {
		x[i] -= 20
	}
	y := []float64{-.171, -.169, -.166, -.159, -.164, -.165, -.156, -.157, -.159, -.161, -.160}
	var out struct {
		B, U    []float64
		S, Corr float64
	}
	into(t, answered(t, "linreg", asJSON(t, map[string]any{"x": x, "y": y})), &out)
	calctest.Rows(t, "95", gives(out.B[0], out.U[0]))
	calctest.Rows(t, "96", gives(out.B[1], out.U[1]))
	calctest.Rows(t, "97", gives(out.Corr, out.S))
	fit, ok := evidence.StraightLine(x, y, false)
	require.True(t, ok)
	at30 := evidence.Propagate([][]float64{{1, 10}}, fit.Cov)
	calctest.Rows(t, "98", gives(fit.B[0]+10*fit.B[1], math.Sqrt(at30[0][0])))
}

// JCGM 100:2008, H.5: ten days of five readings each, in µV above 10 V.
func TestDaysAreUnlike(t *testing.T) {
	days := []float64{172, 116, 13, 144, 106, 31, 60, 125, 163, 41}
	var within []evidence.Repeats
	for _, s := range []float64{60, 77, 111, 101, 67, 93, 80, 73, 88, 86} {
		within = append(within, evidence.Repeats{S: s, Nu: 4})
	}
	s, nu := evidence.Pool(within)
	require.Equal(t, 40, nu)
	between := evidence.TypeA(days)
	calctest.Rows(t, "99", gives(10+between.Mean/1e6, between.S, s))
	calctest.Rows(t, "100", gives(5*between.S*between.S/(s*s)))
	calctest.Rows(t, "101", gives(between.U, math.Sqrt(between.S*between.S-s*s/5)))
}

func TestLimitsToUncertainties(t *testing.T) {
	calctest.Rows(t, "103", gives(of(t, `{"kind": "certificate", "U": 129, "p": 0.99}`)))
	calctest.Rows(t, "104", gives(of(t, `{"kind": "certificate", "U": 0.04, "p": 0.5}`)))
	calctest.Rows(t, "105", gives(of(t, `{"kind": "resolution", "delta": 1}`)))
	ws := evidence.Combine([]evidence.Line{standard(0.25, 9), standard(0.57, 4), standard(0.82, 14)}, 0.95)
	calctest.Rows(t, "106", gives(ws.U, ws.NuEff, 95, ws.K))
	calctest.Rows(t, "107", gives(evidence.FreedomOfGuess(0.25)))
	calctest.Rows(t, "132", func(t *testing.T, row calctest.Value) {
		for _, class := range row.Figures(t, "inputs") {
			limit := math.Sqrt(3) * of(t, fmt.Sprintf(`{"kind": "class", "class_percent": %v, "span": 10}`, class))
			require.InEpsilon(t, class/10, limit, 1e-12)
		}
	})
	calctest.Rows(t, "133", gives(100*math.Sqrt(3)*of(t, `{"kind": "variable_area", "fs": 100, "G": 2.5, "qG": 50}`)/30))
	calctest.Rows(t, "134", func(t *testing.T, row calctest.Value) {
		notch := evidence.Combine([]evidence.Line{
			{U: 0.005, Sens: 1, Nu: math.Inf(1)},
			{U: 0.001, Sens: 2.5 / 0.12085, Nu: math.Inf(1)},
		}, 0.95)
		gives(source.VNotchFlow(9.80665, math.Pi/2, 0.578, 0.12, 0.00085))(t, row)
		require.InDelta(t, 0.021282, notch.U, 5e-7, "printed with five figures: the tolerance of the row is finer than that")
	})
	calctest.Rows(t, "135", gives(water.Magnus(20)))
	calctest.Rows(t, "144", func(t *testing.T, row calctest.Value) {
		var k []float64
		for _, nu := range []float64{1, 2, 3, 5, 10, 20, math.Inf(1)} {
			k = append(k, evidence.CoverageFactor(0.95, nu))
		}
		gives(k...)(t, row)
	})
}

// The shapes of section 1.3 of the specification of evidence; JCGM 100:2008, 4.3.7
// and 4.3.9, from memory. A trapezoid without top is a triangle, one that is all
// top a rectangle.
func TestShapes(t *testing.T) {
	require.InDelta(t, 1/math.Sqrt(3), of(t, `{"kind": "limits", "a": 1}`), 1e-15)
	require.InDelta(t, 1/math.Sqrt(6), of(t, `{"kind": "limits", "a": 1, "dist": "triangular"}`), 1e-15)
	require.InDelta(t, 1/math.Sqrt2, of(t, `{"kind": "limits", "a": 1, "dist": "arcsine"}`), 1e-15)
	require.InDelta(t, 1/math.Sqrt(6), of(t, `{"kind": "limits", "a": 1, "dist": "trapezoidal", "beta": 0}`), 1e-15)
	require.InDelta(t, 1/math.Sqrt(3), of(t, `{"kind": "limits", "a": 1, "dist": "trapezoidal", "beta": 1}`), 1e-15)
	require.InDelta(t, (0.3+0.5+0.1)/math.Sqrt(3), of(t, `{"kind": "spec", "pct_reading": 1, "pct_fs": 0.5, "fs": 100, "abs": 0.1}`), 1e-15)
	require.InDelta(t, 0.6/math.Sqrt(3), of(t, `{"kind": "drift", "per_year": -0.3, "years": 2}`), 1e-15)
	require.InDelta(t, 1.25/math.Sqrt(3), of(t, `{"kind": "variable_area", "fs": 100, "G": 2.5, "qG": 50}`), 1e-15)
}

// Sections 1.5 and 8.2 of the specification of evidence.
func TestStatesOfABudget(t *testing.T) {
	for in, want := range map[string]string{
		`{"components": [{"kind": "readings", "readings": [5]}, {"kind": "standard"}, {"kind": "resolution", "delta": "NaN", "name": "step"}]}`: `{"u":null,"nu_eff":null,"nu_used":null,"k":null,"U":null,"lines":[{"name":"readings","u":null,"nu":0},{"name":"standard","u":null,"nu":"inf"},{"name":"step","u":null,"nu":"inf"}],"missing":["readings","standard","step"],"status":"incomplete"}`,
		`{"components": [{"kind": "readings", "readings": [5, 5, null]}, {"kind": "limits", "a": 0, "nu": 4}]}`:                                 `{"u":0,"nu_eff":null,"nu_used":null,"k":null,"U":0,"lines":[{"name":"readings","u":0,"nu":1},{"name":"limits","u":0,"nu":4}],"missing":[],"status":"zero"}`,
		`{"components": [{"kind": "spec", "pct_fs": 1, "pct_reading": null, "abs": 1}]}`:                                                        `{"u":null,"nu_eff":null,"nu_used":null,"k":null,"U":null,"lines":[{"name":"spec","u":null,"nu":"inf"}],"missing":["spec"],"status":"incomplete"}`,
		`{"components": [{"kind": "spec", "pct_reading": 1}]}`:                                                                                  `{"u":null,"nu_eff":null,"nu_used":null,"k":null,"U":null,"lines":[{"name":"spec","u":null,"nu":"inf"}],"missing":["spec"],"status":"incomplete"}`,
		`{"components": [{"kind": "variable_area", "fs": 1, "G": 1, "qG": 50}], "value": null}`:                                                 `{"u":null,"nu_eff":null,"nu_used":null,"k":null,"U":null,"lines":[{"name":"variable_area","u":null,"nu":"inf"}],"missing":["variable_area"],"status":"incomplete"}`,
	} {
		require.Equal(t, want, answered(t, "budget", in), in)
	}
	require.Regexp(t, `^{"u":6,"nu_eff":"inf","nu_used":"inf","k":1.9599639845[0-9]*,"U":11.7597839072[0-9]*,"lines":\[{"name":"zero","u":6,"nu":"inf"}\],"missing":\[\],"status":"ok"}$`,
		answered(t, "budget", `{"components": [{"kind": "standard", "u": 3, "sens": -2, "name": "zero"}]}`))
	require.InDelta(t, 1/math.Sqrt(3), of(t, `{"kind": "spec", "abs": 1, "pct_reading": 0}`), 1e-15, "what goes with nothing needs no reading")
}

// The same error twice adds up or cancels; of its degrees of freedom the smallest
// counts (sections 1.5 and 7 of the specification of evidence).
func TestOneSourceIsOneError(t *testing.T) {
	same := evidence.Combine([]evidence.Line{{U: 2, Sens: 1, Nu: 8, Source: "gauge"}, {U: 3, Sens: 1, Nu: 5, Source: "gauge"}}, 0.95)
	require.InDelta(t, 5, same.U, 1e-15)
	require.InDelta(t, 5, same.NuEff, 1e-12)
	difference := evidence.Combine([]evidence.Line{{U: 2, Sens: 1, Nu: 8, Source: "gauge"}, {U: 2, Sens: -1, Nu: 8, Source: "gauge"}, standard(1, 4)}, 0.95)
	require.InDelta(t, 1, difference.U, 1e-15)
	require.InDelta(t, 4, difference.NuEff, 1e-12)
	require.Equal(t, evidence.AllZero, evidence.Combine([]evidence.Line{{U: 2, Sens: 1, Nu: 8, Source: "a"}, {U: 2, Sens: -1, Nu: 8, Source: "a"}}, 0.95).Status)
}

// Scaling units scales results (section 7 of the specification of evidence).
func TestBudgetScales(t *testing.T) {
	lines := []evidence.Line{standard(0.3, 4), standard(0.5, 12), {U: 0.2, Sens: -3, Nu: math.Inf(1), Source: "x"}, {U: 0.1, Sens: 1, Nu: 3, Source: "x"}}
	plain := evidence.Combine(lines, 0.95)
	for i := range lines {
		lines[i].U *= 1e5
	}
	scaled := evidence.Combine(lines, 0.95)
	require.InEpsilon(t, 1e5*plain.Expanded, scaled.Expanded, 1e-12)
	require.InEpsilon(t, plain.NuEff, scaled.NuEff, 1e-12)
}

func TestFreedomUsed(t *testing.T) {
	for nu, used := range map[float64]float64{0.4: 1, 1.96: 2, 16.94: 16, 16.96: 17, 999.4: 999, 1000: math.Inf(1)} {
		require.Equal(t, used, evidence.FreedomUsed(nu), "%v", nu)
	}
}

func TestFaultsOfBudgets(t *testing.T) {
	const name = "evidence/budget"
	calctest.Faults(t, evidence.Calculations(), [][4]string{
		{name, `{}`, "missing", "/components"},
		{name, `{"components": []}`, "missing", "/components"},
		{name, `{"components": [3]}`, "missing", "/components/0"},
		{name, `{"components": [{}]}`, "missing", "/components/0"},
		{name, `{"components": [{"u": 1}]}`, "missing", "/components/0/kind"},
		{name, `{"components": [{"kind": "sum", "u": 1}]}`, "unknown_value", "/components/0/kind"},
		{name, `{"components": [{"kind": "standard", "u": 1}, {"kind": "standard", "u": -1}]}`, "range", "/components/1/u"},
		{name, `{"components": [{"kind": "standard", "u": -1, "z": 1, "a": 1}], "p": 2}`, "unknown_field", "/components/0/a"},
		{name, `{"components": [{"kind": "standard", "u": "1"}]}`, "not_a_number", "/components/0/u"},
		{name, `{"components": [{"kind": "standard", "u": 1, "nu": 0}]}`, "range", "/components/0/nu"},
		{name, `{"components": [{"kind": "standard", "u": 1, "nu": "-inf"}]}`, "not_a_number", "/components/0/nu"},
		{name, `{"components": [{"kind": "readings"}]}`, "missing", "/components/0/readings"},
		{name, `{"components": [{"kind": "readings", "readings": [1, "x"]}]}`, "not_a_number", "/components/0/readings/1"},
		{name, `{"components": [{"kind": "certificate", "U": 1}]}`, "missing", "/components/0/k"},
		{name, `{"components": [{"kind": "certificate", "U": 1, "p": 1}]}`, "range", "/components/0/p"},
		{name, `{"components": [{"kind": "certificate", "U": 1, "k": 0, "p": 5}]}`, "range", "/components/0/k"},
		{name, `{"components": [{"kind": "limits", "a": 1, "dist": "normal"}]}`, "unknown_value", "/components/0/dist"},
		{name, `{"components": [{"kind": "limits", "a": 1, "dist": "trapezoidal"}]}`, "missing", "/components/0/beta"},
		{name, `{"components": [{"kind": "limits", "a": 1, "dist": "trapezoidal", "beta": 1.1}]}`, "range", "/components/0/beta"},
		{name, `{"components": [{"kind": "class", "class_percent": 1, "span": 0}]}`, "range", "/components/0/span"},
		{name, `{"components": [{"kind": "standard", "u": 1}], "value": true}`, "not_a_number", "/value"},
		{name, `{"components": [{"kind": "standard", "u": 1}], "p": 1}`, "range", "/p"},
		{name, `{"components": [{"kind": "standard", "u": -1}], "x": 1}`, "unknown_field", "/x"},
		{name, `{"components": [{"kind": "standard", "u": 1e308, "sens": 1e308}]}`, "range", ""},
	})
}
