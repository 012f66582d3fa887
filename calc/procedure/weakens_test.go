package procedure_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/procedure"
)

// second is the first procedure as version 2, with texts of its file changed: from,
// to, and so on.
func second(t *testing.T, changes ...string) procedure.Template {
	t.Helper()
	text := strings.Replace(procedure.FirstText(), `"version": 1,`, `"version": 2,`, 1)
	for i := 0; i+1 < len(changes); i += 2 {
		require.Equal(t, 1, strings.Count(text, changes[i]), changes[i])
		text = strings.Replace(text, changes[i], changes[i+1], 1)
	}
	template, faults := procedure.Read([]byte(text))
	require.Empty(t, faults)
	return template
}

const threads = `{
   "id": "P03",
   "stage": "prepare",
   "point": "hold",`

// Rule of this procedure: a newer version guards at least as much.
func TestANewerProcedureMayBeStricter(t *testing.T) {
	more := `{"id": "P99", "stage": "prepare", "point": "hold", "title": "Tools away", "do": "Count them.", "record": [{"kind": "confirm", "name": "tools_counted"}], "sign": ["second"], "why": "One in the pipe."}, `
	for _, changes := range [][]string{
		{},
		{threads, more + threads},
		{`"limits": "value >= cure_hours_min"`, `"limits": "value >= cure_hours_min and value >= 36"`},
		{`"limits": "value >= 0"`, `"limits": "value >= 0 and value < 20"`},
		{`"when": "site.digging"`, `"when": "site.digging or site.shaft"`},
		{`"when": "relief_needed"`, `"when": "relief_needed or has_gas_parts"`},
		{`"title": "Buried services located"`, `"title": "Pipes and cables found"`},
		{`"values": [
      "air_gap",
      "preventer"
     ]`, `"values": ["air_gap"]`},
		{`"kind": "confirm",
     "name": "threads_match"
    }
   ],
   "sign": [
    "builder"
   ]`, `"kind": "confirm", "name": "threads_match"}], "sign": ["builder", "second"]`},
		{`"name": "vent_open"
    }`, `"name": "vent_open"}, {"kind": "photo", "name": "vent_seen"}`},
		{`"needs": [
      "serial",`, `"needs": ["maker", "serial",`},
		{`"point": "review",
   "title": "Solvent vapour cleared"`, `"point": "hold", "title": "Solvent vapour cleared"`},
	} {
		require.Empty(t, procedure.Weakens(procedure.First(), second(t, changes...)), "%v", changes)
	}
}

func TestANewerProcedureMayNotBeWeaker(t *testing.T) {
	whole := procedure.FirstText()
	cut := func(id, next string) string { // an item out of the full list
		from := strings.Index(whole, `  {
   "id": "`+id+`"`)
		to := strings.Index(whole, `  {
   "id": "`+next+`"`)
		return whole[from:to]
	}
	swapped := []string{cut("P09", "P11"), cut("P10", "P11") + cut("P09", "P10")}
	for _, c := range []struct {
		at      string
		changes []string
	}{
		{"/items", []string{cut("P09", "P10"), ""}},
		{"/items/19", swapped},
		{"/items/13/point", []string{threads, strings.Replace(threads, "hold", "review", 1)}},
		{"/items/11/stage", []string{cut("P01", "P02"), strings.Replace(cut("P01", "P02"), `"prepare"`, `"before"`, 1)}},
		{"/items/27/record/0/kind", []string{cut("H01", "H02"), strings.Replace(cut("H01", "H02"), `"kind": "reading",
     "name": "hold_minutes",
     "unit": "min",
     "limits": "value >= hold_min_minutes"`, `"kind": "confirm", "name": "hold_minutes"`, 1)}},
		{"/items/12/record/1/per", []string{`"unit": "bar",
     "per": "pressure_line",
     "limits": "value >= line.rating_bar"`, `"unit": "bar", "per": "stage", "limits": "value >= p_test_low_bar"`}},
		{"/items/30/record/1/when", []string{`"name": "vent_open"`, `"name": "vent_open", "when": "has_gas_parts"`}},
		{"/items/4/when", []string{`"when": "site.digging"`, `"when": "site.digging and site.shaft"`}},
		{"/items/5/when", []string{`"when": "site.depth_m > 0.5"`, `"when": "site.depth_m > 0.8"`}},
		{"/items/40/when", []string{`"when": "any_item_failed"`, `"when": "any_item_failed or site.frost"`}},
		{"/items/14/record/0/limits", []string{`"limits": "value >= cure_hours_min"`, `"limits": "value >= 0.5*cure_hours_min"`}},
		{"/items/14/record/0/limits", []string{`"limits": "value >= cure_hours_min"`, `"limits": "value >= cure_hours_min and value > 3 or value > 12"`}},
		{"/items/14/record/0/limits", []string{`"limits": "value >= cure_hours_min"`, `"limits": "value >= cure_hours_min + 0"`}},
		{"/items/14/record", []string{`"name": "coldest"`, `"name": "coldest_day"`}},
		{"/items/28/record/0/values", []string{`"values": [
      "pass"
     ]`, `"values": ["pass", "inconclusive"]`}},
		{"/items/28/record/0/equals", []string{`,
     "equals": "drop_verdict"`, ``}},
		{"/items/11/record/0/equals_count", []string{`,
     "equals_count": "pressure_lines"`, ``}},
		{"/items/18/record/1/needs", []string{`"class_pct",
      "calibrated_on"`, `"class_pct"`}},
		{"/items/19/record/0/unit", []string{`"name": "weakest_test_part",
     "unit": "bar"`, `"name": "weakest_test_part", "unit": "psi"`}},
		{"/items/1/also_sign", []string{cut("B02", "B03"), strings.Replace(cut("B02", "B03"), `"by": "competent"`, `"by": "builder"`, 1)}},
		{"/items/1/also_sign", []string{cut("B02", "B03"), strings.Replace(cut("B02", "B03"), `"when": "gas_decision == \"conditional\""`, `"when": "gas_decision == \"not_allowed\""`, 1)}},
		{"/items/0/sign", []string{cut("B01", "B02"), strings.Replace(cut("B01", "B02"), `"builder",
    "second"`, `"second"`, 1)}},
		{"/short/items", []string{`"P13",
   "R03"`, `"R03"`, `"P13": [
    "second"
   ],`, ``}},
		{"/short/items", []string{`"when": "site.digging",`, ``}},
		{"/short/sign/B05", []string{`"B10",
   "P01"`, `"B10", "B05", "P01"`, `"H01": [
    "second"
   ]`, `"H01": ["second"], "B05": ["builder"]`}},
		{"/short/sign/H01", []string{`"H01": [
    "second"
   ]`, `"H01": ["builder"]`}},
	} {
		faults := procedure.Weakens(procedure.First(), second(t, c.changes...))
		places := []string{}
		for _, f := range faults {
			places = append(places, f.At)
			require.NotEmpty(t, f.Message)
		}
		require.Contains(t, places, c.at, "%v", faults)
	}
	require.NotEmpty(t, procedure.Weakens(procedure.First(), procedure.First()), "the version is not newer")
}
