package calc

import "strconv"

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
		for _, fault := range f.checkEntry(d, entry) {
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
