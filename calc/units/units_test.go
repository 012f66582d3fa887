package units_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/calctest"
	"leat/calc/units"
)

func number(t testing.TB, name, input string) float64 {
	return calctest.Number(t, units.Calculations(), "system/"+name, input, "value")
}

func is(name, input string, unit float64) calctest.Check {
	return calctest.Is(func(t *testing.T) []float64 { return []float64{number(t, name, input) * unit} })
}

func TestPublishedValues(t *testing.T) {
	checks := map[string]calctest.Check{
		"U30": calctest.Is(func(*testing.T) []float64 { return []float64{calc.WaterDensity * calc.Gravity} }),
		"U31": is("air_reference", `{"value": 100, "from": "ANR_ISO8778", "to": "NORMAL_DIN1343"}`, 1),
		"U32": is("air_reference", `{"value": 28.316846592, "from": "FM5_434_60F", "to": "ANR_ISO8778"}`, 1),
		"A20": func(t *testing.T, v calctest.Value) { // 14.7 psi in Pa, 60 °F in K
			require.InEpsilon(t, v.Numbers(t)[0]*6894.757293168/288.7055556, number(t, "air_reference", `{"value": 1, "from": "FM5_434_60F", "to": {"p": 1, "T": 1}}`), 1e-9)
		},
	}
	for id, c := range map[string][2]string{
		"U01": {"psi", "Pa"}, "U02": {"inH2O", "Pa"}, "U03": {"mmH2O", "Pa"}, "U04": {"ftH2O", "Pa"}, "U05": {"mH2O", "Pa"}, "U06": {"inHg", "Pa"},
		"U07": {"mmHg", "Pa"}, "U08": {"atm", "Pa"}, "U09": {"bar", "Pa"}, "U10": {"kgf/cm2", "Pa"}, "U11": {"usgal", "L"}, "U12": {"ukgal", "L"},
		"U13": {"usgpm", "m3/s"}, "U14": {"ukgpm", "m3/s"}, "U15": {"cfm", "L/min"}, "U16": {"cfs", "m3/s"}, "U17": {"m3/h", "L/min"}, "U18": {"hp", "W"},
		"U19": {"PS", "W"}, "U20": {"Btu_IT", "J"}, "U21": {"ftlbf", "J"}, "U22": {"in", "mm"}, "U23": {"ft", "m"}, "U24": {"kWh", "J"},
	} {
		checks[id] = is("convert", fmt.Sprintf(`{"value": 1, "from": %q, "to": %q}`, c[0], c[1]), 1)
	}
	calctest.Values(t, checks)
}

// SI prefixes and the hour, by definition.
func TestPrefixes(t *testing.T) {
	for _, c := range []struct {
		from, to string
		want     float64
	}{{"kPa", "Pa", 1000}, {"mbar", "Pa", 100}, {"L/s", "L/min", 60}, {"kW", "W", 1000}, {"Wh", "J", 3600}, {"m3", "L", 1000}, {"ft3", "L", 28.316846592}, {"m", "mm", 1000}} {
		require.InEpsilon(t, c.want, number(t, "convert", fmt.Sprintf(`{"value": 1, "from": %q, "to": %q}`, c.from, c.to)), 1e-12, c.from)
	}
}

// There and back is the number that one began with.
func TestThereAndBack(t *testing.T) {
	const seed = 5
	rng := rand.New(rand.NewPCG(seed, 0))
	groups := [][]string{
		{"Pa", "kPa", "bar", "mbar", "atm", "psi", "mmH2O", "inH2O", "mH2O", "ftH2O", "kgf/cm2", "mmHg", "inHg"},
		{"m3/s", "L/s", "L/min", "m3/h", "usgpm", "ukgpm", "cfm", "cfs"}, {"m", "mm", "in", "ft"},
		{"W", "kW", "hp", "PS"}, {"J", "Wh", "kWh", "ftlbf", "Btu_IT"}, {"m3", "L", "usgal", "ukgal", "ft3"},
	}
	for range 2000 {
		group := groups[rng.IntN(len(groups))]
		a, b := group[rng.IntN(len(group))], group[rng.IntN(len(group))]
		value := (rng.Float64() - 0.5) * math.Pow(10, 12*rng.Float64()-6)
		there, _, fault := units.Convert(units.ConvertIn{Value: value, From: a, To: b})
		require.Nil(t, fault)
		back, _, _ := units.Convert(units.ConvertIn{Value: there.Value, From: b, To: a})
		require.InEpsilon(t, value, back.Value, 1e-14, "seed %d: %g %s to %s", seed, value, a, b)
	}
}

// Codes and places are those that the specification of systems, sections 0, 6
// and 8, states.
func TestFaults(t *testing.T) {
	calctest.Faults(t, units.Calculations(), [][4]string{
		{"system/convert", `{}`, "missing", "/value"},
		{"system/convert", `{"value": 1, "from": "stone"}`, "missing", "/to"},
		{"system/convert", `{"value": "1", "from": "stone", "to": "Pa"}`, "not_a_number", "/value"},
		{"system/convert", `{"value": 1, "from": 2, "to": "Pa"}`, "unknown_value", "/from"},
		{"system/convert", `{"value": 1, "from": "stone", "to": "grain"}`, "unit", "/from"},
		{"system/convert", `{"value": 1, "from": "pa", "to": "bar"}`, "unit", "/from"},
		{"system/convert", `{"value": 1, "from": "Pa", "to": "grain"}`, "unit", "/to"},
		{"system/convert", `{"value": 1, "from": "Pa", "to": "m3"}`, "unit", "/to"},
		{"system/convert", `{"value": 1, "from": "Pa", "to": "bar", "of": "air"}`, "unknown_field", "/of"},
		{"system/convert", `{"value": 1e308, "from": "kWh", "to": "J"}`, "range", ""},
		{"system/air_reference", `{"from": 3}`, "missing", "/value"},
		{"system/air_reference", `{"value": 1}`, "missing", "/from"},
		{"system/air_reference", `{"value": 1, "from": "scfm"}`, "unknown_value", "/from"},
		{"system/air_reference", `{"value": 1, "from": 3, "to": "ANR_ISO8778"}`, "unknown_value", "/from"},
		{"system/air_reference", `{"value": 1, "from": {}, "to": "ANR_ISO8778"}`, "missing", "/from"},
		{"system/air_reference", `{"value": 1, "from": {"p": 1e5}}`, "missing", "/from/T"},
		{"system/air_reference", `{"value": 1, "from": {"p": -1, "T": 293}, "to": "ANR_ISO8778"}`, "range", "/from/p"},
		{"system/air_reference", `{"value": 1, "from": {"p": 1e5, "T": "warm"}, "to": "x"}`, "not_a_number", "/from/T"},
		{"system/air_reference", `{"value": "1", "from": "ANR_ISO8778", "to": {"p": 1e5, "T": 293, "RH": 1}}`, "unknown_field", "/to/RH"},
		{"system/air_reference", `{"value": 1, "from": "ANR_ISO8778", "to": null}`, "missing", "/to"},
	})
}

func FuzzUnits(f *testing.F) {
	f.Add([]byte(`{"value": 1, "from": {"p": 1e-300, "T": 1e300}, "to": "SCFM_60F"}`))
	calctest.Fuzz(f, units.Calculations())
}
