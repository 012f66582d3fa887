package calc_test

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/calctest"
)

type gappyIn struct {
	X     calc.Reading    `json:"x"`
	Half  calc.Reading    `json:"half"`
	List  calc.Readings   `json:"list"`
	M     calc.Matrix     `json:"m"`
	P     calc.ListOrRows `json:"p"`
	B     calc.OneOrList  `json:"b"`
	Nu    calc.Freedom    `json:"nu"`
	Level float64         `json:"level"`
	Items []struct {
		Name string        `json:"name"`
		Y    calc.Readings `json:"y"`
	} `json:"items"`
}

type gappyOut struct {
	Nu   calc.Freedom  `json:"nu"`
	Half *float64      `json:"half"`
	Gaps []int         `json:"gaps"`
	List []*float64    `json:"list"`
	P    []int         `json:"p"` // lengths
	B    []int         `json:"b"`
	Last *calc.Freedom `json:"last"`
}

var gappy = []calc.Calculation{calc.New(calc.Description{Name: "evidence/gappy", Inputs: []calc.Field{
	calc.AtLeast("/x", "m", 0, "a reading").Gappy(),
	calc.Signed("/half", "m", "a reading with a default").Gappy().Preset("0.5"),
	calc.ListOf(calc.AtLeast("/list", "m", 0, "readings")).Gappy().Need().MayBeEmpty(),
	calc.RowsOf(calc.Between("/m", "", -1, 1, "a matrix")),
	calc.AtLeast("/p", "", 0, "variances or a matrix").As(calc.NumbersOrRows),
	calc.Positive("/b", "Pa", "one or several").As(calc.OneOrMany).Gappy(),
	calc.Positive("/nu", "", "degrees of freedom").OrInfinite().Preset("inf"),
	calc.Inside("/level", "", 0, 1, "level").Preset("0.95"),
	calc.RecordsOf("/items", "things", calc.Words("/name", "name").Need(), calc.ListOf(calc.Signed("/y", "", "numbers")).Gappy().Need()).MayBeEmpty().Filled(),
}}, gappyIn{Half: 0.5, Nu: calc.Freedom(math.Inf(1)), Level: 0.95}, func(in gappyIn) (gappyOut, []calc.Warning, *calc.Fault) {
	out := gappyOut{Nu: in.Nu, Half: calc.OrNull(float64(in.Half)), Gaps: []int{}, P: []int{len(in.P.List), len(in.P.Rows)}, B: []int{len(in.B.List)}}
	for i, x := range in.List {
		out.List = append(out.List, calc.OrNull(x))
		if math.IsNaN(x) {
			out.Gaps = append(out.Gaps, i)
		}
	}
	if !math.IsNaN(float64(in.X)) {
		out.Gaps = append(out.Gaps, -1)
	}
	if !math.IsNaN(float64(in.B.One)) {
		out.Gaps = append(out.Gaps, -2)
	}
	return out, nil, nil
}, calc.Relation[gappyIn]{At: "/items", Of: []string{"/items", "/list"}, Find: func(in gappyIn) *calc.Fault {
	for _, item := range in.Items {
		if item.Name == "bad" {
			return &calc.Fault{Code: calc.Range, At: "/items/0/name", Message: "bad"}
		}
	}
	return nil
}})}

// What is missing and what is at fault is told by section 8.1 of the
// specification of evidence.
func TestMissingIsNoFault(t *testing.T) {
	for in, want := range map[string]string{
		`{"list": [1, null, "NaN", "inf", "-inf", 2]}`: `{"nu":"inf","half":0.5,"gaps":[1,2,3,4],"list":[1,null,null,null,null,2],"p":[0,0],"b":[0],"last":null}`,
		`{"list": [], "x": "inf", "half": "NaN"}`:      `{"nu":"inf","half":null,"gaps":[],"list":null,"p":[0,0],"b":[0],"last":null}`,
		`{"list": [], "x": 1, "half": null, "nu": 4}`:  `{"nu":4,"half":0.5,"gaps":[-1],"list":null,"p":[0,0],"b":[0],"last":null}`,
		`{"list": [], "p": [1, 2], "nu": null}`:        `{"nu":"inf","half":0.5,"gaps":[],"list":null,"p":[2,0],"b":[0],"last":null}`,
		`{"list": [], "p": [[1, -2]], "b": [1, null]}`: `{"nu":"inf","half":0.5,"gaps":[-2],"list":null,"p":[0,1],"b":[2],"last":null}`,
		`{"list": [], "b": 1, "nu": "inf"}`:            `{"nu":"inf","half":0.5,"gaps":[-2],"list":null,"p":[0,0],"b":[0],"last":null}`,
	} {
		answer := calctest.Ask(t, gappy, "evidence/gappy", in)
		require.True(t, answer.OK, "%s: %v", in, answer.Fault)
		text, err := json.Marshal(answer.Result)
		require.NoError(t, err)
		require.Equal(t, want, string(text), in)
	}
}

func TestFaultsOfNewKinds(t *testing.T) {
	const name = "evidence/gappy"
	calctest.Faults(t, gappy, [][4]string{
		{name, `{}`, "missing", "/list"},
		{name, `{"list": null}`, "missing", "/list"},
		{name, `{"list": "NaN"}`, "missing", "/list"},
		{name, `{"list": [1, "x"]}`, "not_a_number", "/list/1"},
		{name, `{"list": [1, true]}`, "not_a_number", "/list/1"},
		{name, `{"list": [1, 1e999]}`, "not_a_number", "/list/1"},
		{name, `{"list": [1, -1]}`, "range", "/list/1"},
		{name, `{"x": "", "list": []}`, "not_a_number", "/x"},
		{name, `{"x": "Inf", "list": []}`, "not_a_number", "/x"},
		{name, `{"list": [], "m": 5}`, "missing", "/m"},
		{name, `{"list": [], "m": []}`, "missing", "/m"},
		{name, `{"list": [], "m": [[]]}`, "missing", "/m/0"},
		{name, `{"list": [], "m": [1]}`, "missing", "/m/0"},
		{name, `{"list": [], "m": [1, [1]]}`, "missing", "/m/0"},
		{name, `{"list": [], "m": [[1, null]]}`, "missing", "/m/0/1"},
		{name, `{"list": [], "m": [[1, "NaN"]]}`, "not_a_number", "/m/0/1"},
		{name, `{"list": [], "m": [[1, 2]]}`, "range", "/m/0/1"},
		{name, `{"list": [], "m": [[1, 1], [1]]}`, "inconsistent", "/m/1"},
		{name, `{"list": [], "p": [1, -1]}`, "range", "/p/1"},
		{name, `{"list": [], "p": [1, [1]]}`, "not_a_number", "/p/1"},
		{name, `{"list": [], "p": [[1], 1]}`, "missing", "/p/1"},
		{name, `{"list": [], "p": {}}`, "missing", "/p"},
		{name, `{"list": [], "b": 0}`, "range", "/b"},
		{name, `{"list": [], "b": [1, 0]}`, "range", "/b/1"},
		{name, `{"list": [], "b": []}`, "missing", "/b"},
		{name, `{"list": [], "nu": 0}`, "range", "/nu"},
		{name, `{"list": [], "nu": "NaN"}`, "not_a_number", "/nu"},
		{name, `{"list": [], "level": 1}`, "range", "/level"},
		{name, `{"list": [], "level": 0}`, "range", "/level"},
		{name, `{"list": [], "items": [{}]}`, "missing", "/items/0"},
		{name, `{"list": [], "items": [{"name": "a"}]}`, "missing", "/items/0/y"},
		{name, `{"list": [], "items": [{"name": "a", "y": [null, "a"]}]}`, "not_a_number", "/items/0/y/1"},
		{name, `{"list": [], "items": [{"name": "bad", "y": [1]}]}`, "range", "/items/0/name"},
	})
}

// A name that an entry does not have counts where the entry stands, one that
// the input does not have before everything.
func TestUnknownNamesHaveTheirPlace(t *testing.T) {
	const name = "evidence/gappy"
	calctest.Faults(t, gappy, [][4]string{
		{name, `{"list": [], "nu": 0, "items": [{"name": "a", "y": [1], "x": 1}]}`, "range", "/nu"},
		{name, `{"list": [], "nu": 1, "items": [{"name": 5, "y": [1], "z": 1, "Z": 1}]}`, "unknown_field", "/items/0/Z"},
		{name, `{"list": [], "nu": 0, "b1": 5, "items": [{"name": "a", "y": [1], "x": 1}]}`, "unknown_field", "/b1"},
	})
}
