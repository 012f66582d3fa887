package api

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

// answer writes v as JSON. It is made in full before the first byte goes out,
// so that a failure is an honest one.
func answer(c echo.Context, status int, v any) error {
	body, err := json.Marshal(v)
	if err != nil {
		return fmt.Errorf("api: encode answer: %w", err)
	}
	if len(body) >= worthPacking && acceptsGzip(c.Request().Header.Get("Accept-Encoding")) {
		c.Response().Header().Set("Content-Encoding", "gzip")
		body = packQuickly(body)
	}
	c.Response().Header().Add("Vary", "Accept-Encoding")
	return c.Blob(status, plainJSON, body)
}

// Below this many bytes an answer fits one packet anyhow. It also keeps answers
// that hold a token unpacked, so that their length tells nothing about it.
const worthPacking = 1400

var packers = sync.Pool{New: func() any {
	w, _ := gzip.NewWriterLevel(nil, gzip.BestSpeed) // the level is a valid one
	return w
}}

func packQuickly(data []byte) []byte {
	var b bytes.Buffer
	w, _ := packers.Get().(*gzip.Writer)
	defer packers.Put(w)
	w.Reset(&b)
	_, _ = w.Write(data) // a buffer takes everything
	_ = w.Close()
	return b.Bytes()
}

func ok(c echo.Context, v any) error { return answer(c, http.StatusOK, v) }

// made answers with a thing that was made now, or by the request of which
// this one is a retry.
func made(c echo.Context, now bool, path string, v any) error {
	c.Response().Header().Set("Location", path)
	if !now {
		return ok(c, v)
	}
	return answer(c, http.StatusCreated, v)
}

// setETag gives the version of what is answered. The browser may keep the
// answer, but must ask before it is used again.
func setETag(c echo.Context, version int64) {
	c.Response().Header().Set("ETag", strconv.Quote(strconv.FormatInt(version, 10)))
	c.Response().Header().Set("Cache-Control", "private, no-cache")
}

// unchanged gives an ETag that is made from what the answer hangs on, and tells
// whether the browser has that answer already.
func unchanged(c echo.Context, stamp []byte) bool {
	sum := sha256.Sum256(stamp)
	etag := `"` + hex.EncodeToString(sum[:12]) + `"`
	c.Response().Header().Set("ETag", etag)
	c.Response().Header().Set("Cache-Control", "private, no-cache")
	return slices.Contains(strings.Split(strings.ReplaceAll(c.Request().Header.Get("If-None-Match"), " ", ""), ","), etag)
}

// listAnswer is one page of a list. Next is nil on the last page.
type listAnswer[T any] struct {
	Items []T    `json:"items"`
	Next  *int64 `json:"next"`
}

// newList answers a page of things; key is what the next page is older than.
func newList[D, T any](things []D, p domain.Page, one func(D) T, key func(D) int64) listAnswer[T] {
	list := listAnswer[T]{Items: make([]T, 0, len(things))}
	for _, d := range things {
		list.Items = append(list.Items, one(d))
	}
	if len(things) > 0 && len(things) == p.Size() {
		next := key(things[len(things)-1])
		list.Next = &next
	}
	return list
}

type personAnswer struct {
	ID   domain.AccountID `json:"id"`
	Name string           `json:"name"`
}

func newPerson(p domain.Person) personAnswer { return personAnswer(p) }

func newPeople(people []domain.Person) []personAnswer {
	list := make([]personAnswer, 0, len(people))
	for _, p := range people {
		list = append(list, newPerson(p))
	}
	return list
}

// listed returns the list, and an empty one for none: it is [] in every answer.
func listed[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

// instant is a moment in UTC, to the millisecond.
func instant(t time.Time) string { return t.UTC().Format("2006-01-02T15:04:05.000Z") }

func instantOrNull(t *time.Time) *string {
	if t == nil {
		return nil
	}
	text := instant(*t)
	return &text
}
