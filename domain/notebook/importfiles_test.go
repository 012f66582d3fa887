package notebook_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/archive"
	"leat/domain/notebook"
	"leat/domain/store"
	"leat/domain/store/storetest"
)

// altered returns an archive with other rows and files in it; its digests are right.
func altered(t testing.TB, text []byte, change func(rows *archive.Project, files map[string][]byte)) []byte {
	t.Helper()
	from, err := archive.Open(bytes.NewReader(text), int64(len(text)), archive.Usual)
	require.NoError(t, err)
	rows, err := from.Project(store.SchemaVersion)
	require.NoError(t, err)
	files := map[string][]byte{}
	for _, name := range from.Names(archive.Files) {
		files[name], err = from.Blob(name)
		require.NoError(t, err)
	}
	change(&rows, files)
	var to bytes.Buffer
	w := archive.NewWriter(&to, rows.WrittenAt)
	require.NoError(t, w.AddJSON(archive.Rows, rows))
	for name, content := range files {
		require.NoError(t, w.Add(archive.Files+"/"+name, content))
	}
	require.NoError(t, w.Close())
	return to.Bytes()
}

// put gives a file of an archive other bytes, in one size; all that is said of them
// is right.
func put(rows *archive.Project, files map[string][]byte, file int, variant string, content []byte) {
	sum := fmt.Sprintf("%x", sha256.Sum256(content))
	files[sum] = content
	for _, body := range rows.Rows("file_bodies") {
		if string(body["file_id"]) == strconv.Itoa(file) && string(body["variant"]) == strconv.Quote(variant) {
			body["bytes"] = json.RawMessage(strconv.Quote(sum))
		}
	}
	if variant == "full" {
		row := rows.Rows("files")[file-1]
		row["size"], row["digest"] = json.RawMessage(strconv.Itoa(len(content))), json.RawMessage(`"\\x`+sum+`"`)
	}
}

// A picture of an archive is refused for what an upload would be refused for, or
// freed from, and so is a picture that calls itself something else; the answer names
// it, and nothing is saved.
func TestPicturesOfAnArchiveAreOnlyPixels(t *testing.T) {
	t.Parallel()
	b := setup(t)
	_, _, err := b.KeepFile(ctx, b.petra, b.picture(t, "file-00001"))
	require.NoError(t, err)
	_, _, err = b.KeepFile(ctx, b.petra, domain.KeepFile{Project: b.project.ID, Name: "notes.txt", Data: []byte("the weir leaks"), Key: "file-00002"})
	require.NoError(t, err)
	good := b.takeAlong(t, b.petra, b.project.ID)
	to := empty(t, notebook.Options{})
	keeper := to.db.Person(t, "Olwen Marsh", domain.Keeper)

	commented := photo(t, 640, 480)
	whole := append(append([]byte{}, commented[:2]...), commented[2+2+0x13:]...)                                                                                 // without its comment
	bomb := append([]byte("\xff\xd8\xff\xc0\x00\x11\x08\xea\x60\xea\x60\x03\x01\x22\x00\x02\x11\x00\x03\x11\x00\xff\xda\x00\x08\x01\x01\x00\x00\x3f\x00"), 0, 0) // 60000 pixels square
	for name, c := range map[string]struct {
		change func(rows *archive.Project, files map[string][]byte)
		says   []string
	}{
		"no picture":     {func(r *archive.Project, f map[string][]byte) { put(r, f, 1, "full", []byte("a letter")) }, []string{"row 1", "flange.jpg", "no picture"}},
		"metadata":       {func(r *archive.Project, f map[string][]byte) { put(r, f, 1, "full", commented) }, []string{"flange.jpg", "more than pixels"}},
		"bomb":           {func(r *archive.Project, f map[string][]byte) { put(r, f, 1, "full", bomb) }, []string{"flange.jpg", "more pixels"}},
		"cut off":        {func(r *archive.Project, f map[string][]byte) { put(r, f, 1, "full", whole[:len(whole)/2]) }, []string{"flange.jpg", "damaged"}},
		"bad thumbnail":  {func(r *archive.Project, f map[string][]byte) { put(r, f, 1, "thumb", commented) }, []string{"flange.jpg", "width or height"}},
		"hidden picture": {func(r *archive.Project, f map[string][]byte) { put(r, f, 2, "full", commented) }, []string{"row 2", "notes.txt", "is a picture"}},
		"another size":   {func(r *archive.Project, _ map[string][]byte) { r.Rows("files")[0]["width"] = json.RawMessage("639") }, []string{"flange.jpg", "width or height"}},
		"another digest": {func(r *archive.Project, _ map[string][]byte) { r.Rows("files")[1]["size"] = json.RawMessage("15") }, []string{"notes.txt", "size and digest"}},
		"no thumbnail": {func(r *archive.Project, _ map[string][]byte) {
			bodies := r.Rows("file_bodies")[1]
			require.Equal(t, `"thumb"`, string(bodies["variant"]))
			bodies["variant"] = json.RawMessage(`"full"`)
		}, []string{"flange.jpg"}},
		"not a row": {func(r *archive.Project, _ map[string][]byte) { r.Rows("files")[1]["size"] = json.RawMessage(`"big"`) }, []string{"files, row 2"}},
		"file of none": {func(r *archive.Project, _ map[string][]byte) {
			r.Rows("file_bodies")[1]["file_id"] = json.RawMessage("3")
		}, []string{"file_bodies, row 2"}},
		"another's name": {func(r *archive.Project, f map[string][]byte) {
			for name := range f {
				f[name] = []byte("the weir holds")
			}
		}, []string{"digest"}},
	} {
		_, _, err := bringIn(to, keeper, altered(t, good, c.change), storetest.Password, "archive-0001", false)
		require.Equal(t, domain.Invalid, domain.KindOf(err), "%s: %v", name, err)
		for _, say := range append(c.says, "Nothing was saved") {
			require.ErrorContains(t, err, say, name)
		}
		require.Equal(t, 0, to.db.Number(t, "SELECT count(*) FROM projects"), name)
	}
	_, made, err := bringIn(to, keeper, good, storetest.Password, "archive-0001", false)
	require.NoError(t, err)
	require.True(t, made)
	require.Equal(t, 3, to.db.Number(t, "SELECT count(*) FROM file_bodies"))
}
