package calc

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"
)

// Form is a set of declared fields that an input object is checked against.
type Form struct {
	fields []Field
	order  map[string]int      // pointer to place in the table
	names  map[string][]string // pointer of a group to the names in it
	items  map[string]Form     // pointer of a list of records to the form of one
	leaves bool                // some fields may stand in an input and are not read

	// UnknownFirst puts faults of unknown names before all others.
	UnknownFirst bool
}

// NewForm returns the form of these fields. Groups stand before their fields.
func NewForm(fields []Field) Form {
	f := Form{fields: fields, order: map[string]int{}, names: map[string][]string{}, items: map[string]Form{}}
	for i, d := range fields {
		if _, twice := f.order[d.At]; twice {
			continue // declared once a choice; the first place counts
		}
		f.order[d.At] = i
		f.leaves = f.leaves || d.Gaps || d.Unless != "" || d.When != nil && d.When.Idle
		group, name := splitPointer(d.At)
		f.names[group] = append(f.names[group], name)
		if d.Kind == Records {
			f.items[d.At] = NewForm(d.Item)
			f.leaves = f.leaves || f.items[d.At].leaves
		}
	}
	return f
}

// Check reads an input object and returns every fault of its fields, in the
// order of the table, unknown names last or first, and the object with all faulty fields
// left out, nil when there is none. It checks fields one by one; how they fit together is for the
// calculation to say.
func (f Form) Check(raw json.RawMessage) (clean map[string]any, faults []Fault) {
	clean, ok := readObject(raw)
	if !ok {
		return nil, []Fault{{Missing, "", "The input must be one JSON object with the fields of this calculation."}}
	}
	return clean, f.check(clean)
}

// check returns the faults of an object, and takes out of it what is faulty.
func (f Form) check(obj map[string]any) (faults []Fault) {
	bad := map[string]bool{}
	known := map[string]bool{}
	for i, d := range f.fields {
		if f.order[d.At] != i && known[d.At] {
			continue
		}
		applies, settled := applies(d, obj, bad)
		idle := !applies && settled && d.When != nil && d.When.Idle || d.Unless != "" && lookup(obj, d.Unless) != nil
		if !settled || applies || idle {
			known[d.At] = true
		}
		if idle {
			remove(obj, d.At)
		}
		if !applies || idle {
			continue
		}
		if d.Gaps {
			markGaps(d, obj)
		}
		if found := f.checkOne(d, obj, bad); len(found) > 0 {
			faults = append(faults, found...)
			if d.Kind != Tolerances {
				bad[d.At] = true
				remove(obj, d.At)
			}
		}
	}
	unknown := f.unknown("", obj, known)
	if f.UnknownFirst {
		return append(unknown, faults...)
	}
	return append(faults, unknown...)
}

func (f Form) checkOne(d Field, obj map[string]any, bad map[string]bool) []Fault {
	switch d.Kind {
	case Tolerances:
		return f.checkTolerances(d, obj, bad)
	case Numbers, Texts, Records, Rows, NumbersOrRows:
		return f.checkList(d, obj)
	}
	if fault := checkField(d, obj); fault != nil {
		return []Fault{*fault}
	}
	return nil
}

// Sort puts faults into the order of the table, unknown names last or first.
func (f Form) Sort(faults []Fault) {
	place := func(x Fault) int {
		for at := x.At; at != "" && (x.Code != UnknownField || f.UnknownFirst); at, _ = splitPointer(at) {
			if _, list := f.items[at]; x.Code == UnknownField && !list {
				continue // a name that an entry of a list does not have counts with the list
			}
			if i, ok := f.order[at]; ok {
				return i
			}
		}
		if x.Code == UnknownField && f.UnknownFirst {
			return -1
		}
		return len(f.fields)
	}
	sort.SliceStable(faults, func(i, j int) bool { return place(faults[i]) < place(faults[j]) })
}

func readObject(raw json.RawMessage) (map[string]any, bool) {
	dec := json.NewDecoder(bytes.NewReader(raw))
	dec.UseNumber()
	var obj map[string]any
	if err := dec.Decode(&obj); err != nil || obj == nil {
		return nil, false
	}
	if _, err := dec.Token(); err != io.EOF {
		return nil, false
	}
	return obj, true
}

// applies says whether a field has a meaning here. Where the choice that it
// hangs on is missing or faulty, or its group is, nothing is settled.
func applies(d Field, obj map[string]any, bad map[string]bool) (yes, settled bool) {
	group, _ := splitPointer(d.At)
	if group != "" {
		if bad[group] {
			return false, false
		}
		if _, ok := lookup(obj, group).(map[string]any); !ok && lookup(obj, group) != nil {
			return false, false
		}
	}
	if d.When == nil {
		return true, true
	}
	if bad[d.When.At] {
		return false, false
	}
	word := d.When.Else
	switch v := lookup(obj, d.When.At).(type) {
	case string:
		word = v
	case bool:
		word = strconv.FormatBool(v)
	}
	return slices.Contains(d.When.Is, word), word != ""
}

func checkField(d Field, obj map[string]any) *Fault {
	v := lookup(obj, d.At)
	if v == nil {
		if !wanted(d, obj) {
			return nil
		}
		return &Fault{Missing, d.At, "Not given. " + sentence(d.About) + rangeHint(d)}
	}
	switch d.Kind {
	case Group:
		if below, ok := v.(map[string]any); !ok || d.Required && len(below) == 0 {
			return &Fault{Missing, d.At, "An object with the fields of this part is wanted here. " + sentence(d.About)}
		}
	case Choice:
		word, ok := v.(string)
		if !ok || !slices.Contains(d.Choices, word) {
			return &Fault{UnknownValue, d.At, fmt.Sprintf("%s is not one of the choices: %s.", shown(v), strings.Join(d.Choices, ", "))}
		}
	case Text:
		if _, ok := v.(string); !ok {
			return &Fault{UnknownValue, d.At, shown(v) + " is not text. " + sentence(d.About)}
		}
	case Any:
		return checkEither(d, v)
	case Flag:
		if _, ok := v.(bool); !ok {
			return &Fault{UnknownValue, d.At, shown(v) + " is neither true nor false. " + sentence(d.About)}
		}
	case Number, Count:
		return checkNumber(d, v)
	case OneOrMany:
		if list, ok := v.([]any); ok {
			return checkNumbers(d, list)
		}
		return checkNumber(d, v)
	}
	return nil
}

// checkEither checks a value that is one of a few words or an object, whose own
// fields follow in the table. Without choices it is for the calculation to read.
func checkEither(d Field, v any) *Fault {
	below, isObject := v.(map[string]any)
	word, _ := v.(string)
	switch {
	case len(d.Choices) == 0, isObject && len(below) > 0, slices.Contains(d.Choices, word):
		return nil
	case isObject:
		return &Fault{Missing, d.At, "The object is empty. " + sentence(d.About)}
	}
	return &Fault{UnknownValue, d.At, fmt.Sprintf("%s is not one of the choices: %s, or an object with the fields of this part.", shown(v), strings.Join(d.Choices, ", "))}
}

// wanted tells whether a field that is not there has to be.
func wanted(d Field, obj map[string]any) bool {
	given := func(at string) bool { return lookup(obj, at) != nil }
	if group, _ := splitPointer(d.At); group != "" && !given(group) {
		return false // its whole group is missing and says so itself
	}
	return d.Required && !slices.ContainsFunc(d.Or, given) && (len(d.With) == 0 || slices.ContainsFunc(d.With, given))
}

func checkNumber(d Field, v any) *Fault {
	if d.Gaps && v == gapText || d.Infinite && v == "inf" {
		return nil
	}
	n, isNumber := v.(json.Number)
	if !isNumber {
		return &Fault{NotANumber, d.At, shown(v) + " is not a number. " + sentence(d.About) + rangeHint(d)}
	}
	x, err := strconv.ParseFloat(n.String(), 64)
	if err != nil || math.IsInf(x, 0) || math.IsNaN(x) {
		return &Fault{NotANumber, d.At, "The number is too large to calculate with." + rangeHint(d)}
	}
	if d.Kind == Count && x != math.Trunc(x) {
		return &Fault{Range, d.At, fmt.Sprintf("%s is not a whole number.%s", n, rangeHint(d))}
	}
	low := d.Low != nil && (x < *d.Low || (d.AboveLow && x == *d.Low))
	if low || (d.High != nil && (x > *d.High || d.BelowTop && x == *d.High)) {
		return &Fault{Range, d.At, fmt.Sprintf("%s is not possible here.%s", strings.TrimSpace(n.String()+" "+d.Unit), rangeHint(d))}
	}
	return nil
}

// rangeHint says what may stand in a field, and what mostly does.
func rangeHint(d Field) string {
	unit := ""
	if d.Unit != "" {
		unit = " " + d.Unit
	}
	var s string
	switch {
	case d.BelowTop && d.AboveLow:
		s = fmt.Sprintf(" It must be above %s and below %s%s.", digits(*d.Low), digits(*d.High), unit)
	case d.BelowTop:
		s = fmt.Sprintf(" It must be at least %s and below %s%s.", digits(*d.Low), digits(*d.High), unit)
	case d.Low != nil && d.High != nil && d.AboveLow:
		s = fmt.Sprintf(" It must be above %s and at most %s%s.", digits(*d.Low), digits(*d.High), unit)
	case d.Low != nil && d.High != nil:
		s = fmt.Sprintf(" It must be between %s and %s%s.", digits(*d.Low), digits(*d.High), unit)
	case d.Low != nil && d.AboveLow:
		s = fmt.Sprintf(" It must be above %s%s.", digits(*d.Low), unit)
	case d.Low != nil:
		s = fmt.Sprintf(" It must be at least %s%s.", digits(*d.Low), unit)
	}
	if d.Usual != "" {
		s += fmt.Sprintf(" Most machines have %s%s.", d.Usual, unit)
	}
	return s
}

func digits(x float64) string {
	if math.Abs(x) >= 1e9 {
		return strconv.FormatFloat(x, 'g', -1, 64)
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

func (f Form) unknown(group string, obj map[string]any, known map[string]bool) (faults []Fault) {
	for _, name := range sortedKeys(obj) {
		at := group + "/" + escapePointer(name)
		if !known[at] {
			names := slices.DeleteFunc(slices.Clone(f.names[group]), func(n string) bool { return !known[group+"/"+n] })
			faults = append(faults, Fault{UnknownField, at, fmt.Sprintf("There is no field %q here. The names are: %s.", name, strings.Join(names, ", "))})
			delete(obj, name)
			continue
		}
		if below, ok := obj[name].(map[string]any); ok && !f.holdsTolerances(at) {
			faults = append(faults, f.unknown(at, below, known)...)
		}
	}
	return faults
}

func sortedKeys(obj map[string]any) []string {
	keys := make([]string, 0, len(obj))
	for k := range obj {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}

func splitPointer(at string) (group, name string) {
	i := strings.LastIndexByte(at, '/')
	return at[:i], at[i+1:]
}

var pointerEscape = strings.NewReplacer("~", "~0", "/", "~1")

func escapePointer(name string) string { return pointerEscape.Replace(name) }

// lookup follows a pointer of plain names through nested objects.
func lookup(obj map[string]any, at string) any {
	var v any = obj
	for rest := at; rest != ""; {
		name, after, more := strings.Cut(rest[1:], "/")
		below, ok := v.(map[string]any)
		if !ok {
			return nil
		}
		v = below[name]
		if !more {
			break
		}
		rest = "/" + after
	}
	return v
}

func remove(obj map[string]any, at string) {
	group, name := splitPointer(at)
	if below, ok := lookup(obj, group).(map[string]any); ok {
		delete(below, name)
	}
}

func sentence(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:] + "."
}

func shown(v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		return "This"
	}
	if s := []rune(string(b)); len(s) > 40 {
		return string(s[:40]) + "…"
	}
	return string(b)
}
