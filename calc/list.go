package calc

import (
	"encoding/json"
	"fmt"
	"math"
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

// NumbersIn returns the list of numbers that an object holds under a name, NaN
// where one is missing, and whether it holds one.
func NumbersIn(object any, name string) (numbers []float64, ok bool) {
	fields, _ := object.(map[string]any)
	list, ok := fields[name].([]any)
	for _, entry := range list {
		x := math.NaN()
		if n, isNumber := entry.(json.Number); isNumber {
			x, _ = n.Float64()
		} else if entry != gapText {
			return nil, false
		}
		numbers = append(numbers, x)
	}
	return numbers, ok
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
	d = d.listed(list)
	for i, entry := range list {
		found := f.checkEntry(d, entry)
		if first, ok := list[0].([]any); ok && d.Kind == Rows && len(found) == 0 {
			found = sameLength(len(first), entry)
		}
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

// listed is what a field of two kinds is with this list: rows where the first
// entry is one.
func (f Field) listed(list []any) Field {
	if f.Kind != NumbersOrRows {
		return f
	}
	f.Kind = Numbers
	if len(list) > 0 {
		if _, ok := list[0].([]any); ok {
			f.Kind, f.Low, f.High = Rows, nil, nil
		}
	}
	return f
}

// checkRow returns the first fault of a row of numbers, its place within the row.
func checkRow(d Field, entry any) []Fault {
	row, ok := entry.([]any)
	if !ok || len(row) == 0 {
		return []Fault{{Missing, "", "A row of numbers is wanted here. " + sentence(d.About)}}
	}
	d.At = ""
	if fault := checkNumbers(d, row); fault != nil {
		return []Fault{*fault}
	}
	return nil
}

// checkNumbers returns the first fault of a list of numbers.
func checkNumbers(d Field, list []any) *Fault {
	if len(list) == 0 {
		return &Fault{Missing, d.At, "A list with at least one entry is wanted here. " + sentence(d.About)}
	}
	one := d
	for i, entry := range list {
		one.At = d.At + "/" + strconv.Itoa(i)
		if entry == nil {
			return &Fault{Missing, one.At, "No number stands here." + rangeHint(d)}
		}
		if fault := checkNumber(one, entry); fault != nil {
			return fault
		}
	}
	return nil
}

func sameLength(first int, entry any) []Fault {
	if row, _ := entry.([]any); len(row) != first {
		return []Fault{{Inconsistent, "", fmt.Sprintf("This row has %d numbers and the first has %d. All rows are of one length.", len(row), first)}}
	}
	return nil
}

// checkEntry returns the faults of one entry, their places within it.
func (f Form) checkEntry(d Field, entry any) []Fault {
	if d.Kind == Records {
		record, ok := entry.(map[string]any)
		if !ok || d.filled && len(record) == 0 {
			return []Fault{{Missing, "", "An object is wanted here. " + sentence(d.About)}}
		}
		form := f.items[d.At]
		form.UnknownFirst = f.UnknownFirst
		return form.check(record)
	}
	if d.Kind == Rows {
		return checkRow(d, entry)
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
