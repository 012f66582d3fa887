package procedure_test

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/calc/build"
	"leat/calc/procedure"
	"leat/calc/sheet"
)

var day = time.Date(2026, 11, 30, 0, 0, 0, 0, time.UTC)

const (
	deepTrompe = `"trompe": {"supply": {"type": "forebay", "level_m": 11}, "intake": {"mouth_m": 10.8, "n_tubes": 9, "tube_id_m": 0.006, "tube_od_m": 0.008, "tube_length_m": 0.4},
		"downcomer": {"bore_m": 0.0456, "outlet_m": -0.05}, "chamber": {"kind": "horizontal", "bore_m": 0.1, "length_m": 0.6, "floor_m": -0.1, "lip_m": 0, "high_m": 0.05},
		"riser": {"bore_m": 0.05, "outlet_m": 8}}`
	lowTrompe = `"trompe": {"supply": {"type": "forebay", "level_m": 0.95}, "intake": {"mouth_m": 0.75, "n_tubes": 9, "tube_id_m": 0.006, "tube_od_m": 0.008, "tube_length_m": 0.4},
		"downcomer": {"bore_m": 0.0456, "outlet_m": -0.05}, "chamber": {"kind": "horizontal", "bore_m": 0.1, "length_m": 0.6, "floor_m": -0.1, "lip_m": 0, "high_m": 0.05},
		"riser": {"bore_m": 0.05, "outlet_m": 0.4}}`
	inWater = `{"role": "downcomer", "line": "en-iso-1452-2/s8-sdr17/d50-pn12.5", "joint": "solvent"},
		{"role": "riser", "line": "en-iso-1452-2/s8-sdr17/d63-pn12.5", "joint": "solvent"},
		{"role": "chamber", "line": "iso-4427-2/pe100-sdr17/d110-pn10", "joint": "fusion", "gas_statement": true, "location": "guarded"}`
	airLine = `, {"role": "air_line", "line": "en-10255/medium/dn15", "joint": "welded", "length_m": 3, "location": "guarded"}`
	calm    = `"facts": {"t_hot_c": 20, "t_cold_c": 8, "site": {"stream": false, "pond": false, "public": false, "third_party_land": false, "digging": false, "shaft": false,
		"roof": false, "gutter": false, "head_m": 1, "tank_depth_m": 0, "electric": false, "frost": false}}`
	unsaid = `"facts": {"t_hot_c": 20, "t_cold_c": 8}`
)

func input(t *testing.T, text string) (in sheet.Input) {
	t.Helper()
	require.NoError(t, json.Unmarshal([]byte("{"+text+"}"), &in))
	return in
}

// basis is what a machine gives its test.
func basis(t *testing.T, text string) (procedure.Basis, sheet.Report) {
	t.Helper()
	in := input(t, text)
	rep, err := sheet.Run(in, build.DefaultLimits(), nil)
	require.NoError(t, err)
	require.Empty(t, rep.Faults)
	return procedure.BasisOf(in, rep, "5be1c0de00", procedure.DefaultRules()), rep
}

// deep is a trompe of 11 m whose air line, of steel, leaves it somewhere.
func deep(t *testing.T) procedure.Basis {
	b, rep := basis(t, deepTrompe+`, "parts": [`+inWater+airLine+`], `+unsaid)
	require.Empty(t, rep.Build.Barred(), "%v", rep.Build.Why)
	return b
}

// plain is a trompe whose gas can do little, at a place where nothing happens.
func plain(t *testing.T) procedure.Basis {
	b, rep := basis(t, lowTrompe+`, "source": {"kind": "tank"}, "parts": [`+inWater+`], `+calm)
	require.Empty(t, rep.Build.Barred())
	require.True(t, b.Plain, "%v", rep.Build.Why)
	return b
}

func numberOf(t *testing.T, n procedure.Names, name string) float64 {
	t.Helper()
	x, ok := n[name].Number()
	require.True(t, ok, "%s is not known", name)
	return x
}

// gauge is a dial gauge as an entry holds it.
func gauge(full, class float64, calibrated string) procedure.Values {
	return procedure.Values{"gauge_kind": procedure.Text("gauge"), "gauge": procedure.Record(map[string]procedure.Value{
		"serial": procedure.Text("G 7"), "full_scale_bar": procedure.Number(full), "class_pct": procedure.Number(class), "calibrated_on": procedure.Text(calibrated),
	})}
}

func with(v procedure.Values, name string, x procedure.Value) procedure.Values {
	more := procedure.Values{name: x}
	for name, x := range v {
		if _, ok := more[name]; !ok {
			more[name] = x
		}
	}
	return more
}

func lacking(b procedure.Basis) (texts []string) {
	names := procedure.NamesOf(b, day, nil)
	for _, l := range procedure.Lacking(b, procedure.First().Tasks(names, b.Plain), names) {
		texts = append(texts, l.Text)
	}
	return texts
}
