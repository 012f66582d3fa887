package localpg

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// The lines are those of PostgreSQL's own description of the file
// (src/include/utils/pidfile.h).
func TestParsePidFile(t *testing.T) {
	whole := "4711\n/srv/data\n1764068400\n5432\n/tmp/leat-1\n\n  5432001    0\nready   \n"
	require.Equal(t, pidFile{pid: 4711, port: "5432", socket: "/tmp/leat-1", status: "ready"}, parsePidFile(whole))
	require.Equal(t, pidFile{pid: 4711}, parsePidFile("4711\n/srv/da"), "still being written")
	require.Equal(t, pidFile{}, parsePidFile(""))
	require.Equal(t, pidFile{}, parsePidFile("not a number\n"))
}

func TestMajor(t *testing.T) {
	for text, want := range map[string]string{
		"postgres (PostgreSQL) 15.18 (Debian 15.18-0+deb12u1)\n": "15",
		"postgres (PostgreSQL) 17beta1\n":                        "17",
		"postgres (PostgreSQL) 16":                               "16",
		"something else":                                         "",
	} {
		require.Equal(t, want, major(text), text)
	}
}

func TestNewestFirst(t *testing.T) {
	require.Equal(t,
		[]string{"/usr/lib/postgresql/15/bin", "/usr/lib/postgresql/9.6/bin", "/x/odd/bin"},
		newestFirst([]string{"/usr/lib/postgresql/9.6/bin", "/x/odd/bin", "/usr/lib/postgresql/15/bin"}))
	require.Equal(t, 16, release("/opt/homebrew/opt/postgresql@16/bin"))
}

func TestNoServerInGivenFolder(t *testing.T) {
	_, err := findPrograms(t.TempDir(), "/nowhere")
	require.ErrorContains(t, err, "does not hold initdb and postgres")
}

func TestClusterOfAnotherRelease(t *testing.T) {
	needServer(t)
	data := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(data, "PG_VERSION"), []byte("8\n"), 0o600))
	_, err := findPrograms("", data)
	require.ErrorContains(t, err, "was made by PostgreSQL 8")
}

func TestRootsDataUnderAClosedHome(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("ordinary users keep their data where they say")
	}
	needServer(t)
	closed := t.TempDir() // its parent is 0700
	got, err := Folder(filepath.Join(closed, "data"))
	require.NoError(t, err)
	require.Equal(t, rootsFolder, filepath.Dir(got))

	open := filepath.Dir(clusterFolder(t))
	got, err = Folder(filepath.Join(open, "data"))
	require.NoError(t, err)
	require.Equal(t, filepath.Join(open, "data"), got)
}

func TestSocketPathIsShort(t *testing.T) {
	const limit = 103 // bytes on macOS, its sys/un.h; Linux has 107
	path := filepath.Join(socketFolder("/a/long/folder/"+filepath.Join(make([]string, 50)...)), ".s.PGSQL."+port)
	require.LessOrEqual(t, len(path), limit)
}
