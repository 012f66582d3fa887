package api

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"fmt"
	"io"
	"mime/multipart"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// carried returns the archive of the project of the bundle.
func (b *bundle) carried() []byte {
	b.Helper()
	a := b.as(b.crew).get(b.projectURL() + "/export")
	require.Equal(b, 200, a.Code)
	return a.Body.Bytes()
}

// form returns a form that brings a project in, and its content type.
func (b *bundle) form(archive []byte, fields ...string) (text, kind string) {
	b.Helper()
	var body bytes.Buffer
	w := multipart.NewWriter(&body)
	for i := 0; i < len(fields); i += 2 {
		require.NoError(b, w.WriteField(fields[i], fields[i+1]))
	}
	part, err := w.CreateFormFile("archive", "project.zip")
	require.NoError(b, err)
	_, err = part.Write(archive)
	require.NoError(b, err)
	require.NoError(b, w.Close())
	return body.String(), w.FormDataContentType()
}

func (b *bundle) brings(who browser, archive []byte, key string, again bool) *reply {
	b.Helper()
	text, kind := b.form(archive, "client_key", key, "password", password, "again", fmt.Sprint(again))
	return who.send("POST", importRoute, kind, text)
}

// repacked returns an archive with other files in it: nil takes one out. Its digests
// are made anew.
func (b *bundle) repacked(archive []byte, change map[string]func(string) string) []byte {
	b.Helper()
	files := map[string]string{}
	z, err := zip.NewReader(bytes.NewReader(archive), int64(len(archive)))
	require.NoError(b, err)
	for _, f := range z.File {
		from, err := f.Open()
		require.NoError(b, err)
		content, err := io.ReadAll(from)
		require.NoError(b, err)
		files[f.Name] = string(content)
	}
	delete(files, "digests.txt")
	for name, do := range change {
		if do == nil {
			delete(files, name)
			continue
		}
		files[name] = do(files[name])
	}
	var digests strings.Builder
	for name, text := range files {
		fmt.Fprintf(&digests, "%x  %s\n", sha256.Sum256([]byte(text)), name)
	}
	files["digests.txt"] = digests.String()
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for name, text := range files {
		to, err := w.Create(name)
		require.NoError(b, err)
		_, err = to.Write([]byte(text))
		require.NoError(b, err)
	}
	require.NoError(b, w.Close())
	return out.Bytes()
}

// bomb is an archive that says of itself to hold more files than are taken.
func (b *bundle) bomb() []byte {
	b.Helper()
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for i := range 20_001 {
		_, err := w.Create(fmt.Sprintf("files/%d", i))
		require.NoError(b, err)
	}
	require.NoError(b, w.Close())
	return out.Bytes()
}

// replaced changes the rows of an archive.
func replaced(old, by string) map[string]func(string) string {
	return map[string]func(string) string{"archive.json": func(text string) string { return strings.Replace(text, old, by, 1) }}
}

func TestImportOverHTTP(t *testing.T) {
	t.Parallel()
	b := setup(t)
	archive := b.carried()
	first := b.brings(b.as(b.keeper), archive, "import-0001", false)
	require.Equal(t, 201, first.Code, first.Body.String())
	require.NotEqual(t, b.projectURL(), first.Header().Get("Location"))
	require.Equal(t, "Mill race", first.at("title"))
	require.Equal(t, b.keeper.name, first.at("origin", "by", "name"))
	require.Empty(t, first.at("crew"), "nobody of another group is on a crew here")
	register := b.as(b.member).get("/api/v1/projects").at("items").([]any)
	require.Equal(t, first.at("origin"), register[0].(map[string]any)["origin"], "marked in the register")
	require.Nil(t, register[1].(map[string]any)["origin"])
	require.Equal(t, 200, b.brings(b.as(b.keeper), archive, "import-0001", false).Code, "a retry brings nothing in twice")
	there := b.brings(b.as(b.keeper), archive, "import-0002", false)
	require.Equal(t, "archive-here", there.code())
	require.Contains(t, there.Body.String(), "Mill race")
	require.EqualValues(t, first.at("id"), there.at("project"), "the way to what is there")
	require.Equal(t, 201, b.brings(b.as(b.keeper), archive, "import-0003", true).Code)
	require.NotContains(t, b.as(b.keeper).get("/api/v1/group").Body.String(), "(elsewhere)", "they are no members")

	added := b.as(b.keeper).post(first.Header().Get("Location")+"/crew", map[string]any{"member": b.keeper.id})
	require.Less(t, added.Code, 300, "a keeper gives it a crew: %s", added.Body)
}

// Whatever is wrong with an archive is said, and nothing of it is kept.
func TestBadArchivesAreRefusedAsAWhole(t *testing.T) {
	t.Parallel()
	b := setup(t)
	good := b.carried()
	const rows = "archive.json"
	changed := bytes.Clone(good)
	changed[len(good)/2] ^= 0x55
	same := func(text string) string { return text }
	for name, c := range map[string]struct {
		archive []byte
		code    string
		says    string
	}{
		"no zip":          {[]byte("a letter"), "archive-broken", "no zip file"},
		"cut off":         {good[:len(good)/2], "archive-broken", "no zip file"},
		"a byte changed":  {changed, "archive-broken", "damaged"},
		"no rows":         {b.repacked(good, map[string]func(string) string{rows: nil}), "archive-broken", rows},
		"way out":         {b.repacked(good, map[string]func(string) string{"../evil": same}), "archive-broken", "a name"},
		"another schema":  {b.repacked(good, replaced(`"schema": `, `"schema": 1`)), "archive-other-version", "another release"},
		"unknown column":  {b.repacked(good, replaced(`"purpose": `, `"colour": 1, "purpose": `)), "archive-unfit", "colour"},
		"missing column":  {b.repacked(good, replaced(`"purpose": `, `"porpoise": `)), "archive-unfit", "purpose"},
		"names nothing":   {b.repacked(good, replaced(`"started_by": 1`, `"started_by": 99`)), "archive-unfit", "started_by"},
		"breaks a rule":   {b.repacked(good, replaced(`"Mill race"`, `""`)), "archive-unfit", "projects_title_check"},
		"another table":   {b.repacked(good, replaced(`"table": "sites"`, `"table": "sights"`)), "archive-unfit", "sights"},
		"no time":         {b.repacked(good, replaced(`"started_at": "2`, `"started_at": "x2`)), "archive-unfit", ""},
		"field of a head": {b.repacked(good, replaced(`"group": `, `"clan": 1, "group": `)), "archive-broken", "clan"},
	} {
		t.Run(name, func(t *testing.T) {
			a := b.brings(b.as(b.keeper), c.archive, "import-0001", false)
			require.Equal(t, c.code, a.code(), a.Body.String())
			require.Contains(t, a.Body.String(), c.says)
			require.Contains(t, a.Body.String(), "Nothing was saved")
			require.Equal(t, 1, b.db.Number(t, "SELECT count(*) FROM projects"))
			require.Equal(t, 0, b.db.Number(t, "SELECT count(*) FROM imports"))
		})
	}
	text, kind := b.form(good, "client_key", "import-0001", "password", "not this one")
	require.Equal(t, "invalid", b.as(b.keeper).send("POST", importRoute, kind, text).code())
	text, kind = b.form(good, "client_key", "import-0001", "colour", "red")
	require.Equal(t, 400, b.as(b.keeper).send("POST", importRoute, kind, text).Code)
	require.Equal(t, 415, b.as(b.keeper).post(importRoute, map[string]any{}).Code)
}
