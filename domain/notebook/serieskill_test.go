package notebook_test

import (
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/notebook"
	"leat/domain/store"
)

// uploaderVariable makes the test binary a process that does nothing but bring
// the parts of a file: "url|account|project|build|run|file|which".
const uploaderVariable = "LEAT_TEST_KILL_UPLOADER"

// uploaded is a file that it brings, of four parts.
func uploaded(which int) string {
	return steadyFile(600_000, " [kPa]") + strings.Repeat("\n", which)
}

// uploader brings the parts, the last one first, and prints the number of each
// that was answered, until it is killed.
func uploader() int {
	at := strings.Split(os.Getenv(uploaderVariable), "|")
	id := func(i int) int64 { n, _ := strconv.ParseInt(at[i], 10, 64); return n }
	db, err := store.Open(ctx, at[0])
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	n := notebook.New(db, notebook.Options{Draws: draws})
	text, who := uploaded(int(id(6))), domain.Actor{Account: domain.AccountID(id(1))}
	ref := domain.RunRef{Project: domain.ProjectID(id(2)), Build: domain.BuildID(id(3)), Number: int(id(4))}
	for {
		for number := (len(text) + domain.PartBytes - 1) / domain.PartBytes; number > 0; number-- {
			part := text[(number-1)*domain.PartBytes : min(len(text), number*domain.PartBytes)]
			if _, err := n.PutSeriesPart(ctx, who, domain.PutSeriesPart{Run: ref, File: domain.SeriesFileID(id(5)), Number: number, Bytes: []byte(part)}); err != nil {
				fmt.Fprintln(os.Stderr, err)
				return 1
			}
			fmt.Println(number)
		}
	}
}

// Product, "weak connection": of a server that is killed in the middle of an
// upload every part that it answered is there, none by half, and the rest is sent
// on.
func TestKilledServerLosesNoPartOfAFile(t *testing.T) {
	t.Parallel()
	l := inRun(t)
	for which := range 3 {
		text := uploaded(which)
		cmd := domain.AddSeriesFile{Run: l.run, Name: "run.csv", Size: len(text), Sum: sumOf(text), Key: fmt.Sprintf("file-000000%d", which)}
		f, _, err := l.AddSeriesFile(ctx, l.petra, cmd)
		require.NoError(t, err)
		k := started(t, fmt.Sprintf("%s=%s|%d|%d|%d|%d|%d|%d", uploaderVariable, l.db.URL, l.petra.Account, l.run.Project, l.run.Build, l.run.Number, f.ID, which))
		k.after(t, 1+which)
		answered := k.kill(t)
		require.NotEmpty(t, answered)

		cmd.Key = fmt.Sprintf("again-00000%d", which) // the page was loaded anew
		found, made, err := l.AddSeriesFile(ctx, l.petra, cmd)
		require.NoError(t, err)
		require.False(t, made)
		require.Equal(t, f.ID, found.ID)
		require.Subset(t, found.Have, answered)
		f, err = l.done(l.bring(t, text, cmd.Key), domain.SeriesAsked{})
		require.NoError(t, err)
		require.Equal(t, fmt.Sprintf("%x", cmd.Sum), f.Read.Report.Digest)
		require.Equal(t, 4, l.db.Number(t, "SELECT count(*) FROM series_parts WHERE file_id = $1", f.ID))
	}
	require.Equal(t, 3, l.db.Number(t, "SELECT count(*) FROM series_files"))
}
