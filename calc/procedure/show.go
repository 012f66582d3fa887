package procedure

import (
	"fmt"
	"slices"
	"strings"
)

// Shown is a field as it is asked of people, with its limits in numbers, before
// anything is recorded in it.
type Shown struct {
	Label string `json:"label"`
	Bounds
	Limits string `json:"limits"`  // in words, with the values of what they rest on; empty: none
	GoesBy string `json:"goes_by"` // what the figures of the limits hang on, in words; empty: on nothing that the item records
	Line   Value  `json:"line"`    // of a pressure line, else unknown
}

// Show returns every entry of a field as it is asked: one, or one for each
// repeat.
func (f Field) Show(names Names) []Shown {
	if f.Per == "" {
		return []Shown{f.show(f.said(), Value{}, names)}
	}
	all := []Shown{}
	for k, r := range f.Repeats {
		all = append(all, f.show(f.labelOf(k), r.Line, names.With("i", Number(float64(r.Index))).With("line", r.Line)))
	}
	return all
}

func (f Field) show(label string, line Value, names Names) Shown {
	s := Shown{Label: label, Line: line}
	if f.Limits.Given() {
		s.Bounds, s.Limits = f.Limits.Bounds(names), strings.TrimLeft(limitsInWords(f.Limits, f.Unit, names), ": ")
		s.GoesBy = f.Limits.goesBy(names)
	}
	return s
}

// goesBy says what a limit hangs on that is recorded beside it: until then its
// figures are those of the mildest case.
func (e Expression) goesBy(names Names) string {
	for _, name := range e.Uses() {
		if text, ok := names[name+goesBy].Text(); ok {
			return text
		}
	}
	return ""
}

// OnlyIf says that a field is asked where an item's own choice is one of these.
type OnlyIf struct {
	Choice string   `json:"choice"`
	Values []string `json:"values"`
}

// Asked tells whether a field is asked at all, and where that hangs on a choice
// of the same item, for which of its values.
func (t Task) Asked(f Field, names Names) (asked bool, only *OnlyIf) {
	if !f.When.Given() {
		return true, nil
	}
	for _, choice := range t.Fields {
		if choice.Kind != Choice || !slices.Contains(f.When.Uses(), "choice."+choice.Name) {
			continue
		}
		o := OnlyIf{Choice: choice.Name, Values: []string{}}
		for _, v := range choice.Values {
			if f.When.Applies(names.With("choice", Record(map[string]Value{choice.Name: Text(v)}))) {
				o.Values = append(o.Values, v)
			}
		}
		return len(o.Values) > 0, &o
	}
	return f.When.Applies(names), nil
}

// Wants is what leat supplies to be confirmed in a field, and how many ticks it
// wants; unknown where it wants neither.
func (f Field) Wants(names Names) (confirm Value, ticks *float64) {
	if f.Equals != "" {
		confirm = names[f.Equals]
	}
	if f.EqualsCount != "" {
		if n, ok := names[f.EqualsCount].Count(); ok {
			ticks = &n
		}
	}
	return confirm, ticks
}

// AskedBeside are the facts that an entry may answer with yes or no, in words.
func AskedBeside(name string) string {
	if text := map[string]string{
		"ear_protection_sign": "A sign that asks for ear protection hangs",
		"ground_poor":         "The ground is loose, wet or filled",
	}[name]; text != "" {
		return text
	}
	return fmt.Sprintf("%s?", Wanted{Name: name}.said())
}
