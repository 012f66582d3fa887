package procedure

import (
	"fmt"
	"slices"
	"strings"

	"leat/calc"
)

// Weakens finds where a newer procedure would guard less than the first one. It
// may add items, records and signers and tighten limits. It may not drop, loosen
// or re-class a hold or witness item of the first, nor take a signer from it; nor
// move it behind another one of these, or take it out of the short list. Limits
// are compared as texts: one that is changed counts as loosened, unless it is the
// old one with " and ..." after it; a condition, unless it is the old one with
// " or ...".
func Weakens(first, newer Template) []calc.Fault {
	w := &weighing{first: first, newer: newer, faults: []calc.Fault{}}
	if newer.Version <= first.Version {
		w.fault("/version", "A newer version has a higher number than %d.", first.Version)
	}
	place := -1
	for _, old := range first.Items {
		if old.Point == Review {
			continue
		}
		i := slices.IndexFunc(newer.Items, func(item Item) bool { return item.ID == old.ID })
		if i < 0 {
			w.fault("/items", "%s %s is missing. A hold or witness point of the first procedure stays.", old.ID, old.Title)
			continue
		}
		if i < place {
			w.fault(fmt.Sprintf("/items/%d", i), "%s stood before %s in the first procedure. Hold and witness points keep their order.", old.ID, newer.Items[place].ID)
		}
		place = max(place, i)
		w.item(fmt.Sprintf("/items/%d", i), old, newer.Items[i])
	}
	w.short()
	return w.faults
}

type weighing struct {
	first, newer Template
	faults       []calc.Fault
}

func (w *weighing) fault(at, format string, args ...any) {
	w.faults = append(w.faults, calc.Fault{Code: calc.Inconsistent, At: at, Message: fmt.Sprintf(format, args...)})
}

func (w *weighing) item(at string, old, item Item) {
	if item.Point != old.Point {
		w.fault(at+"/point", "%s is a %s point; it stays one.", old.ID, old.Point)
	}
	if item.Stage != old.Stage {
		w.fault(at+"/stage", "%s belongs to the stage %s; it stays there.", old.ID, old.Stage)
	}
	if !widened(old.When, item.When) || old.AfterFailure() != item.AfterFailure() {
		w.fault(at+"/when", "%s would be done less often: %q may become nothing, or %q, no other text.", old.ID, old.When, old.When.String()+" or ...")
	}
	for _, role := range old.Sign {
		if !slices.Contains(item.Sign, role) {
			w.fault(at+"/sign", "%s is signed as %s; it stays so.", old.ID, role)
		}
	}
	if also := old.AlsoSign; also != nil && !slices.Contains(item.Sign, also.By) && (item.AlsoSign == nil || item.AlsoSign.By != also.By || !widened(also.When, item.AlsoSign.When)) {
		w.fault(at+"/also_sign", "%s is also signed as %s where %s; it stays so.", old.ID, also.By, also.When)
	}
	w.records(at, old, item)
}

// widened tells whether a condition holds at least as often: none holds always.
func widened(old, changed Expression) bool {
	switch {
	case !changed.Given():
		return true
	case !old.Given():
		return false
	}
	return changed.String() == old.String() || strings.HasPrefix(changed.String(), old.String()+" or ")
}

// tightened tells whether a limit is at least as strict. With an "or" in it, "and"
// behind a text does not bind all of it.
func tightened(old, changed Expression) bool {
	switch {
	case !old.Given() || changed.String() == old.String():
		return true
	case !strings.HasPrefix(changed.String(), old.String()+" and "):
		return false
	}
	return old.root.op != "or" && changed.root.op != "or"
}

func (w *weighing) records(at string, old, item Item) {
	for _, was := range old.Record {
		i := slices.IndexFunc(item.Record, func(is Wanted) bool { return is.Name == was.Name })
		if i < 0 {
			w.fault(at+"/record", "%s is recorded in %s; it stays so.", was.said(), old.ID)
			continue
		}
		w.record(fmt.Sprintf("%s/record/%d", at, i), was, item.Record[i])
	}
}

func (w *weighing) record(at string, was, is Wanted) {
	for _, kept := range []struct {
		field string
		same  bool
	}{
		{"kind", is.Kind == was.Kind}, {"unit", is.Unit == was.Unit}, {"per", is.Per == was.Per},
		{"equals", was.Equals == "" || is.Equals == was.Equals}, {"equals_count", was.EqualsCount == "" || is.EqualsCount == was.EqualsCount},
		{"values", !slices.ContainsFunc(is.Values, func(v string) bool { return !slices.Contains(was.Values, v) })},
		{"needs", !slices.ContainsFunc(was.Needs, func(n string) bool { return !slices.Contains(is.Needs, n) })},
	} {
		if !kept.same {
			w.fault(at+"/"+kept.field, "The first procedure has another %s here, and this one may ask for less.", strings.ReplaceAll(kept.field, "_", " "))
		}
	}
	if !widened(was.When, is.When) {
		w.fault(at+"/when", "This would be recorded less often than in the first procedure: its condition may get \" or ...\" behind it, or go.")
	}
	if !tightened(was.Limits, is.Limits) {
		w.fault(at+"/limits", "A limit that is changed counts as loosened. Leave it as it was (%s), or write \" and ...\" behind it.", was.Limits)
	}
}

// short holds the short lists against each other: what the list names, and what
// it takes in by a fact of the site.
func (w *weighing) short() {
	for _, old := range w.first.Items {
		if old.Point == Review || !w.first.inShort(old) {
			continue
		}
		now, known := w.newer.Item(old.ID)
		if !known {
			continue // said already
		}
		if !w.newer.inShort(now) || slices.Contains(w.first.Short.Items, old.ID) && !slices.Contains(w.newer.Short.Items, old.ID) {
			w.fault("/short/items", "%s is in the short list of the first procedure; name it there.", old.ID)
			continue
		}
		signs := shortSigners(w.newer, now)
		for _, role := range shortSigners(w.first, old) {
			if !slices.Contains(signs, role) {
				w.fault("/short/sign/"+old.ID, "%s is signed as %s in the short list; it stays so.", old.ID, role)
			}
		}
	}
}

func shortSigners(t Template, item Item) []string {
	if other, ok := t.Short.Sign[item.ID]; ok {
		return other
	}
	return item.Sign
}
