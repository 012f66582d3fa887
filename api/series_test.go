package api

import (
	"crypto/sha256"
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

const loggersRoute = "/api/v1/projects/:project/builds/:build/loggers"

// measured returns the path of an open run with a point, made once for each key.
func (b *bundle) measured(key string) string {
	b.Helper()
	a := b.as(b.crew).post(b.finished(key)+"/runs", map[string]any{"title": "Morning", "client_key": key})
	require.Less(b, a.Code, 300, a.Body.String())
	run := a.Header().Get("Location")
	a = b.as(b.crew).post(run+"/points", map[string]any{"name": "as it runs", "setting": "as_drawn", "client_key": key})
	require.Less(b, a.Code, 300, a.Body.String())
	return run
}

// recording is what a logger wrote: 100 seconds of one pressure.
func recording() string {
	text := &strings.Builder{}
	fmt.Fprintln(text, "t [s],tank [kPa g]")
	for i := range 100 {
		fmt.Fprintf(text, "%d,%.2f\n", i, 40+0.1*float64(i*7%11))
	}
	return text.String()
}

func announced(text, key string) map[string]any {
	return map[string]any{"name": "run.csv", "size": len(text), "sha256": fmt.Sprintf("%x", sha256.Sum256([]byte(text))), "client_key": key}
}

const anyBytes = "application/octet-stream"

// announcedFile returns the path of a file of which no part came yet, made once
// for each key.
func (b *bundle) announcedFile(key string) string {
	b.Helper()
	a := b.as(b.crew).post(b.measured(key)+"/files", announced(recording()+"\n"+key, key))
	require.Less(b, a.Code, 300, a.Body.String())
	return a.Header().Get("Location")
}

// readFile returns the path of a file that was read, and that of its run.
func (b *bundle) readFile(key string) (file, run string) {
	b.Helper()
	run = b.measured(key)
	a := b.as(b.crew).post(run+"/files", announced(recording(), key))
	require.Less(b, a.Code, 300, a.Body.String())
	file = a.Header().Get("Location")
	require.Equal(b, 200, b.as(b.crew).send("PUT", file+"/parts/1", anyBytes, recording()).Code)
	require.Equal(b, 200, b.as(b.crew).post(file+"/done", map[string]any{}).Code)
	return file, run
}

// window asks for all of a file.
func (b *bundle) window(file, key string) map[string]any {
	return map[string]any{"point": 1, "file": b.as(b.crew).get(file).number("id"), "client_key": key, "channels": []any{
		map[string]any{"channel": "tank", "quantity": "delivery_pressure_pa", "instrument": b.as(b.crew).get(b.instrumented("window-dial")).number("id")},
	}}
}

// windowed returns the path of a window.
func (b *bundle) windowed(key string) string {
	b.Helper()
	file, run := b.readFile(key)
	a := b.as(b.crew).post(run+"/windows", b.window(file, key))
	require.Less(b, a.Code, 300, a.Body.String())
	return fmt.Sprintf("%s/windows/%d", run, a.number("id"))
}

// sender makes a logger, and returns its path and the logger as one who sends.
func (b *bundle) sender(key string) (path string, logger *person) {
	b.Helper()
	loggers := b.finished(key) + "/loggers"
	a := b.as(b.crew).post(loggers, map[string]any{"name": "Float", "client_key": key})
	require.Equal(b, 201, a.Code, a.Body.String())
	token, ok := a.at("token").(string)
	require.True(b, ok)
	return fmt.Sprintf("%s/%d", loggers, a.number("id")), &person{token: token}
}

func samples(key string) map[string]any {
	return map[string]any{"client_key": key, "samples": []any{
		map[string]any{"t": "2026-05-01T10:00:00Z", "channel": "tank", "value": 40, "unit": "kPa g"},
		map[string]any{"t": "2026-05-01T10:00:01.5+00:00", "channel": "tank", "value": nil, "unit": "kPa g"},
	}}
}

func strikes(key string) map[string]any {
	return map[string]any{"decide": "strike", "reason": "the valve was shut", "client_key": key}
}

// From the announcement of a file to a window that stands in the run.
func TestFileOfALoggerOverHTTP(t *testing.T) {
	t.Parallel()
	b := setup(t)
	run, text := b.measured("series-0001"), recording()
	a := b.as(b.member).post(run+"/files", announced(text, "series-0001"))
	require.Equal(t, 201, a.Code, a.Body.String())
	require.EqualValues(t, 2<<20, a.number("part_bytes"))
	require.Equal(t, []any{}, a.at("have"))
	file := a.Header().Get("Location")
	require.Equal(t, "parts-missing", b.as(b.member).post(file+"/done", map[string]any{}).code())
	require.Equal(t, "file-not-read", b.as(b.member).get(file+"/chart?channel=tank").code())
	require.Equal(t, 415, b.as(b.member).send("PUT", file+"/parts/1", plainJSON, text).Code)
	require.Equal(t, 413, b.as(b.member).send("PUT", file+"/parts/1", anyBytes, strings.Repeat("a", domain.PartBytes+1)).Code)
	a = b.as(b.member).send("PUT", file+"/parts/1", anyBytes, text)
	require.Equal(t, []any{1.0}, a.at("have"))
	a = b.as(b.member).post(file+"/done", map[string]any{})
	require.Equal(t, 200, a.Code, a.Body.String())
	require.Equal(t, 100.0, a.at("read", "report", "rows"))
	a = b.as(b.member).post(run+"/files", announced(text, "series-0002"))
	require.Equal(t, 200, a.Code)
	require.Equal(t, file, a.Header().Get("Location"), "the same file is there already")

	a = b.as(b.crew).get(file + "/chart?channel=tank&from=10&to=19.5&points=50")
	require.Len(t, a.at("t_s"), 10)
	require.Nil(t, a.at("window"))
	a = b.as(b.crew).get(file + "/chart?channel=tank&from=10&window=true")
	require.Equal(t, "steady", a.at("window", "status"))
	for _, empty := range []string{"from=1e9", "from=20&to=10", "to=-5", "from=10.2&to=10.4"} {
		a = b.as(b.crew).get(file + "/chart?channel=tank&window=true&" + empty)
		require.Equal(t, 200, a.Code, a.Body.String())
		require.Empty(t, a.at("t_s"), empty)
		require.Nil(t, a.at("window"), empty)
	}
	a = b.as(b.crew).get(file + "/chart?channel=tank&points=7")
	require.LessOrEqual(t, len(a.at("values").([]any)), 7) //nolint:forcetypeassert // a panic fails the test too
	require.Equal(t, "Pa", a.at("unit"))
	for _, wrong := range []string{"from=nan", "to=1e999", "points=1", "points=3000", "window=yes", "window=true&window=true", "from=1&from=2"} {
		require.Equal(t, "malformed-query", b.as(b.crew).get(file+"/chart?channel=tank&"+wrong).code(), wrong)
	}
	a = b.as(b.member).post(run+"/windows", b.window(file, "series-0003"))
	require.Equal(t, 201, a.Code, a.Body.String())
	require.Equal(t, 200, b.as(b.member).post(run+"/windows", b.window(file, "series-0003")).Code)
	whole := b.as(b.crew).get(run)
	require.Contains(t, whole.Body.String(), `"uncertified"`)
	require.Contains(t, whole.Body.String(), `"window: mean of tank"`)
}

// A logger's token opens nothing but the one door; an access token does not open
// that one.
func TestTokenOfALoggerIsGoodForSamplesOnly(t *testing.T) {
	t.Parallel()
	b := setup(t)
	path, logger := b.sender("logger-0001")
	for _, r := range routes {
		if r.who != member {
			continue
		}
		url := echoParam.ReplaceAllString(r.path, "1")
		a := b.as(logger).send(r.method, url, "", "")
		require.Equal(t, 401, a.Code, "%s %s", r.method, r.path)
	}
	require.Equal(t, "logger-refused", b.as(b.crew).post(samplesRoute, samples("batch-0001")).code())
	require.Equal(t, "sign-in-required", b.as(b.nobody).post(samplesRoute, samples("batch-0001")).code())

	a := b.as(logger).post(samplesRoute, samples("batch-0001"))
	require.Equal(t, 201, a.Code, a.Body.String())
	require.Nil(t, a.at("run"), "no run is open")
	require.EqualValues(t, 1, a.number("missing"))
	again := b.as(logger).post(samplesRoute, samples("batch-0001"))
	require.Equal(t, 200, again.Code)
	require.Equal(t, a.Body.String(), again.Body.String())
	a = b.as(logger).post(samplesRoute, map[string]any{"client_key": "batch-0002", "channels": []any{map[string]any{"name": "tank", "unit": "kPa g"}, map[string]any{"name": "air", "unit": "°C"}},
		"rows": []any{[]any{"2026-05-01T10:00:05Z", 40, nil}, []any{"2026-05-01T10:00:06Z", 41, 12.5}}})
	require.Equal(t, 201, a.Code, a.Body.String())
	require.EqualValues(t, 4, a.number("kept"))
	for body, pointer := range map[string]string{
		`{"client_key":"batch-0003","samples":[{"t":"noon","channel":"a","value":1,"unit":"bar"}]}`:                         "/samples/0/t",
		`{"client_key":"batch-0003","samples":[{"t":"2026-05-01T10:00:05Z","channel":"a","value":"1","unit":"bar"}]}`:       "/samples/0/value",
		`{"client_key":"batch-0003","samples":[{"t":"2026-05-01T10:00:05Z","channel":"a","value":1,"unit":"bar","age":1}]}`: "/samples/0/age",
		`{"client_key":"batch-0003","channels":[{"name":"a","unit":"bar"}],"rows":[["2026-05-01T10:00:05Z"]]}`:              "/rows/0",
		`{"client_key":"batch-0003","channels":[{"name":"a","unit":"bar"}],"rows":[["2026-05-01T10:00:05Z","1"]]}`:          "/rows/0/1",
		`{"client_key":"batch-0003"}`: "/samples",
	} {
		a := b.as(logger).post(samplesRoute, body)
		require.Equal(t, 422, a.Code, body)
		require.Equal(t, pointer, problemIn(t, a.ResponseRecorder).Fields[0].Pointer, body)
	}
	a = b.as(logger).post(samplesRoute, `"`+strings.Repeat("a", domain.LoggerBodyMost)+`"`)
	require.Equal(t, http.StatusRequestEntityTooLarge, a.Code)

	require.Equal(t, 403, b.as(b.member).send("POST", path+"/revoke", "", "").Code)
	require.Equal(t, 200, b.as(b.keeper).send("POST", path+"/revoke", "", "").Code)
	require.Equal(t, "logger-refused", b.as(logger).post(samplesRoute, samples("batch-0009")).code())
}

func TestLoggersAreThrottled(t *testing.T) {
	t.Parallel()
	b := setup(t)
	_, logger := b.sender("logger-0001")
	b.posts.most = 2
	for i := range 2 {
		require.Equal(t, 201, b.as(logger).post(samplesRoute, samples(fmt.Sprintf("batch-000%d", i))).Code)
	}
	a := b.as(logger).post(samplesRoute, samples("batch-0003"))
	require.Equal(t, "too-many-tries", a.code())
	require.NotEmpty(t, a.Header().Get("Retry-After"))
	b.tries = &tries{most: 1, now: time.Now}
	require.Equal(t, "logger-refused", b.as(&person{token: "guess"}).post(samplesRoute, samples("batch-0004")).code())
	require.Equal(t, "too-many-tries", b.as(&person{token: "guess"}).post(samplesRoute, samples("batch-0004")).code())
}
