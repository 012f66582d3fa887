package draw_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"testing"

	"leat/calc/build"
	"leat/calc/draw"
	"leat/calc/sheet"

	"github.com/stretchr/testify/require"
)

// object is a JSON object in the making.
type object map[string]any

func pick[v any](r *rand.Rand, of ...v) v { return of[r.IntN(len(of))] }

func between(r *rand.Rand, low, high float64) float64 {
	return low * math.Exp(r.Float64()*math.Log(high/low))
}

// invent makes a machine of any size and kind, sensible or not.
func invent(r *rand.Rand) object {
	rise, head, over := between(r, 0.3, 90), between(r, 0.1, 20), between(r, 0.02, 2)
	lip := between(r, 0.01, 3) - 1
	top := lip + rise + head
	bore := between(r, 0.016, 3)
	out := lip - between(r, 0.001, 1)
	down := object{"bore_m": bore, "outlet_m": out}
	if r.IntN(3) == 0 {
		down["length_m"] = (top - over - out) * between(r, 1, 2)
	}
	if r.IntN(4) == 0 {
		down["outlet_bore_m"] = bore * between(r, 1, 2)
	}
	intake := object{
		"mouth_m": top - over, "n_tubes": r.IntN(40), "tube_id_m": bore / 12, "tube_od_m": bore / 10,
		"tube_length_m": between(r, 0.05, 30), "bundle_length_m": between(r, 0.001, 1),
	}
	if r.IntN(4) == 0 {
		intake["port_cda_m2"] = bore * bore / 100
	}
	site := object{}
	if r.IntN(2) == 0 {
		site["ground_m"] = lip + (top-lip)*(3*r.Float64()-1)
	}
	return object{
		"site": site, "n_parallel": pick(r, 1, 1, 2, 3, 12), "supply": inventSupply(r, top), "intake": intake, "downcomer": down,
		"chamber": inventChamber(r, bore, lip), "riser": inventRiser(r, bore, lip+rise),
		"takeoff": pick(r, object{}, object{"mode": "closed"}, object{"mode": "open", "bore_m": 0.01}, object{"mode": "receiver", "receiver_gauge_pa": between(r, 10, 1e5)}),
	}
}

func inventSupply(r *rand.Rand, top float64) object {
	return pick(r,
		object{"type": "forebay", "level_m": top},
		object{"type": "forebay", "level_m": top, "flow_max_m3s": between(r, 1e-5, 10)},
		object{"type": "hose_open", "static_pa": 5e6, "z_m": between(r, 1, 100) - 50, "k_pa_s2_m6": 1e9, "level_max_m": top, "outlet_m": top + 0.1},
		object{"type": "hose_closed", "static_pa": 3e5, "z_m": top - 1, "k_pa_s2_m6": 1e9})
}

func inventChamber(r *rand.Rand, bore, lip float64) object {
	c := pick(r,
		object{"kind": "horizontal", "bore_m": bore * between(r, 1, 6), "length_m": bore * between(r, 2, 300), "floor_m": lip - bore/2},
		object{"kind": "vertical", "bore_m": bore * between(r, 1.1, 8)},
		object{"kind": "plan", "plan_area_m2": bore * bore * between(r, 2, 3000)})
	c["lip_m"], c["high_m"] = lip, lip+between(r, 0.001, 1)
	return c
}

func inventRiser(r *rand.Rand, bore, outlet float64) object {
	return pick(r,
		object{"bore_m": bore * between(r, 0.5, 3), "count": 1 + r.IntN(3), "outlet_m": outlet},
		object{"kind": "annulus", "inner_od_m": bore * 1.1, "outer_bore_m": bore * between(r, 1.2, 4), "outlet_m": outlet})
}

func TestEveryMachineIsDrawnWhole(t *testing.T) {
	const seed = 20261125
	r := rand.New(rand.NewPCG(seed, 1))
	wet, dry := 0, 0
	for i := range 1500 {
		raw, err := json.Marshal(invent(r))
		require.NoError(t, err)
		in := sheet.Input{Trompe: raw}
		rep, err := sheet.Run(in, build.DefaultLimits(), nil)
		require.NoError(t, err)
		if len(rep.Faults) > 0 {
			continue
		}
		if rep.Trompe.Numbers == nil {
			dry++
		} else {
			wet++
		}
		d := draw.Sheet(in, rep)
		if !whole(t, d, trompeParts...) {
			t.Fatalf("seed %d, machine %d: %s", seed, i, raw)
		}
		require.Equal(t, d, draw.Sheet(in, rep), "the same machine gives the same drawing")
	}
	require.Greater(t, wet, 200)
	require.Greater(t, dry, 100)
}

var trompeParts = []draw.Part{draw.Supply, draw.Downcomer, draw.Chamber, draw.Riser, draw.Takeoff}

// whole says whether the parts named are there, and all is drawn once, inside
// the frame, in numbers.
func whole(t *testing.T, d draw.Drawing, wanted ...draw.Part) bool {
	t.Helper()
	there := map[draw.Part]bool{}
	for _, s := range d.Shapes {
		there[s.Part] = true
	}
	for _, p := range wanted {
		if !there[p] {
			t.Logf("no %s", p)
			return false
		}
	}
	_, err := json.Marshal(d) // fails on NaN and infinity
	ok := err == nil && d.Frame.X1 > d.Frame.X0 && d.Frame.Z1 > d.Frame.Z0
	inside := func(p draw.Point) bool {
		return p[0] >= d.Frame.X0 && p[0] <= d.Frame.X1 && p[1] >= d.Frame.Z0 && p[1] <= d.Frame.Z1
	}
	ids := map[string]bool{}
	for _, s := range d.Shapes {
		ok = ok && !ids[s.ID] && len(s.Points) >= 2 && (!s.Closed || len(s.Points) >= 3)
		ids[s.ID] = true
		for _, p := range s.Points {
			ok = ok && inside(p)
		}
	}
	for _, l := range d.Levels {
		ok = ok && !ids[l.ID] && inside(l.At)
		ids[l.ID] = true
	}
	for _, l := range d.Labels {
		ok = ok && !ids[l.ID] && inside(l.At)
		ids[l.ID] = true
	}
	for _, m := range d.Dimensions {
		ok = ok && inside(m.From) && inside(m.To) && m.Value > 0
	}
	for _, f := range d.Fittings {
		ok = ok && !ids[f.ID] && inside(f.At)
		ids[f.ID] = true
	}
	ok = ok && (d.Bundle == nil || (d.Bundle.Count > 0 && d.Bundle.Fill > 0 && len(d.Bundle.Tubes)+len(d.Bundle.Notes) > 0))
	for _, w := range d.Warnings {
		ok = ok && inside(w.At)
	}
	for i := 1; i < len(d.Columns); i++ {
		ok = ok && d.Columns[i-1].X1 <= d.Columns[i].X0
	}
	return ok
}
