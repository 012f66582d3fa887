package api

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"mime"
	"net/http"
	"reflect"
	"regexp"
	"strconv"
	"unicode/utf8"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

const (
	plainJSON  = "application/json"
	mergePatch = "application/merge-patch+json" // RFC 7396
)

// decode reads the JSON body of a request into a T, a struct. See readObject
// for what it refuses.
func decode[T any](c echo.Context) (T, error) { return decodeAs[T](c, plainJSON) }

// decodePatch reads a merge patch.
func decodePatch[T any](c echo.Context) (T, error) { return decodeAs[T](c, mergePatch) }

func decodeAs[T any](c echo.Context, mediaType string) (T, error) {
	var into T
	body, err := readBody(c, mediaType)
	if err != nil {
		return into, err
	}
	err = fill(body, &into)
	return into, err
}

// fill reads JSON text into the struct that into points to.
func fill(body []byte, into any) error {
	var faults faults
	readObject(body, reflect.ValueOf(into).Elem(), "", &faults)
	return faults.err()
}

// readBody returns the body, which must be one JSON value of this media type.
func readBody(c echo.Context, mediaType string) ([]byte, error) {
	got, _, err := mime.ParseMediaType(c.Request().Header.Get("Content-Type"))
	if err != nil || got != mediaType {
		return nil, &httpError{http.StatusUnsupportedMediaType, "wrong-content-type", "Send this with Content-Type: " + mediaType + ". Nothing was saved."}
	}
	body, err := io.ReadAll(c.Request().Body)
	if _, large := errors.AsType[*http.MaxBytesError](err); large {
		most, _ := room(c)
		return nil, tooLarge(most)
	}
	if err != nil {
		return nil, malformed("The connection broke before all of it had arrived. Nothing was saved; send it again.")
	}
	return body, checkJSON(body)
}

// checkJSON refuses what is not one JSON value in UTF-8.
func checkJSON(body []byte) error {
	if len(body) == 0 {
		return malformed("The body is empty; a JSON object is wanted.")
	}
	if !utf8.Valid(body) {
		return malformed("The body isn't UTF-8 text.")
	}
	var any json.RawMessage
	err := json.Unmarshal(body, &any)
	if bad, ok := errors.AsType[*json.SyntaxError](err); ok {
		return malformed(fmt.Sprintf("The body isn't one JSON value: %s, at byte %d.", bad, bad.Offset))
	}
	if err != nil {
		return malformed("The body isn't one JSON value.")
	}
	return nil
}

func malformed(detail string) error {
	return &domain.Error{Kind: domain.Malformed, Code: "malformed-json", Message: detail}
}

// pathID reads a positive number from the path. Anything else names nothing.
func pathID(c echo.Context, param, thing string) (int64, error) {
	text := c.Param(param)
	id, err := strconv.ParseInt(text, 10, 64)
	if err != nil || id < 1 || text != strconv.FormatInt(id, 10) {
		return 0, domain.Missing(thing)
	}
	return id, nil
}

// pathNumber reads what numbers a thing among others of its kind.
func pathNumber(c echo.Context, param, thing string) (int, error) {
	number, err := pathID(c, param, thing)
	if err == nil && number > math.MaxInt32 {
		err = domain.Missing(thing)
	}
	return int(number), err
}

func pathProject(c echo.Context) (domain.ProjectID, error) {
	id, err := pathID(c, "project", "project")
	return domain.ProjectID(id), err
}

// pathDesign reads the two ids of a design.
func pathDesign(c echo.Context) (domain.ProjectID, domain.DesignID, error) {
	project, err := pathProject(c)
	if err != nil {
		return 0, 0, err
	}
	design, err := pathID(c, "design", "design")
	return project, domain.DesignID(design), err
}

var letters = regexp.MustCompile(`^[A-Z]{1,3}$`)

// pathRevision reads the two ids of a design and the letter of a revision.
func pathRevision(c echo.Context) (domain.ProjectID, domain.DesignID, string, error) {
	project, design, err := pathDesign(c)
	if err != nil {
		return 0, 0, "", err
	}
	letter := c.Param("letter")
	if !letters.MatchString(letter) {
		return 0, 0, "", domain.Missing("revision")
	}
	return project, design, letter, nil
}

var versionTag = regexp.MustCompile(`^"(0|[1-9][0-9]{0,17})"$`)

// ifMatch reads the version that a change was made from.
func ifMatch(c echo.Context) (int64, error) {
	lines := c.Request().Header.Values("If-Match")
	if len(lines) == 0 {
		return 0, &httpError{http.StatusPreconditionRequired, "if-match-required",
			"Say in If-Match which version you changed: the ETag of what you read. Nothing was saved."}
	}
	tag := versionTag.FindStringSubmatch(lines[0])
	if len(lines) > 1 || tag == nil {
		return 0, &httpError{http.StatusBadRequest, "malformed-if-match",
			`If-Match must be one ETag of this server, such as "7" with its quotation marks. Nothing was saved.`}
	}
	return strconv.ParseInt(tag[1], 10, 64)
}

// page reads the cursor and the size of a list; most is the highest cursor that
// there can be.
func page(c echo.Context, most int64) (domain.Page, error) {
	before, err := queryNumber(c, "before", most)
	if err != nil {
		return domain.Page{}, err
	}
	limit, err := queryNumber(c, "limit", 100)
	return domain.Page{Before: before, Limit: int(limit)}, err
}

// queryNumber reads a whole number from 1 to most, and 0 when it isn't given.
func queryNumber(c echo.Context, name string, most int64) (int64, error) {
	given, ok := c.QueryParams()[name]
	if !ok {
		return 0, nil
	}
	n, err := strconv.ParseInt(given[0], 10, 64)
	if err != nil || len(given) > 1 || n < 1 || n > most {
		return 0, &httpError{http.StatusBadRequest, "malformed-query", fmt.Sprintf("In the address, %s must be one whole number from 1 to %d.", name, most)}
	}
	return n, nil
}
