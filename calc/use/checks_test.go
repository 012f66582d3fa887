package use_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/calctest"
	"leat/calc/use"
)

func number(t testing.TB, name, input, output string) float64 {
	return calctest.Number(t, use.Calculations(), "system/"+name, input, output)
}

const (
	inch  = 0.0254 // m
	psi   = 6894.757293168
	psia  = 14.7 * psi // Pa, the open air of American tables
	foot  = 0.3048     // m
	cubic = 0.028316846592
)

// fahrenheit returns K.
func fahrenheit(t float64) float64 { return (t + 459.67) / 1.8 }

// notCalculated are the rows about uses of air that tell a builder something
// and give nothing to calculate.
var notCalculated = map[string]string{
	"A03":      "a coefficient for leaks; one may type it",
	"A05":      "of another gas; the calculations are for air",
	"A13":      "a test of one pump; told nowhere",
	"A15":      "a warning; told with the diffuser",
	"A16":      "ranges; told with the tool, and behind A17",
	"A18":      "ranges; told with the airlift, and behind its warnings",
	"A19-2000": "a compressor at a height; told nowhere", "A19-5000": "the same", "A19-8000": "the same", "A19-10000": "the same",
	"A20": "a state of air; the conversion of air knows it",
}

func TestPublishedValues(t *testing.T) {
	calctest.Told(t, notCalculated)
	checks := map[string]calctest.Check{
		"A04": calctest.Is(func(*testing.T) []float64 { return []float64{use.CriticalRatio} }),
		"A06": calctest.Is(func(t *testing.T) []float64 {
			return []float64{number(t, "conductance_from_area", `{"area": 1e-6, "Cd": 1}`, "C_dm3_s_bar")}
		}),
		"A07": calctest.Is(func(t *testing.T) []float64 { return []float64{number(t, "air_pipe", crane716, "dp") / psi} }),
		"A08": calctest.Is(func(t *testing.T) []float64 {
			return []float64{number(t, "air_pipe", crane716, "v1") / foot * 60, number(t, "air_pipe", crane716, "v2") / foot * 60}
		}),
		"A09": calctest.Is(func(t *testing.T) []float64 { return []float64{blowOut(t) / cubic * 3600} }),
		"A10": secondOpinion,
		"A11": calctest.Is(func(t *testing.T) []float64 { return []float64{perGallon(t)} }),
		"A12": calctest.Within(0.005/0.33, func(t *testing.T) []float64 {
			return []float64{number(t, "airlift_rule", `{"submergence": 1, "lift": 1e-9, "Q_water": 1}`, "efficiency")}
		}), // a third, printed with two digits
		"A17": calctest.Is(func(t *testing.T) []float64 {
			return []float64{number(t, "tool_air", `{"P_shaft": 150, "p_gauge": 6e5}`, "Q_free_Lmin")}
		}),
	}
	for _, gauge := range []float64{1, 2, 5, 9, 12, 15, 20, 30, 40, 60, 100, 125} {
		checks[fmt.Sprintf("A01-%v", gauge)] = throughHole(0.25, gauge)
	}
	for _, bore := range []float64{0.015625, 0.03125, 0.0625, 0.125, 0.375, 0.5, 1} {
		checks[fmt.Sprintf("A02-%v", bore)] = throughHole(bore, 100)
	}
	for _, warm := range []string{"0", "5", "10", "15", "20", "25"} {
		checks["A14-"+warm] = calctest.Is(func(t *testing.T) []float64 {
			return []float64{number(t, "aeration", `{"depth": 1, "Q_free_m3s": 1, "t_C": `+warm+`}`, "Cs")}
		})
	}
	calctest.Values(t, checks)
}

// throughHole is a bore in inches under a gauge pressure in psi, at 70 °F, its
// free air too.
func throughHole(bore, gauge float64) calctest.Check {
	return calctest.Is(func(t *testing.T) []float64 {
		in := fmt.Sprintf(`{"p1": %v, "d": %v, "p2": %[3]v, "T1": %[4]v, "Cd": 1, "p_free": %[3]v, "T_free": %[4]v}`, gauge*psi+psia, bore*inch, psia, fahrenheit(70))
		return []float64{number(t, "orifice_air", in, "Q_free_cfm")}
	})
}

var crane716 = fmt.Sprintf(`{"p1": %v, "D": 0.02664, "L": %v, "Q_free": %v, "T": %v, "p_free": %v, "T_free": %v}`,
	65*psi+psia, 75*foot, 100*cubic/60, fahrenheit(115), psia, fahrenheit(60))

// blowOut looks for the flow in m³/s of air of 14.7 psia and 60 °F at which the
// pipe's end is at the open air.
func blowOut(t *testing.T) float64 {
	low, high := 1e-3, 0.1
	for range 50 {
		middle := (low + high) / 2
		in := fmt.Sprintf(`{"p1": %v, "D": %v, "L": %v, "Q_free": %v, "T": %v, "K": 1, "p_free": %v, "T_free": %v}`,
			19.3*psi+psia, 0.546*inch, 10*foot, middle, fahrenheit(100), psia, fahrenheit(60))
		answer := calctest.Ask(t, use.Calculations(), "system/air_pipe", in)
		if answer.OK && answer.Result.(use.PipeOut).P2 > psia {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}

// secondOpinion holds the formula of the workshop against its own value, and
// against that of A07 within a fifth.
func secondOpinion(t *testing.T, v calctest.Value) {
	in := `{"q_m3min": 2.8317, "L": 22.86, "d_mm": 26.64, "p_kgcm2_abs": 5.603}`
	require.InEpsilon(t, v.Numbers(t)[0], number(t, "air_pipe_empirical", in, "dp_kgcm2"), 0.001)
	require.InEpsilon(t, 2.61, number(t, "air_pipe_empirical", in, "dp_Pa")/psi, 0.2)
}

// perGallon returns cubic feet of free air for a US gallon raised by 100 ft.
func perGallon(t *testing.T) float64 {
	const gallon = 3.785411784e-3
	in := fmt.Sprintf(`{"submergence": %v, "lift": %[1]v, "Q_water": %v}`, 100*foot, gallon)
	return number(t, "airlift_rule", in, "Q_free_m3s") / cubic
}

// What builders are told in sections 5.1 and 5.4 of the specification of
// systems: a gun of 2 mm at 6 bar blows about 165 L/min; 10 L/min at 1 m depth
// bring about 3 g of oxygen an hour into water that holds 5 mg/L.
func TestEverydayFigures(t *testing.T) {
	require.InDelta(t, 165, number(t, "orifice_air", `{"p1": 701325, "d": 0.002}`, "Q_free_Lmin"), 5)
	pond := fmt.Sprintf(`{"depth": 1, "Q_free_m3s": %v, "DO": 5}`, 0.01/60)
	require.InDelta(t, 3, number(t, "aeration", pond, "OTR_gph"), 0.5)
	require.InEpsilon(t, 998.2*9.80665+3000, number(t, "aeration", pond, "p_needed_gauge"), 1e-12)
	forge := `{"mm_H2O": 100, "tuyere_area": 0.0005}`
	require.InEpsilon(t, 980.665, number(t, "forge", forge, "dp_Pa"), 1e-12, "a millimetre of water is 9.80665 Pa by definition")
	require.InEpsilon(t, math.Sqrt(2*980.665/1.204)*0.8*0.0005*980.665, number(t, "forge", forge, "P_W"), 1e-12)
}
