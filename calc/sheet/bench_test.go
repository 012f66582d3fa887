package sheet_test

import (
	"os"
	"testing"

	"leat/calc/build"
	"leat/calc/sheet"
)

// whole is a sheet with everything: source, machine, air line, receiver, uses,
// and parts of which none is allowed, so that changes are tried for each.
func whole(tb testing.TB) sheet.Input {
	text, err := os.ReadFile("../../domain/notebook/demo/pond.json")
	if err != nil {
		tb.Fatal(err)
	}
	return sheet.Input{
		Trompe:   text,
		Source:   []byte(`{"kind": "stream", "fall_m": 1.6, "bucket": {"volume": 0.01, "times": [3.1, 3.0, 3.2]}}`),
		AirLine:  []byte(`{"D": 0.016, "L": 18}`),
		Receiver: []byte(`{"tank": {"V": 0.05, "p": 118000, "p_min": 110000}}`),
		Uses:     []byte(`[{"kind": "aeration", "aeration": {"depth": 1.2}}]`),
		Parts: []byte(`[{"role": "chamber", "line": "en-iso-1452-2/s8-sdr17/d110-pn16", "joint": "solvent"},
			{"role": "downcomer", "line": "en-1401-1/sn4-sdr41/d110"}, {"role": "riser", "line": "en-1401-1/sn4-sdr41/d110"},
			{"role": "air_line", "line": "en-iso-1452-2/s8-sdr17/d50-pn12.5", "joint": "solvent"}]`),
		Facts: []byte(`{"t_hot_c": 25, "t_cold_c": 2}`),
	}
}

func BenchmarkPreview(b *testing.B) {
	bench(b, func(in sheet.Input) (sheet.Report, error) { return sheet.Run(in, build.DefaultLimits(), nil) })
}

func BenchmarkSave(b *testing.B) {
	bench(b, func(in sheet.Input) (sheet.Report, error) {
		return sheet.RunWithIntervals(in, build.DefaultLimits(), nil, 0)
	})
}

func bench(b *testing.B, run func(sheet.Input) (sheet.Report, error)) {
	in := whole(b)
	for b.Loop() {
		rep, err := run(in)
		if err != nil || len(rep.Faults) > 0 {
			b.Fatal(err, rep.Faults)
		}
	}
}
