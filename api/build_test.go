package api

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

// partsGiven is a trompe of 5 m, invented, with what it is built from.
const partsGiven = `{"input": {
	"trompe": {"supply": {"type": "forebay", "level_m": 5}, "intake": {"mouth_m": 4.8, "n_tubes": 32, "tube_id_m": 0.006, "tube_od_m": 0.008, "tube_length_m": 0.4},
		"downcomer": {"bore_m": 0.0816, "outlet_m": -0.05}, "chamber": {"kind": "horizontal", "bore_m": 0.3, "length_m": 1.6, "floor_m": -0.1, "lip_m": 0, "high_m": 0.05},
		"riser": {"bore_m": 0.152, "outlet_m": 3}},
	"parts": [{"role": "chamber", "name": "drum", "line": "iso-4427-2/pe100-sdr17/d250-pn10", "joint": "fusion", "gas_statement": true, "location": "guarded", "length_m": 1.6},
		{"role": "downcomer", "line": "en-iso-1452-2/s8-sdr17/d90-pn12.5", "joint": "solvent"}, {"role": "riser", "line": "en-iso-1452-2/s8-sdr17/d110-pn16", "joint": "solvent"}],
	"facts": {"t_hot_c": 20, "t_cold_c": 6, "site": {"shaft": false, "digging": false}}}}`

// clearedRevision returns a design of the project whose revision A was cleared
// by hand. It is made once.
func (b *bundle) clearedRevision() int64 {
	b.Helper()
	a := b.as(b.crew).post(b.projectURL()+"/designs", map[string]any{"title": "To be built", "client_key": "cleared-0001"})
	require.Less(b, a.Code, 300, a.Body.String())
	design, id := a.Header().Get("Location"), a.number("id")
	if a.Code == http.StatusOK {
		return id
	}
	saved := b.as(b.crew).ifMatch(a.etag()).post(design+"/revisions/A/sheets", partsGiven)
	require.Equal(b, 201, saved.Code, saved.Body.String())
	b.db.Put(b, domain.Cleared, "design_id = $1", id)
	return id
}

func (b *bundle) newBuildOf(design int64, key string) map[string]any {
	return map[string]any{"title": "Mill trompe", "design": design, "letter": "A", "place": "below the mill", "client_key": key}
}

// built returns the path of a build, made once for each key.
func (b *bundle) built(key string) string {
	b.Helper()
	return b.once("build "+key, func() string {
		a := b.as(b.crew).post(b.projectURL()+"/builds", b.newBuildOf(b.clearedRevision(), key))
		require.Equal(b, 201, a.Code, a.Body.String())
		return a.Header().Get("Location")
	})
}

// puts says as the crew that a build has come to a state.
func (b *bundle) puts(path, state string) *reply {
	b.Helper()
	return b.as(b.crew).ifMatch(b.version(path)).post(path+"/state", map[string]any{"state": state})
}

// renewedDrum is a change that alters nothing of what was cleared.
var renewedDrum = map[string]any{"renewed": []string{"/parts/0"}}

func TestBuildOverHTTP(t *testing.T) {
	t.Parallel()
	b := setup(t)
	req := b.newBuildOf(b.clearedRevision(), "build-0001")
	first := b.as(b.crew).post(b.projectURL()+"/builds", req)
	require.Equal(t, 201, first.Code, first.Body.String())
	require.Equal(t, `"1"`, first.etag())
	second := b.as(b.crew).post(b.projectURL()+"/builds", req)
	require.Equal(t, 200, second.Code)
	require.JSONEq(t, first.Body.String(), second.Body.String())
	path := first.Header().Get("Location")
	require.Equal(t, int64(1), first.number("tag"))
	require.Len(t, first.at("now", "pressure_hash"), 64)
	require.Equal(t, first.Body.String(), b.as(b.crew).get("/api/v1/builds/tags/1").Body.String(), "where the label leads")
	require.Empty(t, b.as(b.member).get(path).at("allowed_actions"))

	list := b.as(b.crew).get(b.projectURL() + "/builds")
	require.Equal(t, []any{"start_build", "change_build"}, list.at("allowed_actions"))
	require.Len(t, list.at("items"), 1)

	changed := b.as(b.crew).ifMatch(first.etag()).post(path+"/versions", map[string]any{"differences": map[string]any{"/trompe/intake/n_tubes": 28}, "note": "four split"})
	require.Equal(t, 201, changed.Code, changed.Body.String())
	require.Equal(t, map[string]any{"/trompe/intake/n_tubes": 28.0}, changed.at("now", "differences"))
	require.Equal(t, 28.0, changed.at("now", "input", "trompe", "intake", "n_tubes"))
	require.NotEqual(t, first.at("now", "report", "trompe", "free_air_delivered_m3s"), changed.at("now", "report", "trompe", "free_air_delivered_m3s"))
	require.NotEqual(t, first.at("now", "pressure_hash"), changed.at("now", "pressure_hash"))

	state := b.as(b.crew).ifMatch(changed.etag()).post(path+"/state", map[string]any{"state": "built"})
	require.Equal(t, 200, state.Code)
	require.Equal(t, "certificate-missing", b.as(b.crew).ifMatch(state.etag()).post(path+"/state", map[string]any{"state": "in_service"}).code())
}

func TestBuildOverHTTPIsRefused(t *testing.T) {
	t.Parallel()
	b := setup(t)
	path := b.built("build-0001")
	change := func(body any) *reply { return b.as(b.crew).ifMatch(`"1"`).post(path+"/versions", body) }
	for name, c := range map[string]struct {
		a    *reply
		code string
	}{
		"no version":         {b.as(b.crew).post(path+"/versions", map[string]any{}), "if-match-required"},
		"an old version":     {b.as(b.crew).ifMatch(`"9"`).post(path+"/versions", map[string]any{"renewed": []string{"/parts/0"}}), "build-stale"},
		"nothing":            {change(map[string]any{}), "invalid"},
		"null":               {change(`{"differences": {"/trompe/intake/n_tubes": null}}`), "invalid"},
		"text":               {change(`{"differences": {"/trompe/intake/n_tubes": "28"}}`), "invalid"},
		"a material":         {change(map[string]any{"differences": map[string]any{"/parts/0/rating_pa": 1}}), "invalid"},
		"a worse answer":     {change(map[string]any{"differences": map[string]any{"/trompe/supply/level_m": 90}}), "build-worse"},
		"an unknown field":   {change(map[string]any{"material": "glass"}), "unknown-field"},
		"state by an old":    {b.as(b.crew).ifMatch(`"9"`).post(path+"/state", map[string]any{"state": "built"}), "build-stale"},
		"state of no kind":   {b.as(b.crew).ifMatch(`"1"`).post(path+"/state", map[string]any{"state": "mended"}), "invalid"},
		"state too early":    {b.as(b.crew).ifMatch(`"1"`).post(path+"/state", map[string]any{"state": "laid_up"}), "build-state"},
		"a draft":            {b.as(b.crew).post(b.projectURL()+"/builds", b.newBuildOf(int64(b.design), "build-0002")), "revision-not-cleared"},
		"nobody":             {b.as(b.crew).post(path+"/builders", map[string]any{}), "invalid"},
		"no such tag":        {b.as(b.crew).get("/api/v1/builds/tags/77"), "not-found"},
		"a tag out of all":   {b.as(b.crew).get("/api/v1/builds/tags/99999999999"), "not-found"},
		"no such build":      {b.as(b.crew).get(b.projectURL() + "/builds/77"), "not-found"},
		"of another project": {b.as(b.crew).get(strings.Replace(path, fmt.Sprintf("/projects/%d/", b.project), "/projects/77/", 1)), "not-found"},
	} {
		require.Equal(t, c.code, c.a.code(), "%s: %s", name, c.a.Body)
	}
	require.Equal(t, "/differences/~1trompe~1intake~1n_tubes", fieldsOf(change(`{"differences": {"/trompe/intake/n_tubes": null}}`))[0])
	b.db.exec("UPDATE builds SET state = 'scrapped'")
	require.Equal(t, "build-scrapped", change(map[string]any{"renewed": []string{"/parts/0"}}).code())
}

func TestBuildOfAWithdrawnRevisionIsMarked(t *testing.T) {
	t.Parallel()
	b := setup(t)
	path := b.built("build-0001")
	b.db.Put(b, domain.Withdrawn, "state = 'cleared'")
	a := b.as(b.member).get(path)
	require.Equal(t, "withdrawn", a.at("revision_state"))
	marks, ok := a.at("marks").([]any)
	require.True(t, ok)
	require.Contains(t, fmt.Sprint(marks[0]), "revision-withdrawn")
	refused := b.as(b.crew).ifMatch(a.etag()).post(path+"/versions", map[string]any{"renewed": []string{"/parts/0"}})
	require.Equal(t, "revision-withdrawn", refused.code())
}

// fieldsOf lists where a problem points.
func fieldsOf(a *reply) (pointers []string) {
	for _, f := range problemIn(a.b, a.ResponseRecorder).Fields {
		pointers = append(pointers, f.Pointer)
	}
	return pointers
}
