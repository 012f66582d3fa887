package asbuilt

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"leat/calc"
	"leat/calc/sheet"
)

// NeedsRevision is the code of a difference that needs a new cleared revision.
const NeedsRevision calc.FaultCode = "needs_revision"

// May tells whether the value at a pointer may differ from the sheet without a
// new revision: it is a size, a level or a count of how the machine is built.
func May(at string) bool {
	p := pattern(at)
	f, known := fields[p]
	if !known || !within(p, built) || slices.Contains(wall, p[strings.LastIndexByte(p, '/')+1:]) {
		return false
	}
	return f.Kind == calc.Count || f.Kind == calc.Number && slices.Contains(sizes, f.Unit)
}

// Apply returns the sheet with these values in place of its own, by pointer, or
// a fault for each that may not be set, in the order of the pointers. Whether
// the values fit is for the calculation to say.
func Apply(in sheet.Input, differences map[string]float64) (sheet.Input, []calc.Fault) {
	if len(differences) == 0 {
		return in, nil
	}
	whole, err := generic(in)
	if err != nil {
		return in, []calc.Fault{{Code: calc.Missing, Message: "The sheet can’t be read."}}
	}
	var faults []calc.Fault
	for _, at := range slices.Sorted(maps.Keys(differences)) {
		if f := set(whole, at, differences[at]); f != nil {
			faults = append(faults, *f)
		}
	}
	if len(faults) > 0 {
		return in, faults
	}
	var out sheet.Input
	text, err := json.Marshal(whole)
	if err == nil {
		err = json.Unmarshal(text, &out)
	}
	if err != nil {
		return in, []calc.Fault{{Code: calc.NotANumber, Message: "The differences can’t be written into the sheet: " + err.Error()}}
	}
	return out, nil
}

// generic reads a sheet as objects and lists, with its numbers as they are
// written.
func generic(in sheet.Input) (whole map[string]any, err error) {
	text, err := json.Marshal(in)
	if err != nil {
		return nil, err
	}
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.UseNumber()
	return whole, dec.Decode(&whole)
}

func set(whole map[string]any, at string, value float64) *calc.Fault {
	if _, known := fields[pattern(at)]; !known {
		return &calc.Fault{Code: calc.UnknownField, At: at, Message: "A sheet has no such place. Choose a size, a level or a count of it."}
	}
	if !May(at) {
		return &calc.Fault{Code: NeedsRevision, At: at, Message: "Only sizes, levels and counts may differ from what was cleared. This needs a new revision that is checked and cleared."}
	}
	i := strings.LastIndexByte(at, '/')
	above, ok := find(whole, at[:i]).(map[string]any)
	if !ok {
		return &calc.Fault{Code: calc.Missing, At: at, Message: fmt.Sprintf("This sheet says nothing of %s. A part that it does not have needs a new revision.", at[:i])}
	}
	above[at[i+1:]] = value
	return nil
}

// find follows a pointer of plain names; nil where there is nothing.
func find(v any, at string) any {
	if at == "" {
		return v
	}
	for _, name := range strings.Split(at, "/")[1:] {
		switch below := v.(type) {
		case map[string]any:
			v = below[name]
		case []any:
			i, err := strconv.ParseUint(name, 10, 32)
			if err != nil || i >= uint64(len(below)) {
				return nil
			}
			v = below[i]
		default:
			return nil
		}
	}
	return v
}
