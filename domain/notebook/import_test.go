package notebook_test

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"io"
	"maps"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/archive"
	"leat/domain/notebook"
	"leat/domain/store/storetest"
)

// takeAlong returns the archive of a project.
func (b *bundle) takeAlong(t testing.TB, who domain.Actor, project domain.ProjectID) []byte {
	t.Helper()
	var text bytes.Buffer
	w := archive.NewWriter(&text, b.clock.now())
	_, err := b.Export(ctx, who, project, w)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return text.Bytes()
}

func bringIn(b *bundle, who domain.Actor, text []byte, password, key string, again bool) (domain.Project, bool, error) {
	cmd := domain.ImportProject{Key: key, Again: again, Proof: domain.Proof{Password: password}}
	return b.ImportProject(ctx, who, cmd, bytes.NewReader(text), int64(len(text)))
}

// unpacked returns the files of an archive; of its rows the head is gone, which says
// where and when it was written.
func unpacked(t testing.TB, text []byte) map[string]string {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(text), int64(len(text)))
	require.NoError(t, err)
	files := map[string]string{}
	for _, f := range z.File {
		from, err := f.Open()
		require.NoError(t, err)
		content, err := io.ReadAll(from)
		require.NoError(t, err)
		files[f.Name] = string(content)
	}
	var rows map[string]json.RawMessage
	require.NoError(t, json.Unmarshal([]byte(files[archive.Rows]), &rows))
	files["people"], files["tables"] = string(rows["people"]), string(rows["tables"])
	delete(files, archive.Rows)
	delete(files, archive.Digests)
	return files
}

// A project that is taken along and brought in elsewhere is the same one: what is
// taken along from there is the same, letter for letter, but for its head.
func (b *bundle) comesThroughItsArchives(t *testing.T) {
	t.Helper()
	ines := b.demoActor(t, "ines")
	to := empty(t, notebook.Options{})
	keeper := to.db.Person(t, "Olwen Marsh", domain.Keeper)
	projects, err := b.Projects(ctx, ines, domain.Page{})
	require.NoError(t, err)
	for i, p := range projects {
		first := b.takeAlong(t, ines, p.ID)
		to.clock.forward(time.Hour)
		there, made, err := bringIn(to, keeper, first, storetest.Password, "archive-000"+string(rune('0'+i)), false)
		require.NoError(t, err, p.Title)
		require.True(t, made)
		require.Equal(t, p.Title, there.Title)
		before, after := unpacked(t, first), unpacked(t, to.takeAlong(t, keeper, there.ID))
		require.Equal(t, slices.Sorted(maps.Keys(before)), slices.Sorted(maps.Keys(after)), p.Title)
		for name := range before {
			require.True(t, before[name] == after[name], "%s of %s", name, p.Title) // too long to be shown
		}
		t.Logf("%s: %d bytes", p.Title, len(first))
	}
	to.requireRecordHolds(t)
	head, err := to.VerifyRecord(ctx, nil)
	require.NoError(t, err)
	require.Greater(t, head.Number, int64(50), "what was signed elsewhere is in the record here")

	b.givesNoRightHere(t, ines)
}
