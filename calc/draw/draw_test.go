package draw_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"leat/calc/build"
	"leat/calc/draw"
	"leat/calc/sheet"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "rewrite the goldens; look at the pictures of each before you commit one")

// machines are drawn in the goldens: the first is of a kind that a builder
// starts with, each other one has something that it has not.
var machines = map[string]string{
	"hose-header": `{"supply":{"type":"hose_open","static_pa":280000,"z_m":0.2,"k_pa_s2_m6":3e12,"level_max_m":1.6,"outlet_m":1.7},
		"intake":{"mouth_m":1.4,"n_tubes":7,"tube_id_m":0.006,"tube_od_m":0.008,"tube_length_m":0.3,"bundle_length_m":0.05},
		"downcomer":{"bore_m":0.026,"outlet_m":0.06},"chamber":{"kind":"horizontal","bore_m":0.1,"length_m":0.5,"floor_m":0,"lip_m":0.07,"high_m":0.09},
		"riser":{"bore_m":0.034,"outlet_m":1.05}}`,
	"surplus": `{"supply":{"type":"forebay","level_m":3.2},"intake":{"mouth_m":3,"n_tubes":26,"tube_id_m":0.013,"tube_od_m":0.016,"tube_length_m":0.4,"bundle_length_m":0.05},
		"downcomer":{"bore_m":0.1036,"outlet_m":0},"chamber":{"kind":"horizontal","bore_m":0.3,"length_m":1.5,"floor_m":-0.1,"lip_m":0.05,"high_m":0.14},
		"riser":{"bore_m":0.1522,"outlet_m":1.05}}`,
	"ring-riser": `{"supply":{"type":"forebay","level_m":4},"intake":{"mouth_m":3.7,"n_tubes":10,"tube_id_m":0.008,"tube_od_m":0.01,"tube_length_m":0.5,"bundle_length_m":0.05},
		"downcomer":{"bore_m":0.045,"outlet_m":0.1},"chamber":{"kind":"vertical","bore_m":0.3,"inner_od_m":0.16,"lip_m":0.2,"high_m":0.45},
		"riser":{"kind":"annulus","outer_bore_m":0.15,"inner_od_m":0.05,"outlet_m":2.6}}`,
	"leaning-pair": `{"n_parallel":2,"supply":{"type":"forebay","level_m":4},"intake":{"mouth_m":3.7,"n_tubes":20,"tube_id_m":0.01,"tube_od_m":0.012,"tube_length_m":0.1},
		"downcomer":{"bore_m":0.067,"outlet_m":0.1,"length_m":4.1},"chamber":{"kind":"horizontal","bore_m":0.4,"length_m":3,"floor_m":0,"lip_m":0.2,"high_m":0.35},
		"riser":{"bore_m":0.15,"outlet_m":2.7},"takeoff":{"mode":"receiver","receiver_gauge_pa":15000,"bore_m":0.01,"length_m":5}}`,
	"mains-closed-head": `{"supply":{"type":"hose_closed","static_pa":60000,"z_m":1,"k_pa_s2_m6":2e11},"intake":{"mouth_m":2,"n_tubes":8,"tube_id_m":0.006,"tube_od_m":0.008,"tube_length_m":0.4,"bundle_length_m":0.04},
		"downcomer":{"bore_m":0.03,"outlet_m":0.1},"chamber":{"kind":"vertical","bore_m":0.2,"lip_m":0.15,"high_m":0.3},"riser":{"bore_m":0.04,"count":2,"outlet_m":1.5},"takeoff":{"mode":"closed"}}`,
	"rock-chamber": `{"supply":{"type":"forebay","level_m":16.46},"intake":{"mouth_m":13.96,"n_tubes":9000,"tube_id_m":0.02,"tube_od_m":0.024,"tube_length_m":1,"throat_area_m2":5.8},
		"downcomer":{"bore_m":2.896,"outlet_bore_m":4.88,"outlet_m":-88},"chamber":{"kind":"plan","plan_area_m2":1850,"lip_m":-86.6,"high_m":-83},"riser":{"bore_m":6.7,"outlet_m":0}}`,
	"buried-flared": `{"site":{"ground_m":0.9},"supply":{"type":"forebay","level_m":2.6},"intake":{"mouth_m":2.2,"n_tubes":30,"tube_id_m":0.01,"tube_od_m":0.012,"tube_length_m":0.5,"bundle_length_m":0.06},
		"downcomer":{"bore_m":0.0814,"outlet_bore_m":0.12,"outlet_m":-2.4},"chamber":{"kind":"horizontal","bore_m":0.3,"length_m":1.8,"floor_m":-2.5,"lip_m":-2.3,"high_m":-2.22},
		"riser":{"bore_m":0.1034,"outlet_m":1},"takeoff":{"mode":"receiver","receiver_gauge_pa":27000,"bore_m":0.01,"length_m":9}}`,
	"no-fall": `{"supply":{"type":"forebay","level_m":2},"intake":{"mouth_m":1.8,"n_tubes":7,"tube_id_m":0.006,"tube_od_m":0.008,"tube_length_m":0.3},
		"downcomer":{"bore_m":0.026,"outlet_m":0.06},"chamber":{"kind":"horizontal","bore_m":0.1,"length_m":0.5,"floor_m":0,"lip_m":0.07,"high_m":0.09},"riser":{"bore_m":0.034,"outlet_m":2.5}}`,
}

func drawn(t *testing.T, machine string) (draw.Drawing, sheet.Report) {
	t.Helper()
	in := sheet.Input{Trompe: json.RawMessage(machine)}
	rep, err := sheet.Run(in, build.DefaultLimits(), nil)
	require.NoError(t, err)
	require.Empty(t, rep.Faults)
	return draw.Sheet(in, rep), rep
}

func TestGoldens(t *testing.T) {
	for name, machine := range machines {
		t.Run(name, func(t *testing.T) {
			d, _ := drawn(t, machine)
			got := readable(t, d)
			path := filepath.Join("testdata", name+".json")
			if *update {
				require.NoError(t, os.WriteFile(path, got, 0o644))
			}
			want, err := os.ReadFile(path)
			require.NoError(t, err)
			require.Equal(t, string(want), string(got))
		})
	}
}

// readable writes a drawing with one shape, label or mark a line.
func readable(t *testing.T, d draw.Drawing) []byte {
	t.Helper()
	raw, err := json.Marshal(d)
	require.NoError(t, err)
	var whole map[string]json.RawMessage
	require.NoError(t, json.Unmarshal(raw, &whole))
	var out bytes.Buffer
	out.WriteString("{\n")
	names := []string{"frame", "columns", "shapes", "levels", "dimensions", "labels", "fittings", "warnings", "notes", "bundle"}
	require.Len(t, whole, len(names))
	for i, name := range names {
		var list []json.RawMessage
		out.WriteString(`"` + name + `": `)
		if whole[name][0] != '[' { // an object, or null
			out.Write(whole[name])
		} else {
			require.NoError(t, json.Unmarshal(whole[name], &list))
			out.WriteString("[")
			for k, item := range list {
				out.WriteString(map[bool]string{true: ",\n  ", false: "\n  "}[k > 0])
				out.Write(item)
			}
			out.WriteString("]")
		}
		out.WriteString(map[bool]string{true: ",\n", false: "\n}\n"}[i < len(names)-1])
	}
	return out.Bytes()
}

func shape(t *testing.T, d draw.Drawing, id string) draw.Shape {
	t.Helper()
	for _, s := range d.Shapes {
		if s.ID == id {
			return s
		}
	}
	require.Fail(t, "no shape "+id)
	return draw.Shape{}
}

func heights(s draw.Shape) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, p := range s.Points {
		low, high = math.Min(low, p[1]), math.Max(high, p[1])
	}
	return low, high
}

func widths(s draw.Shape) (left, right float64) {
	left, right = math.Inf(1), math.Inf(-1)
	for _, p := range s.Points {
		left, right = math.Min(left, p[0]), math.Max(right, p[0])
	}
	return left, right
}

const close = 1e-4 // m, to which a drawing is rounded

// The expected numbers here are those of the input above, or follow from it by
// Pythagoras; none is copied from a drawing.
func TestSizesAreTrue(t *testing.T) {
	d, _ := drawn(t, machines["hose-header"])
	left, _ := widths(shape(t, d, "downcomer-1-wall-left"))
	right, _ := widths(shape(t, d, "downcomer-1-wall-right"))
	require.InDelta(t, 0.026, right-left, close)
	low, high := heights(shape(t, d, "downcomer-1-wall-left"))
	require.InDelta(t, 0.06, low, close)
	require.InDelta(t, 1.45, high, close) // mouth and bundle
	left, right = widths(shape(t, d, "chamber-floor"))
	require.InDelta(t, 0.5, right-left, close)
	low, high = heights(shape(t, d, "chamber-left"))
	require.InDelta(t, 0, low, close)
	require.InDelta(t, 0.1, high, close)
	low, high = heights(shape(t, d, "intake-1-tube-1"))
	require.InDelta(t, 1.4, low, close)
	require.InDelta(t, 1.7, high, close)

	lean, _ := drawn(t, machines["leaning-pair"])
	wall := shape(t, lean, "downcomer-2-wall-left").Points
	length := math.Hypot(wall[0][0]-wall[1][0], wall[0][1]-wall[1][1])
	require.InDelta(t, 4.1, length, 2*close)
	across := shape(t, lean, "downcomer-1-wall-right").Points[1][0] - shape(t, lean, "downcomer-1-wall-left").Points[1][0]
	require.InDelta(t, 0.067*4.1/3.6, across, 2*close) // a leaning pipe cut level

	ring, _ := drawn(t, machines["ring-riser"])
	left, right = widths(shape(t, ring, "riser-inside-left"))
	require.InDelta(t, (0.15-0.05)/2, right-left, close)
}

func TestWaterStandsWhereItWasCalculated(t *testing.T) {
	for name, machine := range machines {
		d, rep := drawn(t, machine)
		if rep.Trompe.Numbers == nil {
			require.Equal(t, "no-fall", name)
			for _, s := range d.Shapes {
				require.NotContains(t, []draw.Kind{draw.Water, draw.Air, draw.Mixture, draw.Film}, s.Kind)
			}
			continue
		}
		n := rep.Trompe.Numbers
		_, top := heights(shape(t, d, "chamber-water"))
		require.InDelta(t, n.ChamberLevelM, top, close, name)
		bottom, _ := heights(shape(t, d, "chamber-air"))
		require.InDelta(t, n.ChamberLevelM, bottom, close, name)
		if name != "mains-closed-head" { // its head line is far above the machine
			_, top = heights(shape(t, d, "supply-water"))
			require.InDelta(t, n.InletLevelM, top, close, name)
		}
	}
}

func TestSurplusShowsWhereThePipeFills(t *testing.T) {
	d, rep := drawn(t, machines["surplus"])
	plunge := rep.Trompe.PlungeLevelM
	require.Less(t, plunge, 3.0)
	low, high := heights(shape(t, d, "downcomer-1-core"))
	require.InDelta(t, plunge, low, close)
	require.InDelta(t, 3.0, high, close)
	_, high = heights(shape(t, d, "downcomer-1-mix-1"))
	require.InDelta(t, plunge, high, close)
	low, _ = heights(shape(t, d, "downcomer-1-mix-10"))
	require.InDelta(t, 0, low, close)
}

func TestDimensionsAreDifferencesOfLevels(t *testing.T) {
	d, rep := drawn(t, machines["surplus"])
	want := map[string]float64{"dim-head": 3.2 - 1.05, "dim-rise": 1.05 - 0.05, "dim-drop": 3.2 - 0.05}
	for _, dim := range d.Dimensions {
		require.InDelta(t, want[dim.ID], dim.Value, close, dim.ID)
		require.InDelta(t, want[dim.ID], dim.From[1]-dim.To[1], close, dim.ID)
	}
	require.Len(t, d.Dimensions, len(want))
	require.InDelta(t, rep.Trompe.HeadM, want["dim-head"], close)
}

func TestEveryWarningHasAPin(t *testing.T) {
	seen := 0
	for name, machine := range machines {
		d, rep := drawn(t, machine)
		require.Len(t, d.Warnings, len(rep.Trompe.Warnings), name)
		for i, w := range rep.Trompe.Warnings {
			require.Equal(t, w.Code, d.Warnings[i].Code)
			require.NotEqual(t, w.Code, d.Warnings[i].Text, "no words for "+w.Code)
			seen++
		}
	}
	require.Positive(t, seen)
}

func TestUnreadableInputDrawsNothing(t *testing.T) {
	in := sheet.Input{Trompe: json.RawMessage(`{"supply":{"type":"forebay"}}`)}
	rep, err := sheet.Run(in, build.DefaultLimits(), nil)
	require.NoError(t, err)
	require.NotEmpty(t, rep.Faults)
	d := draw.Sheet(in, rep)
	require.Empty(t, d.Shapes)
	text, err := json.Marshal(d)
	require.NoError(t, err)
	require.NotContains(t, strings.ReplaceAll(string(text), `"bundle":null`, ""), "null", "an empty list is a list")
}

// All expected numbers are levels of the input, or differences of two.
func TestGroundIsWhereItWasGiven(t *testing.T) {
	d, _ := drawn(t, machines["buried-flared"])
	_, top := heights(shape(t, d, "ground-body"))
	require.InDelta(t, 0.9, top, close)
	require.Equal(t, draw.Ground, d.Shapes[1].Kind, "buried parts are painted over the ground")
	digs := map[string]float64{}
	for _, dim := range d.Dimensions {
		digs[dim.ID] = dim.Value
	}
	require.InDelta(t, 0.9+2.5, digs["dim-dig"], close)
	require.Contains(t, strings.Join(d.Notes, " "), "shore")

	free, _ := drawn(t, machines["surplus"])
	for _, s := range free.Shapes {
		require.NotEqual(t, "ground-body", s.ID, "no level of the ground was given")
	}
	far, _ := drawn(t, strings.Replace(machines["surplus"], `{`, `{"site":{"ground_m":500},`, 1))
	require.Less(t, far.Frame.Z1, 10.0, "a slip of the finger must not shrink the machine to a dot")
	require.Contains(t, strings.Join(far.Notes, " "), "level of the ground")
}

func TestFlareAndReceiverAreDrawn(t *testing.T) {
	d, _ := drawn(t, machines["buried-flared"])
	left, _ := widths(shape(t, d, "downcomer-1-wall-left"))
	_, right := widths(shape(t, d, "downcomer-1-wall-right"))
	require.InDelta(t, 0.12, right-left, close)
	_, level := heights(shape(t, d, "takeoff-line"))
	require.Greater(t, level, 0.9, "the gauge of a buried machine stands above ground")
	left, right = widths(shape(t, d, "takeoff-receiver"))
	require.Greater(t, right, left)
	trough, _ := widths(shape(t, d, "riser-tail-floor"))
	require.Less(t, right, trough-0.1034, "clear of the riser, whose bore that is")
	require.NotNil(t, d.Bundle)
	require.Len(t, d.Bundle.Tubes, 30)
	require.InDelta(t, 30*0.012*0.012/(0.0814*0.0814), d.Bundle.Fill, close) // area of the tubes over that of the bore

	many, _ := drawn(t, machines["rock-chamber"])
	require.Empty(t, many.Bundle.Tubes)
	require.NotEmpty(t, many.Bundle.Notes)
}
