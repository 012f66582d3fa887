package ram_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/calctest"
	"leat/calc/ram"
)

func number(t testing.TB, name, input, output string) float64 {
	return calctest.Number(t, ram.Calculations(), "system/"+name, input, output)
}

func is(name, input, output string) calctest.Check {
	return calctest.Is(func(t *testing.T) []float64 { return []float64{number(t, name, input, output)} })
}

// notCalculated are the rows about rams and boosters that tell a builder
// something and give nothing to calculate.
var notCalculated = map[string]string{
	"H06-1-1/4": "a table of flows by size of pipe, for the choice of a bore; no calculation has it",
	"H06-1-1/2": "as H06-1-1/4",
	"H06-2-1/2": "as H06-1-1/4",
	"H06-3":     "as H06-1-1/4",
	"H06-4":     "as H06-1-1/4",
	"H08":       "one home-made ram measured; told beside the band",
	"P06":       "warmth of the wall; the reason to take n as 1",
	"P08":       "water carried over; the reason for the separator",
	"P09":       "bursts; told with the column compressor",
	"P12":       "who was first",
}

// The rams of the specification of systems: two inch steel, h above the valve.
const (
	small   = `{"H": 3, "h": 20, "L": 15, "D": 0.0525, "a": 1340}`
	lifting = `{"H": 3, "h": %g, "L": 12, "D": 0.0525, "a": 1340, "V_close_ratio": %g}`
	atm6    = `{"H": 26, "p2_gauge": 506625, "stroke_volume": 1.25}`
)

func booster(stroke float64) string {
	return fmt.Sprintf(`{"ram": %s, "p_trompe_gauge": 50000, "p2_gauge": 200000, "stroke_volume": %.12g, "clearance_volume": %.12g}`, small, stroke, stroke/10)
}

func TestPublishedValues(t *testing.T) {
	calctest.Told(t, notCalculated)
	checks := map[string]calctest.Check{
		"H02": func(t *testing.T, _ calctest.Value) { // a seventh of the supply
			require.InDelta(t, 1.0/7, number(t, "ram_steady", `{"Q": 1, "H": 1, "h": 5, "eta": 0.714}`, "q"), 1e-3/7)
		},
		"H03": calctest.Within(1e-12, func(t *testing.T) []float64 { return []float64{number(t, "ram_band", `{"H": 3, "h": 20}`, "eta_high")} }),
		"H04": calctest.Within(1e-12, func(t *testing.T) []float64 {
			return []float64{number(t, "ram_steady", `{"Q": 1, "H": 3, "h": 20}`, "eta_daubuisson")}
		}),
		"H05": is("ram_steady", `{"Q": 1, "H": 12, "h": 30, "eta": 0.8205}`, "q"),
		"H06-2": func(t *testing.T, _ calctest.Value) { // 30.3 to 68.1 L/min: the model must overlap it
			require.Less(t, number(t, "ram_cycle", fmt.Sprintf(lifting, 12.0, 0.5), "Q_drive_Lmin"), 68.1)
		},
		"H07": func(t *testing.T, _ calctest.Value) {
			for _, share := range []float64{0.5, 0.7} {
				q := number(t, "ram_cycle", fmt.Sprintf(lifting, 12.0, share), "Q_drive_Lmin")
				require.Greater(t, q, 40.0)
				require.Less(t, q, 120.0)
			}
		},
		"H09": calctest.Is(func(*testing.T) []float64 {
			return []float64{ram.AccelerationTime(9.80665, 15, 3, 2.001659, 1.200996)}
		}),
		"H10": func(t *testing.T, _ calctest.Value) { // by definition 0.1 %
			const in = `{"Q": 0.001, "H": 3, "h": 20, "eta": 0.6}`
			require.InEpsilon(t, 5.4, number(t, "ram_steady", in, "q")*60_000, 1e-3)
			require.InEpsilon(t, 0.5604, number(t, "ram_steady", in, "eta_rankine"), 1e-3)
		},
		"H13": cycleEnergyBounds,
		"P03": is("column_compressor", atm6, "H_min_ideal"),
		"P04": func(t *testing.T, _ calctest.Value) { // what was built must not be refused
			require.Less(t, number(t, "column_compressor", atm6, "H_min"), 26.0)
		},
		"P05": calctest.Is(func(t *testing.T) []float64 { // 15 t of water over the area of the bore
			return []float64{15000 / (1000 * number(t, "ram_cycle", `{"H": 26, "h": 52, "L": 49.7, "D": 0.62, "a": 1000}`, "A"))}
		}),
		"P13": pulseEnergyBound,
		"P14": func(t *testing.T, v calctest.Value) { // 0.1166 L, 10.6 L/min, 0.33, within 1 %
			best := number(t, "boost_pulse", booster(1e-4), "stroke_best")
			require.InEpsilon(t, v.Numbers(t)[0], 1000*best, 0.01)
			require.InEpsilon(t, v.Numbers(t)[1], number(t, "boost_pulse", booster(best), "free_air_Lmin"), 0.01)
			require.InEpsilon(t, v.Numbers(t)[2], number(t, "boost_pulse", booster(best), "eff_boost"), 0.01)
			require.InEpsilon(t, 1.3, number(t, "boost_pulse", booster(3e-4), "free_air_Lmin"), 0.05)
			require.False(t, calctest.Ask(t, ram.Calculations(), "system/boost_pulse", booster(3.5e-4)).OK)
		},
	}
	for ratio := 4; ratio <= 26; ratio += 2 {
		checks[fmt.Sprintf("H01-%d", ratio)] = is("ram_band", fmt.Sprintf(`{"H": 1, "h": %d}`, ratio), "eta_low")
	}
	calctest.Values(t, checks)
}

// Figures that sections 2 and 3 of the specification of systems print.
func TestPrintedFigures(t *testing.T) {
	const steel = `{"H": 3, "h": 20, "L": 15, "D": 0.0525, "wall": 0.0039, "E_wall": 200e9}`
	require.InDelta(t, 17, number(t, "ram_cycle", steel, "p_max_gauge")/1e5, 0.5)
	require.InDelta(t, 28, number(t, "ram_cycle", steel, "p_worst_gauge")/1e5, 0.5)
	for _, c := range [][3]float64{{12, 0.5, 0.76}, {60, 0.5, 0.31}, {12, 0.7, 0.66}, {60, 0.7, 0.37}} {
		require.InDelta(t, c[2], number(t, "ram_cycle", fmt.Sprintf(lifting, c[0], c[1]), "eta_daubuisson"), 0.005, "%v", c)
	}
	const taller = `{"Q": 0.01, "H": 3, "h_feed": 12, "h_outlet": 8}`
	require.InDelta(t, 0.78, number(t, "boost_lift", taller, "p2_gauge")/1e5, 0.005)
	require.InDelta(t, 30, number(t, "boost_lift", taller, "Q_free_Lmin"), 0.5)
	require.InDelta(t, 29, number(t, "boost_lift", taller, "P_air_W"), 0.5)
	require.InDelta(t, 294, number(t, "boost_lift", taller, "P_water_W"), 0.5)
	require.InDelta(t, 0.8, number(t, "boost_lift", taller, "loss_vs_direct"), 1e-9)
	require.InDelta(t, 0.71, number(t, "column_compressor", atm6, "eff"), 0.005)
}

func TestAgainstAnotherProgram(t *testing.T) { calctest.Reference(t, ram.Calculations()) }
