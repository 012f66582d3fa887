package archive_test

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/archive"
)

// small is what these tests take.
var small = archive.Limits{Files: 6, File: 3 << 20, Total: 5 << 20, Ratio: 20}

// entry is a file of an archive that is made by hand.
type entry struct {
	name    string
	content []byte
}

// zipped makes an archive whose digests are right.
func zipped(t *testing.T, entries ...entry) []byte {
	t.Helper()
	var text bytes.Buffer
	for _, e := range entries {
		fmt.Fprintf(&text, "%x  %s\n", sha256.Sum256(e.content), e.name)
	}
	return raw(t, append(entries, entry{archive.Digests, text.Bytes()})...)
}

func raw(t *testing.T, entries ...entry) []byte {
	t.Helper()
	var to bytes.Buffer
	z := zip.NewWriter(&to)
	for _, e := range entries {
		w, err := z.Create(e.name)
		require.NoError(t, err)
		_, err = w.Write(e.content)
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	return to.Bytes()
}

func open(text []byte) (*archive.Reader, error) {
	return archive.Open(bytes.NewReader(text), int64(len(text)), small)
}

func TestWhatIsWrittenIsRead(t *testing.T) {
	var to bytes.Buffer
	w := archive.NewWriter(&to, time.Date(2026, 5, 1, 0, 0, 0, 0, time.UTC))
	require.NoError(t, w.Add("files/a", []byte("water")))
	require.NoError(t, w.AddJSON("project.json", map[string]int{"builds": 2}))
	require.NoError(t, w.Close())
	r, err := open(to.Bytes())
	require.NoError(t, err)
	text, err := r.Bytes("files/a")
	require.NoError(t, err)
	require.Equal(t, "water", string(text))
	require.Equal(t, []string{"a"}, r.Names("files"))
}

func TestArchivesThatAreRefused(t *testing.T) {
	a, b := entry{"a", []byte("water")}, entry{"b", []byte("air")}
	whole := zipped(t, a, b)
	changed := raw(t, a, b, entry{archive.Digests, fmt.Appendf(nil, "%x  a\n%x  b\n", sha256.Sum256(a.content), sha256.Sum256([]byte("gas")))})
	noise := func(n int) []byte { // does not get smaller
		text := make([]byte, 0, n+sha256.Size)
		for i := 0; len(text) < n; i++ {
			sum := sha256.Sum256(fmt.Append(nil, i))
			text = append(text, sum[:]...)
		}
		return text
	}
	for name, c := range map[string]struct {
		text []byte
		code string
		says string
	}{
		"no zip":            {[]byte("leat"), "archive-broken", "no zip file"},
		"cut off":           {whole[:len(whole)-30], "archive-broken", "no zip file"},
		"climbs out":        {zipped(t, entry{"../a", a.content}), "archive-broken", "name"},
		"from the root":     {zipped(t, entry{"/etc/a", a.content}), "archive-broken", "name"},
		"hidden":            {zipped(t, entry{"files/.a", a.content}), "archive-broken", "name"},
		"another digest":    {changed, "archive-broken", "b is not the file"},
		"a file too few":    {raw(t, a, entry{archive.Digests, fmt.Appendf(nil, "%x  a\n%x  b\n", sha256.Sum256(a.content), sha256.Sum256(b.content))}), "archive-broken", "b is missing"},
		"a file too many":   {raw(t, a, b, entry{archive.Digests, fmt.Appendf(nil, "%x  a\n", sha256.Sum256(a.content))}), "archive-broken", "does not list it"},
		"one name twice":    {zipped(t, a, a), "archive-broken", "Two files"},
		"no digests":        {raw(t, a), "archive-broken", "digests.txt is missing"},
		"too many files":    {zipped(t, a, b, entry{"c", nil}, entry{"d", nil}, entry{"e", nil}, entry{"f", nil}), "archive-too-large", "7 files, where 6 are taken"},
		"a file too large":  {zipped(t, entry{"a", noise(4 << 20)}), "archive-too-large", "a and what comes before"},
		"all too large":     {zipped(t, entry{"a", noise(2 << 20)}, entry{"b", noise(2 << 20)}, entry{"c", noise(2 << 20)}), "archive-too-large", "c and what comes before"},
		"grows when opened": {zipped(t, entry{"a", make([]byte, 2<<20)}), "archive-broken", "out of all proportion"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := open(c.text)
			require.Error(t, err)
			var e *domain.Error
			require.ErrorAs(t, err, &e)
			require.Equal(t, c.code, e.Code, e.Message)
			require.Contains(t, e.Message, c.says)
			require.Contains(t, e.Message, "Nothing was saved")
		})
	}
}

// An archive may lie about how long a file is; no more of it is read than it said.
func TestALengthThatLiesIsRefused(t *testing.T) {
	text := zipped(t, entry{"a", make([]byte, 1<<20)})
	size := []byte{0, 0, 0x10, 0} // 1 MiB, in the order of the format (APPNOTE 4.4.9)
	lied := slices.Clone(text)
	at := bytes.LastIndex(lied, size)
	require.Positive(t, at, "in the directory at the end")
	lied[at+2] = 0x01
	_, err := open(lied)
	require.Error(t, err)
	require.Contains(t, err.Error(), "Nothing was saved")
}
