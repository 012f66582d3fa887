package api

import (
	"errors"
	"net/http"
	"net/netip"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/stretchr/testify/require"

	"leat/domain"
)

// The values are those of the group's own rules for pages, and of the OWASP
// Secure Headers Project as far as it goes (from memory).
func TestSecurityHeadersOnEveryAnswer(t *testing.T) {
	h := bare(t).handler(nil)
	for _, target := range []string{"/", "/healthz", "/api/v1/me", "/api/nothing", "/assets/main-4f2a9c.js", "/missing.png"} {
		header := send(h, "GET", target, "").Header()
		require.Contains(t, header.Get("Content-Security-Policy"), "default-src 'none'; script-src 'self'; style-src 'self'", target)
		require.Contains(t, header.Get("Content-Security-Policy"), "require-trusted-types-for 'script'", target)
		require.NotContains(t, header.Get("Content-Security-Policy"), "unsafe", target)
		require.Equal(t, "nosniff", header.Get("X-Content-Type-Options"), target)
		require.Equal(t, "no-referrer", header.Get("Referrer-Policy"), target)
		require.Equal(t, "same-origin", header.Get("Cross-Origin-Opener-Policy"), target)
		require.Equal(t, "max-age=31536000", header.Get("Strict-Transport-Security"), target)
		require.Empty(t, header.Get("Access-Control-Allow-Origin"), target)
		require.Empty(t, header.Get("X-XSS-Protection"), target)
	}
}

func TestNoTransportSecurityOverPlainHTTP(t *testing.T) {
	o := bareOptions(t)
	o.PublicURL.Scheme = "http"
	require.Empty(t, send(New(o), "GET", "/", "").Header().Get("Strict-Transport-Security"))
}

func TestRequestNamesAreOursAndDiffer(t *testing.T) {
	h := bare(t).handler(nil)
	one := send(h, "GET", "/healthz", "", "X-Request-Id", "chosen\"by<client").Header().Get("X-Request-Id")
	two := send(h, "GET", "/healthz", "", "X-Request-Id", "chosen\"by<client").Header().Get("X-Request-Id")
	require.Regexp(t, regexp.MustCompile(`^[a-z2-7]{26}$`), one)
	require.NotEqual(t, one, two)
}

func TestPanicIsAnsweredAndLoggedOnce(t *testing.T) {
	var log logBook
	o := bareOptions(t)
	o.Log = log.logger()
	s := newServer(o)
	e := s.handler(nil)
	e.GET("/api/boom", func(echo.Context) error { panic("pipe burst") })
	rec := send(e, "GET", "/api/boom", "")
	p := problemIn(t, rec)
	require.Equal(t, "internal", p.Code)
	require.NotContains(t, rec.Body.String(), "pipe burst")
	require.Equal(t, 1, strings.Count(log.String(), "pipe burst"))
	require.Contains(t, log.String(), `"status":500`)
}

func TestUnknownFailuresSayNothingOfTheirCause(t *testing.T) {
	var log logBook
	o := bareOptions(t)
	o.Log = log.logger()
	e := newServer(o).handler(nil)
	cause := errors.New("dial postgres: password of user leat")
	for path, err := range map[string]error{
		"/api/plain":    cause,
		"/api/internal": &domain.Error{Kind: domain.Internal, Code: "secret-code", Message: "secret words", Err: cause},
		"/api/echo":     echo.NewHTTPError(http.StatusTeapot, "secret words"),
	} {
		e.GET(path, func(echo.Context) error { return err })
		rec := send(e, "GET", path, "")
		require.Equal(t, "internal", problemIn(t, rec).Code, path)
		require.NotContains(t, rec.Body.String(), "secret", path)
		require.NotContains(t, rec.Body.String(), "password", path)
	}
	require.Contains(t, log.String(), "dial postgres")
}

func TestLogHoldsNoSecrets(t *testing.T) {
	var log logBook
	o := bareOptions(t)
	o.Log = log.logger()
	h := New(o)
	send(h, "POST", "/api/v1/session?address=ines@thornwick.example", `{"address":"ines@thornwick.example","password":"hidden words"`, "Content-Type", plainJSON)
	send(h, "GET", "/api/v1/me", "", "Authorization", "Bearer hidden.token.here")
	require.Contains(t, log.String(), `"route":"/api/v1/session"`)
	require.NotContains(t, log.String(), "hidden")
	require.NotContains(t, log.String(), "thornwick")
}

func TestNotFoundAndMethodNotAllowed(t *testing.T) {
	h := bare(t).handler(nil)
	for _, target := range []string{"/api", "/api/", "/api/v1", "/api/v1/nothing", "/api/v2/me", "/api/v1/projects/1/site/2", "/missing.png"} {
		rec := send(h, "GET", target, "")
		require.Equal(t, "not-found", problemIn(t, rec).Code, target)
		require.Equal(t, 404, rec.Code, target)
	}
	for _, c := range []struct{ method, target, allow string }{
		{"PUT", "/api/v1/me", "GET"}, {"PUT", "/api/v1/preview", "GET"}, {"DELETE", "/api/v1/projects", "GET"}, {"POST", "/", "GET"}, {"POST", "/projects", "HEAD"},
	} {
		rec := send(h, c.method, c.target, "")
		require.Equal(t, "method-not-allowed", problemIn(t, rec).Code, c.target)
		require.Equal(t, 405, rec.Code)
		require.Contains(t, rec.Header().Get("Allow"), c.allow)
	}
}

// The addresses are of the ranges for documentation (RFC 5737, RFC 3849).
func TestForwardedAddressIsBelievedFromNamedProxiesOnly(t *testing.T) {
	for _, c := range []struct {
		proxies            []netip.Prefix
		peer, header, want string
	}{
		{nil, "192.0.2.7:1", "198.51.100.1", "192.0.2.7"},
		{prefixes("192.0.2.0/24"), "192.0.2.7:1", "198.51.100.1", "198.51.100.1"},
		{prefixes("192.0.2.0/24"), "203.0.113.9:1", "198.51.100.1", "203.0.113.9"},
		{prefixes("192.0.2.0/24"), "192.0.2.7:1", "10.0.0.1, 198.51.100.1", "198.51.100.1"},
		{prefixes("192.0.2.7/32", "10.0.0.0/8"), "192.0.2.7:1", "198.51.100.1, 10.0.0.1", "198.51.100.1"},
		{prefixes("192.0.2.7/32"), "127.0.0.1:1", "198.51.100.1", "127.0.0.1"},
		{nil, "[2001:db8:1:2:3:4:5:6]:1", "", "2001:db8:1:2::/64"},
		{nil, "[::ffff:192.0.2.7]:1", "", "192.0.2.7"},
	} {
		e := echo.New()
		e.IPExtractor = addressOf(c.proxies)
		req, err := http.NewRequest("GET", "/", nil)
		require.NoError(t, err)
		req.RemoteAddr = c.peer
		req.Header.Set("X-Forwarded-For", c.header)
		require.Equal(t, c.want, networkOf(e.NewContext(req, nil)), "%+v", c)
	}
}

func TestTriesAreCountedPerAddressAndMinute(t *testing.T) {
	now := time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)
	tries := &tries{most: 2, now: func() time.Time { return now }}
	require.NoError(t, tries.count("192.0.2.1"))
	require.NoError(t, tries.count("192.0.2.1"))
	now = now.Add(20 * time.Second)
	err := tries.count("192.0.2.1")
	require.Equal(t, domain.TooMany, domain.KindOf(err))
	tooMany, _ := errors.AsType[*domain.Error](err)
	require.Equal(t, 40*time.Second, tooMany.After)
	require.NoError(t, tries.count("192.0.2.2"))
	now = now.Add(40 * time.Second)
	require.NoError(t, tries.count("192.0.2.1"))
}

func TestTooManyTriesSayWhenToComeBack(t *testing.T) {
	s := bare(t)
	s.tries.most = 0
	rec := send(s.handler(nil), "POST", "/api/v1/session", `{}`, "Content-Type", plainJSON)
	require.Equal(t, "too-many-tries", problemIn(t, rec).Code)
	require.Regexp(t, `^([1-9]|[1-5][0-9]|60)$`, rec.Header().Get("Retry-After"))
}

func TestBodyTooLarge(t *testing.T) {
	h := bare(t).handler(nil)
	big := `{"address":"` + strings.Repeat("a", 1<<20) + `","password":"x"}`
	rec := send(h, "POST", "/api/v1/session", big, "Content-Type", plainJSON)
	require.Equal(t, "body-too-large", problemIn(t, rec).Code)
	require.Equal(t, 413, rec.Code)
}
