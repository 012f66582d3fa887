package asbuilt

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"leat/calc"
	"leat/calc/build"
	"leat/calc/sheet"
)

// Pressure returns what a pressure test of a machine is good for: the object
// whose digest is the pressure hash. When anything in it is another, the test
// was of another machine. It takes the sheet with its differences, the answer
// for it, and how often a part or joint was renewed.
//
// It holds the parts with their catalogue lines and joints, sizes and levels,
// pressures and temperatures, relief and site facts, each by its pointer, and
// the design pressure of each part. What a sheet leaves out stands with its
// default, so that saying the default changes nothing. Names, pictures and
// notes, the source of the water, wishes, uses and coefficients are not in it. A
// sheet has no supports that are marked structural; once it has, they belong here.
//
// Source: the group's safety rules, section 10.
func Pressure(in sheet.Input, judged *build.Report, renewed map[string]int) (map[string]any, error) {
	text, err := json.Marshal(in)
	if err != nil {
		return nil, fmt.Errorf("asbuilt: read the sheet: %w", err)
	}
	var whole map[string]any
	if err := json.Unmarshal(text, &whole); err != nil {
		return nil, fmt.Errorf("asbuilt: read the sheet: %w", err)
	}
	object := map[string]any{}
	for at, f := range fields {
		if hashed(at, f) && !strings.Contains(at, "*") && (find(whole, section(at)) != nil || at == section(at)) {
			keep(object, at, find(whole, at), f)
		}
	}
	object["/parts"] = partsOf(whole)
	object["design_pa"] = designs(judged)
	object["renewed"] = counted(renewed)
	return object, nil
}

// section is the first name of a pointer: /trompe of /trompe/riser/bore_m.
func section(at string) string {
	if i := strings.IndexByte(at[1:], '/'); i >= 0 {
		return at[:i+1]
	}
	return at
}

// keep puts a value into the object, or the default where none is given.
func keep(object map[string]any, at string, v any, f calc.Field) {
	if v == nil || v == "" {
		v = preset(f)
	}
	if v != nil {
		object[at] = v
	}
}

// preset is the default of a field as a value; nil where it is said in words, or
// there is none.
func preset(f calc.Field) any {
	switch {
	case f.Default == "":
		return nil
	case f.Kind == calc.Number || f.Kind == calc.Count:
		if x, err := strconv.ParseFloat(f.Default, 64); err == nil {
			return x
		}
	case f.Kind == calc.Flag:
		if yes, err := strconv.ParseBool(f.Default); err == nil {
			return yes
		}
	case f.Kind == calc.Choice && slices.Contains(f.Choices, f.Default):
		return f.Default
	}
	return nil
}

// hashedSections say how the machine is built; of them sizes, levels, pressures,
// temperatures, counts and kinds are hashed.
var hashedSections = []string{
	"/trompe/n_parallel", "/trompe/site/", "/trompe/supply/", "/trompe/intake/", "/trompe/downcomer/", "/trompe/chamber/", "/trompe/riser/", "/trompe/takeoff/",
	"/supply_pipe/", "/ram/wave_speed/", "/ram/cycle/", "/ram/waste_valve/", "/lift/", "/pulse/", "/air_line/", "/receiver/tank/",
}

var hashedUnits = []string{"m", "m²", "m³", "Pa", "°C", "K"}

// unhashedFacts are about the test, not about the machine.
var unhashedFacts = []string{"/facts/gauge_full_pa", "/facts/gauge_class_pct", "/facts/gauge_age_days", "/facts/rh_pct"}

var unhashedOfPart = []string{"/parts/*/name", "/parts/*/picture"}

// hashed tells whether a field belongs to the pressure hash.
func hashed(at string, f calc.Field) bool {
	switch {
	case f.Kind == calc.Group || f.Kind == calc.Records:
		return false
	case at == "/machine":
		return true
	case within(at, []string{"/facts/"}):
		return !slices.Contains(unhashedFacts, at)
	case within(at, []string{"/parts/*/"}):
		return !slices.Contains(unhashedOfPart, at)
	case !within(at, hashedSections):
		return false
	}
	switch f.Kind {
	case calc.Count, calc.Choice, calc.Flag:
		return true
	}
	return slices.Contains(hashedUnits, f.Unit)
}

func partsOf(whole map[string]any) []any {
	parts, _ := whole["parts"].([]any)
	list := make([]any, len(parts))
	for i, p := range parts {
		object := map[string]any{}
		for at, f := range fields {
			if name, ok := strings.CutPrefix(at, "/parts/*"); ok && hashed(at, f) {
				keep(object, name, find(p, name), f)
			}
		}
		list[i] = object
	}
	return list
}

// designs are the pressures that the parts must be good for, in their order;
// null where one is not known.
func designs(judged *build.Report) []any {
	list := []any{}
	if judged == nil {
		return list
	}
	for _, p := range judged.Parts {
		if p.DesignPa == nil {
			list = append(list, nil)
			continue
		}
		list = append(list, *p.DesignPa)
	}
	return list
}

func counted(renewed map[string]int) map[string]any {
	counts := map[string]any{}
	for at, n := range renewed {
		if n > 0 {
			counts[at] = n
		}
	}
	return counts
}
