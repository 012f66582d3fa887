package calc

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// holdsTolerances tells whether the object at this pointer is one of tolerances.
func (f Form) holdsTolerances(at string) bool {
	i, ok := f.order[at]
	return ok && f.fields[i].Kind == Tolerances
}

// checkTolerances checks each tolerance by itself and leaves the faulty ones
// out of the object. Fields stand before their tolerances in the table.
func (f Form) checkTolerances(d Field, obj map[string]any, bad map[string]bool) (faults []Fault) {
	v := lookup(obj, d.At)
	if v == nil {
		return nil
	}
	all, ok := v.(map[string]any)
	if !ok {
		remove(obj, d.At)
		return []Fault{{UnknownValue, d.At, "An object is wanted here: from the path of a field, such as /riser/outlet_m, to the tolerance in the unit of that field."}}
	}
	for _, of := range sortedKeys(all) {
		if bad[of] {
			continue // what it is a tolerance of is told already
		}
		if fault := f.checkTolerance(of, all[of], obj); fault != nil {
			fault.At = d.At + "/" + escapePointer(of)
			faults = append(faults, *fault)
			delete(all, of)
		}
	}
	return faults
}

// checkTolerance returns what is wrong with one tolerance, without its place.
func (f Form) checkTolerance(of string, v any, obj map[string]any) *Fault {
	i := slices.IndexFunc(f.fields, func(d Field) bool { return d.At == of && d.Kind == Number && f.means(d, obj) })
	if i < 0 {
		return &Fault{Code: UnknownField, Message: fmt.Sprintf("There is no measure %s in this machine. A tolerance belongs to a number that is no count; leave this one out.", of)}
	}
	d := f.fields[i]
	value, given := numberAt(d, obj)
	if !given {
		return &Fault{Code: Missing, Message: fmt.Sprintf("A tolerance is given for %s, but no value. Give the value, or leave the tolerance out.", of)}
	}
	n, isNumber := v.(json.Number)
	half, err := strconv.ParseFloat(n.String(), 64)
	if !isNumber || err != nil {
		return &Fault{Code: NotANumber, Message: shown(v) + " is not a number. A tolerance is half the width of what is possible, in the unit of its field."}
	}
	amount := strings.TrimSpace(n.String() + " " + d.Unit)
	if half < 0 {
		return &Fault{Code: Range, Message: amount + " is below nothing. Write the tolerance without its sign."}
	}
	if low := value - half; d.Low != nil && (low < *d.Low || d.AboveLow && low == *d.Low) || d.High != nil && value+half > *d.High {
		return &Fault{Code: Range, Message: fmt.Sprintf("%s ± %s reaches outside what is possible there.%s Make the tolerance smaller.", digits(value), amount, rangeHint(d))}
	}
	return nil
}

func (f Form) means(d Field, obj map[string]any) bool {
	yes, settled := applies(d, obj, nil)
	return yes && settled
}

// numberAt returns what stands in a number field, or its default where that is
// a number without a spread of its own.
func numberAt(d Field, obj map[string]any) (float64, bool) {
	if n, ok := lookup(obj, d.At).(json.Number); ok {
		x, err := n.Float64()
		return x, err == nil
	}
	x, err := strconv.ParseFloat(d.Default, 64)
	return x, err == nil && d.Uncertainty == nil
}
