package api

import (
	"bytes"
	"io"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"
	"github.com/stretchr/testify/require"
)

// readContract returns openapi.yaml as an independent library reads it.
var readContract = sync.OnceValues(func() (*openapi3.T, error) {
	doc, err := openapi3.NewLoader().LoadFromData(contractText)
	if err != nil {
		return nil, err
	}
	return doc, doc.Validate(openapi3.NewLoader().Context)
})

func contractOf(t testing.TB) *openapi3.T {
	t.Helper()
	doc, err := readContract()
	require.NoError(t, err)
	return doc
}

var echoParam = regexp.MustCompile(`:(\w+)`)

// contractPath writes a path of echo as OpenAPI does.
func contractPath(path string) string { return echoParam.ReplaceAllString(path, "{$1}") }

func TestEveryRouteIsInTheContractAndNoOther(t *testing.T) {
	var table, described []string
	for _, r := range routes {
		table = append(table, r.method+" "+contractPath(r.path))
	}
	for path, item := range contractOf(t).Paths.Map() {
		for method := range item.Operations() {
			described = append(described, method+" "+path)
		}
	}
	require.ElementsMatch(t, table, described)
}

func TestContractSaysWhoMayCall(t *testing.T) {
	doc := contractOf(t)
	for _, r := range routes {
		op := doc.Paths.Value(contractPath(r.path)).GetOperation(r.method)
		asks := func(scheme string) bool {
			return op.Security == nil && scheme == "access_token" || op.Security != nil && slices.ContainsFunc(*op.Security, func(s openapi3.SecurityRequirement) bool {
				_, named := s[scheme]
				return named
			})
		}
		require.Equal(t, r.who == member, asks("access_token"), "%s %s", r.method, r.path)
		require.Equal(t, r.who == device, asks("logger_token"), "%s %s", r.method, r.path)
	}
}

func TestEveryRouteOfEchoIsFromTheTable(t *testing.T) {
	var table, registered []string
	for _, r := range routes {
		table = append(table, r.method+" "+r.path)
	}
	for _, r := range bare(t).handler(nil).Routes() {
		registered = append(registered, r.Method+" "+r.Path)
	}
	require.ElementsMatch(t, table, registered)
}

func TestRouteWithoutCallerIsRefusedAtStart(t *testing.T) {
	s := bare(t)
	for _, who := range []caller{0, device + 1} {
		require.Panics(t, func() { s.guarded(route{"GET", "/x", who, (*server).me}) }, "caller %d", who)
	}
}

func TestChangesAskForIfMatchAndSayWhatMayGoWrong(t *testing.T) {
	doc := contractOf(t)
	for _, r := range routes {
		item := doc.Paths.Value(contractPath(r.path))
		op := item.GetOperation(r.method)
		var want []int
		if r.who != anyone {
			want = append(want, 401)
		}
		if strings.Contains(r.path, ":") {
			want = append(want, 404)
		}
		if op.RequestBody != nil {
			want = append(want, 400, 413, 415)
		}
		if op.Parameters.GetByInAndName("header", "If-Match") != nil {
			want = append(want, 400, 412, 428)
		}
		for _, status := range want {
			require.NotNil(t, op.Responses.Status(status), "%s %s: %d", r.method, r.path, status)
		}
	}
}

func TestCodesOfTheContractAreExplained(t *testing.T) {
	schema := contractOf(t).Components.Schemas["ProblemCode"].Value
	rows := regexp.MustCompile("(?m)^\\| `([a-z-]+)` \\| (\\d+) \\| .+ \\|$").FindAllStringSubmatch(schema.Description, -1)
	var explained []any
	for _, row := range rows {
		explained = append(explained, row[1])
	}
	require.ElementsMatch(t, schema.Enum, explained)
}

// statusOf returns the status that the contract gives to a problem code.
func statusOf(t testing.TB, code string) string {
	row := regexp.MustCompile("(?m)^\\| `" + regexp.QuoteMeta(code) + "` \\| (\\d+) ").
		FindStringSubmatch(contractOf(t).Components.Schemas["ProblemCode"].Value.Description)
	require.NotNil(t, row, "code %q is not in the contract", code)
	return row[1]
}

// followsContract fails the test unless the answer is one that openapi.yaml
// allows for the route: status, headers and body.
func followsContract(t testing.TB, r route, req *http.Request, rec *httptest.ResponseRecorder) {
	t.Helper()
	doc := contractOf(t)
	path := contractPath(r.path)
	item := doc.Paths.Value(path)
	op := item.GetOperation(r.method)
	if rec.Code != 500 && rec.Code != 503 {
		require.NotNil(t, op.Responses.Status(rec.Code), "%s %s may not answer %d: %s", r.method, path, rec.Code, rec.Body)
	}
	in := &openapi3filter.ResponseValidationInput{
		RequestValidationInput: &openapi3filter.RequestValidationInput{
			Request: req, Route: &routers.Route{Spec: doc, Path: path, PathItem: item, Method: r.method, Operation: op},
		},
		Status: rec.Code, Header: rec.Header(), Body: io.NopCloser(bytes.NewReader(rec.Body.Bytes())),
		Options: &openapi3filter.Options{IncludeResponseStatus: true, MultiError: true},
	}
	if r.path == "/api/v1/openapi.yaml" {
		return // text, which the validator would take for its content
	}
	if err := openapi3filter.ValidateResponse(req.Context(), in); err != nil {
		require.NoError(t, err, "%s %s answered %d, against the contract", r.method, path, rec.Code)
	}
}

// The validator must be able to fail, or it proves nothing.
func TestValidatorRefusesAnswersAgainstTheContract(t *testing.T) {
	me := routeOf(t, http.MethodGet, "/api/v1/me")
	project := routeOf(t, http.MethodGet, "/api/v1/projects/:project/site")
	good := `{"id":1,"name":"A","address":"a@b.example","roles":["member"],"units":"us","own_units":null,"time_zone":"Europe/Oslo","signing_code_set":false}`
	site := `{"project":1,"version":1,"name":"","source":null,"fall_m":null,"flow_m3s":0.5,"gauged":"","static_pa":null,"t_water_c":null,"t_air_c":null,"altitude_m":null,"note":"","changed_at":null,"changed_by":null,"gauging":null,"allowed_actions":[]}`
	for name, c := range map[string]struct {
		r    route
		body string
		ok   bool
	}{
		"good":           {me, good, true},
		"extra field":    {me, strings.Replace(good, `"id"`, `"age":1,"id"`, 1), false},
		"missing field":  {me, strings.Replace(good, `"name":"A",`, "", 1), false},
		"wrong type":     {me, strings.Replace(good, `"id":1`, `"id":"1"`, 1), false},
		"unknown role":   {me, strings.Replace(good, `"member"`, `"boss"`, 1), false},
		"unknown units":  {me, strings.Replace(good, `"us"`, `"feet"`, 1), false},
		"site":           {project, site, true},
		"bad source":     {project, strings.Replace(site, `"source":null`, `"source":"well"`, 1), false},
		"bad moment":     {project, strings.Replace(site, `"changed_at":null`, `"changed_at":"noon"`, 1), false},
		"bad person":     {project, strings.Replace(site, `"changed_by":null`, `"changed_by":{"id":1}`, 1), false},
		"text as number": {project, strings.Replace(site, `0.5`, `"0.5"`, 1), false},
	} {
		rec := httptest.NewRecorder()
		rec.Header().Set("Content-Type", plainJSON)
		rec.Header().Set("ETag", `"1"`)
		rec.WriteString(c.body)
		broken := &recordingTB{TB: t}
		broken.run(func() {
			followsContract(broken, c.r, httptest.NewRequest(c.r.method, "/", nil), rec)
		})
		require.Equal(t, c.ok, !broken.failed, name)
	}
}

// recordingTB takes note of a failure instead of failing.
type recordingTB struct {
	testing.TB
	failed bool
}

func (r *recordingTB) Errorf(string, ...any) { r.failed = true }
func (r *recordingTB) FailNow()              { r.failed = true; panic(r) }
func (r *recordingTB) Helper()               {}

func (r *recordingTB) run(check func()) {
	defer func() {
		if p := recover(); p != nil && p != any(r) {
			panic(p)
		}
	}()
	check()
}

// routeOf finds a line of the table.
func routeOf(t testing.TB, method, path string) route {
	t.Helper()
	i := slices.IndexFunc(routes, func(r route) bool { return r.method == method && r.path == path })
	require.GreaterOrEqual(t, i, 0, "no route %s %s", method, path)
	return routes[i]
}

// matching finds the line of the table that a request is for, if any.
func matching(method, path string) (route, bool) {
	for i, pattern := range patterns() {
		if r := routes[i]; r.method == method && pattern.MatchString(path) {
			return r, true
		}
	}
	return route{}, false
}

// patterns are those of the paths of all routes.
var patterns = sync.OnceValue(func() (list []*regexp.Regexp) {
	for _, r := range routes {
		list = append(list, regexp.MustCompile("^"+echoParam.ReplaceAllString(r.path, "[^/]+")+"$"))
	}
	return list
})

func prefixes(texts ...string) (list []netip.Prefix) {
	for _, text := range texts {
		list = append(list, netip.MustParsePrefix(text))
	}
	return list
}
