package calc

import (
	"encoding/json"
	"strconv"
)

// Judge looks at entry i of a list of objects, beside the entries before it and
// the fields before the list. What is faulty has been left out of all of them.
// The At of its faults is within the entry.
type Judge func(input map[string]any, list []any, i int) []Fault

// NumberIn returns the number that an object holds under a name, and whether it
// holds one.
//
// Valid for objects that a form has checked.
//
// Source: the input itself.
func NumberIn(object any, name string) (float64, bool) {
	fields, _ := object.(map[string]any)
	n, ok := fields[name].(json.Number)
	if !ok {
		return 0, false
	}
	x, err := n.Float64()
	return x, err == nil
}

// checkList checks a list and everything in it. A list with a fault in it is
// as good as none.
func (f Form) checkList(d Field, obj map[string]any) (faults []Fault) {
	v := lookup(obj, d.At)
	list, isList := v.([]any)
	switch {
	case v == nil && !wanted(d, obj):
		return nil
	case !isList, len(list) == 0 && !d.Empty:
		return []Fault{{Missing, d.At, "A list with at least one entry is wanted here. " + sentence(d.About)}}
	}
	for i, entry := range list {
		found := f.checkEntry(d, entry)
		if _, ok := entry.(map[string]any); ok && d.judge != nil {
			form := f.items[d.At]
			form.UnknownFirst = f.UnknownFirst
			found = append(found, d.judge(obj, list, i)...)
			form.Sort(found)
		}
		for _, fault := range found {
			fault.At = d.At + "/" + strconv.Itoa(i) + fault.At
			faults = append(faults, fault)
		}
	}
	return faults
}

// checkEntry returns the faults of one entry, their places within it.
func (f Form) checkEntry(d Field, entry any) []Fault {
	if d.Kind == Records {
		record, ok := entry.(map[string]any)
		if !ok {
			return []Fault{{Missing, "", "An object is wanted here. " + sentence(d.About)}}
		}
		form := f.items[d.At]
		form.UnknownFirst = f.UnknownFirst
		return form.check(record)
	}
	if d.Kind == Texts {
		if _, ok := entry.(string); !ok {
			return []Fault{{UnknownValue, "", shown(entry) + " is not text. " + sentence(d.About)}}
		}
		return nil
	}
	if entry == nil {
		return []Fault{{Missing, "", "No number stands here." + rangeHint(d)}}
	}
	d.At = ""
	if fault := checkNumber(d, entry); fault != nil {
		return []Fault{*fault}
	}
	return nil
}
