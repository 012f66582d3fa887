package procedure_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/procedure"
)

func TestTheFirstProcedureReads(t *testing.T) {
	first, faults := procedure.Read([]byte(procedure.FirstText()))
	require.Empty(t, faults)
	require.Equal(t, 1, first.Version)
	require.Len(t, first.Items, 41)
	require.Len(t, first.Short.Items, 18)
	p08, ok := first.Item("P08")
	require.True(t, ok)
	require.Equal(t, []string{"serial", "full_scale_bar", "class_pct", "calibrated_on"}, p08.Record[1].Needs)
	require.Equal(t, "competent", first.Items[1].AlsoSign.By)
	require.Equal(t, first, procedure.First())
}

// The short list asks for at most 20 signatures, by the rule of this procedure;
// counted from the file itself, that of a failure included.
func TestTheShortListHasAtMostTwentySignatures(t *testing.T) {
	var file struct {
		Items []struct {
			ID   string
			Sign []string
		}
		Short struct {
			Items []string
			Sign  map[string][]string
		}
	}
	require.NoError(t, json.Unmarshal([]byte(procedure.FirstText()), &file))
	signatures := 0
	for _, id := range file.Short.Items {
		for _, item := range file.Items {
			if item.ID != id {
				continue
			}
			sign := item.Sign
			if other, ok := file.Short.Sign[id]; ok {
				sign = other
			}
			signatures += len(sign)
		}
	}
	require.LessOrEqual(t, signatures, 20)
	require.Greater(t, signatures, len(file.Short.Items)-1, "every item is signed")
}

// changed is the first procedure with one text of its file put in the place of
// another.
func changed(t *testing.T, from, to string) string {
	t.Helper()
	require.Equal(t, 1, strings.Count(procedure.FirstText(), from), from)
	return strings.Replace(procedure.FirstText(), from, to, 1)
}

func TestFaultsOfAProcedureAreFoundAtTheirPlaces(t *testing.T) {
	for _, c := range []struct {
		from, to string
		code     calc.FaultCode
		at       string
	}{
		{`"version": 1,`, `"version": 1.5,`, calc.Range, "/version"},
		{`"version": 1,`, `"version": "1",`, calc.NotANumber, "/version"},
		{`"version": 1,`, `"edition": 1,`, calc.Missing, "/version"},
		{`"version": 1,`, `"version": 1, "mood": "good",`, calc.UnknownField, "/mood"},
		{`"title": "Design review closed"`, `"title": ""`, calc.Missing, "/items/0/title"},
		{`"title": "Design review closed"`, `"title": 7`, calc.UnknownValue, "/items/0/title"},
		{`"when": "site.digging"`, `"when": "site.diging"`, calc.UnknownValue, "/items/4/when"},
		{`"when": "site.digging"`, `"when": "site.digging or"`, calc.UnknownValue, "/items/4/when"},
		{`"limits": "value >= cure_hours_min"`, `"limits": "value >= cure_hours_max"`, calc.UnknownValue, "/items/14/record/0/limits"},
		{`"limits": "value >= line.rating_bar"`, `"limits": "value >= line.colour"`, calc.UnknownValue, "/items/12/record/1/limits"},
		{`"id": "B02"`, `"id": "B01"`, calc.Inconsistent, "/items/1/id"},
		{`"id": "B02"`, `"id": "review"`, calc.UnknownValue, "/items/1/id"},
		{`"equals": "gas_decision"`, `"equals": "gas"`, calc.UnknownValue, "/items/1/record/0/equals"},
		{`"name": "review_closed"`, `"name": "revision_hash"`, calc.Inconsistent, "/items/0/record/1/name"},
		{`"name": "review_closed"`, `"name": "Review closed"`, calc.UnknownValue, "/items/0/record/0/name"},
		{`"by": "competent"
   },
   "why": "A cubic`, `"by": "builder2"
   },
   "why": "A cubic`, calc.UnknownValue, "/items/5/also_sign/by"},
		{`"P13",
   "R03"`, `"P99",
   "R03"`, calc.UnknownValue, "/short/items/9"},
		{`"A02": [
    "builder",
    "second"
   ]`, `"A02": [
    "builder"
   ]`, calc.Inconsistent, "/short/sign/A02"},
		{`"per": "stage"`, `"per": "day"`, calc.UnknownValue, "/items/25/record/0/per"},
		{`"unit": "dBA",`, ``, calc.Missing, "/items/35/record/0/unit"},
	} {
		_, faults := procedure.Read([]byte(changed(t, c.from, c.to)))
		places := map[string]calc.FaultCode{}
		for _, f := range faults {
			places[f.At] = f.Code
			require.NotEmpty(t, f.Message)
		}
		require.Equal(t, c.code, places[c.at], "%s: %v", c.to, faults)
	}
	for _, text := range []string{"", "[]", "null", "{} {}", `{"items": 3}`, `{"items": [3], "short": {"sign": 3}}`, strings.Repeat(" ", 300<<10)} {
		_, faults := procedure.Read([]byte(text))
		require.NotEmpty(t, faults, text)
	}
}

// Whatever somebody uploads: it is read without faults, and its expressions then
// read again as they were written, or its faults have words.
func FuzzRead(f *testing.F) {
	f.Add([]byte(procedure.FirstText()))
	f.Add([]byte(`{"version": 1, "items": [{"id": "B01", "record": [{"kind": "reading", "name": "x", "limits": "value <"}], "sign": ["builder"]}], "short": {"sign": {"B01": null}}}`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		template, faults := procedure.Read(raw)
		for _, fault := range faults {
			require.NotEmpty(t, fault.Message)
		}
		if len(faults) > 0 {
			return
		}
		text, err := json.Marshal(template.Items[0].When)
		require.NoError(t, err)
		require.True(t, json.Valid(text))
	})
}
