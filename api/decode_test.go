package api

import (
	"encoding/json"
	"math"
	"net/http"
	"net/http/httptest"
	"reflect"
	"strings"
	"testing"

	"github.com/labstack/echo/v4"
	"github.com/stretchr/testify/require"

	"leat/domain"
)

// request makes what a handler gets.
func request(body string, header ...string) echo.Context {
	req := httptest.NewRequest("POST", "/", strings.NewReader(body))
	for i := 0; i+1 < len(header); i += 2 {
		req.Header.Add(header[i], header[i+1])
	}
	return echo.New().NewContext(req, httptest.NewRecorder())
}

// outcome is the code of an error and the pointers and codes of its fields.
func outcome(err error) string {
	p := problemOf(err)
	text := p.Code
	for _, f := range p.Fields {
		text += " " + f.Pointer + ":" + f.Code
	}
	return text
}

func TestBodyIsOneJSONValueOfTheRightKind(t *testing.T) {
	for _, c := range []struct{ kind, body, want string }{
		{"application/json", `{"title":"t","client_key":"k"}`, ""},
		{"application/json; charset=utf-8", `{"title":"t","client_key":"k"}`, ""},
		{"APPLICATION/JSON", `{"title":"t","client_key":"k"}`, ""},
		{"", `{}`, "wrong-content-type"},
		{"text/plain", `{}`, "wrong-content-type"},
		{"application/merge-patch+json", `{}`, "wrong-content-type"},
		{"application/x-www-form-urlencoded", `title=t`, "wrong-content-type"},
		{"application/json", ``, "malformed-json"},
		{"application/json", `{`, "malformed-json"},
		{"application/json", `{} {}`, "malformed-json"},
		{"application/json", `{"title":"t",}`, "malformed-json"},
		{"application/json", `{"title":NaN}`, "malformed-json"},
		{"application/json", "{\"title\":\"\xff\"}", "malformed-json"},
		{"application/json", strings.Repeat("[", 20000), "malformed-json"},
		{"application/json", `[]`, "invalid :wrong_type"},
		{"application/json", `null`, "invalid :wrong_type"},
		{"application/json", `"{}"`, "invalid :wrong_type"},
	} {
		_, err := decode[startDesignRequest](request(c.body, "Content-Type", c.kind))
		if c.want == "" {
			require.NoError(t, err, "%+v", c)
			continue
		}
		require.Equal(t, c.want, outcome(err), "%+v", c)
	}
}

func TestAllFaultsOfABodyAreFoundAtOnce(t *testing.T) {
	for _, c := range []struct{ body, want string }{
		{`{}`, "invalid /title:missing /client_key:missing"},
		{`{"title":7,"client_key":null}`, "invalid /title:wrong_type /client_key:wrong_type"},
		{`{"title":"t","client_key":"k","Title":"x"}`, "unknown-field /Title:unknown_field"},
		{`{"titel":"t","client_key":1}`, "unknown-field /title:missing /client_key:wrong_type /titel:unknown_field"},
		{`{"title":"t","client_key":"k","a/b~c":1}`, "unknown-field /a~1b~0c:unknown_field"},
		{`{"title":"t","client_key":"k","title":"u"}`, "invalid /title:given_twice"},
		{`{"title":"t\u0000","client_key":"k"}`, "invalid /title:text"},
	} {
		_, err := decode[startDesignRequest](request(c.body, "Content-Type", plainJSON))
		require.Equal(t, c.want, outcome(err), c.body)
	}
}

func TestNestedObjectsAreAsStrict(t *testing.T) {
	for body, want := range map[string]string{
		`{"input":{"trompe":{"any":[1]}}}`:                    "",
		`{"input":{"trompe":{}},"note":"n"}`:                  "",
		`{"input":{}}`:                                        "", // what a sheet lacks is said with its other faults
		`{"input":[]}`:                                        "invalid /input:wrong_type",
		`{"input":null}`:                                      "invalid /input:wrong_type",
		`{"input":{"trompe":{},"ram":{}}}`:                    "",
		`{"input":{"trompe":{},"rain":{}}}`:                   "unknown-field /input/rain:unknown_field",
		`{"input":{"trompe":{}},"report":{"calc_version":1}}`: "unknown-field /report:unknown_field",
		`{"input":{"trompe":{}},"note":null}`:                 "invalid /note:wrong_type",
	} {
		_, err := decode[saveSheetRequest](request(body, "Content-Type", plainJSON))
		if want == "" {
			require.NoError(t, err, body)
			continue
		}
		require.Equal(t, want, outcome(err), body)
	}
}

func TestFactsOfASiteMayBeNullButNotLeftOut(t *testing.T) {
	whole := `{"name":"","source":null,"fall_m":2.5,"flow_m3s":null,"gauged":"","static_pa":null,"t_water_c":null,"t_air_c":-3e0,"altitude_m":null,"note":""}`
	got, err := decode[siteFacts](request(whole, "Content-Type", plainJSON))
	require.NoError(t, err)
	require.Nil(t, got.Source)
	require.InDelta(t, 2.5, *got.FallM, 0)
	require.InDelta(t, -3, *got.AirC, 0)
	for change, want := range map[string]string{
		`"fall_m":2.5,|`:                   "invalid /fall_m:missing",
		`"fall_m":2.5|"fall_m":"2.5"`:      "invalid /fall_m:wrong_type",
		`"fall_m":2.5|"fall_m":1e999`:      "invalid /fall_m:wrong_type",
		`"source":null|"source":["hose"]`:  "invalid /source:wrong_type",
		`"note":""|"note":null`:            "invalid /note:wrong_type",
		`"fall_m":2.5|"fall_m":2.5,"id":1`: "unknown-field /id:unknown_field",
	} {
		from, to, _ := strings.Cut(change, "|")
		_, err := decode[siteFacts](request(strings.Replace(whole, from, to, 1), "Content-Type", plainJSON))
		require.Equal(t, want, outcome(err), change)
	}
}

// RFC 7396: what is left out stays, null removes. A title can't be removed.
func TestMergePatchOfAProject(t *testing.T) {
	text := func(s string) *string { return &s }
	yes := true
	for body, want := range map[string]domain.ChangeProject{
		`{}`:                 {},
		`{"title":"t"}`:      {Title: text("t")},
		`{"purpose":null}`:   {Purpose: text("")},
		`{"purpose":"p"}`:    {Purpose: text("p")},
		`{"closed":true}`:    {Closed: &yes},
		`{ "purpose": null}`: {Purpose: text("")},
	} {
		got, err := decodePatch[changeProjectRequest](request(body, "Content-Type", mergePatch))
		require.NoError(t, err, body)
		want.Project, want.Version = 3, 7
		require.Equal(t, want, got.command(3, 7), body)
	}
	for body, want := range map[string]string{
		`{"title":null}`:      "invalid /title:wrong_type",
		`{"closed":null}`:     "invalid /closed:wrong_type",
		`{"closed":"yes"}`:    "invalid /closed:wrong_type",
		`{"purpose":["p"]}`:   "invalid /purpose:wrong_type",
		`{"crew":[1]}`:        "unknown-field /crew:unknown_field",
		`{"version":1}`:       "unknown-field /version:unknown_field",
		`{"title":"a","b":1}`: "unknown-field /b:unknown_field",
	} {
		_, err := decodePatch[changeProjectRequest](request(body, "Content-Type", mergePatch))
		require.Equal(t, want, outcome(err), body)
	}
	_, err := decodePatch[changeProjectRequest](request(`{}`, "Content-Type", plainJSON))
	require.Equal(t, "wrong-content-type", outcome(err))
}

func TestIfMatch(t *testing.T) {
	for tag, want := range map[string]int64{`"0"`: 0, `"7"`: 7, `"123456789012345678"`: 123456789012345678} {
		got, err := ifMatch(request("", "If-Match", tag))
		require.NoError(t, err)
		require.Equal(t, want, got)
	}
	for _, tag := range []string{`7`, `W/"7"`, `*`, `"7", "8"`, `"seven"`, `"-7"`, `"07"`, `"1e3"`, `"1234567890123456789"`, ``} {
		_, err := ifMatch(request("", "If-Match", tag))
		require.Equal(t, "malformed-if-match", outcome(err), tag)
	}
	_, err := ifMatch(request("", "If-Match", `"7"`, "If-Match", `"8"`))
	require.Equal(t, "malformed-if-match", outcome(err))
	_, err = ifMatch(request(""))
	require.Equal(t, "if-match-required", outcome(err))
}

func TestCursorAndLimit(t *testing.T) {
	for query, want := range map[string]domain.Page{
		"": {}, "?limit=5": {Limit: 5}, "?before=9&limit=100": {Before: 9, Limit: 100},
	} {
		got, err := page(echo.New().NewContext(httptest.NewRequest("GET", "/"+query, nil), nil), 1000)
		require.NoError(t, err, query)
		require.Equal(t, want, got, query)
	}
	for _, query := range []string{"?limit=0", "?limit=101", "?limit=-1", "?limit=ten", "?limit=", "?before=0", "?before=x", "?before=1&before=2", "?before=1001", "?before=99999999999999999999", "?limit=5%3b--"} {
		_, err := page(echo.New().NewContext(httptest.NewRequest("GET", "/"+query, nil), nil), 1000)
		require.Equal(t, "malformed-query", outcome(err), query)
	}
}

func TestIdsThatAreNoneNameNothing(t *testing.T) {
	for _, id := range []string{"0", "-1", "01", "+1", "1.0", "x", "", "99999999999999999999", "1;2", "%31"} {
		c := request("")
		c.SetParamNames("project")
		c.SetParamValues(id)
		_, err := pathProject(c)
		require.Equal(t, "not-found", outcome(err), id)
	}
}

func TestAnswerThatIsNoJSONIsAFailureAndNotHalfAnAnswer(t *testing.T) {
	c := request("")
	require.Error(t, ok(c, math.NaN()))
	require.False(t, c.Response().Committed)
}

// FuzzDecode: never a panic; what is accepted is JSON with known names alone,
// and comes back the same when it is written and read again.
func FuzzDecode(f *testing.F) {
	for _, seed := range []string{
		`{"input":{"trompe":{"site":{"altitude_m":100}}},"note":"n"}`, `{"input":{"trompe":null}}`, `{"a":1}`, `[]`, `{`, `{"input":{"trompe":{}},"input":{}}`,
		`{"name":"","source":"hose","fall_m":1e400,"flow_m3s":null,"gauged":"","static_pa":null,"t_water_c":null,"t_air_c":null,"altitude_m":null,"note":""}`,
		`{"title":"t","purpose":null,"closed":true}`, `{"\u0000":1}`, "{\"title\":\"\xff\"}",
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, body []byte) {
		for _, into := range []any{&saveSheetRequest{}, &siteFacts{}, &changeProjectRequest{}, &firstKeeperRequest{}} {
			if checkJSON(body) != nil {
				require.False(t, json.Valid(body) && strings.ToValidUTF8(string(body), "") == string(body), "valid JSON refused")
				continue
			}
			err := fill(body, into)
			if err != nil {
				require.Equal(t, http.StatusUnprocessableEntity, problemOf(err).Status)
				require.NotEmpty(t, problemOf(err).Fields)
				continue
			}
			text, err := json.Marshal(into)
			require.NoError(t, err)
			again := reflect.New(reflect.TypeOf(into).Elem())
			require.NoError(t, fill(text, again.Interface()))
			second, err := json.Marshal(again.Interface())
			require.NoError(t, err)
			require.JSONEq(t, string(text), string(second))
		}
	})
}
