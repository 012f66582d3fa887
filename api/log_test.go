package api

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

// photo is a JPEG file with a comment in it, which is no part of the picture.
func photo(t testing.TB, w, h int) string {
	t.Helper()
	m := image.NewGray(image.Rect(0, 0, w, h))
	for x := range w {
		for y := range h {
			m.SetGray(x, y, color.Gray{uint8(x * y)})
		}
	}
	var out bytes.Buffer
	require.NoError(t, jpeg.Encode(&out, m, nil))
	return out.String()[:2] + "\xff\xfe\x00\x13at the old mill!!" + out.String()[2:]
}

func (b *bundle) filesURL() string { return b.projectURL() + "/files" }

// uploads sends a file under a name.
func (w browser) uploads(name, key, kind, data string) *reply {
	w.b.Helper()
	query := url.Values{"name": {name}, "client_key": {key}}
	return w.send("POST", w.b.filesURL()+"?"+query.Encode(), kind, data)
}

// shown returns the path of a picture that the crew has kept.
func (b *bundle) shown(key string) string {
	b.Helper()
	a := b.as(b.crew).uploads("flange.jpg", key, "image/jpeg", photo(b, 64, 48))
	require.Less(b, a.Code, 300, a.Body.String())
	return a.Header().Get("Location")
}

// noted is an entry about the project that says no more than it must.
func noted(key string, change map[string]any) map[string]any {
	entry := map[string]any{"build": nil, "text": "Chamber set on its slab", "incident": false, "strikes": nil, "happened_at": nil, "files": []int{}, "client_key": key}
	for name, v := range change {
		entry[name] = v
	}
	return entry
}

// written returns the path of an entry of the log by a member who is not on the crew.
func (b *bundle) written(key string, change map[string]any) string {
	b.Helper()
	a := b.as(b.keeper).post(logPath(b.project), noted(key, change))
	require.Less(b, a.Code, 300, a.Body.String())
	return fmt.Sprintf("%s/%d", logPath(b.project), a.number("id"))
}

// leaked returns the path of an entry about an incident with a build that the
// crew has built.
func (b *bundle) leaked(key string) string {
	b.Helper()
	return b.written(key, map[string]any{"text": "Leak at the riser", "incident": true, "build": b.as(b.crew).get(b.built(key)).number("id")})
}

var harmless = map[string]any{"reason": "A drip at the tap, nothing under pressure", "password": password}

func TestLogOverHTTP(t *testing.T) {
	t.Parallel()
	b := setup(t)
	picture := b.as(b.member).uploads("flange.jpg", "file-00001", "image/jpeg", photo(t, 640, 480))
	require.Equal(t, 201, picture.Code)
	body := noted("entry-0001", map[string]any{"happened_at": "2026-08-12T09:30:00+02:00", "files": []int64{picture.number("id")}})
	first := b.as(b.member).post(logPath(b.project), body)
	require.Equal(t, 201, first.Code, first.Body.String())
	require.Equal(t, "2026-08-12T07:30:00.000Z", first.at("happened_at"))
	again := b.as(b.member).post(logPath(b.project), body)
	require.Equal(t, 200, again.Code)
	require.Equal(t, first.Body.String(), again.Body.String())
	fixed := b.as(b.crew).post(logPath(b.project), noted("entry-0002", map[string]any{"strikes": first.number("id"), "text": "Chamber set on gravel"}))
	require.Equal(t, 201, fixed.Code)

	var list logAnswer
	b.as(b.keeper).get(logPath(b.project)).read(&list)
	require.Len(t, list.Items, 2)
	require.Equal(t, list.Items[0].ID, *list.Items[1].StruckBy)
	require.Equal(t, "flange.jpg", list.Items[1].Files[0].Name)
	require.Equal(t, 640, *list.Items[1].Files[0].Width)
	require.Equal(t, []domain.Action{domain.WriteLog, domain.AddFile}, list.Allowed)
	b.as(b.keeper).get(logPath(b.project) + "?limit=1").read(&list)
	require.Equal(t, int64(list.Items[0].ID), *list.Next)
	b.as(b.keeper).get(fmt.Sprintf("%s?limit=1&before=%d", logPath(b.project), *list.Next)).read(&list)
	require.Equal(t, first.number("id"), int64(list.Items[0].ID))

	incident := fmt.Sprintf("%s/%d/incident", logPath(b.project), first.number("id"))
	a := b.as(b.keeper).send("POST", incident, "", "")
	require.Equal(t, "Ines", a.at("incident", "marked_by", "name"))
	require.Contains(t, a.at("incident", "lacking"), "Nobody in the group is a steward")
}

func TestWhatTheLogRefuses(t *testing.T) {
	t.Parallel()
	b := setup(t)
	for pointer, change := range map[string]map[string]any{
		"/text":        {"text": " "},
		"/happened_at": {"happened_at": "yesterday"},
		"/build":       {"build": 999},
		"/strikes":     {"strikes": 999},
		"/files":       {"files": []int{999}},
		"/files/1":     {"files": []int{7, 7}},
		"/client_key":  {"client_key": "x"},
	} {
		a := b.as(b.crew).post(logPath(b.project), noted("entry-0001", change))
		require.Equal(t, 422, a.Code, a.Body.String())
		require.Equal(t, []string{pointer}, fieldsOf(a))
	}
	require.Equal(t, 404, b.as(b.crew).get(logPath(b.project)+"?build=999").Code)
	require.Equal(t, 404, b.as(b.crew).send("POST", logPath(b.project)+"/999/incident", "", "").Code)
	require.Empty(t, b.as(b.crew).get(logPath(b.project)).at("items"))
}

func TestPictureOverHTTP(t *testing.T) {
	t.Parallel()
	b := setup(t)
	sent := photo(t, 640, 480)
	a := b.as(b.member).uploads("Flansch „Süd“.jpg", "file-00001", "image/jpeg", sent)
	require.Equal(t, 201, a.Code, a.Body.String())
	require.Equal(t, 200, b.as(b.member).uploads("Flansch „Süd“.jpg", "file-00001", "image/jpeg", sent).Code)
	path := a.Header().Get("Location")

	full := b.as(b.crew).get(path)
	require.Equal(t, 200, full.Code)
	require.Equal(t, "image/jpeg", full.Header().Get("Content-Type"))
	require.Equal(t, "nosniff", full.Header().Get("X-Content-Type-Options"))
	require.Equal(t, "private, no-cache", full.Header().Get("Cache-Control"))
	require.Equal(t, fmt.Sprintf(`"%s-full"`, a.at("digest")), full.etag())
	require.True(t, strings.HasPrefix(full.Header().Get("Content-Disposition"), "inline; filename*=utf-8''Flansch%20"), full.Header().Get("Content-Disposition"))
	require.Contains(t, sent, "old mill")
	require.NotContains(t, full.Body.String(), "old mill")
	require.Equal(t, a.number("size"), int64(full.Body.Len()))
	small := b.as(b.crew).get(path + "?size=thumb")
	m, err := jpeg.DecodeConfig(small.Body)
	require.NoError(t, err)
	require.Equal(t, [2]int{320, 240}, [2]int{m.Width, m.Height})
	require.Equal(t, "malformed-query", b.as(b.crew).get(path+"?size=large").code())

	same := b.as(b.crew).with("If-None-Match", full.etag()).get(path)
	require.Equal(t, 304, same.Code)
	require.Empty(t, same.Body.String())
	require.Equal(t, 200, b.as(b.crew).with("If-None-Match", small.etag()).get(path).Code)
	require.Equal(t, 404, b.as(b.crew).get("/api/v1/projects/999"+strings.TrimPrefix(path, b.projectURL())).Code)
}

func TestOtherFilesAreOnlyForDownloading(t *testing.T) {
	t.Parallel()
	b := setup(t)
	page := "<html><script>alert(1)</script></html>" + strings.Repeat(" ", 2<<20) // more than other bodies may have
	a := b.as(b.member).uploads("levels.html", "file-00001", domain.AnyBytes, page)
	require.Equal(t, 201, a.Code)
	full := b.as(b.crew).get(a.Header().Get("Location"))
	require.Equal(t, domain.AnyBytes, full.Header().Get("Content-Type"))
	require.Equal(t, "attachment; filename=levels.html", full.Header().Get("Content-Disposition"))
	require.Equal(t, "nosniff", full.Header().Get("X-Content-Type-Options"))
	require.Equal(t, page, full.Body.String())
	require.Equal(t, "not-found", b.as(b.crew).get(a.Header().Get("Location")+"?size=thumb").code())
}

func TestWhatUploadsRefuse(t *testing.T) {
	t.Parallel()
	b := setup(t)
	for name, c := range map[string]struct{ file, kind, data, code string }{
		"a page that says it is a picture":   {"a.jpg", "image/jpeg", "<html></html>", "not-a-picture"},
		"a picture cut off":                  {"a.jpg", "image/jpeg", photo(t, 64, 48)[:300], "picture-broken"},
		"a picture that may say where it is": {"a.heic", domain.AnyBytes, "\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic", "not-a-picture"},
		"a kind that is no kind":             {"a.txt", "text/plain", "x", "wrong-content-type"},
		"nothing":                            {"a.txt", domain.AnyBytes, "", "invalid"},
		"no name":                            {"", domain.AnyBytes, "x", "invalid"},
		"a name that is a path":              {"../a", domain.AnyBytes, "x", "invalid"},
		"more than 15 MB":                    {"a.bin", domain.AnyBytes, strings.Repeat("x", domain.FileMost+1), "body-too-large"},
	} {
		a := b.as(b.crew).uploads(c.file, "file-00001", c.kind, c.data)
		require.Equal(t, c.code, a.code(), name)
	}
	require.Equal(t, 0, b.db.Number(t, "SELECT count(*) FROM files"), "nothing is half saved")
	whole := b.as(b.crew).uploads("a.bin", "file-00001", domain.AnyBytes, strings.Repeat("x", domain.FileMost))
	require.Equal(t, 201, whole.Code)
}

func TestAHiddenPictureIsAnsweredInWords(t *testing.T) {
	t.Parallel()
	b := setup(t)
	b.db.exec("UPDATE accounts SET steward = true WHERE id = $1", b.member.id)
	path := b.shown("file-00001")
	etag := b.as(b.crew).get(path).etag()
	why := map[string]any{"reason": "A child’s face", "password": password}
	require.Equal(t, "not-keeper", b.as(b.crew).post(path+"/hide", why).code())
	require.Equal(t, []string{"/password"}, fieldsOf(b.as(b.keeper).post(path+"/hide", map[string]any{"reason": "x", "password": "three loud herons"})))
	require.Equal(t, false, b.as(b.keeper).post(path+"/hide", why).at("hidden"))
	require.Equal(t, "same-person", b.as(b.keeper).post(path+"/hide", why).code())
	require.Equal(t, 200, b.as(b.crew).get(path).Code)
	require.Equal(t, true, b.as(b.member).post(path+"/hide", why).at("hidden"))
	for _, a := range []*reply{b.as(b.crew).get(path), b.as(b.crew).get(path + "?size=thumb"), b.as(b.crew).with("If-None-Match", etag).get(path)} {
		require.Equal(t, 410, a.Code)
		require.Contains(t, a.Body.String(), "A child’s face")
		require.Empty(t, a.etag())
	}
}
