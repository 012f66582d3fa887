package receiver_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/calctest"
	"leat/calc/receiver"
)

func number(t testing.TB, name, input, output string) float64 {
	return calctest.Number(t, receiver.Calculations(), "system/"+name, input, output)
}

// is compares outputs with the published values.
func is(name, input string, outputs ...string) calctest.Check {
	return calctest.Is(func(t *testing.T) (all []float64) {
		for _, output := range outputs {
			all = append(all, number(t, name, input, output))
		}
		return all
	})
}

// notCalculated are the rows about stored air that give nothing to calculate.
var notCalculated = map[string]string{
	"S07": "a report that old receivers kept their air; no number of a leak is given",
	"P11": "at what pressure old receivers were proven; ours follow the rules of pressure safety",
}

// perPulse is the free air in m³ that one pulse of the old column compressor
// brought: 17 m³ at 6 atm took 27 min 8 s at 3 pulses a minute.
func perPulse(t *testing.T) float64 {
	const fiveAtm = 5 * 101325 / (998.2 * 9.80665) // m of water
	return number(t, "const_pressure", fmt.Sprintf(`{"V": 17, "depth": %.15g}`, fiveAtm), "free_air_m3") / (3 * (27 + 8.0/60))
}

func TestPublishedValues(t *testing.T) {
	calctest.Told(t, notCalculated)
	calctest.Values(t, map[string]calctest.Check{
		"S01-0.5-8": is("exergy_tank", `{"V": 0.5, "p": 901325}`, "E_iso_Wh", "E_adiab_Wh"),
		"S01-1-1":   is("exergy_tank", `{"V": 1, "p": 201325}`, "E_iso_Wh", "E_adiab_Wh"),
		"S01-1-0.5": is("exergy_tank", `{"V": 1, "p": 151325}`, "E_iso_Wh", "E_adiab_Wh"),
		"S02": calctest.Is(func(*testing.T) []float64 { // p·V of a mole is R·T, with 8.314462618 J/(mol K), CODATA
			return []float64{receiver.IsothermalWork(1e6, 1e5, 8.314462618*300/1e6)}
		}),
		"S03": calctest.Is(func(*testing.T) []float64 {
			return []float64{receiver.IsentropicTemperature(286.8, 54.05e3, 432.4e3, 1.4)}
		}),
		"S04": is("leak_test", `{"V": 0.05, "p1": 901325, "p2": 881325, "t": 3600}`, "dp_per_K"),
		"S05": is("leak_test", `{"V": 0.05, "p1": 901325, "p2": 881325, "t": 3600}`, "leak_free_Lmin"),
		"S06": func(t *testing.T, v calctest.Value) { // the tolerance is that against IAPWS-IF97
			require.InEpsilon(t, v.Numbers(t)[0], receiver.SaturationPressure(20), 1e-4)
			require.InEpsilon(t, 2339.2, receiver.SaturationPressure(20), 0.003)
		},
		"P01": calctest.Within(0.025, func(t *testing.T) []float64 { return []float64{3 * perPulse(t)} }),
		"P02": calctest.Is(func(t *testing.T) []float64 { return []float64{perPulse(t)} }),
		"P07": calctest.Within(0.02, func(t *testing.T) []float64 { // in kgf·m
			const fiveAtm = 5 * 101325 / (998.2 * 9.80665)
			return []float64{number(t, "const_pressure", fmt.Sprintf(`{"V": 0.001, "depth": %.15g}`, fiveAtm), "E_air_J") / 9.80665}
		}),
		"P10": calctest.Is(func(t *testing.T) []float64 {
			return []float64{number(t, "const_pressure", `{"V": 1, "depth": 50, "rho": 1000}`, "p_gauge") / 1000}
		}),
	})
}

// What builders are told in sections 4 and 7 of the specification of systems.
func TestEverydayFigures(t *testing.T) {
	const drum = `{"V": 0.05, "p": 901325}`
	require.InDelta(t, 16.2, number(t, "exergy_tank", drum, "E_iso_Wh"), 0.1)
	require.InDelta(t, 9.2, number(t, "exergy_tank", drum, "E_adiab_Wh"), 0.1)
	require.InDelta(t, 395, number(t, "exergy_tank", drum, "free_air_m3")*1000, 1)
	require.InDelta(t, 1.08, number(t, "everyday", `{"Wh": 16.2}`, "phone_charges"), 1e-9)
	require.InDelta(t, 16.2*3600/83720, number(t, "everyday", `{"Wh": 16.2}`, "tea_cups"), 1e-9)
	require.InDelta(t, 9.72, number(t, "everyday", `{"Wh": 16.2}`, "minutes_100W_tool"), 1e-9)
	require.InDelta(t, 0.059375, number(t, "roundtrip", `{"eta_water_to_air": 0.5, "eta_use": 0.125}`, "eta_total"), 1e-12)
	room := func(p float64) float64 {
		return number(t, "condensate", fmt.Sprintf(`{"V_free": 1, "RH": 0.5, "t_amb_C": 20, "p": %g, "t_recv_C": 12}`, p), "RH_after_expansion")
	}
	require.InDelta(t, 0.08, room(801325), 0.005)
	require.InDelta(t, 0.30, room(201325), 0.01)
}

func TestAgainstAnotherProgram(t *testing.T) { calctest.Reference(t, receiver.Calculations()) }
