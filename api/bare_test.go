package api

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"
)

const publicURL = "https://leat.thornwick.example"

// bare returns a server without a notebook, for what is answered before one is
// asked.
func bare(t testing.TB) *server { return newServer(bareOptions(t)) }

func bareOptions(t testing.TB) Options {
	t.Helper()
	keys, err := NewKeys()
	require.NoError(t, err)
	public, err := url.Parse(publicURL)
	require.NoError(t, err)
	return Options{Keys: keys, PublicURL: public, Static: builtPages(), Log: slog.New(slog.DiscardHandler)}
}

// builtPages is like what Vite builds.
func builtPages() fs.FS {
	return fstest.MapFS{
		"index.html":             {Data: []byte("<!doctype html><title>leat</title>")},
		"mark.svg":               {Data: []byte(`<svg xmlns="http://www.w3.org/2000/svg"/>`)},
		"assets/main-4f2a9c.js":  {Data: []byte(strings.Repeat("export const fall = 2.6;\n", 200))},
		"assets/main-77b0e1.css": {Data: []byte("body{margin:0}")},
		".gitkeep":               {Data: []byte{}},
	}
}

// send gives one request to a handler.
func send(h http.Handler, method, target, body string, header ...string) *httptest.ResponseRecorder {
	req := httptest.NewRequest(method, target, strings.NewReader(body))
	for i := 0; i+1 < len(header); i += 2 {
		req.Header.Add(header[i], header[i+1])
	}
	rec := httptest.NewRecorder()
	h.ServeHTTP(rec, req)
	return rec
}

// problemIn reads a problem document and checks that it is a whole one.
func problemIn(t testing.TB, rec *httptest.ResponseRecorder) problem {
	t.Helper()
	require.Equal(t, "application/problem+json", rec.Header().Get("Content-Type"), rec.Body.String())
	var p problem
	require.NoError(t, json.Unmarshal(rec.Body.Bytes(), &p))
	require.Equal(t, rec.Code, p.Status)
	require.Equal(t, "/problems/"+p.Code, p.Type)
	require.Equal(t, "/requests/"+rec.Header().Get("X-Request-Id"), p.Instance)
	require.NotEmpty(t, p.Title)
	require.Equal(t, "no-store", rec.Header().Get("Cache-Control"))
	return p
}

// logBook is a log that a test can read while the server writes.
type logBook struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (l *logBook) Write(b []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.Write(b)
}

func (l *logBook) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.String()
}

func (l *logBook) logger() *slog.Logger { return slog.New(slog.NewJSONHandler(l, nil)) }
