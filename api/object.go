package api

import (
	"bytes"
	"encoding/json"
	"reflect"
	"strings"

	"leat/domain"
)

// faults gathers everything that is wrong with a body.
type faults struct {
	fields  []domain.Field
	unknown bool
}

func (f *faults) add(at, code, message string) {
	f.fields = append(f.fields, domain.Field{Pointer: at, Code: code, Message: message})
	f.unknown = f.unknown || code == "unknown_field"
}

func (f *faults) err() error {
	if !f.unknown {
		return domain.Faulty(f.fields)
	}
	return &domain.Error{
		Kind: domain.Invalid, Code: "unknown-field", Fields: f.fields,
		Message: "The request has fields that this address does not know. Nothing was saved; each is named.",
	}
}

var rawJSON = reflect.TypeFor[json.RawMessage]()

// readObject reads a JSON object into a struct and finds all faults, not only
// the first: fields that are unknown, missing, given twice, or of the wrong type.
// Names match exactly. A field is required unless its tag says omitempty. Null
// is for pointers: a required one may be null, one that may be left out may
// not, and a pointer to a pointer may be left out or be null.
func readObject(raw []byte, into reflect.Value, at string, f *faults) {
	given, names, ok := split(raw, at, f)
	if !ok {
		f.add(at, "wrong_type", "An object, { ... }, is wanted here.")
		return
	}
	for i := range into.NumField() {
		name, options, _ := strings.Cut(into.Type().Field(i).Tag.Get("json"), ",")
		value, here := given[name]
		delete(given, name)
		optional := options == "omitempty"
		if here {
			readValue(value, into.Field(i), optional, at+"/"+name, f)
		} else if !optional {
			f.add(at+"/"+name, "missing", "Send this too.")
		}
	}
	for _, name := range names {
		if _, left := given[name]; left {
			f.add(at+"/"+escape(name), "unknown_field", "There is no such field here. Check its name, or leave it out.")
		}
	}
}

// split takes an object apart, without reading its values. raw must be valid JSON.
func split(raw []byte, at string, f *faults) (given map[string]json.RawMessage, names []string, ok bool) {
	dec := json.NewDecoder(bytes.NewReader(raw))
	if open, err := dec.Token(); err != nil || open != json.Delim('{') {
		return nil, nil, false
	}
	given = map[string]json.RawMessage{}
	for dec.More() {
		token, err := dec.Token()
		name, isName := token.(string)
		var value json.RawMessage
		if err != nil || !isName || dec.Decode(&value) != nil {
			return nil, nil, false
		}
		if _, twice := given[name]; twice {
			f.add(at+"/"+escape(name), "given_twice", "This is given twice. Send it once.")
			continue
		}
		given[name] = value
		names = append(names, name)
	}
	return given, names, true
}

func readValue(raw json.RawMessage, into reflect.Value, optional bool, at string, f *faults) {
	null := string(raw) == "null"
	switch {
	case into.Type() == rawJSON:
		into.SetBytes(raw)
	case into.Kind() == reflect.Pointer:
		doubly := into.Type().Elem().Kind() == reflect.Pointer
		if null && !optional {
			return
		}
		into.Set(reflect.New(into.Type().Elem()))
		readValue(raw, into.Elem(), optional && !doubly, at, f)
	case null:
		f.add(at, "wrong_type", "Null can't stand here.")
	case into.Kind() == reflect.Struct:
		readObject(raw, into, at, f)
	case json.Unmarshal(raw, into.Addr().Interface()) != nil:
		f.add(at, "wrong_type", wanted(into.Kind()))
	case into.Kind() == reflect.String && strings.ContainsRune(into.String(), 0):
		f.add(at, "text", "Use plain text, without control characters.")
	}
}

// readBelow reads one value of a list or of an object with names of its own.
func readBelow[T any](raw json.RawMessage, at string, f *faults) (into T) {
	readValue(raw, reflect.ValueOf(&into).Elem(), false, at, f)
	return into
}

// wanted says what a field takes; request types have no other kinds.
func wanted(k reflect.Kind) string {
	switch k {
	case reflect.String:
		return "Text in quotation marks is wanted here."
	case reflect.Bool:
		return "true or false is wanted here."
	case reflect.Int64, reflect.Int32:
		return "A whole number is wanted here."
	case reflect.Float64:
		return "A number is wanted here, with a point for the decimals and without its unit."
	case reflect.Slice:
		return "A list, [ ... ], is wanted here."
	}
	return "Something else is wanted here."
}

// escape makes a name fit for a JSON Pointer (RFC 6901, section 3).
func escape(name string) string {
	return strings.NewReplacer("~", "~0", "/", "~1").Replace(name)
}
