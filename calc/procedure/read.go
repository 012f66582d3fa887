package procedure

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

	"leat/calc"
)

// Bounds of a procedure.
const (
	longestTemplate = 256 << 10 // bytes
	longestText     = 2000      // characters
	mostItems       = 200
	mostRecords     = 40
)

// Read reads a procedure strictly, and returns every fault that it has, each at
// its place. With faults, the procedure is not to be used.
func Read(raw []byte) (Template, []calc.Fault) {
	r := &reader{}
	if len(raw) > longestTemplate {
		r.fault(calc.Range, "", "A procedure has at most %d kB. Shorten its texts.", longestTemplate>>10)
		return Template{}, r.faults
	}
	dec := json.NewDecoder(bytes.NewReader(raw))
	dec.UseNumber()
	var read any
	err := dec.Decode(&read)
	if err == nil {
		if _, more := dec.Token(); more != io.EOF {
			err = fmt.Errorf("there is more after its end")
		}
	}
	if err != nil {
		r.fault(calc.Missing, "", "A procedure is one JSON object: %s.", err)
		return Template{}, r.faults
	}
	t := r.template(read)
	r.check(t)
	return t, r.faults
}

// reader takes a procedure out of decoded JSON and collects what is wrong.
type reader struct {
	faults []calc.Fault
}

func (r *reader) fault(code calc.FaultCode, at, format string, args ...any) {
	r.faults = append(r.faults, calc.Fault{Code: code, At: at, Message: fmt.Sprintf(format, args...)})
}

// object is an object with these names and no others; needed ones stand first.
func (r *reader) object(at string, v any, needed int, names ...string) map[string]any {
	obj, ok := v.(map[string]any)
	if !ok {
		r.fault(calc.Missing, at, "An object with %s is wanted here.", strings.Join(names, ", "))
		return nil
	}
	for _, name := range names[:needed] {
		if obj[name] == nil {
			r.fault(calc.Missing, at+"/"+name, "Not given.")
		}
	}
	for _, name := range sorted(obj) {
		if !slices.Contains(names, name) {
			r.fault(calc.UnknownField, at+"/"+escape(name), "There is no field %q here. The names are: %s.", name, strings.Join(names, ", "))
		}
	}
	return obj
}

func sorted[V any](obj map[string]V) (names []string) {
	for name := range obj {
		names = append(names, name)
	}
	sort.Strings(names)
	return names
}

var pointerEscape = strings.NewReplacer("~", "~0", "/", "~1")

func escape(name string) string { return pointerEscape.Replace(name) }

// text is a text of at least one character; what is absent is empty.
func (r *reader) text(at string, v any) string {
	if v == nil {
		return ""
	}
	s, ok := v.(string)
	switch {
	case !ok:
		r.fault(calc.UnknownValue, at, "This must be a text.")
	case strings.TrimSpace(s) == "":
		r.fault(calc.Missing, at, "The text is empty.")
	case len([]rune(s)) > longestText:
		r.fault(calc.Range, at, "A text has at most %d characters.", longestText)
	}
	return s
}

// oneOf is one of a few words.
func (r *reader) oneOf(at string, v any, words ...string) string {
	s := r.text(at, v)
	if s != "" && !slices.Contains(words, s) {
		r.fault(calc.UnknownValue, at, "%q is not one of the choices: %s.", s, strings.Join(words, ", "))
	}
	return s
}

// list calls each for the entries of a list with at least one; what is absent
// has none.
func (r *reader) list(at string, v any, most int, each func(at string, entry any)) {
	if v == nil {
		return
	}
	entries, ok := v.([]any)
	switch {
	case !ok || len(entries) == 0:
		r.fault(calc.Missing, at, "A list with at least one entry is wanted here.")
	case len(entries) > most:
		r.fault(calc.Range, at, "This list has at most %d entries.", most)
	default:
		for i, entry := range entries {
			each(at+"/"+strconv.Itoa(i), entry)
		}
	}
}

// texts is a list of texts that differ from each other; of some words only,
// where some are given.
func (r *reader) texts(at string, v any, words ...string) (all []string) {
	r.list(at, v, mostItems, func(at string, entry any) {
		s := r.text(at, entry)
		switch {
		case entry == nil:
			r.fault(calc.Missing, at, "No text stands here.")
		case slices.Contains(all, s):
			r.fault(calc.Inconsistent, at, "%q stands here twice.", s)
		case len(words) > 0:
			r.oneOf(at, entry, words...)
		}
		all = append(all, s)
	})
	return all
}

func (r *reader) expression(at string, v any) Expression {
	if v == nil {
		return Expression{}
	}
	s := r.text(at, v)
	if s == "" {
		return Expression{}
	}
	e, err := ParseExpression(s)
	if err != nil {
		r.fault(calc.UnknownValue, at, "This cannot be read: %s.", err)
	}
	return e
}

func (r *reader) template(v any) (t Template) {
	obj := r.object("", v, 7, "version", "id", "title", "stages", "roles", "items", "short")
	if n, ok := obj["version"].(json.Number); ok {
		x, err := n.Float64()
		if err != nil || x != math.Trunc(x) || x < 1 || x > 1e6 {
			r.fault(calc.Range, "/version", "%s is not possible here. Versions are whole numbers from 1.", n)
		} else {
			t.Version = int(x)
		}
	} else if obj["version"] != nil {
		r.fault(calc.NotANumber, "/version", "This must be a whole number.")
	}
	t.ID, t.Title = r.text("/id", obj["id"]), r.text("/title", obj["title"])
	t.Stages = r.texts("/stages", obj["stages"])
	if obj["roles"] != nil {
		t.Roles = map[string]string{}
		named := r.object("/roles", obj["roles"], len(roles), roles...)
		for _, role := range roles {
			t.Roles[role] = r.text("/roles/"+role, named[role])
		}
	}
	r.list("/items", obj["items"], mostItems, func(at string, entry any) { t.Items = append(t.Items, r.item(at, entry, t.Stages)) })
	if obj["short"] != nil {
		t.Short = r.short(obj["short"])
	}
	return t
}

func (r *reader) item(at string, v any, stages []string) Item {
	obj := r.object(at, v, 8, "id", "stage", "point", "title", "do", "record", "sign", "why", "when", "also_sign")
	i := Item{
		ID: r.text(at+"/id", obj["id"]), Stage: r.oneOf(at+"/stage", obj["stage"], stages...), Point: r.oneOf(at+"/point", obj["point"], Hold, Witness, Review),
		Title: r.text(at+"/title", obj["title"]), Do: r.text(at+"/do", obj["do"]), Why: r.text(at+"/why", obj["why"]),
		When: r.expression(at+"/when", obj["when"]), Sign: r.texts(at+"/sign", obj["sign"], roles...),
	}
	r.list(at+"/record", obj["record"], mostRecords, func(at string, entry any) { i.Record = append(i.Record, r.wanted(at, entry)) })
	if obj["also_sign"] != nil {
		also := r.object(at+"/also_sign", obj["also_sign"], 2, "when", "by")
		i.AlsoSign = &AlsoSign{When: r.expression(at+"/also_sign/when", also["when"]), By: r.oneOf(at+"/also_sign/by", also["by"], roles...)}
	}
	return i
}

func (r *reader) wanted(at string, v any) Wanted {
	obj := r.object(at, v, 2, "kind", "name", "unit", "when", "limits", "equals", "equals_count", "values", "needs", "per")
	return Wanted{
		Kind: r.oneOf(at+"/kind", obj["kind"], Confirm, Reading, Words, Choice, Instrument, Photo, People),
		Name: r.text(at+"/name", obj["name"]), Unit: r.text(at+"/unit", obj["unit"]),
		When: r.expression(at+"/when", obj["when"]), Limits: r.expression(at+"/limits", obj["limits"]),
		Equals: r.text(at+"/equals", obj["equals"]), EqualsCount: r.text(at+"/equals_count", obj["equals_count"]),
		Values: r.texts(at+"/values", obj["values"]), Needs: r.texts(at+"/needs", obj["needs"]), Per: r.oneOf(at+"/per", obj["per"], PerLine, PerStage),
	}
}

func (r *reader) short(v any) Short {
	obj := r.object("/short", v, 4, "id", "title", "for", "items", "sign")
	s := Short{ID: r.text("/short/id", obj["id"]), Title: r.text("/short/title", obj["title"]), For: r.text("/short/for", obj["for"]), Items: r.texts("/short/items", obj["items"]), Sign: map[string][]string{}}
	if obj["sign"] == nil {
		return s
	}
	signs, ok := obj["sign"].(map[string]any)
	if !ok {
		r.fault(calc.Missing, "/short/sign", "An object from items to lists of roles is wanted here.")
	}
	for _, id := range sorted(signs) {
		at := "/short/sign/" + escape(id)
		if signs[id] == nil {
			r.fault(calc.Missing, at, "Not given.")
		}
		s.Sign[id] = r.texts(at, signs[id], roles...)
	}
	return s
}
