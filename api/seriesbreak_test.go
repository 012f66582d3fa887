package api

import (
	"crypto/sha256"
	"fmt"
	"net"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/interval"
	"leat/domain"
	"leat/domain/notebook"
)

// longRecording is a file of three parts.
func longRecording() string {
	text := &strings.Builder{}
	fmt.Fprintln(text, "t [s],tank [kPa g]")
	for i := 0; text.Len() <= 2*domain.PartBytes; i++ {
		fmt.Fprintf(text, "%d,%.2f\n", i, 40+0.1*float64(i*7%11))
	}
	return text.String()
}

func partOf(text string, number int) string {
	return text[(number-1)*domain.PartBytes : min(len(text), number*domain.PartBytes)]
}

// breaksOff sends the beginning of a part over a connection that ends then.
func (b *bundle) breaksOff(path, part string) {
	b.Helper()
	server := httptest.NewServer(b.h)
	line, err := net.Dial("tcp", server.Listener.Addr().String())
	require.NoError(b, err)
	_, err = fmt.Fprintf(line, "PUT %s HTTP/1.1\r\nHost: leat\r\nAuthorization: Bearer %s\r\nContent-Type: %s\r\nContent-Length: %d\r\n\r\n%s",
		path, b.crew.token, anyBytes, len(part), part[:len(part)/2])
	require.NoError(b, err)
	require.NoError(b, line.Close())
	server.Close() // after all that it answers
}

// restarted is another server on the same database: the first was killed.
func (b *bundle) restarted() *bundle {
	o := bareOptions(b)
	o.Notebook = notebook.New(b.db.DB.DB, notebook.Options{Draws: interval.Least, HashKiB: cheapKiB})
	o.Log = b.log.logger()
	again := *b
	again.server = newServer(o)
	again.tokens = b.tokens
	again.h = again.server.handler(nil)
	return &again
}

// Product, "weak connection": a part that breaks off is not kept by half; whoever
// announces the file again, after a reload or to another server, is told what is
// there, sends the rest in any order, and nothing is there twice.
func TestUploadGoesOnAfterABreak(t *testing.T) {
	t.Parallel()
	b := setup(t)
	run, text := b.measured("series-0001"), longRecording()
	file := b.as(b.crew).post(run+"/files", announced(text, "series-0001")).Header().Get("Location")
	require.Equal(t, 200, b.as(b.crew).send("PUT", file+"/parts/1", anyBytes, partOf(text, 1)).Code)
	b.breaksOff(file+"/parts/2", partOf(text, 2))
	require.Equal(t, []any{1.0}, b.as(b.crew).get(file).at("have"))

	b = b.restarted()
	a := b.as(b.member).post(run+"/files", announced(text, "series-0002"))
	require.Equal(t, 200, a.Code, "the key is another one after a reload")
	require.Equal(t, file, a.Header().Get("Location"))
	require.Equal(t, []any{1.0}, a.at("have"))
	require.Equal(t, 3, int(a.number("part_count")))
	for _, number := range []int{3, 2, 2, 1} {
		a = b.as(b.member).send("PUT", fmt.Sprintf("%s/parts/%d", file, number), anyBytes, partOf(text, number))
		require.Equal(t, 200, a.Code, a.Body.String())
	}
	require.Equal(t, []any{1.0, 2.0, 3.0}, a.at("have"))
	require.Equal(t, "part-differs", b.as(b.crew).send("PUT", file+"/parts/2", anyBytes, strings.ReplaceAll(partOf(text, 2), "40.", "41.")).code())
	require.Equal(t, "not-found", b.as(b.crew).send("PUT", file+"/parts/4", anyBytes, "1").code())
	require.Equal(t, 422, b.as(b.crew).send("PUT", file+"/parts/3", anyBytes, partOf(text, 3)+"1").Code)
	for range 2 {
		a = b.as(b.member).post(file+"/done", map[string]any{})
		require.Equal(t, 200, a.Code, a.Body.String())
		require.Equal(t, fmt.Sprintf("%x", sha256.Sum256([]byte(text))), a.at("read", "report", "digest"))
		require.Equal(t, strings.Count(text, "\n")-1, int(a.number("read", "report", "rows")))
		require.Equal(t, 1, int(a.number("read", "number")))
	}
	require.Len(t, b.as(b.crew).get(run+"/files").at("items"), 1)
	require.Equal(t, 3, b.db.Number(t, "SELECT count(*) FROM series_parts"))
}

// What arrives is held against the sum that was announced. Of what differs nothing
// stays, and all of it can be sent again.
func TestUploadThatDiffersStartsAgain(t *testing.T) {
	t.Parallel()
	b := setup(t)
	run, text := b.measured("series-0001"), recording()
	file := b.as(b.crew).post(run+"/files", announced(text, "series-0001")).Header().Get("Location")
	require.Equal(t, 200, b.as(b.crew).send("PUT", file+"/parts/1", anyBytes, strings.Replace(text, "40.", "90.", 1)).Code)
	require.Equal(t, "file-differs", b.as(b.crew).post(file+"/done", map[string]any{}).code())
	require.Equal(t, []any{}, b.as(b.crew).get(file).at("have"))
	require.Nil(t, b.as(b.crew).get(file).at("read"))
	require.Equal(t, 200, b.as(b.crew).send("PUT", file+"/parts/1", anyBytes, text).Code)
	require.Equal(t, 200, b.as(b.crew).post(file+"/done", map[string]any{}).Code)
	require.Equal(t, "client-key-used", b.as(b.crew).post(run+"/files", announced(text+"\n", "series-0001")).code())
}
