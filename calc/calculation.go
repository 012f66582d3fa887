package calc

import (
	"cmp"
	"encoding/json"
	"math"
	"reflect"
	"strconv"
)

// Description is what leat says about a calculation before it is run.
type Description struct {
	Name     string          `json:"name"`    // family/name
	Subject  string          `json:"subject"` // what it is about, in words: one of those that package reckon lists
	Answers  string          `json:"answers"` // one line: what it answers
	Words    []string        `json:"words"`   // of the trade, by which somebody may look for it
	Inputs   []Field         `json:"inputs"`
	Outputs  []Field         `json:"outputs"`
	Equation string          `json:"equation"`
	Validity string          `json:"validity"`
	Sources  []string        `json:"sources"`
	Evidence Evidence        `json:"evidence,omitempty"` // empty: rules and limits, or as the answer says
	Example  json.RawMessage `json:"example,omitempty"`  // an input that it answers
}

// Calculation is one named calculation. It is made by [New].
type Calculation struct {
	Description
	Run     func(raw json.RawMessage) (Answer, error) // the error is a defect of leat
	In, Out reflect.Type                              // whose fields the declarations are about; nil where they are no plain struct
}

// Relation is a rule about several fields of an input I. It is judged only
// where none of the fields has a fault. Broken says in a builder's words what is
// wrong and what to try, or nothing.
type Relation[I any] struct {
	At     string    // which field is blamed
	Code   FaultCode // empty: inconsistent
	Of     []string
	Broken func(I) string

	Find func(I) *Fault // instead of Broken where the place is within the field, as an entry of a list
}

// fault is what breaks a relation, nil where it holds.
func (r Relation[I]) fault(in I) *Fault {
	if r.Find != nil {
		return r.Find(in)
	}
	if text := r.Broken(in); text != "" {
		return &Fault{cmp.Or(r.Code, Inconsistent), r.At, text}
	}
	return nil
}

// Leveled is a result whose level of evidence depends on the input.
type Leveled interface{ Level() Evidence }

// New makes a calculation of a function and its declaration. The fields of I
// are the declared inputs, filled with those of preset where nothing is given;
// those of O are the declared outputs. The function is asked only about inputs
// without fault. Faults of unknown names come first, then those of fields and
// relations in the order of the table, then the function's own.
func New[I, O any](about Description, preset I, answer func(I) (O, []Warning, *Fault), relations ...Relation[I]) Calculation {
	form := NewForm(about.Inputs)
	form.UnknownFirst = true
	run := func(raw json.RawMessage) (Answer, error) {
		in := preset
		faults, err := read(form, raw, &in, relations)
		if err != nil {
			return Answer{}, err
		}
		if len(faults) > 0 {
			return Refuse(faults), nil
		}
		out, warnings, fault := answer(in)
		if fault == nil && !finite(reflect.ValueOf(&out)) {
			fault = &Fault{Range, "", "The numbers are so large or so small that no answer can be worked out. Look for a slipped decimal point or unit."}
		}
		if fault != nil {
			return Refuse([]Fault{*fault}), nil
		}
		level := about.Evidence
		if l, ok := any(out).(Leveled); ok {
			level = l.Level()
		}
		if warnings == nil {
			warnings = []Warning{}
		}
		return Answer{OK: true, Result: out, Warnings: warnings, Evidence: level}, nil
	}
	return Calculation{about, run, reflect.TypeFor[I](), reflect.TypeFor[O]()}
}

// read checks an input and fills in what could be read of it.
func read[I any](form Form, raw json.RawMessage, in *I, relations []Relation[I]) ([]Fault, error) {
	clean, faults := form.Check(raw)
	if clean == nil {
		return faults, nil
	}
	text := raw
	if len(faults) > 0 || form.leaves {
		var err error
		if text, err = json.Marshal(clean); err != nil {
			return nil, err
		}
	}
	if err := json.Unmarshal(text, in); err != nil {
		return nil, err
	}
	if len(relations) == 0 {
		return faults, nil
	}
	bad := map[string]bool{}
	for _, f := range faults {
		for at := f.At; at != ""; at, _ = splitPointer(at) {
			bad[at] = true // what a fault is in is not whole either
		}
	}
	for _, r := range relations {
		judged := true
		for _, at := range r.Of {
			judged = judged && !bad[at]
		}
		if !judged {
			continue
		}
		if fault := r.fault(*in); fault != nil {
			faults = append(faults, *fault)
			bad[r.At] = true
		}
	}
	form.Sort(faults)
	return faults, nil
}

// finite tells whether a result holds no number that JSON could not.
func finite(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Float64:
		if v.Type() == reflect.TypeFor[Freedom]() && math.IsInf(v.Float(), 1) {
			return true
		}
		return !math.IsNaN(v.Float()) && !math.IsInf(v.Float(), 0)
	case reflect.Pointer, reflect.Interface:
		return v.IsNil() || finite(v.Elem())
	case reflect.Struct:
		for i := range v.NumField() {
			if !finite(v.Field(i)) {
				return false
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			if !finite(v.Index(i)) {
				return false
			}
		}
	case reflect.Map:
		for _, key := range v.MapKeys() {
			if !finite(v.MapIndex(key)) {
				return false
			}
		}
	}
	return true
}

// Int is a count. It reads 7 and 7.0 alike.
type Int int

// UnmarshalJSON reads a whole number, however it is written.
func (w *Int) UnmarshalJSON(text []byte) error {
	if string(text) == "null" {
		return nil
	}
	x, err := strconv.ParseFloat(string(text), 64)
	*w = Int(x)
	return err
}
