package api

import (
	"compress/gzip"
	"io"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"
)

func TestPagesAndTheirHeaders(t *testing.T) {
	h := bare(t).handler(nil)
	for _, c := range []struct{ target, kind, cache, holds string }{
		{"/", "text/html; charset=utf-8", "no-cache", "<title>leat"},
		{"/index.html", "text/html; charset=utf-8", "no-cache", "<title>leat"},
		{"/projects/3/designs/4", "text/html; charset=utf-8", "no-cache", "<title>leat"},
		{"/../../etc/passwd", "text/html; charset=utf-8", "no-cache", "<title>leat"},
		{"/mark.svg", "image/svg+xml", "no-cache", "<svg"},
		{"/assets/main-4f2a9c.js", "text/javascript; charset=utf-8", "public, max-age=31536000, immutable", "export const"},
		{"/assets/main-77b0e1.css", "text/css; charset=utf-8", "public, max-age=31536000, immutable", "body{"},
	} {
		rec := send(h, "GET", c.target, "")
		require.Equal(t, 200, rec.Code, c.target)
		require.Equal(t, c.kind, rec.Header().Get("Content-Type"), c.target)
		require.Equal(t, c.cache, rec.Header().Get("Cache-Control"), c.target)
		require.Contains(t, rec.Body.String(), c.holds, c.target)
		require.Empty(t, rec.Header().Get("Content-Encoding"), c.target)
	}
}

func TestPagesOfSheetsAreNoFiles(t *testing.T) {
	h := bare(t).handler(nil)
	for _, target := range []string{"/projects/1/designs/2/A.3", "/projects/1/compare/2.A.3/2.AB.12"} {
		rec := send(h, "GET", target, "")
		require.Equal(t, 200, rec.Code, target)
		require.Equal(t, "text/html; charset=utf-8", rec.Header().Get("Content-Type"), target)
	}
}

func TestMissingAssetsAreNotThePage(t *testing.T) {
	h := bare(t).handler(nil)
	for _, target := range []string{"/assets/gone-000000.js", "/robots.txt", "/.gitkeep", "/assets/../secret.txt"} {
		require.Equal(t, 404, send(h, "GET", target, "").Code, target)
	}
}

func TestTextGoesOutPackedToWhoAsks(t *testing.T) {
	h := bare(t).handler(nil)
	plain := send(h, "GET", "/assets/main-4f2a9c.js", "")
	rec := send(h, "GET", "/assets/main-4f2a9c.js", "", "Accept-Encoding", "br, gzip;q=0.8")
	require.Equal(t, "gzip", rec.Header().Get("Content-Encoding"))
	require.Equal(t, "Accept-Encoding", rec.Header().Get("Vary"))
	require.NotEqual(t, plain.Header().Get("ETag"), rec.Header().Get("ETag"), "RFC 9110, 8.8.3: one tag, one representation")
	r, err := gzip.NewReader(rec.Body)
	require.NoError(t, err)
	text, err := io.ReadAll(r)
	require.NoError(t, err)
	require.Equal(t, plain.Body.String(), string(text))
	for _, no := range []string{"", "br", "gzip;q=0", "gzip; q=0.0", "xgzip"} {
		require.Empty(t, send(h, "GET", "/assets/main-4f2a9c.js", "", "Accept-Encoding", no).Header().Get("Content-Encoding"), no)
	}
}

func TestUnchangedPageIsNotSentAgain(t *testing.T) {
	h := bare(t).handler(nil)
	tag := send(h, "GET", "/", "").Header().Get("ETag")
	rec := send(h, "GET", "/projects", "", "If-None-Match", tag)
	require.Equal(t, 304, rec.Code)
	require.Empty(t, rec.Body.String())
	require.Equal(t, 200, send(h, "GET", "/", "", "If-None-Match", `"other"`).Code)
}

func TestHeadOfAPage(t *testing.T) {
	h := bare(t).handler(nil)
	rec := send(h, "HEAD", "/mark.svg", "")
	require.Equal(t, 200, rec.Code)
	require.Empty(t, rec.Body.String())
	require.Equal(t, "41", rec.Header().Get("Content-Length"))
}

func TestServerWithoutPagesSaysSo(t *testing.T) {
	for name, built := range map[string]fstest.MapFS{"nothing": {}, "placeholder": {".gitkeep": {}}} {
		o := bareOptions(t)
		o.Static = built
		h := New(o)
		rec := send(h, "GET", "/", "")
		require.Equal(t, 503, rec.Code, name)
		require.True(t, strings.HasPrefix(rec.Header().Get("Content-Type"), "text/plain"), name)
		require.Contains(t, rec.Body.String(), "not built", name)
		require.Equal(t, 200, send(h, "GET", "/healthz", "").Code, name)
	}
	o := bareOptions(t)
	o.Static = nil
	require.Equal(t, 503, send(New(o), "GET", "/", "").Code)
}
