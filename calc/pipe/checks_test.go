package pipe_test

import (
	"testing"

	"leat/calc/calctest"
	"leat/calc/pipe"
)

func number(t *testing.T, name, input, output string) float64 {
	return calctest.Number(t, pipe.Calculations(), name, input, output)
}

func is(name, input, output string) calctest.Check {
	return calctest.Is(func(t *testing.T) []float64 { return []float64{number(t, name, input, output)} })
}

func TestPublishedValues(t *testing.T) {
	calctest.Values(t, map[string]calctest.Check{
		"H11": is("system/wave_speed", `{"D": 0.0525, "wall": 0.0039, "E_wall": 200e9}`, "a"),
		"H12": is("system/wave_speed", `{"D": 0.05, "wall": 0.003, "E_wall": 3e9}`, "a"),
	})
}
