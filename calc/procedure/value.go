package procedure

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"strconv"
)

// Value is a number, a text, a yes or no, a list or a record, and the zero Value
// is what is not known. In JSON it is what it looks like; unknown is null.
type Value struct {
	kind   kind
	number float64
	text   string
	yes    bool
	list   []Value
	fields map[string]Value
}

type kind uint8

const (
	unknown kind = iota
	aNumber
	aText
	aFlag
	aList
	aRecord
)

// Names are the values that an expression may name.
type Names map[string]Value

// Number returns a number; what is none is unknown.
func Number(x float64) Value {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return Value{}
	}
	return Value{kind: aNumber, number: x}
}

// Text returns a text.
func Text(s string) Value { return Value{kind: aText, text: s} }

// Yes returns a yes or no.
func Yes(yes bool) Value { return Value{kind: aFlag, yes: yes} }

// List returns a list.
func List(values ...Value) Value { return Value{kind: aList, list: values} }

// Record returns a record. Where it stands for a number, that is its field value.
func Record(fields map[string]Value) Value { return Value{kind: aRecord, fields: fields} }

// Known tells whether there is a value at all.
func (v Value) Known() bool { return v.kind != unknown }

// Number returns the number of a value, or of the field value of a record.
func (v Value) Number() (x float64, ok bool) {
	if v.kind == aRecord {
		v = v.fields["value"]
	}
	return v.number, v.kind == aNumber
}

// Text returns the text of a value.
func (v Value) Text() (s string, ok bool) { return v.text, v.kind == aText }

// Yes returns whether a value says yes, and whether it says yes or no at all.
func (v Value) Yes() (yes, ok bool) { return v.yes, v.kind == aFlag }

// List returns the entries of a list.
func (v Value) List() (entries []Value, ok bool) { return v.list, v.kind == aList }

// Field returns a field of a record, unknown where there is none.
func (v Value) Field(name string) Value { return v.fields[name] }

// Fields returns the fields of a record, none of anything else.
func (v Value) Fields() map[string]Value { return v.fields }

// Count is how many a value stands for: a number itself, or the entries of a list.
func (v Value) Count() (n float64, ok bool) {
	if v.kind == aList {
		return float64(len(v.list)), true
	}
	return v.Number()
}

// String writes a value as JSON has it.
func (v Value) String() string {
	b, err := v.MarshalJSON()
	if err != nil {
		return "?"
	}
	return string(b)
}

// MarshalJSON writes a value as JSON.
func (v Value) MarshalJSON() ([]byte, error) {
	switch v.kind {
	case aNumber:
		return json.Marshal(v.number)
	case aText:
		return json.Marshal(v.text)
	case aFlag:
		return strconv.AppendBool(nil, v.yes), nil
	case aList:
		return json.Marshal(append([]Value{}, v.list...)) // never null, which is unknown
	case aRecord:
		return json.Marshal(v.fields)
	}
	return []byte("null"), nil
}

// UnmarshalJSON reads any JSON value of a bounded depth.
func (v *Value) UnmarshalJSON(raw []byte) error {
	dec := json.NewDecoder(bytes.NewReader(raw))
	dec.UseNumber()
	var read any
	if err := dec.Decode(&read); err != nil {
		return err
	}
	if _, err := dec.Token(); err != io.EOF {
		return errors.New("more than one value")
	}
	made, err := valueOf(read, 0)
	*v = made
	return err
}

// mostNested is how deep lists and records may lie in each other.
const mostNested = 20

func valueOf(read any, depth int) (Value, error) {
	if depth > mostNested {
		return Value{}, errors.New("too many lists within lists")
	}
	switch x := read.(type) {
	case json.Number:
		return numberOf(x)
	case string:
		return Text(x), nil
	case bool:
		return Yes(x), nil
	case []any:
		entries := make([]Value, len(x))
		for i, below := range x {
			entry, err := valueOf(below, depth+1)
			if err != nil {
				return Value{}, err
			}
			entries[i] = entry
		}
		return List(entries...), nil
	case map[string]any:
		fields := map[string]Value{}
		for name, below := range x {
			field, err := valueOf(below, depth+1)
			if err != nil {
				return Value{}, err
			}
			fields[name] = field
		}
		return Record(fields), nil
	}
	return Value{}, nil
}

func numberOf(n json.Number) (Value, error) {
	x, err := n.Float64()
	if err != nil {
		return Value{}, fmt.Errorf("%s is too large a number", n)
	}
	return Number(x), nil
}

// With returns the names with one more.
func (n Names) With(name string, v Value) Names {
	more := maps.Clone(n)
	if more == nil {
		more = Names{}
	}
	more[name] = v
	return more
}

// Values are what was recorded, by the names of the records.
type Values map[string]Value

// ReadValues reads what was recorded from JSON; none is nothing recorded.
func ReadValues(raw json.RawMessage) (Values, error) {
	if len(raw) == 0 {
		return Values{}, nil
	}
	var v Value
	if err := json.Unmarshal(raw, &v); err != nil {
		return nil, err
	}
	if v.kind != aRecord {
		return nil, errors.New("not an object")
	}
	return v.fields, nil
}
