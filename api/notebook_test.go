package api

import (
	"compress/gzip"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/interval"
)

func TestProjectIsStartedOnceHoweverOftenItIsSent(t *testing.T) {
	t.Parallel()
	b := setup(t)
	req := map[string]any{"title": " Pond air ", "purpose": "Air for fry", "client_key": "retry-0001"}
	first := b.as(b.crew).post("/api/v1/projects", req)
	second := b.as(b.crew).post("/api/v1/projects", req)
	require.Equal(t, 201, first.Code)
	require.Equal(t, 200, second.Code)
	require.Equal(t, "Pond air", first.at("title"))
	require.JSONEq(t, first.Body.String(), second.Body.String())
	require.Equal(t, first.Header().Get("Location"), second.Header().Get("Location"))
	other := b.as(b.member).post("/api/v1/projects", req)
	require.Equal(t, 201, other.Code, "the key is the author's own")
	design := map[string]any{"title": "Trompe", "client_key": "retry-0001"}
	require.Equal(t, 201, b.as(b.crew).post(first.Header().Get("Location")+"/designs", design).Code)
	require.Equal(t, 200, b.as(b.crew).post(first.Header().Get("Location")+"/designs", design).Code)
}

func TestLocationAndETagAreThoseOfTheThing(t *testing.T) {
	t.Parallel()
	b := setup(t)
	a := b.as(b.crew).post("/api/v1/projects", map[string]any{"title": "t", "purpose": "", "client_key": "where-0001"})
	again := b.as(b.member).get(a.Header().Get("Location"))
	require.Equal(t, a.etag(), again.etag())
	require.Equal(t, fmt.Sprintf(`"%d"`, again.number("version")), again.etag())
	require.Equal(t, "private, no-cache", again.Header().Get("Cache-Control"))
	require.Equal(t, a.at("id"), again.at("id"))
	site := b.as(b.crew).get(a.Header().Get("Location") + "/site")
	require.Equal(t, fmt.Sprintf(`"%d"`, site.number("version")), site.etag())
}

func TestAllowedActionsFollowTheReader(t *testing.T) {
	t.Parallel()
	b := setup(t)
	require.Equal(t, []any{"change_project", "describe_site", "start_design", "edit_design", "issue_revision", "take_back_revision", "withdraw_revision", "remark", "ask_crew", "leave_crew"}, b.as(b.crew).get(b.projectURL()).at("allowed_actions"))
	require.Equal(t, []any{"remark"}, b.as(b.member).get(b.projectURL()).at("allowed_actions"))
	require.Contains(t, b.as(b.crew).get(b.designURL()).at("allowed_actions"), "edit_design")
	require.Equal(t, []any{"remark"}, b.as(b.member).get(b.designURL()).at("allowed_actions"))
	require.Contains(t, b.as(b.crew).get(b.projectURL()+"/site").at("allowed_actions"), "describe_site")
}

func TestListsGoPageByPage(t *testing.T) {
	t.Parallel()
	b := setup(t)
	for i := range 4 {
		b.as(b.crew).post("/api/v1/projects", map[string]any{"title": fmt.Sprint("P", i), "purpose": "", "client_key": fmt.Sprint("page-000", i)})
	}
	var titles []string
	path := "/api/v1/projects?limit=2"
	for range 4 {
		var list listAnswer[projectHead]
		b.as(b.member).get(path).read(&list)
		for _, p := range list.Items {
			titles = append(titles, p.Title)
		}
		if list.Next == nil {
			break
		}
		path = fmt.Sprintf("/api/v1/projects?limit=2&before=%d", *list.Next)
	}
	require.Equal(t, []string{"P3", "P2", "P1", "P0", "Mill race"}, titles)
	require.Equal(t, []any{}, b.as(b.member).get(b.sheetsURL()).at("items"))
	require.Equal(t, 200, b.as(b.member).get(b.sheetsURL()+"?before=2147483647").Code)
}

// A design answers with its newest fifty letters; the others are read on.
func TestLettersGoPageByPage(t *testing.T) {
	t.Parallel()
	b := setup(t)
	b.db.exec(`INSERT INTO revisions (design_id, position, letter, state, sheet_count, started_by, started_at)
		SELECT d.id, n + 1, substr(a, n / 20 + 1, 1) || substr(a, n % 20 + 1, 1), 'returned', 1, d.started_by, now()
		FROM (VALUES ('ABCDEFGHJKLMNPRTUVWY')) letters (a), designs d, generate_series(1, 59) n`)
	var d designAnswer
	b.as(b.member).get(b.designURL()).read(&d)
	require.Len(t, d.Revisions, 50)
	require.Equal(t, d.Revision, d.Revisions[0])
	require.Equal(t, int64(11), *d.Next)
	var earlier listAnswer[revisionAnswer]
	b.as(b.member).get(fmt.Sprintf("%s/revisions?before=%d&limit=9", b.designURL(), *d.Next)).read(&earlier)
	require.Len(t, earlier.Items, 9)
	require.Equal(t, "AB", earlier.Items[8].Letter)
	b.as(b.member).get(fmt.Sprintf("%s/revisions?before=%d", b.designURL(), *earlier.Next)).read(&earlier)
	require.Equal(t, "A", earlier.Items[0].Letter)
	require.Len(t, earlier.Items, 1)
	require.Nil(t, earlier.Next)
	require.Equal(t, "malformed-query", b.as(b.member).get(b.designURL()+"/revisions?before=0").code())
	require.Equal(t, 404, b.as(b.member).get(projectPath(b.project)+"/designs/999/revisions").Code)
}

func TestSiteKeepsWhatIsKnownAndForgetsWhatIsNot(t *testing.T) {
	t.Parallel()
	b := setup(t)
	path := b.projectURL() + "/site"
	facts := maps.Clone(noFacts)
	maps.Copy(facts, map[string]any{"name": "Cobbler's Weir", "source": "stream", "fall_m": 2.6, "flow_m3s": 0, "t_air_c": -4.5})
	a := b.as(b.crew).ifMatch(b.version(path)).put(path, facts)
	require.Equal(t, 200, a.Code, a.Body.String())
	require.InDelta(t, 2.6, a.at("fall_m"), 0)
	require.InDelta(t, 0, a.at("flow_m3s"), 0, "nought is a figure")
	require.Equal(t, "Petra", a.at("changed_by", "name"))
	again := b.as(b.crew).ifMatch(a.etag()).put(path, noFacts)
	require.Equal(t, 200, again.Code)
	require.Nil(t, again.at("fall_m"))
	require.Nil(t, again.at("source"))

	bad := maps.Clone(noFacts)
	maps.Copy(bad, map[string]any{"source": "well", "fall_m": -1, "t_water_c": 80})
	refused := b.as(b.crew).ifMatch(again.etag()).put(path, bad)
	var pointers []string
	for _, f := range problemIn(t, refused.ResponseRecorder).Fields {
		pointers = append(pointers, f.Pointer)
	}
	require.Equal(t, []string{"/source", "/fall_m", "/t_water_c"}, pointers)
	require.Equal(t, again.etag(), b.version(path), "nothing was saved")
}

func TestProjectIsClosedAndReopened(t *testing.T) {
	t.Parallel()
	b := setup(t)
	closed := b.as(b.crew).ifMatch(b.version(b.projectURL())).patch(b.projectURL(), map[string]any{"closed": true})
	require.Equal(t, 200, closed.Code, closed.Body.String())
	require.NotNil(t, closed.at("closed_at"))
	require.Equal(t, "project-closed", b.as(b.crew).ifMatch(b.version(b.designURL())).post(b.sheetsURL(), machine(t)).code())
	open := b.as(b.crew).ifMatch(closed.etag()).patch(b.projectURL(), map[string]any{"closed": false, "purpose": nil})
	require.Equal(t, 200, open.Code)
	require.Nil(t, open.at("closed_at"))
	require.Equal(t, 201, b.as(b.crew).ifMatch(b.version(b.designURL())).post(b.sheetsURL(), machine(t)).Code)
}

// The numbers are those of testdata/bench.json, whose source stands in it; the
// tolerance is that of section 10 of the specification of the trompe.
func TestSheetIsCalculatedSavedAndReadBack(t *testing.T) {
	t.Parallel()
	b := setup(t)
	empty := b.as(b.member).get(b.designURL())
	require.Nil(t, empty.at("sheet"))
	body := machine(t)
	body["note"] = "first try"
	saved := b.as(b.crew).ifMatch(empty.etag()).post(b.sheetsURL(), body)
	require.Equal(t, 201, saved.Code, saved.Body.String())
	for name, want := range bench(t).Result {
		got := saved.at("report", "trompe", name)
		if number, ok := want.(float64); ok {
			require.InEpsilon(t, number, got, 1e-6, name)
			continue
		}
		require.Equal(t, want, got, name)
	}
	require.Equal(t, b.sheetsURL()+"/1", saved.Header().Get("Location"))
	require.NotEqual(t, empty.etag(), saved.etag())
	require.NotEmpty(t, saved.at("drawing", "shapes"))

	read := b.as(b.member).get(saved.Header().Get("Location"))
	require.JSONEq(t, saved.Body.String(), read.Body.String())
	design := b.as(b.member).get(b.designURL())
	require.Equal(t, saved.etag(), design.etag())
	require.Equal(t, saved.at(), design.at("sheet"))
	require.EqualValues(t, interval.Least, saved.at("report", "trompe", "uncertainty", "draws"))
	require.Equal(t, "0", saved.at("coefficient_set"))
	report := saved.at("report").(map[string]any)
	delete(report["trompe"].(map[string]any), "uncertainty") // comes with a save alone
	preview := b.as(b.member).post("/api/v1/preview", machine(t))
	require.Equal(t, report, preview.at("report"))
	require.Equal(t, saved.at("drawing"), preview.at("drawing"))
	answer := b.as(b.member).post("/api/v1/calc/trompe", bench(t).Input)
	require.Equal(t, true, answer.at("ok"))
	require.Equal(t, report["trompe"], answer.at("result"))

	second := b.as(b.crew).ifMatch(saved.etag()).post(b.sheetsURL(), machine(t))
	require.EqualValues(t, 2, second.number("number"))
	items, _ := b.as(b.member).get(b.sheetsURL()).at("items").([]any)
	require.Len(t, items, 2)
	designs, _ := b.as(b.member).get(b.projectURL()).at("designs").([]any)
	require.EqualValues(t, 2, designs[0].(map[string]any)["newest"].(map[string]any)["number"])
}

func TestMachineThatCannotWorkIsSavedWithTheReason(t *testing.T) {
	t.Parallel()
	b := setup(t)
	body := machine(t)
	dry := body["input"].(map[string]any)["trompe"].(map[string]any)
	dry["riser"].(map[string]any)["outlet_m"] = 5.0 // higher than the header: no fall at all
	a := b.as(b.crew).ifMatch(b.version(b.designURL())).post(b.sheetsURL(), body)
	require.Equal(t, 201, a.Code, a.Body.String())
	require.Equal(t, "no_head", a.at("answer", "status"))
	require.Nil(t, a.at("answer", "free_air_delivered_m3s"))
	require.NotEmpty(t, a.at("report", "trompe", "message"))
}

func TestInputThatIsNoMachineIsRefusedWithEveryFault(t *testing.T) {
	t.Parallel()
	b := setup(t)
	body := machine(t)
	m := body["input"].(map[string]any)["trompe"].(map[string]any)
	delete(m["intake"].(map[string]any), "mouth_m")
	m["downcomer"].(map[string]any)["bore_m"] = "wide"
	m["riser"].(map[string]any)["colour"] = "blue"
	a := b.as(b.crew).ifMatch(b.version(b.designURL())).post(b.sheetsURL(), body)
	require.Equal(t, 422, a.Code, a.Body.String())
	found := map[string]string{}
	for _, f := range problemIn(t, a.ResponseRecorder).Fields {
		found[f.Pointer] = f.Code
	}
	require.Equal(t, map[string]string{
		"/input/trompe/intake/mouth_m": "missing", "/input/trompe/downcomer/bore_m": "not_a_number", "/input/trompe/riser/colour": "unknown_field",
	}, found)
	require.Equal(t, []any{}, b.as(b.crew).get(b.sheetsURL()).at("items"))

	preview := b.as(b.crew).post("/api/v1/preview", body)
	require.Equal(t, 200, preview.Code)
	require.Nil(t, preview.at("drawing"))
	faults, _ := preview.at("report", "faults").([]any)
	require.Len(t, faults, 3)
	answer := b.as(b.crew).post("/api/v1/calc/trompe", m)
	require.Equal(t, 200, answer.Code)
	require.Equal(t, false, answer.at("ok"))
	for _, odd := range []string{`{"input":{"trompe":null}}`, `{"input":{"trompe":7}}`, `{"input":{"trompe":[]}}`} {
		require.Equal(t, 422, b.as(b.crew).ifMatch(b.version(b.designURL())).post(b.sheetsURL(), odd).Code, odd)
		require.Equal(t, 200, b.as(b.crew).post("/api/v1/preview", odd).Code, odd)
	}
}

func TestThingsOfAnotherProjectAreNotHere(t *testing.T) {
	t.Parallel()
	b := setup(t)
	b.as(b.crew).ifMatch(b.version(b.designURL())).post(b.sheetsURL(), machine(t))
	other := b.as(b.crew).post("/api/v1/projects", map[string]any{"title": "Other", "purpose": "", "client_key": "other-0001"}).Header().Get("Location")
	design := strings.Replace(b.designURL(), b.projectURL(), other, 1)
	for _, path := range []string{
		design + "/revisions/A", design + "/remarks", b.designURL() + "/revisions/B",
		design, design + "/revisions/A/sheets", design + "/revisions/A/sheets/1", b.designURL() + "/revisions/B/sheets", b.designURL() + "/revisions/a/sheets",
		b.sheetsURL() + "/2", b.sheetsURL() + "/0", b.sheetsURL() + "/99999999999", b.projectURL() + "x", "/api/v1/projects/0/site",
	} {
		require.Equal(t, 404, b.as(b.crew).get(path).Code, path)
	}
	require.Equal(t, 404, b.as(b.crew).ifMatch(`"1"`).post(design+"/revisions/A/sheets", machine(t)).Code)
	require.Equal(t, 404, b.as(b.crew).ifMatch(b.version(b.designURL())).post(b.designURL()+"/revisions/B/sheets", machine(t)).Code)
}

func TestTwentySavesOfOneVersionGiveOneSheet(t *testing.T) {
	t.Parallel()
	b := setup(t)
	version := b.version(b.designURL())
	codes := make([]int, 20)
	var all sync.WaitGroup
	body, err := json.Marshal(machine(t))
	require.NoError(t, err)
	for i := range codes {
		all.Go(func() {
			codes[i] = send(b.h, "POST", b.sheetsURL(), string(body), "Authorization", "Bearer "+b.crew.token, "If-Match", version, "Content-Type", plainJSON).Code
		})
	}
	all.Wait()
	count := map[int]int{}
	for _, code := range codes {
		count[code]++
	}
	require.Equal(t, map[int]int{201: 1, 412: 19}, count)
	items, _ := b.as(b.crew).get(b.sheetsURL()).at("items").([]any)
	require.Len(t, items, 1)
}

func TestLongAnswersArePackedForWhoAsks(t *testing.T) {
	t.Parallel()
	b := setup(t)
	body, err := json.Marshal(machine(t))
	require.NoError(t, err)
	ask := func(accept string) *httptest.ResponseRecorder {
		return send(b.h, "POST", "/api/v1/preview", string(body), "Authorization", "Bearer "+b.crew.token, "Content-Type", plainJSON, "Accept-Encoding", accept)
	}
	plain, packed := ask(""), ask("gzip")
	require.Equal(t, "gzip", packed.Header().Get("Content-Encoding"))
	require.Less(t, packed.Body.Len(), plain.Body.Len()/2)
	r, err := gzip.NewReader(packed.Body)
	require.NoError(t, err)
	text, err := io.ReadAll(r)
	require.NoError(t, err)
	require.JSONEq(t, plain.Body.String(), string(text))
}

func TestCalculationsAreListedAndDescribed(t *testing.T) {
	t.Parallel()
	b := setup(t)
	items, _ := b.as(b.member).get("/api/v1/calc").at("items").([]any)
	require.NotEmpty(t, items)
	for _, item := range items {
		name, _ := item.(map[string]any)["name"].(string)
		a := b.as(b.member).get("/api/v1/calc/" + name)
		require.Equal(t, name, a.at("name"))
		require.NotEmpty(t, a.at("inputs"))
	}
	require.Equal(t, "malformed-json", b.as(b.member).post("/api/v1/calc/trompe", "fall: 3").code())
	require.Equal(t, "missing", b.as(b.member).post("/api/v1/calc/trompe", "[]").at("fault", "code"))
	require.Equal(t, "not-found", b.as(b.member).post("/api/v1/calc/perpetuum", "{}").code())
}

// BenchmarkPreview asks for a preview of the bench machine through the whole
// handler, as the page does while somebody types.
func BenchmarkPreview(b *testing.B) {
	s := setup(b)
	body, err := json.Marshal(machine(b))
	require.NoError(b, err)
	for b.Loop() {
		rec := send(s.h, "POST", "/api/v1/preview", string(body), "Authorization", "Bearer "+s.crew.token, "Content-Type", plainJSON)
		if rec.Code != 200 {
			b.Fatal(rec.Body)
		}
	}
}
