package api

import (
	"maps"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

func gauging(flow any, key string) map[string]any {
	return map[string]any{"flow_m3s": flow, "half_width_m3s": nil, "gauged_on": nil, "how": "bucket", "note": "", "client_key": key}
}

func TestGaugingIsKeptOnceAndShownAtTheSite(t *testing.T) {
	t.Parallel()
	b := setup(t)
	path := gaugingsPath(b.project)
	body := gauging(0.0034, "gauging-0001")
	body["half_width_m3s"], body["gauged_on"] = 0.0002, "2025-08-12"
	first := b.as(b.crew).post(path, body)
	require.Equal(t, 201, first.Code, first.Body.String())
	second := b.as(b.crew).post(path, body)
	require.Equal(t, 200, second.Code)
	require.JSONEq(t, first.Body.String(), second.Body.String())
	require.Equal(t, "2025-08-12", first.at("gauged_on"))
	items, _ := b.as(b.member).get(first.Header().Get("Location")).at("items").([]any)
	require.Equal(t, []any{first.at()}, items)
	site := b.as(b.member).get(b.projectURL() + "/site")
	require.Equal(t, first.at(), site.at("gauging"))
	require.InDelta(t, 0.0034, site.at("flow_m3s"), 0)

	for field, bad := range map[string]any{"flow_m3s": "3", "gauged_on": "12 August", "half_width_m3s": 1} {
		wrong := maps.Clone(body)
		wrong["client_key"], wrong[field] = "gauging-0002", bad
		a := b.as(b.crew).post(path, wrong)
		require.Equal(t, 422, a.Code, field)
		require.Equal(t, "/"+field, problemIn(t, a.ResponseRecorder).Fields[0].Pointer)
	}
}

func TestSheetsNameTheirGaugingAndLettersFollowEachOther(t *testing.T) {
	t.Parallel()
	b := setup(t)
	g := b.as(b.crew).post(gaugingsPath(b.project), gauging(0.0034, "gauging-0001"))
	body := machine(t)
	body["gauging"] = g.at("id")
	saved := b.as(b.crew).ifMatch(b.version(b.designURL())).post(b.sheetsURL(), body)
	require.Equal(t, 201, saved.Code, saved.Body.String())
	require.Equal(t, g.at("id"), saved.at("gauging"))

	early := b.as(b.crew).ifMatch(saved.etag()).post(b.designURL()+"/revisions", map[string]any{})
	require.Equal(t, 409, early.Code)
	require.Equal(t, "letter-is-draft", early.code())
	require.Equal(t, saved.etag(), b.version(b.designURL()), "what is refused changes nothing")
	b.db.Put(t, domain.Returned, "true")
	next := b.as(b.crew).ifMatch(saved.etag()).post(b.designURL()+"/revisions", map[string]any{})
	require.Equal(t, 201, next.Code, next.Body.String())
	require.Equal(t, "B", next.at("revision", "letter"))
	require.Equal(t, saved.at("input"), next.at("sheet", "input"))
	require.Equal(t, next.etag(), b.version(next.Header().Get("Location")))
	letters, _ := next.at("revisions").([]any)
	require.Equal(t, "returned", letters[1].(map[string]any)["state"])

	b.db.Put(t, domain.Returned, "true")
	for _, from := range []map[string]any{
		{"design": b.design, "letter": "A", "number": 2}, {"design": 0, "letter": "A", "number": 1}, {"design": b.design, "letter": "É", "number": 1},
	} {
		require.Equal(t, 404, b.as(b.crew).ifMatch(next.etag()).post(b.designURL()+"/revisions", map[string]any{"from": from}).Code, from)
	}
	huge := map[string]any{"from": map[string]any{"design": b.design, "letter": "A", "number": 1 << 40}}
	require.Equal(t, "invalid", b.as(b.crew).ifMatch(next.etag()).post(b.designURL()+"/revisions", huge).code())

	copied := b.as(b.crew).post(b.projectURL()+"/designs", map[string]any{
		"title": "Short riser", "client_key": "design-0002", "from": map[string]any{"design": b.design, "letter": "A", "number": 1},
	})
	require.Equal(t, 201, copied.Code, copied.Body.String())
	require.Equal(t, saved.at("input"), copied.at("sheet", "input"))
}
