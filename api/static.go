package api

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"log/slog"
	"mime"
	"net/http"
	"path"
	"regexp"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"
)

const indexPage = "index.html"

// pages are the built pages of the front end, by path, read once at the start.
type pages map[string]file

type file struct {
	kind   string // media type
	etag   string
	plain  []byte
	packed []byte // nil when packing saves nothing
}

// readPages reads the built pages. A server without them still has its API.
func readPages(built fs.FS, log *slog.Logger) pages {
	found := pages{}
	if built == nil {
		return found
	}
	err := fs.WalkDir(built, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasPrefix(d.Name(), ".") || strings.HasSuffix(name, ".map") {
			return err
		}
		data, err := fs.ReadFile(built, name)
		if err != nil {
			return err
		}
		found[name] = newFile(name, data)
		return nil
	})
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		log.Error("pages can't be read", "error", err)
		return pages{}
	}
	return found
}

func newFile(name string, data []byte) file {
	sum := sha256.Sum256(data)
	f := file{kind: kindOf(name), etag: hex.EncodeToString(sum[:12]), plain: data}
	if packed := pack(data); len(packed) < len(data)*9/10 {
		f.packed = packed
	}
	return f
}

// kindOf knows the kinds that pages are made of, whatever the machine knows.
func kindOf(name string) string {
	kinds := map[string]string{
		".html": "text/html; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".css": "text/css; charset=utf-8",
		".svg": "image/svg+xml", ".png": "image/png", ".webmanifest": "application/manifest+json", ".txt": "text/plain; charset=utf-8",
	}
	ext := path.Ext(name)
	if kind, ok := kinds[ext]; ok {
		return kind
	}
	if kind := mime.TypeByExtension(ext); kind != "" {
		return kind
	}
	return "application/octet-stream"
}

func pack(data []byte) []byte {
	var b bytes.Buffer
	w, _ := gzip.NewWriterLevel(&b, gzip.BestCompression) // the level is a valid one
	_, _ = w.Write(data)                                  // a buffer takes everything
	_ = w.Close()
	return b.Bytes()
}

// isAPI tells whether a path is of the API and never of a page.
func isAPI(p string) bool {
	return p == "/api" || strings.HasPrefix(p, "/api/") || p == "/healthz" || p == "/readyz"
}

// sheetNumber is what a page of a sheet ends in, such as A.3: no kind of file.
var sheetNumber = regexp.MustCompile(`^\.[0-9]+$`)

// servePages answers everything outside the API: the built files by their
// names, and for any path that looks like a page the one page there is.
func (s *server) servePages(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		p := c.Request().URL.Path
		if isAPI(p) {
			return next(c)
		}
		if m := c.Request().Method; m != http.MethodGet && m != http.MethodHead {
			c.Response().Header().Set("Allow", "GET, HEAD")
			return echo.ErrMethodNotAllowed
		}
		name := strings.TrimPrefix(path.Clean(p), "/")
		f, found := s.pages[name]
		if !found && sheetNumber.ReplaceAllString(path.Ext(name), "") == "" {
			name = indexPage
			f, found = s.pages[name]
			if !found {
				return c.String(http.StatusServiceUnavailable, "leat is running, but its pages were not built into it.\nBuild them with `make build`, or see DEVELOPERS.md.\n")
			}
		}
		if !found {
			return echo.ErrNotFound
		}
		return serveFile(c, name, f)
	}
}

func serveFile(c echo.Context, name string, f file) error {
	h := c.Response().Header()
	h.Set("Content-Type", f.kind)
	h.Set("Cache-Control", "no-cache")
	if strings.HasPrefix(name, "assets/") { // their names hold a hash of what is in them
		h.Set("Cache-Control", yearImmutable)
	}
	body, etag := f.plain, f.etag
	if f.packed != nil {
		h.Set("Vary", "Accept-Encoding")
		if acceptsGzip(c.Request().Header.Get("Accept-Encoding")) {
			h.Set("Content-Encoding", "gzip")
			body, etag = f.packed, etag+"-gz"
		}
	}
	h.Set("ETag", strconv.Quote(etag))
	if c.Request().Header.Get("If-None-Match") == strconv.Quote(etag) {
		h.Del("Content-Encoding")
		return c.NoContent(http.StatusNotModified)
	}
	h.Set("Content-Length", strconv.Itoa(len(body)))
	if c.Request().Method == http.MethodHead {
		return c.NoContent(http.StatusOK)
	}
	return c.Blob(http.StatusOK, f.kind, body)
}

// acceptsGzip reads Accept-Encoding; q=0 is the way to say no.
func acceptsGzip(header string) bool {
	for _, part := range strings.Split(header, ",") {
		coding, params, _ := strings.Cut(strings.TrimSpace(part), ";")
		refuses := strings.ReplaceAll(params, " ", "")
		if strings.EqualFold(coding, "gzip") && refuses != "q=0" && !strings.HasPrefix(refuses, "q=0.000") && refuses != "q=0.0" {
			return true
		}
	}
	return false
}
