package pipe_test

import (
	"math"
	"testing"

	"leat/calc"
	"leat/calc/calctest"
	"leat/calc/pipe"
)

func number(t testing.TB, name, input, output string) float64 {
	return calctest.Number(t, pipe.Calculations(), "system/"+name, input, output)
}

func is(name, input, output string) calctest.Check {
	return calctest.Is(func(t *testing.T) []float64 { return []float64{number(t, name, input, output)} })
}

func TestPublishedValues(t *testing.T) {
	calctest.Values(t, map[string]calctest.Check{
		"H11": is("wave_speed", `{"D": 0.0525, "wall": 0.0039, "E_wall": 200e9}`, "a"),
		"H12": is("wave_speed", `{"D": 0.05, "wall": 0.003, "E_wall": 3e9}`, "a"),
		"M09": calctest.Is(pressureDrop),
	})
}

// pressureDrop is the example in bar: bores of schedule 40 (102.26 and 128.2 mm),
// bends of 0.24 and 0.22 and the widening are from memory; the static rise and
// the change of speed belong to the drop.
func pressureDrop(*testing.T) []float64 {
	const rho, g, f, flow = 999.1, calc.Gravity, 0.018, 1.5 / 60
	narrow, wide := 4*flow/(math.Pi*0.10226*0.10226), 4*flow/(math.Pi*0.1282*0.1282)
	widening := math.Pow(1-wide/narrow, 2)
	head := 22 + pipe.HeadLoss(f, 34, 0.10226, 0.24+widening, narrow, g) + pipe.HeadLoss(f, 67, 0.1282, 0.22, wide, g) + (wide*wide-narrow*narrow)/(2*g)
	return []float64{rho * g * head / 1e5}
}
