package api

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestSearchOverHTTP(t *testing.T) {
	t.Parallel()
	b := setup(t)
	started := b.as(b.crew).post("/api/v1/searches", `{"flow_m3s": 0.0004, "fall_m": 1.2, "wish": "most_air"}`)
	require.Equal(t, 201, started.Code, started.Body.String())
	path := started.Header().Get("Location")
	require.Equal(t, "search-gone", b.as(b.member).get(path).code(), "somebody else's")
	require.Eventually(t, func() bool { return b.as(b.crew).get(path).at("state") == "ended" }, time.Minute, 5*time.Millisecond)
	ended := b.as(b.crew).get(path)
	require.Equal(t, ended.at("of"), ended.at("done"))
	first, ok := ended.at("answer", "proposals").([]any)
	require.True(t, ok)
	require.NotEmpty(t, first)
	require.Equal(t, 204, b.as(b.crew).send("DELETE", path, "", "").Code)
	require.Equal(t, "search-gone", b.as(b.crew).get(path).code())
}

func TestSearchNamesItsFaults(t *testing.T) {
	t.Parallel()
	b := setup(t)
	a := b.as(b.crew).post("/api/v1/searches", `{"flow_m3s": 0, "wish": "pressure", "depht_m": 1}`)
	require.Equal(t, 422, a.Code)
	for _, at := range []string{"/flow_m3s", "/fall_m", "/gauge_pa", "/depht_m"} {
		require.Contains(t, a.Body.String(), `"`+at+`"`)
	}
}
