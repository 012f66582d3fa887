package notebook_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/build"
	"leat/calc/sheet"
	"leat/calc/strength"
	"leat/calc/trompe"
)

// Why each machine is in the demo: what it must show to whoever looks at it.
var demoMachines = map[string]struct {
	status trompe.Status
	shows  string // a warning or a delivery state; empty: what its shape says
	shape  string // words of its input
}{
	"bench":         {trompe.OK, "W_FILL", `"hose_open"`},            // a rig on a hose header, tubes too few by the rule
	"bench-seven":   {trompe.OK, "at_blow_off_limit", `"hose_open"`}, // the next save, which mends that
	"bench-tap":     {trompe.OK, "W_PRESSURE_SHORT", `"hose_closed"`},
	"pond":          {trompe.OK, "at_blow_off_limit", `"forebay"`},
	"pond-diffuser": {trompe.OK, "delivering", `"receiver"`}, // air to the bed of the pond, neither flooded nor blowing off
	"sawpit":        {trompe.Surplus, "W_SURPLUS", `"wanted"`},
	"sawpit-well":   {trompe.OK, "W_RISER_TALL", `"vertical"`}, // what a deeper chamber makes of the same fall
	"standpipe":     {trompe.OK, "", `"annulus"`},
	"quarry":        {trompe.OK, "I_SCALE", `"n_parallel"`},
	"bench-drain":   {trompe.OK, "", `"en-1401-1/`},              // drainpipe, which may not hold air
	"bench-pe":      {trompe.OK, "", `"iso-4427-2/`},             // what may, on conditions
	"bench-rim":     {trompe.OK, "", `"iso-4427-2/`},             // the same with a taller riser, issued and taken back
	"bench-high":    {trompe.OK, "", `"riser_can_block": false`}, // plain, and returned all the same
	"bench-low":     {trompe.OK, "", `"riser_can_block": false`}, // plain: built, tested, certified
	"class":         {trompe.OK, "", `"riser_can_block": false`}, // the low rig on a block: built four times and measured
	"fair":          {trompe.OK, "", `/d25-pn16"`},               // one pipe size smaller: built four times and measured
	"gutter":        {trompe.Starved, "", `"roof_energy"`},       // a roof cannot run a workshop
	"hill-ram":      {trompe.OK, "", `"vnotch"`},                 // water lifted, no air
	"hill-lift":     {trompe.OK, "", `"h_feed"`},                 // pressure bought with power
	"hill-pulse":    {trompe.OK, "", `"stroke_volume"`},          // what nobody has measured
}

func TestDemoMachines(t *testing.T) {
	files, err := filepath.Glob("demo/*.json")
	require.NoError(t, err)
	require.Len(t, files, len(demoMachines))
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".json")
		t.Run(name, func(t *testing.T) {
			want, known := demoMachines[name]
			require.True(t, known, "say why it is in the demo")
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			require.Contains(t, string(text), want.shape)
			in := demoInput(t, text)
			rep, err := sheet.Run(in, build.DefaultLimits(), nil)
			require.NoError(t, err)
			require.Empty(t, rep.Faults)
			require.Equal(t, want.status, rep.Gist.Status)
			if rep.Trompe == nil {
				return
			}
			require.Equal(t, want.status, rep.Trompe.Status, rep.Trompe.Message)
			require.Equal(t, want.status != trompe.Starved, rep.Trompe.Numbers != nil)
			if rep.Trompe.Numbers == nil {
				return
			}
			warned := slices.ContainsFunc(rep.Trompe.Warnings, func(w calc.Warning) bool { return w.Code == want.shows })
			require.True(t, want.shows == "" || warned || rep.Trompe.DeliveryState == want.shows, "%s is not shown", want.shows)
			requireHydrostatic(t, in.Trompe, *rep.Trompe)
		})
	}
}

// demoInput reads a file of the demo: a whole sheet, or a trompe alone.
func demoInput(t *testing.T, text []byte) (in sheet.Input) {
	require.NoError(t, json.Unmarshal(text, &in))
	if in.Trompe == nil && in.Ram == nil {
		in.Trompe = text
	}
	return in
}

// A chamber of drainpipe may not hold air (its standard is for drains without
// pressure, EN 1401-1); the one of PE with its maker's word may, on conditions.
func TestDemoShowsWhatMayBeBuilt(t *testing.T) {
	for name, want := range map[string]string{"bench-drain": strength.NotAllowed, "bench-pe": strength.Conditional} {
		text, err := os.ReadFile("demo/" + name + ".json")
		require.NoError(t, err)
		rep, err := sheet.RunWithIntervals(demoInput(t, text), build.DefaultLimits(), nil, draws)
		require.NoError(t, err)
		for _, p := range rep.Build.Parts {
			if p.Role != build.Chamber {
				require.NotEqual(t, strength.NotAllowed, p.Verdict, p.Name)
				continue
			}
			require.Equal(t, want, p.Verdict)
			require.Equal(t, want == strength.NotAllowed, len(p.Changes) > 0, "the nearest change stands beside a refusal")
		}
	}
}

// requireHydrostatic compares the highest pressure with that of still water
// over the riser's height, 9.81 kPa a metre (hydrostatics, any textbook). Flow
// in a riser sized by a careful builder adds little.
func requireHydrostatic(t *testing.T, text []byte, res trompe.Result) {
	var machine struct {
		Chamber struct {
			LipM float64 `json:"lip_m"`
		}
		Riser struct {
			OutletM float64 `json:"outlet_m"`
		}
	}
	require.NoError(t, json.Unmarshal(text, &machine))
	still := 9810 * (machine.Riser.OutletM - machine.Chamber.LipM)
	require.InEpsilon(t, still, res.BlowOffGaugePa, 0.03)
}

// The invented people read what the machines are in the demo for, and find
// something to compare, to answer and to follow.
func (b *bundle) showsEachMachine(t *testing.T) {
	t.Helper()
	for name, want := range demoMachines {
		text, err := os.ReadFile("demo/" + name + ".json")
		require.NoError(t, err)
		whole, err := json.Marshal(demoInput(t, text))
		require.NoError(t, err)
		n := b.db.Number(t, "SELECT count(*) FROM sheets WHERE input = $1::jsonb AND report->'gist'->>'status' = $2", string(whole), string(want.status))
		require.NotZero(t, n, name)
	}
	for what, query := range map[string]string{
		"a design with two letters":       "SELECT count(*) FROM revisions WHERE letter = 'B' AND sheet_count = 2 AND state = 'draft'",
		"a letter that was taken back":    "SELECT count(*) FROM revision_ends e JOIN revisions r ON r.id = e.revision_id WHERE e.kind = 'taken_back' AND r.state = 'returned'",
		"a sheet with the second gauging": "SELECT count(*) FROM sheets s JOIN gaugings g ON g.id = s.gauging_id WHERE g.half_width_m3s > 0",
		"an open invitation":              "SELECT count(*) FROM invitations WHERE name <> ''",
		"a crew that died out":            "SELECT count(*) FROM projects p WHERE NOT EXISTS (SELECT 1 FROM crew WHERE project_id = p.id AND left_at IS NULL)",
		"a crew of three":                 "SELECT count(*) FROM (SELECT project_id FROM crew WHERE left_at IS NULL GROUP BY 1 HAVING count(*) = 3) AS three",
		"an ask to Petra":                 "SELECT count(*) FROM crew_asks k JOIN accounts a ON a.id = k.account_id WHERE k.answer IS NULL AND a.name LIKE 'Petra%'",
		"somebody with US units":          "SELECT count(*) FROM accounts WHERE own_units = 'us'",
		"half of the ball valves":         "SELECT count(*) FROM stock_items WHERE key = 'ball valve 1/2' AND NOT for_sale",
		"settings of the group":           "SELECT count(*) FROM group_settings WHERE name <> '' AND time_zone <> 'UTC'",
	} {
		require.Equal(t, 1, b.db.Number(t, query), what)
	}
	require.Zero(t, b.db.Number(t, "SELECT count(*) FROM revisions r WHERE (r.state = 'draft') = EXISTS (SELECT 1 FROM revision_issues i WHERE i.revision_id = r.id)"), "what is no draft was issued")
	require.Equal(t, 2, b.db.Number(t, "SELECT count(*) FROM (SELECT project_id FROM gaugings GROUP BY 1 HAVING count(*) = 2) AS twice"))
}
