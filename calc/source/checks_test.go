package source_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/calctest"
	"leat/calc/source"
)

func number(t testing.TB, name, input, output string) float64 {
	return calctest.Number(t, source.Calculations(), "system/"+name, input, output)
}

// is compares an output, in the unit of the table, with the published value.
func is(name, input, output string, unit float64) calctest.Check {
	return calctest.Is(func(t *testing.T) []float64 { return []float64{number(t, name, input, output) * unit} })
}

func within(share float64, name, input, output string, unit float64) calctest.Check {
	return calctest.Within(share, func(t *testing.T) []float64 { return []float64{number(t, name, input, output) * unit} })
}

// notCalculated are the rows about sources that tell a builder something and
// give nothing to calculate.
var notCalculated = map[string]string{
	"M02": "a service standard; told with the mains",
	"M03": "a service standard; told with the mains",
	"M07": "a rule for testing metal pipework; the pressure test has its own",
	"M08": "a table of categories; told in the warning of the mains",
}

func TestPublishedValues(t *testing.T) {
	calctest.Told(t, notCalculated)
	const wide = `{"b": 2, "B": 2, "p": 0.4, "h": 0.3}`
	checks := map[string]calctest.Check{
		"R01": is("rain_runoff", `{"C": 1, "A_eff": 100, "i_Ls_m2": 0.03}`, "Q_Ls", 1),
		"R02": is("rain_runoff", `{"A_eff": 1, "i_mm_h": 150}`, "i_Ls_m2", 1),
		"R03": is("rain_runoff", `{"A_eff": 1, "i_Ls_m2": 0.05}`, "i_mm_h", 1),
		"R04": is("rain_runoff", `{"length": 10, "plan_width": 5, "roof_height": 3, "i_mm_h": 1}`, "A_eff_m2", 1),
		"R05": is("roof_energy", `{"A_plan": 120, "drop": 1, "rain_mm_year": 450, "C": 0.9}`, "V_year_m3", 1000),
		"R06": is("roof_energy", `{"A_plan": 100.1, "drop": 1, "rain_mm_year": 600, "C": 0.8}`, "V_year_m3", 1000),
		"R08": is("gutter", `{"A_mm2": 8836}`, "Q_design_Ls", 1),
		"R09": is("downpipe", `{"d_mm": 100}`, "Q_Ls", 1),
		"R10": is("downpipe", `{"d_mm": 75}`, "Q_Ls", 1),
		"R11": is("downpipe", `{"d_mm": 50, "fill": 0.33, "kb_mm": 0.25}`, "Q_Ls", 1),
		"R12": is("gutter_bound", `{"width": 0.08, "depth": 0.08}`, "coeff_Ls_mm", 1),
		"R13": is("gutter_bound", `{"shape": "half_round", "radius": 0.06}`, "coeff_Ls_mm", 1),
		"R14": is("roof_energy", `{"A_plan": 100, "drop": 5, "rain_mm_year": 800, "rho": 998.2}`, "E_year_Wh", 1),
		"R15": is("roof_energy", `{"A_plan": 100, "drop": 5, "rain_mm_year": 800, "storm_mm": 20}`, "E_storm_Wh", 1),

		"W03": is("rect_weir", `{"b": 1, "B": 1, "p": 1, "h": 1e-9}`, "Ce", 1),
		"W04": calctest.Is(func(t *testing.T) []float64 {
			at := func(h float64) float64 {
				return number(t, "rect_weir", fmt.Sprintf(`{"b": 1, "B": 1, "p": 1, "h": %g}`, h), "Ce")
			}
			return []float64{(at(1.5) - at(0.5)) / (1.5 - 0.5)}
		}),
		"W05": is("rect_weir", wide, "Q_m3s", 1),
		"W06": within(0.012, "rect_weir", wide, "Q_m3s", 1), // another model, 1.1 % above
		"W07": is("vnotch", `{"angle_deg": 90, "h": 0.1524}`, "Q_Ls", 1),
		"W09": is("vnotch", `{"angle_deg": 45, "h": 0.6}`, "Q_m3s", 1),
		"W02": func(t *testing.T, v calctest.Value) { // 0.003 ft is 0.9 mm, in metres taken as 1 mm
			q := number(t, "rect_weir", wide, "Q_m3s")
			ce, kb := number(t, "rect_weir", wide, "Ce"), number(t, "rect_weir", wide, "kb_m")
			added := math.Pow(q/(2.0/3*ce*math.Sqrt(2*9.80665)*(2+kb)), 2.0/3) - 0.3
			require.InDelta(t, v.Numbers(t)[0]*0.3048, added, 1e-4)
		},
		"W10": notchLimits,

		"M01": is("bucket", `{"volume": 0.0045, "times": [30]}`, "Q_m3s", 60_000),
		"M04": is("bucket", `{"volume": 0.002, "times": [13]}`, "Q_m3s", 60_000),
		"M05": calctest.Is(func(*testing.T) []float64 {
			return []float64{source.FallingWater(calc.WaterDensity, calc.Gravity, 9/60_000.0, 10)}
		}),
		"M06": is("mains", `{"p_static_gauge": 3e5, "p_test_gauge": 1e5, "Q_test": 0.0003}`, "Wh_per_m3", 1),
	}
	for _, ratio := range []int{50, 100, 150, 200} {
		checks[fmt.Sprintf("R07-%d", ratio)] = is("gutter", fmt.Sprintf(`{"A_mm2": 5000, "length_to_depth": %d}`, ratio), "F_L", 1)
	}
	for _, angle := range []int{20, 40, 60, 80, 100} {
		checks[fmt.Sprintf("W08-%d", angle)] = notchTable(angle)
	}
	for _, narrow := range []string{"0.2", "0.4", "0.5", "0.6", "0.7", "0.8", "0.9", "1.0"} {
		checks["W01-"+narrow] = weirTable(narrow)
	}
	calctest.Values(t, checks)
}

// notchTable checks C_e and k_h in mm, each within its own tolerance of the row:
// 0.5 % and 0.3 mm.
func notchTable(angle int) calctest.Check {
	return func(t *testing.T, v calctest.Value) {
		in := fmt.Sprintf(`{"angle_deg": %d, "h": 0.2}`, angle)
		want := v.Numbers(t)
		require.InEpsilon(t, want[0], number(t, "vnotch", in, "Ce"), 0.005)
		require.InDelta(t, want[1], 1000*number(t, "vnotch", in, "kh_m"), 0.3)
	}
}

// weirTable finds C₁ and C₂, which are in feet and seconds, from two heads.
func weirTable(narrow string) calctest.Check {
	return calctest.Within(1e-6, func(t *testing.T) []float64 {
		at := func(h float64) float64 {
			in := fmt.Sprintf(`{"b": %s, "B": 1, "p": 1, "h": %g}`, narrow, h)
			return number(t, "rect_weir", in, "Ce") * 2 / 3 * math.Sqrt(2*9.80665/0.3048)
		}
		c1 := at(2) - at(1)
		return []float64{c1, at(1) - c1}
	})
}

func notchLimits(t *testing.T, _ calctest.Value) {
	for in, want := range map[string][]string{
		`{"angle_deg": 90, "h": 0.05, "p": 0.46, "B": 0.91}`: {},
		`{"angle_deg": 90, "h": 0.18, "p": 0.46, "B": 0.91}`: {},
		`{"angle_deg": 90, "h": 0.049}`:                      {"W_HEAD /h"},
		`{"angle_deg": 90, "h": 0.39}`:                       {"W_HEAD /h"},
		`{"angle_deg": 90, "h": 0.19, "p": 0.46}`:            {"W_CONTRACTION /p"},
		`{"angle_deg": 90, "h": 0.1, "p": 0.44}`:             {"W_CONTRACTION /p"},
		`{"angle_deg": 90, "h": 0.2, "B": 0.95}`:             {"W_CONTRACTION /B"},
		`{"angle_deg": 90, "h": 0.1, "B": 0.89}`:             {"W_CONTRACTION /B"},
		`{"angle_deg": 90, "h": 0.4, "p": 0.4, "B": 0.8}`:    {"W_HEAD /h", "W_CONTRACTION /p", "W_CONTRACTION /B"},
	} {
		answer := calctest.Ask(t, source.Calculations(), "system/vnotch", in)
		require.Equal(t, want, calctest.WarningsOf(answer), in)
	}
}

// What builders are told in sections 1.2 and 7 of the specification of systems:
// a roof of 100 m² gives about 0.11 W over the year, 12 W in a storm.
func TestEverydayFigures(t *testing.T) {
	const house = `{"A_plan": 100, "drop": 5, "rain_mm_year": 800, "storm_mm": 20, "storm_h": 2, "chain_eff": 0.15}`
	require.InDelta(t, 72, number(t, "roof_energy", house, "V_year_m3"), 1e-9)
	require.InDelta(t, 0.11, number(t, "roof_energy", house, "P_mean_W"), 0.005)
	require.InDelta(t, 12, number(t, "roof_energy", house, "P_storm_W"), 0.5)
	require.InDelta(t, 150, number(t, "roof_energy", house, "E_year_useful_Wh"), 5)
}
