package api

import (
	"io/fs"
	"log/slog"
	"net/http"
	"net/netip"
	"net/url"

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

// New returns the whole of leat over HTTP.
func New(o Options) http.Handler {
	return http.NotFoundHandler()
}
