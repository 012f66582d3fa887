package procedure

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"leat/calc"
)

// supplied are the names that leat supplies, and those of their fields.
var supplied = []string{
	"revision_hash", "gas_decision", "legal_flags", "pressure_lines", "joints", "joints.solvent", "high_points", "method", "has_gas_parts", "cure_hours_min",
	"relief_set_max_bar", "relief_bore_min_mm", "gauge_ok", "gauge_mpe_bar", "gauge_target_bar", "gauge_max_bar", "p_test_low_bar", "stage_bar",
	"exclusion_m", "exclusion_air_m", "t_design_c", "air_fraction_max_pct", "hold_min_minutes", "relief_needed", "manometer_min_m", "drop_verdict", "p_work_bar",
	"water_test_passed", "expiry_max", "water_temp_max_c", "water_source", "ground_poor", "ear_protection_sign", "any_item_failed",
	"site.stream", "site.pond", "site.public", "site.third_party_land", "site.digging", "site.depth_m", "site.shaft", "site.roof", "site.gutter", "site.head_m",
	"site.tank_depth_m", "site.electric", "site.frost",
}

var (
	itemName   = regexp.MustCompile(`^[A-Z][0-9]{2}$`)
	recordName = regexp.MustCompile(`^[a-z][a-z0-9_]{0,59}$`)
)

// check finds what does not fit together in a procedure.
func (r *reader) check(t Template) {
	seen, records := map[string]bool{}, map[string]bool{}
	stage := 0
	for i, item := range t.Items {
		at := fmt.Sprintf("/items/%d", i)
		if item.ID != "" && !itemName.MatchString(item.ID) {
			r.fault(calc.UnknownValue, at+"/id", "%q is no name of an item: one capital letter and two digits.", item.ID)
		}
		if seen[item.ID] {
			r.fault(calc.Inconsistent, at+"/id", "There are two items %s.", item.ID)
		}
		seen[item.ID] = true
		if place := slices.Index(t.Stages, item.Stage); place >= 0 && place < stage {
			r.fault(calc.Inconsistent, at+"/stage", "An item of the stage %s stands after one of the stage %s. Items stand in the order of the stages.", item.Stage, t.Stages[stage])
		} else {
			stage = max(stage, place)
		}
		r.checkItem(at, item, records)
	}
	r.checkShort(t)
}

func (r *reader) checkItem(at string, item Item, records map[string]bool) {
	if item.Point == Witness && len(item.Sign) < 2 {
		r.fault(calc.Inconsistent, at+"/sign", "Two different people sign a witness point.")
	}
	r.uses(at+"/when", item.When, nil)
	own := ownNames(item)
	if item.AlsoSign != nil {
		r.uses(at+"/also_sign/when", item.AlsoSign.When, own)
	}
	for i, w := range item.Record {
		below := fmt.Sprintf("%s/record/%d", at, i)
		if w.Name != "" && !recordName.MatchString(w.Name) {
			r.fault(calc.UnknownValue, below+"/name", "%q is no name of a record: small letters, digits and low lines, a letter first.", w.Name)
		}
		if records[w.Name] {
			r.fault(calc.Inconsistent, below+"/name", "There are two records %s; each has a name of its own in the whole procedure.", w.Name)
		}
		records[w.Name] = true
		r.checkRecord(below, w, own)
	}
}

// ownNames are the earlier entries of an item that its expressions may name.
func ownNames(item Item) (names []string) {
	for _, w := range item.Record {
		if w.Kind == Reading || w.Kind == Choice {
			names = append(names, w.Kind+"."+w.Name)
		}
	}
	return names
}

func (r *reader) checkRecord(at string, w Wanted, own []string) {
	r.uses(at+"/when", w.When, own)
	with := slices.Concat(own, []string{"value"})
	switch w.Per {
	case PerLine:
		with = append(with, "line", "line.rating_bar", "i")
	case PerStage:
		with = append(with, "i")
	}
	r.uses(at+"/limits", w.Limits, with)
	for _, named := range []struct{ at, name string }{{"/equals", w.Equals}, {"/equals_count", w.EqualsCount}} {
		if named.name != "" && !slices.Contains(supplied, named.name) {
			r.fault(calc.UnknownValue, at+named.at, "leat supplies no %s.", named.name)
		}
	}
	only := func(field string, given bool, kinds ...string) {
		if given && !slices.Contains(kinds, w.Kind) {
			r.fault(calc.Inconsistent, at+"/"+field, "A record of the kind %s has no %s.", w.Kind, field)
		}
	}
	only("unit", w.Unit != "", Reading)
	only("limits", w.Limits.Given(), Reading, Words, Instrument)
	only("equals", w.Equals != "", Confirm, Words, Choice)
	only("equals_count", w.EqualsCount != "", Confirm)
	only("values", w.Values != nil, Choice)
	only("needs", w.Needs != nil, Instrument)
	only("per", w.Per != "", Reading, Photo)
	switch {
	case w.Kind == Choice && w.Values == nil:
		r.fault(calc.Missing, at+"/values", "Not given: what may be chosen.")
	case w.Kind == Instrument && w.Needs == nil:
		r.fault(calc.Missing, at+"/needs", "Not given: what is to be known of the instrument.")
	case w.Kind == Reading && w.Unit == "":
		r.fault(calc.Missing, at+"/unit", "Not given: a reading has a unit.")
	}
}

// uses finds names in an expression that nobody supplies.
func (r *reader) uses(at string, e Expression, more []string) {
	for _, name := range e.Uses() {
		if !slices.Contains(supplied, name) && !slices.Contains(more, name) {
			r.fault(calc.UnknownValue, at, "%s is not known here: leat does not supply it, and the item has no such reading or choice.", name)
		}
	}
}

func (r *reader) checkShort(t Template) {
	for i, id := range t.Short.Items {
		if _, ok := t.Item(id); !ok && id != "" {
			r.fault(calc.UnknownValue, fmt.Sprintf("/short/items/%d", i), "There is no item %s.", id)
		}
	}
	for _, id := range sorted(t.Short.Sign) {
		at := "/short/sign/" + escape(id)
		item, _ := t.Item(id)
		switch {
		case !slices.Contains(t.Short.Items, id):
			r.fault(calc.UnknownValue, at, "%s is not in the short list.", id)
		case item.Point == Witness && len(t.Short.Sign[id]) < 2:
			r.fault(calc.Inconsistent, at, "Two different people sign a witness point.")
		}
	}
	if t.Short.For != "" && !strings.Contains(t.Short.For, "plain") {
		r.fault(calc.UnknownValue, "/short/for", "The short list is for hazard class plain.")
	}
}
