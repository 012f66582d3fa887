package draw_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"leat/calc/build"
	"leat/calc/draw"
	"leat/calc/sheet"

	"github.com/stretchr/testify/require"
)

const (
	usualRam = `"ram":{"cycle":{"h":12,"L":15,"D":0.0525,"wall":0.0039,"E_wall":200e9}}`
	hillside = `"source":{"kind":"stream","fall_m":3,"flow_m3s":0.004}`
)

// sheets are whole machines, drawn in the goldens beside those of a trompe alone.
var sheets = map[string]string{
	"ram": `{"machine":"ram","source":{"kind":"stream","fall_m":3,"vnotch":{"angle_deg":90,"h":0.11}},` + usualRam + `}`,
	"lift": `{"machine":"lift",` + hillside + `,"lift":{"h_feed":9,"h_outlet":6},"air_line":{"L":20,"D":0.02},
		"uses":[{"kind":"forge","name":"smithy","forge":{"mm_H2O":100,"tuyere_area":0.0005}}]}`,
	"lift-to-header": `{"machine":"lift",` + hillside + `,` + usualRam + `,"lift":{"h_feed":9,"h_outlet":6},"trompe":{"supply":{"type":"forebay","level_m":6.2},
		"intake":{"mouth_m":6,"n_tubes":6,"tube_id_m":0.006,"tube_od_m":0.008,"tube_length_m":0.3,"bundle_length_m":0.04},"downcomer":{"bore_m":0.026,"outlet_m":0.06},
		"chamber":{"kind":"horizontal","bore_m":0.1,"length_m":0.5,"floor_m":0,"lip_m":0.07,"high_m":0.09},"riser":{"bore_m":0.034,"outlet_m":4}}}`,
	"pulse-alone": `{"machine":"pulse",` + hillside + `,` + usualRam + `,"pulse":{"p_trompe_gauge":20000,"p2_gauge":60000,"stroke_volume":0.0004,"clearance_volume":0.0002}}`,
	"pulse": `{"machine":"pulse",` + hillside + `,` + usualRam + `,"pulse":{"p2_gauge":60000,"stroke_volume":0.0004,"clearance_volume":0.0002},"trompe":` + machines["surplus"] + `,
		"receiver":{"tank":{"V":0.2}},"uses":[{"kind":"tool_air","name":"grinder","tool_air":{"P_shaft":60}}]}`,
	"roof": `{"source":{"kind":"roof","fall_m":2.2,"downpipe":{"d_mm":80},"roof_energy":{"A_plan":60,"rain_mm_year":900,"storm_mm":20,"storm_h":2}},"supply_pipe":{"L":4,"D":0.04},"trompe":` + machines["hose-header"] + `}`,
	"shaft-and-pond": `{"source":{"kind":"tank","fall_m":3},"air_line":{"L":30,"D":0.02},"receiver":{"tank":{"V":0.1}},
		"uses":[{"kind":"aeration","name":"nursery pond","aeration":{"depth":1.2}},{"kind":"airlift","airlift":{"D":0.04,"submergence":1,"lift":0.6}},{"kind":"orifice_air","orifice_air":{"d":0.002}}],
		"trompe":{"site":{"ground_m":1.4},"supply":{"type":"forebay","level_m":2.6},"intake":{"mouth_m":2.22,"n_tubes":30,"tube_id_m":0.01,"tube_od_m":0.012,"tube_length_m":0.5,"bundle_length_m":0.06},
		"downcomer":{"bore_m":0.0814,"outlet_m":-2.4},"chamber":{"kind":"vertical","bore_m":0.4,"lip_m":-2.36,"high_m":-2.1},"riser":{"bore_m":0.1034,"outlet_m":1.0}},
		"parts":[{"role":"chamber","name":"drain pipe","gas_class":"brittle","od_m":0.4,"wall_m":0.008,"rating_pa":100000,"marking":"PVC-U"}],"facts":{"t_hot_c":25,"t_cold_c":5}}`,
	"ring-to-forge": `{"air_line":{"L":8,"D":0.02},"receiver":{"tank":{"V":0.05}},"uses":[{"kind":"forge","forge":{"mm_H2O":100,"tuyere_area":0.0005}}],"trompe":` + machines["ring-riser"] + `}`,
}

func drawnWhole(t *testing.T, text string) (draw.Drawing, sheet.Report) {
	t.Helper()
	var in sheet.Input
	require.NoError(t, json.Unmarshal([]byte(text), &in))
	rep, err := sheet.Run(in, build.DefaultLimits(), nil)
	require.NoError(t, err)
	require.Empty(t, rep.Faults)
	return draw.Sheet(in, rep), rep
}

func TestGoldensOfWholeSheets(t *testing.T) {
	for name, text := range sheets {
		t.Run(name, func(t *testing.T) {
			d, _ := drawnWhole(t, text)
			got := readable(t, d)
			path := filepath.Join("testdata", name+".json")
			if *update {
				require.NoError(t, os.WriteFile(path, got, 0o644))
			}
			want, err := os.ReadFile(path)
			require.NoError(t, err)
			require.Equal(t, string(want), string(got))
			require.NotContains(t, strings.ReplaceAll(string(got), `"bundle": null`, ""), "null", "an empty list is a list")
		})
	}
}

// All expected numbers are those of the sheet above, or follow from them by
// Pythagoras or by subtraction.
func TestARamIsDrawnTrue(t *testing.T) {
	d, rep := drawnWhole(t, sheets["ram"])
	pipe := shape(t, d, "ram-drive-pipe").Points
	require.InDelta(t, 15, math.Hypot(pipe[0][0]-pipe[1][0], pipe[0][1]-pipe[1][1]), 2*close)
	_, top := heights(shape(t, d, "source-water"))
	require.InDelta(t, 3, top, close)
	_, top = heights(shape(t, d, "ram-delivery-pipe"))
	require.InDelta(t, 12, top, close)
	_, waste := heights(shape(t, d, "ram-body"))
	require.InDelta(t, 0, waste, close)
	dims := dimensions(d)
	require.InDelta(t, 3, dims["dim-fall"], close)
	require.InDelta(t, 12, dims["dim-lift"], close)
	require.Equal(t, 1, steps(rep)["/ram/cycle"])
	for _, part := range []draw.Part{draw.Source, draw.Ram} {
		require.True(t, whole(t, d, part))
	}
}

func dimensions(d draw.Drawing) map[string]float64 {
	all := map[string]float64{}
	for _, dim := range d.Dimensions {
		all[dim.ID] = dim.Value
	}
	return all
}

func steps(rep sheet.Report) map[string]int {
	all := map[string]int{}
	for _, s := range rep.Steps {
		all[s.At]++
	}
	return all
}

func TestALiftEndsAtTheHeader(t *testing.T) {
	alone, _ := drawnWhole(t, sheets["lift"])
	dims := dimensions(alone)
	require.InDelta(t, 9, dims["dim-lift"], close)
	require.InDelta(t, 6, dims["dim-rise"], close)
	require.True(t, whole(t, alone, draw.Source, draw.Lift, draw.AirLine, draw.Uses))

	d, rep := drawnWhole(t, sheets["lift-to-header"])
	_, top := heights(shape(t, d, "supply-water"))
	_, waste := heights(shape(t, d, "ram-body"))
	require.InDelta(t, 9, rep.Trompe.InletLevelM-waste, 2*close)
	require.InDelta(t, rep.Trompe.InletLevelM, top, close)
	_, source := heights(shape(t, d, "source-water"))
	require.InDelta(t, 3, source-waste, 2*close)
	_, end := widths(shape(t, d, "ram-delivery-pipe"))
	header, _ := widths(shape(t, d, "supply-water"))
	require.Greater(t, end, header, "it lets its water go into the header")
}

func TestAPulseTakesTheAirOfTheTrompe(t *testing.T) {
	d, rep := drawnWhole(t, sheets["pulse"])
	require.True(t, whole(t, d, append(trompeParts, draw.Source, draw.Ram, draw.Pulse, draw.Receiver, draw.Uses)...))
	_, waste := heights(shape(t, d, "ram-body"))
	require.InDelta(t, 3, rep.Trompe.InletLevelM-waste, 2*close)
	_, right := widths(shape(t, d, "riser-tail-floor"))
	left, _ := widths(shape(t, d, "pulse-chamber-wall"))
	require.Greater(t, left, right, "clear of the trompe")
}

func TestWhatTheAirIsForStandsClearOfTheMachine(t *testing.T) {
	d, _ := drawnWhole(t, sheets["shaft-and-pond"])
	require.True(t, whole(t, d, append(trompeParts, draw.Source, draw.AirLine, draw.Receiver, draw.Uses)...))
	_, right := widths(shape(t, d, "riser-tail-floor"))
	left, _ := widths(shape(t, d, "receiver-body"))
	require.Greater(t, left, right)
	bottom, _ := heights(shape(t, d, "use-1-drop"))
	_, surface := heights(shape(t, d, "use-1-pond"))
	require.InDelta(t, 1.2, surface-bottom, close)
	require.LessOrEqual(t, surface, 1.4, "a pond is in the ground")
	_, mouth := heights(shape(t, d, "use-2-left"))
	_, surface = heights(shape(t, d, "use-2-pond"))
	require.InDelta(t, 0.6, mouth-surface, close)
	_, top := heights(shape(t, d, "ground-shaft-walls"))
	require.InDelta(t, 1.4, top, close)
	require.Contains(t, strings.Join(d.Notes, " "), "shaft")
}

func TestWhatMayNotBeBuiltIsPinned(t *testing.T) {
	d, rep := drawnWhole(t, sheets["shaft-and-pond"])
	pinned := map[string]draw.Pin{}
	for _, w := range d.Warnings {
		pinned[w.Code] = w
	}
	refused := 0
	for i, part := range rep.Build.Parts {
		pin, ok := pinned[fmt.Sprintf("NOT_ALLOWED_%d", i+1)]
		require.Equal(t, part.Verdict == "not_allowed", ok, "part %d", i)
		if ok {
			refused++
			require.Equal(t, "NOT ALLOWED", pin.Text)
			require.Equal(t, part.Role, string(pin.Part)) // here each role has the name of its part
		}
	}
	require.Positive(t, refused)
}

// inventSheet makes a whole sheet of any kind, sensible or not.
func inventSheet(r *rand.Rand) object {
	fall := between(r, 0.2, 20)
	source := object{"kind": pick(r, "stream", "main", "roof", "tank"), "fall_m": fall, "flow_m3s": between(r, 1e-5, 0.1)}
	switch source["kind"] {
	case "stream":
		source["vnotch"] = object{"angle_deg": 90, "h": between(r, 0.02, 0.6)}
	case "roof":
		source["downpipe"] = object{"d_mm": 80}
	}
	ram := object{"cycle": object{"h": fall * between(r, 0.8, 40), "L": fall * between(r, 0.5, 60), "D": between(r, 0.01, 0.3), "a": 1300}}
	s := object{"machine": pick(r, "trompe", "ram", "lift", "pulse"), "source": source, "ram": ram, "uses": []object{}}
	s["lift"] = object{"h_feed": fall * between(r, 0.8, 20), "h_outlet": fall * between(r, 0.1, 15)}
	s["pulse"] = object{"p_trompe_gauge": between(r, 100, 1e5), "p2_gauge": between(r, 1e3, 1e6), "stroke_volume": between(r, 1e-5, 1), "clearance_volume": between(r, 1e-5, 1)}
	if s["machine"] == "lift" && r.IntN(2) == 0 {
		delete(s, "ram")
	}
	if s["machine"] == "trompe" || r.IntN(2) == 0 {
		s["trompe"] = invent(r)
	}
	uses := []object{}
	for range r.IntN(5) {
		uses = append(uses, pick(r,
			object{"kind": "aeration", "aeration": object{"depth": between(r, 0.1, 100)}},
			object{"kind": "airlift", "airlift": object{"D": between(r, 0.01, 1), "submergence": between(r, 0.1, 50), "lift": between(r, 0.1, 50)}},
			object{"kind": "orifice_air", "name": strings.Repeat("long name ", r.IntN(6)), "orifice_air": object{"d": between(r, 1e-4, 0.1)}},
			object{"kind": "forge", "forge": object{"mm_H2O": 100, "tuyere_area": 0.0005}},
			object{"kind": "tool_air", "tool_air": object{"P_shaft": 60}}))
	}
	s["uses"] = uses
	if r.IntN(2) == 0 {
		s["receiver"] = object{"tank": object{"V": between(r, 1e-3, 100)}}
	}
	if r.IntN(2) == 0 {
		s["air_line"] = object{"L": between(r, 0.1, 500), "D": 0.02}
	}
	if r.IntN(2) == 0 {
		s["supply_pipe"] = object{"L": between(r, 0.1, 500), "D": 0.05}
	}
	if r.IntN(4) == 0 {
		s["parts"], s["facts"] = []object{{"role": pick(r, "chamber", "drive_pipe", "air_vessel", "delivery_pipe", "receiver", "other")}}, object{"t_hot_c": 25, "t_cold_c": 5}
	}
	return s
}

func TestEverySheetIsDrawnWhole(t *testing.T) {
	const seed = 20261126
	r := rand.New(rand.NewPCG(seed, 1))
	seen := map[string]int{}
	for i := range 600 {
		raw, err := json.Marshal(inventSheet(r))
		require.NoError(t, err)
		var in sheet.Input
		require.NoError(t, json.Unmarshal(raw, &in))
		rep, err := sheet.Run(in, build.DefaultLimits(), nil)
		require.NoError(t, err)
		if len(rep.Faults) > 0 {
			continue
		}
		parts := map[string][]draw.Part{sheet.Trompe: trompeParts, sheet.Ram: {draw.Source, draw.Ram}, sheet.Lift: {draw.Source}, sheet.Pulse: {draw.Source, draw.Ram, draw.Pulse}}[in.Machine]
		if in.Machine != sheet.Ram && len(in.Uses) > len("[]") {
			parts = append(parts[:len(parts):len(parts)], draw.Uses)
		}
		d := draw.Sheet(in, rep)
		if !whole(t, d, parts...) {
			t.Fatalf("seed %d, sheet %d: %s", seed, i, raw)
		}
		seen[in.Machine]++
		if rep.Build != nil {
			seen["judged"]++
		}
		saved, err := json.Marshal(rep)
		require.NoError(t, err)
		var again sheet.Report
		require.NoError(t, json.Unmarshal(saved, &again))
		require.Equal(t, d, draw.Sheet(in, again), "a report read from the database gives the same drawing")
	}
	for _, kind := range []string{sheet.Trompe, sheet.Ram, sheet.Lift, sheet.Pulse, "judged"} {
		require.Greater(t, seen[kind], 30, kind)
	}
}
