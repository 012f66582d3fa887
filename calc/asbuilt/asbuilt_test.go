package asbuilt_test

import (
	"encoding/json"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/asbuilt"
	"leat/calc/build"
	"leat/calc/sheet"
)

// drawn is an invented trompe of 5 m with its parts.
const drawn = `{
	"trompe": {"supply": {"type": "forebay", "level_m": 5}, "intake": {"mouth_m": 4.8, "n_tubes": 32, "tube_id_m": 0.006, "tube_od_m": 0.008, "tube_length_m": 0.4},
		"downcomer": {"bore_m": 0.0816, "outlet_m": -0.05}, "chamber": {"kind": "horizontal", "bore_m": 0.1, "length_m": 0.6, "floor_m": -0.1, "lip_m": 0, "high_m": 0.05},
		"riser": {"bore_m": 0.1, "outlet_m": 3}},
	"air_line": {"D": 0.013, "L": 20},
	"uses": [{"kind": "aeration", "name": "trout", "aeration": {"depth": 1.2}}],
	"parts": [{"role": "chamber", "name": "drum", "line": "iso-4427-2/pe100-sdr17/d110-pn10", "joint": "fusion", "gas_statement": true, "location": "guarded", "length_m": 0.6},
		{"role": "downcomer", "line": "en-iso-1452-2/s8-sdr17/d90-pn12.5", "joint": "solvent"}, {"role": "riser", "line": "en-iso-1452-2/s8-sdr17/d110-pn16", "joint": "solvent", "marking": "printed"}],
	"facts": {"t_hot_c": 20, "t_cold_c": 6, "relief_set_pa": 50000, "site": {"shaft": false, "digging": false}}}`

func read(t *testing.T, text string) (in sheet.Input) {
	t.Helper()
	require.NoError(t, json.Unmarshal([]byte(text), &in))
	return in
}

func machine(t *testing.T) sheet.Input { return read(t, drawn) }

// product.md, "Build": a longer riser, 28 tubes instead of 32; sizes, levels and
// counts. What changes a material, a rating or a relief needs a new revision.
func TestWhatMayDiffer(t *testing.T) {
	for at, may := range map[string]bool{
		"/trompe/riser/length_m": true, "/trompe/riser/outlet_m": true, "/trompe/intake/n_tubes": true, "/trompe/n_parallel": true,
		"/trompe/chamber/plan_area_m2": true, "/trompe/supply/level_m": true, "/trompe/downcomer/bore_m": true, "/air_line/L": true,
		"/ram/cycle/L": true, "/ram/waste_valve/disc_area": true, "/pulse/clearance_volume": true, "/parts/11/length_m": true, "/parts/0/count": true, "/uses/0/aeration/depth": true,

		"/parts/0/line": false, "/parts/0/table": false, "/parts/0/gas_class": false, "/parts/0/rating_pa": false, "/parts/0/marking": false, "/parts/0/joint": false,
		"/parts/0/thread": false, "/parts/0/into": false, "/parts/0/location": false, "/parts/0/gas_statement": false, "/parts/0/certified": false, "/parts/0/holds_gas": false,
		"/parts/0/p_design_pa": false, "/parts/0/od_m": false, "/parts/0/wall_m": false, "/parts/0/role": false, "/parts/0": false, "/parts": false,
		"/facts/relief_set_pa": false, "/facts/relief_orifice_m2": false, "/facts/t_hot_c": false, "/facts/gas_volume_m3": false, "/facts/site/depth_m": false, "/facts/site/shaft": false,
		"/trompe/riser/k_minor": false, "/trompe/riser/roughness_m": false, "/trompe/chamber/kind": false, "/trompe/supply/static_pa": false, "/trompe/site/altitude_m": false,
		"/trompe/takeoff/receiver_gauge_pa": false, "/trompe/params/k_in": false, "/trompe/wanted/gauge_pa": false, "/ram/cycle/wall": false, "/receiver/tank/V": false,
		"/machine": false, "/source/fall_m": false, "/trompe/riser/lenght_m": false, "": false, "/": false, "trompe": false, "/uses/0/kind": false,
		"/parts/00/length_m": false, "/parts/+1/length_m": false, "/parts/*/length_m": false, "/parts/-1/length_m": false, "/parts//length_m": false,
	} {
		require.Equal(t, may, asbuilt.May(at), at)
	}
}

func TestEveryPlaceThatIsOfferedIsTaken(t *testing.T) {
	in := machine(t)
	places := asbuilt.Places(in)
	var all []string
	for _, p := range places {
		all = append(all, p.At)
		out, faults := asbuilt.Apply(in, map[string]float64{p.At: 7})
		require.Empty(t, faults, p.At)
		require.NotEqual(t, in, out, p.At)
		i := slices.IndexFunc(asbuilt.Places(out), func(q asbuilt.Place) bool { return q.At == p.At })
		require.Equal(t, 7.0, *asbuilt.Places(out)[i].Value)
		require.NotEmpty(t, p.About)
	}
	require.Subset(t, all, []string{"/trompe/intake/n_tubes", "/trompe/riser/length_m", "/parts/2/length_m", "/parts/2/count", "/air_line/L", "/uses/0/aeration/depth"})
	require.NotContains(t, all, "/trompe/chamber/plan_area_m2", "the chamber is a pipe")
	require.NotContains(t, all, "/ram/cycle/L", "there is no ram")
	n := places[slices.Index(all, "/trompe/intake/n_tubes")]
	require.Equal(t, calc.Count, n.Kind)
	require.Equal(t, 32.0, *n.Value)
	require.Nil(t, places[slices.Index(all, "/trompe/riser/length_m")].Value)
}

func TestWhatTheSheetHasItselfIsNoDifference(t *testing.T) {
	values := map[string]float64{"/trompe/intake/n_tubes": 32, "/trompe/riser/bore_m": 0.15, "/trompe/riser/length_m": 3, "/parts/0/rating_pa": 1}
	require.Equal(t, map[string]float64{"/trompe/riser/bore_m": 0.15, "/trompe/riser/length_m": 3, "/parts/0/rating_pa": 1}, asbuilt.Differing(machine(t), values))
	require.Len(t, values, 4)
	require.NotNil(t, asbuilt.Differing(machine(t), map[string]float64{}))
}

func TestApplyNamesEachFaultAndChangesNothingThen(t *testing.T) {
	in := machine(t)
	out, faults := asbuilt.Apply(in, map[string]float64{
		"/trompe/intake/n_tubes": 28, "/parts/0/rating_pa": 1e6, "/parts/3/length_m": 1, "/ram/cycle/L": 3, "/trompe/tubes": 3, "/facts/relief_set_pa": 6e4,
	})
	require.Equal(t, in, out)
	codes := map[string]calc.FaultCode{}
	for _, f := range faults {
		codes[f.At] = f.Code
		require.NotEmpty(t, f.Message)
	}
	require.Equal(t, map[string]calc.FaultCode{
		"/parts/0/rating_pa": asbuilt.NeedsRevision, "/facts/relief_set_pa": asbuilt.NeedsRevision,
		"/parts/3/length_m": calc.Missing, "/ram/cycle/L": calc.Missing, "/trompe/tubes": calc.UnknownField,
	}, codes)

	out, faults = asbuilt.Apply(in, map[string]float64{"/trompe/intake/n_tubes": 28, "/trompe/riser/length_m": 3.4})
	require.Empty(t, faults)
	rep, err := sheet.Run(out, build.DefaultLimits(), nil)
	require.NoError(t, err)
	require.Empty(t, rep.Faults)
	require.Contains(t, string(out.Trompe), `"n_tubes":28`)
	require.Contains(t, string(out.Trompe), `"length_m":3.4`)
	require.Contains(t, string(in.Trompe), `"n_tubes": 32`, "the sheet itself stays")
}

// For any handful of places: put in what stands there, and the hash stays; put
// in another number, and it is another, whichever place it is.
func TestDifferencesAndTheHash(t *testing.T) {
	in := machine(t)
	before := hash(t, in, nil, nil)
	var told []asbuilt.Place
	for _, p := range asbuilt.Places(in) {
		if p.Value != nil && !strings.HasPrefix(p.At, "/uses/") { // what the air is for is not under test
			told = append(told, p)
		}
	}
	require.Greater(t, len(told), 15)
	const seed = 20261130
	t.Log("seed", seed)
	dice := rand.New(rand.NewPCG(seed, 1))
	for range 2000 {
		same, other := map[string]float64{}, map[string]float64{}
		for range 1 + dice.IntN(5) {
			p := told[dice.IntN(len(told))]
			same[p.At] = *p.Value
			other[p.At] = *p.Value + float64(1+dice.IntN(1000))/1000
		}
		out, faults := asbuilt.Apply(in, same)
		require.Empty(t, faults)
		require.Equal(t, before, hash(t, out, nil, nil), same)
		out, faults = asbuilt.Apply(in, other)
		require.Empty(t, faults)
		require.NotEqual(t, before, hash(t, out, nil, nil), other)
	}
}

func TestRenewalsAreCounted(t *testing.T) {
	in := machine(t)
	require.Equal(t, []string{"/parts/0", "/parts/0/joint", "/parts/1", "/parts/1/joint", "/parts/2", "/parts/2/joint", "/facts/relief_set_pa"}, asbuilt.Renewable(in))
	counts, faults := asbuilt.Renew(in, nil, []string{"/parts/0", "/parts/1/joint"})
	require.Empty(t, faults)
	before := counts
	counts, faults = asbuilt.Renew(in, counts, []string{"/parts/0", "/facts/relief_set_pa"})
	require.Empty(t, faults)
	require.Equal(t, map[string]int{"/parts/0": 2, "/parts/1/joint": 1, "/facts/relief_set_pa": 1}, counts)
	require.Equal(t, map[string]int{"/parts/0": 1, "/parts/1/joint": 1}, before, "what was before stays")

	_, faults = asbuilt.Renew(in, nil, []string{"/parts/7", "/parts/0", "/parts/0", "/parts/0/line", ""})
	var at []string
	for _, f := range faults {
		at = append(at, f.At)
	}
	require.Equal(t, []string{"/parts/7", "/parts/0", "/parts/0/line", ""}, at)

	smaller := read(t, `{"parts": [{"role": "chamber"}]}`)
	counts, faults = asbuilt.Renew(smaller, counts, nil)
	require.Empty(t, faults)
	require.Equal(t, map[string]int{"/parts/0": 2}, counts, "what the new sheet does not have is no longer counted")
}

// worse runs the machine as drawn and as built, and says what got worse.
func worse(t *testing.T, differences map[string]float64) []string {
	t.Helper()
	was, err := sheet.Run(machine(t), build.DefaultLimits(), nil)
	require.NoError(t, err)
	require.NotNil(t, was.Build)
	require.NotEqual(t, "barred", string(was.Build.Class), "%v", was.Build.Why)
	in, faults := asbuilt.Apply(machine(t), differences)
	require.Empty(t, faults)
	now, err := sheet.Run(in, build.DefaultLimits(), nil)
	require.NoError(t, err)
	require.Empty(t, now.Faults)
	return asbuilt.Worse(was.Build, now.Build)
}

func TestWorseAnswersAreToldInWords(t *testing.T) {
	require.Empty(t, worse(t, map[string]float64{"/trompe/intake/n_tubes": 28, "/trompe/riser/length_m": 3.4}))
	require.Empty(t, worse(t, map[string]float64{"/trompe/supply/level_m": 4.9}), "what gets better is not told")
	said := strings.Join(worse(t, map[string]float64{"/trompe/supply/level_m": 90}), " ")
	require.Contains(t, said, "The hazard class rises from", said)
	require.Contains(t, said, "drum: it was conditional and would be not allowed.", said)
}

func TestEachKindOfWorse(t *testing.T) {
	allowed := build.Judged{At: "/parts/0", Role: "riser", Verdict: "allowed"}
	with := func(class, verdict string, conditions, reasons []build.Said) *build.Report {
		p := allowed
		p.Verdict, p.Conditions, p.Reasons = verdict, conditions, reasons
		r := &build.Report{Parts: []build.Judged{p}}
		_ = json.Unmarshal([]byte(`"`+class+`"`), &r.Class)
		return r
	}
	clear, relief, vent := []build.Said{{Code: "keep_clear", Text: "Keep clear."}}, []build.Said{{Code: "relief_required", Text: "Relief."}}, []build.Said{{Code: "keep_clear", Text: "Keep clear."}, {Code: "vent_open", Text: "Vent."}}
	for name, c := range map[string]struct {
		was, now *build.Report
		want     []string
	}{
		"the same":            {with("plain", "conditional", clear, nil), with("plain", "conditional", clear, nil), nil},
		"class":               {with("plain", "allowed", nil, nil), with("raised", "allowed", nil, nil), []string{"The hazard class rises from plain to raised ()."}},
		"class falls":         {with("raised", "allowed", nil, nil), with("plain", "allowed", nil, nil), nil},
		"verdict":             {with("raised", "allowed", nil, nil), with("raised", "conditional", clear, nil), []string{"riser: it was allowed and would be conditional.", "riser: one more condition. Keep clear."}},
		"verdict gets better": {with("raised", "conditional", clear, nil), with("raised", "allowed", nil, nil), nil},
		"not allowed":         {with("raised", "conditional", clear, nil), with("raised", "not_allowed", nil, relief), []string{"riser: it was conditional and would be not allowed.", "riser: Relief."}},
		"a condition more":    {with("raised", "conditional", clear, nil), with("raised", "conditional", vent, nil), []string{"riser: one more condition. Vent."}},
		"a condition less":    {with("raised", "conditional", vent, nil), with("raised", "conditional", clear, nil), nil},
		"another condition":   {with("raised", "conditional", clear, nil), with("raised", "conditional", relief, nil), []string{"riser: one more condition. Relief."}},
		"a part more":         {&build.Report{Class: "plain"}, with("plain", "allowed", nil, nil), []string{"riser: it was not among the parts that were judged."}},
		"not judged":          {with("plain", "allowed", nil, nil), nil, []string{"Whether it may be built can’t be said any more."}},
		"neither judged":      {nil, nil, nil},
	} {
		require.Equal(t, c.want, asbuilt.Worse(c.was, c.now), name)
	}
}
