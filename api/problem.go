package api

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"math"
	"net/http"
	"strconv"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

// problem is a problem document (RFC 9457).
type problem struct {
	Type     string         `json:"type"`
	Title    string         `json:"title"`
	Status   int            `json:"status"`
	Detail   string         `json:"detail"`
	Instance string         `json:"instance"`
	Code     string         `json:"code"`
	Fields   []problemField `json:"fields"`
	Project  int64          `json:"project,omitempty"`
}

type problemField struct {
	Pointer string `json:"pointer"`
	Code    string `json:"code"`
	Message string `json:"message"`
}

// httpError is a failure that only HTTP knows.
type httpError struct {
	status int
	code   string
	detail string
}

// Error returns the text for the log.
func (e *httpError) Error() string { return e.code + ": " + e.detail }

func tooLarge(most int64) error {
	detail := "This is more than 1 MiB, which is more than any sheet needs. Nothing was saved; send less."
	switch most {
	case domain.FileMost:
		detail = "This file has more than 15 MB. Nothing was saved: make it smaller, or send it in parts."
	case domain.ArchiveMost:
		detail = "An archive has at most 256 MiB here. Nothing was saved."
	case domain.PartBytes:
		detail = "A part of a file has at most 2 MiB. Nothing of it was saved: cut the file as the answer to its announcement says."
	case domain.LoggerBodyMost:
		detail = "A logger may send 256 KiB at once. Nothing of it was saved: send fewer samples at once."
	}
	return &httpError{http.StatusRequestEntityTooLarge, "body-too-large", detail}
}

// statuses is the one mapping from kinds of error to HTTP.
var statuses = map[domain.Kind]int{
	domain.Malformed:       http.StatusBadRequest,
	domain.Invalid:         http.StatusUnprocessableEntity,
	domain.Unauthenticated: http.StatusUnauthorized,
	domain.Forbidden:       http.StatusForbidden,
	domain.NotFound:        http.StatusNotFound,
	domain.Gone:            http.StatusGone,
	domain.Conflict:        http.StatusConflict,
	domain.Stale:           http.StatusPreconditionFailed,
	domain.TooMany:         http.StatusTooManyRequests,
}

// titles says in a few words what kind of failure a status is.
var titles = map[int]string{
	http.StatusBadRequest:            "This can't be read",
	http.StatusUnauthorized:          "Not signed in",
	http.StatusForbidden:             "Not yours to do",
	http.StatusNotFound:              "Not here",
	http.StatusGone:                  "No longer here",
	http.StatusMethodNotAllowed:      "Not possible here",
	http.StatusConflict:              "Not as things stand",
	http.StatusPreconditionFailed:    "Somebody else saved first",
	http.StatusRequestEntityTooLarge: "Too large",
	http.StatusUnsupportedMediaType:  "Wrong kind of content",
	http.StatusUnprocessableEntity:   "Something can't be used",
	http.StatusPreconditionRequired:  "Say what you changed",
	http.StatusTooManyRequests:       "Too many tries",
	http.StatusInternalServerError:   "Our fault",
	http.StatusServiceUnavailable:    "Not just now",
}

// answerProblem writes the problem document of an error, and logs it: the only
// place that does either.
func (s *server) answerProblem(err error, c echo.Context) {
	p := problemOf(err)
	s.logProblem(c, p, err)
	if c.Response().Committed {
		return // half an answer is out already; nothing more can be said
	}
	p.Type, p.Title, p.Instance = "/problems/"+p.Code, titles[p.Status], "/requests/"+requestName(c)
	h := c.Response().Header()
	h.Set("Cache-Control", "no-store")
	h.Del("ETag")
	if p.Status == http.StatusUnauthorized {
		h.Set("WWW-Authenticate", `Bearer realm="leat"`)
	}
	if e, ok := errors.AsType[*domain.Error](err); ok && e.Kind == domain.TooMany {
		h.Set("Retry-After", strconv.Itoa(max(1, int(math.Ceil(e.After.Seconds())))))
	}
	body, err := json.Marshal(p)
	if err == nil {
		err = c.Blob(p.Status, "application/problem+json", body)
	}
	if err != nil {
		s.log.Info("problem not sent", "request", requestName(c), "error", err)
	}
}

// problemOf finds status, code and words of an error. Of what is not meant for
// people it says nothing.
func problemOf(err error) problem {
	p := problem{Fields: []problemField{}}
	if e, ok := errors.AsType[*domain.Error](err); ok && e.Kind != domain.Internal {
		p.Status, p.Code, p.Detail, p.Project = statuses[e.Kind], e.Code, e.Message, int64(e.Project)
		for _, f := range e.Fields {
			p.Fields = append(p.Fields, problemField(f))
		}
		return p
	}
	if e, ok := errors.AsType[*httpError](err); ok {
		p.Status, p.Code, p.Detail = e.status, e.code, e.detail
		return p
	}
	if e, ok := errors.AsType[*echo.HTTPError](err); ok {
		return routerProblem(p, e)
	}
	if errors.Is(err, context.DeadlineExceeded) || errors.Is(err, context.Canceled) {
		p.Status, p.Code = http.StatusServiceUnavailable, "too-slow"
		p.Detail = "This took too long and was given up. Nothing was half-saved: load the page again, see whether it arrived, and try once more."
		return p
	}
	p.Status, p.Code = http.StatusInternalServerError, "internal"
	p.Detail = "leat failed at this. Keep what you typed, try again, and if it stays, tell whoever keeps this server the reference below."
	return p
}

// routerProblem is for what echo itself finds.
func routerProblem(p problem, e *echo.HTTPError) problem {
	p.Status = e.Code
	switch e.Code {
	case http.StatusNotFound:
		p.Code, p.Detail = "not-found", "There is nothing at this address. Check it, or go back to the list of projects."
	case http.StatusMethodNotAllowed:
		p.Code, p.Detail = "method-not-allowed", "This address exists, but can't be used in this way. The Allow header says how it can."
	default:
		p.Status, p.Code, p.Detail = http.StatusInternalServerError, "internal", fmt.Sprintf("leat failed at this (%d). Try again.", e.Code)
	}
	return p
}

func (s *server) logProblem(c echo.Context, p problem, err error) {
	ctx := c.Request().Context()
	attrs := []slog.Attr{slog.String("request", requestName(c)), slog.String("route", c.Path()), slog.String("code", p.Code)}
	switch {
	case errors.Is(err, context.Canceled):
		s.log.LogAttrs(ctx, slog.LevelInfo, "client left", attrs...)
	case p.Status >= 500:
		s.log.LogAttrs(ctx, slog.LevelError, "failed", append(attrs, slog.String("error", err.Error()))...)
	case p.Status == http.StatusUnauthorized, p.Status == http.StatusForbidden, p.Status == http.StatusTooManyRequests:
		s.log.LogAttrs(ctx, slog.LevelInfo, "refused", append(attrs, slog.String("from", networkOf(c)))...)
	}
}
