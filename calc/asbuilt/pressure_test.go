package asbuilt_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/asbuilt"
	"leat/calc/build"
	"leat/calc/sheet"
	"leat/calc/trompe"
	"leat/domain/digest"
)

// outside is what section 10 of the safety rules leaves out of the pressure
// hash: comments, photos and names; and what is neither part, geometry, joint,
// pressure, temperature, level, relief nor site fact: flows, losses, properties
// of air and water, timing of valves, coefficients, wishes, uses, the source,
// the test gauge and the wait for cement. A prefix ends in a stroke.
var outside = []string{
	"/parts/*/name", "/parts/*/picture",
	"/facts/gauge_full_pa", "/facts/gauge_class_pct", "/facts/gauge_age_days", "/facts/rh_pct",
	"/source/", "/uses/", "/receiver/runtime/", "/receiver/condensate/", "/receiver/fill/", "/receiver/everyday/", "/ram/band/", "/air_line/mu", "/trompe/wanted/", "/trompe/params/", "/trompe/params", "/trompe/tolerances",
	"/trompe/site/rh", "/trompe/site/g", "/trompe/site/water_saturation", "/trompe/supply/flow_max_m3s", "/trompe/supply/k_pa_s2_m6",
	"/trompe/intake/k_in", "/trompe/downcomer/k_minor", "/trompe/riser/k_minor", "/trompe/takeoff/k",
	"/supply_pipe/Q", "/supply_pipe/K", "/supply_pipe/nu", "/supply_pipe/rho",
	"/ram/wave_speed/rho", "/ram/wave_speed/c1",
	"/ram/cycle/a", "/ram/cycle/V_close", "/ram/cycle/V_close_ratio", "/ram/cycle/nu", "/ram/cycle/K_drive", "/ram/cycle/K_waste_valve", "/ram/cycle/K_delivery_valve",
	"/ram/cycle/t_close", "/ram/cycle/recoil_factor", "/ram/cycle/ripple", "/ram/cycle/rho", "/ram/cycle/f",
	"/ram/waste_valve/F_hold", "/ram/waste_valve/C_force", "/ram/waste_valve/rho",
	"/lift/Q", "/lift/eta_ram", "/lift/eta_trompe", "/lift/eta", "/lift/rho",
	"/pulse/n", "/pulse/coupling_eff", "/pulse/rho",
	"/air_line/Q_free", "/air_line/K", "/air_line/f",
}

func isOutside(at string) bool {
	return slices.ContainsFunc(outside, func(o string) bool { return o == at || strings.HasSuffix(o, "/") && strings.HasPrefix(at, o) })
}

// everything is a sheet on which every declared field has a value, by its
// pattern. It is no machine: what is tested is what the hash looks at.
type everything struct {
	whole  map[string]any
	fields map[string]calc.Field
}

func full(t *testing.T) everything {
	t.Helper()
	e := everything{whole: map[string]any{}, fields: map[string]calc.Field{}}
	e.fill(t, "/trompe", trompe.Inputs())
	e.fill(t, "", sheet.Inputs())
	return e
}

func (e everything) fill(t *testing.T, below string, fields []calc.Field) {
	for _, f := range fields {
		at := below + f.At
		switch f.Kind {
		case calc.Group:
			continue
		case calc.Records:
			e.set(at, []any{map[string]any{}})
			e.fill(t, at+"/*", f.Item)
			continue
		}
		e.fields[at] = f
		e.set(at, value(f, false))
	}
}

// value is one of two values of a field, neither its default.
func value(f calc.Field, other bool) any {
	switch f.Kind {
	case calc.Choice, calc.Any:
		if len(f.Choices) < 2 {
			return map[bool]any{false: "one", true: "other"}[other]
		}
		return f.Choices[map[bool]int{false: 0, true: 1}[other]]
	case calc.Flag:
		return other
	case calc.Text:
		return map[bool]any{false: "one", true: "other"}[other]
	case calc.Number, calc.Count:
		return map[bool]any{false: 41.0, true: 43.0}[other]
	}
	return map[bool]any{false: []any{41.0}, true: []any{43.0}}[other]
}

// set puts a value at a pattern; the first entry stands for all.
func (e everything) set(at string, v any) {
	names := strings.Split(strings.ReplaceAll(at, "*", "0"), "/")[1:]
	above := any(e.whole)
	for i, name := range names[:len(names)-1] {
		if list, ok := above.([]any); ok {
			above = list[0]
			continue
		}
		object, _ := above.(map[string]any)
		if object[name] == nil || i < len(names)-2 && !isContainer(object[name]) {
			object[name] = map[string]any{}
		}
		above = object[name]
	}
	if object, ok := above.(map[string]any); ok {
		object[names[len(names)-1]] = v
	}
}

func isContainer(v any) bool {
	switch v.(type) {
	case map[string]any, []any:
		return true
	}
	return false
}

func (e everything) hash(t *testing.T) digest.Sum {
	t.Helper()
	text, err := json.Marshal(e.whole)
	require.NoError(t, err)
	var in sheet.Input
	require.NoError(t, json.Unmarshal(text, &in))
	return hash(t, in, nil, nil)
}

func hash(t *testing.T, in sheet.Input, judged *build.Report, renewed map[string]int) digest.Sum {
	t.Helper()
	object, err := asbuilt.Pressure(in, judged, renewed)
	require.NoError(t, err)
	sum, err := digest.Of(object)
	require.NoError(t, err)
	return sum
}

// Section 10: the hash changes with each thing that it names, and with nothing
// else. A field that is new must be sorted here by hand.
func TestEachHashedThingChangesTheHashAndNothingElse(t *testing.T) {
	e := full(t)
	before := e.hash(t)
	var inside, wrong []string
	for at, f := range e.fields {
		e.set(at, value(f, true))
		after := e.hash(t)
		if isOutside(at) != (before == after) {
			wrong = append(wrong, fmt.Sprintf("%s (%s %s): %s", at, f.Kind, f.Unit, f.About))
		}
		e.set(at, value(f, false))
		if before != after {
			inside = append(inside, at)
		}
	}
	require.Empty(t, wrong)
	require.Equal(t, before, e.hash(t))
	require.Greater(t, len(inside), 80, "so many fields say how it is built")
}

func TestDesignPressuresAndRenewalsAreHashed(t *testing.T) {
	in := machine(t)
	pressure := 107680.0
	judged := &build.Report{Parts: []build.Judged{{At: "/parts/0", DesignPa: &pressure}, {At: "/parts/1"}}}
	seen := map[digest.Sum]string{hash(t, in, judged, nil): "as drawn"}
	once := func(what string, sum digest.Sum) {
		t.Helper()
		require.NotContains(t, seen, sum, what)
		seen[sum] = what
	}
	higher := 107681.0
	once("another pressure", hash(t, in, &build.Report{Parts: []build.Judged{{DesignPa: &higher}, {}}}, nil))
	once("of another part", hash(t, in, &build.Report{Parts: []build.Judged{{}, {DesignPa: &pressure}}}, nil))
	for _, renewed := range []map[string]int{{"/parts/0": 1}, {"/parts/0": 2}, {"/parts/0/joint": 1}, {"/parts/1": 1}, {"/facts/relief_set_pa": 1}, {"/parts/0": 1, "/parts/1": 1}} {
		once(fmt.Sprint(renewed), hash(t, in, judged, renewed))
	}
	require.Equal(t, hash(t, in, judged, nil), hash(t, in, judged, map[string]int{"/parts/0": 0}))
	relabelled := &build.Report{Class: "raised", Checkers: 2, Parts: []build.Judged{{Name: "drum", DesignPa: &pressure, Verdict: "conditional"}, {}}}
	require.Equal(t, hash(t, in, judged, nil), hash(t, in, relabelled, nil), "names and verdicts are words about the same machine")
}

// How a sheet is written down changes nothing: order, spelling of numbers, null,
// a default that is said.
func TestWritingTheSameInAnotherWayKeepsTheHash(t *testing.T) {
	const plain = `{"trompe": {"chamber": {"kind": "plan", "plan_area_m2": 3.2}, "riser": {"bore_m": 0.19}}, "parts": [{"role": "riser", "length_m": 3}], "facts": {"t_hot_c": 20}}`
	before := hash(t, read(t, plain), nil, nil)
	for _, same := range []string{
		`{"facts": {"t_hot_c": 2e1}, "parts": [{"length_m": 3.0, "role": "riser"}], "trompe": {"riser": {"bore_m": 0.190}, "chamber": {"plan_area_m2": 32e-1, "kind": "plan"}}}`,
		`{"trompe": {"n_parallel": 1, "chamber": {"kind": "plan", "plan_area_m2": 3.2}, "riser": {"kind": "pipe", "bore_m": 0.19, "length_m": null}}, "parts": [{"role": "riser", "length_m": 3}], "facts": {"t_hot_c": 20}}`,
		`{"trompe": {"chamber": {"kind": "plan", "plan_area_m2": 3.2}, "riser": {"bore_m": 0.19}, "takeoff": {}}, "parts": [{"role": "riser", "length_m": 3, "count": 1, "gas_statement": false, "line": "", "name": "north pipe", "picture": "IMG 7"}], "facts": {"t_hot_c": 20, "relief_kd": 0.6, "site": {"frost": true}}}`,
		`{"machine": "trompe", "ram": null, "uses": [], "source": {"kind": "stream"}, ` + plain[1:],
	} {
		require.Equal(t, before, hash(t, read(t, same), nil, nil), same)
	}
	require.NotEqual(t, before, hash(t, read(t, strings.Replace(plain, "0.19", "0.19000000000000003", 1)), nil, nil), "the next number that there is")
	two := `{"parts": [{"role": "riser"}, {"role": "downcomer"}]}`
	require.NotEqual(t, hash(t, read(t, two), nil, nil), hash(t, read(t, `{"parts": [{"role": "downcomer"}, {"role": "riser"}]}`), nil, nil), "a renewed part goes by its place")
}
