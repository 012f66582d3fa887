package api

import (
	"io/fs"
	"log/slog"
	"net/http"
	"net/netip"
	"net/url"
	"time"

	"github.com/labstack/echo/v4"

	"leat/domain/notebook"
)

// Options is what the server is made from.
type Options struct {
	Notebook       *notebook.Notebook
	Keys           *Keys          // sign access tokens; from LoadKeys or NewKeys
	PublicURL      *url.URL       // as members type it; https turns on HSTS
	TrustedProxies []netip.Prefix // whose X-Forwarded-For is believed
	Static         fs.FS          // the built pages: index.html and assets/; may be empty
	Log            *slog.Logger
	Demo           []DemoPerson // shown before sign-in; nil unless in demo mode
}

// DemoPerson is somebody of the demo group, with the words to sign in.
type DemoPerson struct {
	Name     string `json:"name"`
	Address  string `json:"address"`
	Password string `json:"password"`
	About    string `json:"about"`
}

// server is what all handlers share.
type server struct {
	notebook *notebook.Notebook
	tokens   *tokens
	origin   string // of the public URL, such as https://leat.example
	demo     []DemoPerson
	pages    pages
	log      *slog.Logger
	tries    *tries
	posts    *tries        // of loggers
	patience time.Duration // a request may take this long
}

const (
	bodyMost      = 1 << 20 // bytes
	patience      = 20 * time.Second
	triesAMinute  = 120 // of sign-in, refresh and set-up, from one network address
	yearImmutable = "public, max-age=31536000, immutable"
)

// New returns the whole of leat over HTTP. It panics when the table of routes
// is wrong, which is a defect of leat.
func New(o Options) http.Handler {
	return newServer(o).handler(o.TrustedProxies)
}

func newServer(o Options) *server {
	origin := o.PublicURL.Scheme + "://" + o.PublicURL.Host
	return &server{
		notebook: o.Notebook,
		tokens:   newTokens(o.Keys, origin),
		origin:   origin,
		demo:     o.Demo,
		pages:    readPages(o.Static, o.Log),
		log:      o.Log,
		tries:    &tries{most: triesAMinute, now: time.Now},
		posts:    &tries{most: postsAMinute, now: time.Now},
		patience: patience,
	}
}

func (s *server) handler(proxies []netip.Prefix) *echo.Echo {
	e := echo.New()
	e.IPExtractor = addressOf(proxies)
	e.HTTPErrorHandler = s.answerProblem
	e.Use(s.recoverPanic, nameRequest, s.logRequest, s.secureHeaders, limitBody, s.limitTime, s.servePages)
	for _, r := range routes {
		e.Add(r.method, r.path, s.guarded(r))
	}
	return e
}
