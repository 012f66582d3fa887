package asbuilt

import (
	"fmt"
	"maps"
	"slices"

	"leat/calc"
	"leat/calc/sheet"
)

// relief is what a relief valve goes by: its set pressure.
const relief = "/facts/relief_set_pa"

// Renewable lists what of a sheet can be renewed like for like, by pointer:
// each part, each joint, and the relief valve.
func Renewable(in sheet.Input) (all []string) {
	whole, err := generic(in)
	if err != nil {
		return nil
	}
	parts, _ := whole["parts"].([]any)
	for i, p := range parts {
		at := fmt.Sprintf("/parts/%d", i)
		all = append(all, at)
		if joint, _ := find(p, "/joint").(string); joint != "" {
			all = append(all, at+"/joint")
		}
	}
	if find(whole, relief) != nil {
		all = append(all, relief)
	}
	return all
}

// Renew counts what was renewed this time onto what was renewed before. What
// the sheet does not have falls out of the count; where it was renewed now, that
// is a fault.
func Renew(in sheet.Input, before map[string]int, now []string) (map[string]int, []calc.Fault) {
	there := Renewable(in)
	counts := maps.Clone(before)
	if counts == nil {
		counts = map[string]int{}
	}
	maps.DeleteFunc(counts, func(at string, _ int) bool { return !slices.Contains(there, at) })
	var faults []calc.Fault
	for i, at := range now {
		switch {
		case !slices.Contains(there, at):
			faults = append(faults, calc.Fault{Code: calc.UnknownValue, At: at, Message: "The sheet has no such part or joint. Choose one of it: /parts/0 is the first part, /parts/0/joint its joint."})
		case slices.Contains(now[:i], at):
			faults = append(faults, calc.Fault{Code: calc.Inconsistent, At: at, Message: "This is named twice. Name it once; it counts once for each time that it is recorded."})
		default:
			counts[at]++
		}
	}
	return counts, faults
}
