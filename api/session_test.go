package api

import (
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestCookieIsForTheServerAlone(t *testing.T) {
	t.Parallel()
	b := setup(t)
	a := b.as(b.nobody).post("/api/v1/session", map[string]any{"address": "  " + strings.ToUpper(b.crew.address), "password": password})
	require.Equal(t, 201, a.Code, a.Body.String())
	c := a.cookie()
	require.Equal(t, "__Host-leat-refresh", c.Name)
	require.Equal(t, "/", c.Path)
	require.Empty(t, c.Domain, "the prefix forbids it (RFC 6265bis, 4.1.3.2)")
	require.True(t, c.Secure)
	require.True(t, c.HttpOnly)
	require.Equal(t, http.SameSiteStrictMode, c.SameSite)
	require.Positive(t, c.MaxAge)
	require.LessOrEqual(t, c.MaxAge, 90*24*3600)
	require.NotContains(t, a.Body.String(), c.Value)
	require.Equal(t, "no-store", a.Header().Get("Cache-Control"))
	require.EqualValues(t, 600, a.number("expires_in_s"))
}

func TestRefreshGivesANewCookieAndTheOldOneEndsTheSession(t *testing.T) {
	t.Parallel()
	b := setup(t)
	stolen := *b.crew
	a := b.as(b.crew).refreshes()
	require.Equal(t, 200, a.Code, a.Body.String())
	b.crew.takes(a)
	require.NotEqual(t, stolen.refresh, b.crew.refresh)
	require.Equal(t, 200, b.as(b.crew).get("/api/v1/me").Code)

	again := b.as(&stolen).refreshes()
	require.Equal(t, "signed-out", again.code())
	require.Negative(t, again.cookie().MaxAge, "a cookie that is good for nothing is taken back")
	require.Equal(t, "signed-out", b.as(b.crew).refreshes().code())
	require.Equal(t, "signed-out", b.as(b.crew).get("/api/v1/me").code())
}

// Fetch Metadata (W3C) where the browser sends it, else the Origin (RFC 6454).
func TestOnlyOwnPagesMayRefresh(t *testing.T) {
	t.Parallel()
	b := setup(t)
	for _, c := range []struct {
		site, origin string
		ok           bool
	}{
		{"", "", false}, {"cross-site", publicURL, false}, {"same-site", publicURL, false}, {"none", "", false},
		{"", "https://other.example", false}, {"", publicURL + ".evil.example", false}, {"", "null", false},
		{"", strings.Replace(publicURL, "https", "http", 1), false},
		{"same-origin", "", true}, {"", publicURL, true},
	} {
		w := b.as(b.crew).with("Cookie", refreshCookie+"="+b.crew.refresh)
		if c.site != "" {
			w = w.with("Sec-Fetch-Site", c.site)
		}
		if c.origin != "" {
			w = w.with("Origin", c.origin)
		}
		a := w.send("POST", "/api/v1/session/refresh", "", "")
		if !c.ok {
			require.Equal(t, "cross-site", a.code(), "%+v", c)
			continue
		}
		require.Equal(t, 200, a.Code, "%+v", c)
		b.crew.takes(a)
	}
}

func TestCookiesThatAreNone(t *testing.T) {
	t.Parallel()
	b := setup(t)
	for _, value := range []string{"", "x", strings.Repeat("A", 43), strings.Repeat("A", 5000), "a.b.c", "%00"} {
		a := b.as(&person{refresh: value}).refreshes()
		require.Equal(t, "signed-out", a.code(), value)
	}
	a := b.as(b.nobody).with("Sec-Fetch-Site", "same-origin").send("POST", "/api/v1/session/refresh", "", "")
	require.Equal(t, "signed-out", a.code())
}

func TestSignOutCountsAtOnce(t *testing.T) {
	t.Parallel()
	b := setup(t)
	other := *b.crew
	b.signsIn(&other)
	a := b.as(b.crew).send("DELETE", "/api/v1/session", "", "")
	require.Equal(t, 204, a.Code)
	require.Negative(t, a.cookie().MaxAge)
	require.Equal(t, "signed-out", b.as(b.crew).get("/api/v1/me").code())
	require.Equal(t, "signed-out", b.as(b.crew).refreshes().code())
	require.Equal(t, 200, b.as(&other).get("/api/v1/me").Code, "another device stays signed in")
}

// Whether an address has an account is not to be found out.
func TestSignInFailsInTheSameWords(t *testing.T) {
	t.Parallel()
	b := setup(t)
	known := b.as(b.nobody).post("/api/v1/session", map[string]any{"address": b.crew.address, "password": "not this one"})
	unknown := b.as(b.nobody).post("/api/v1/session", map[string]any{"address": "who@thornwick.example", "password": "not this one"})
	demo := b.as(b.nobody).post("/api/v1/session", map[string]any{"address": b.demo.address, "password": password})
	require.Equal(t, known.at("detail"), unknown.at("detail"))
	require.Equal(t, known.at("detail"), demo.at("detail"))
}

func TestSetupBeforeAndAfterTheFirstKeeper(t *testing.T) {
	t.Parallel()
	b := setup(t)
	a := b.as(b.nobody).get("/api/v1/setup")
	require.Equal(t, false, a.at("needs_keeper"))
	require.Nil(t, a.at("demo"))
	b.server.demo = []DemoPerson{{"Petra Lindahl", "petra@thornwick.example", "words", "builds the pond"}}
	b.h = b.server.handler(nil)
	people, ok := b.as(b.nobody).get("/api/v1/setup").at("demo", "people").([]any)
	require.True(t, ok)
	require.Len(t, people, 1)
	require.Equal(t, []any{"member", "keeper"}, b.as(b.keeper).get("/api/v1/me").at("roles"))
	require.Equal(t, []any{"member"}, b.as(b.crew).get("/api/v1/me").at("roles"))
}
