package api

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// unzipped returns the files of an export, and demands that its digests are those
// that the standard library works out.
func (b *bundle) unzipped(a *reply) map[string]string {
	b.Helper()
	require.Equal(b, 200, a.Code)
	text := a.Body.Bytes()
	z, err := zip.NewReader(bytes.NewReader(text), int64(len(text)))
	require.NoError(b, err)
	files := map[string]string{}
	for _, f := range z.File {
		from, err := f.Open()
		require.NoError(b, err)
		content, err := io.ReadAll(from)
		require.NoError(b, err)
		files[f.Name] = string(content)
	}
	lines := strings.Split(strings.TrimSpace(files["digests.txt"]), "\n")
	require.Len(b, lines, len(files)-1, "every other file has a line")
	for _, line := range lines {
		sum, name, _ := strings.Cut(line, "  ")
		is := sha256.Sum256([]byte(files[name]))
		require.Equal(b, sum, hex.EncodeToString(is[:]), name)
	}
	return files
}

// table reads a table as RFC 4180 has it: the rows, by column.
func (b *bundle) table(text string) (rows []map[string]string) {
	b.Helper()
	all, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	require.NoError(b, err)
	require.Greater(b, len(all), 1)
	for _, line := range all[1:] {
		row := map[string]string{}
		for i, name := range all[0] {
			row[name] = line[i]
		}
		rows = append(rows, row)
	}
	return rows
}

func TestExportOfARunStandsAlone(t *testing.T) {
	t.Parallel()
	b := setup(t)
	run := b.opened("export-0001")
	read := b.as(b.crew).post(run+"/points/1/readings", bucketRead("export-0002", 24.9, nil, 25.1))
	require.Equal(t, 201, read.Code, read.Body.String())
	b.as(b.crew).send("POST", run+"/submit", "", "")
	_, err := b.notebook.JudgeDue(t.Context())
	require.NoError(t, err)
	a := b.as(b.member).get(run + "/export")
	require.Regexp(t, `^attachment; filename="[a-z0-9-]+-run-1\.zip"$`, a.Header().Get("Content-Disposition"))
	files := b.unzipped(a)

	require.JSONEq(t, b.as(b.member).get(run).Body.String(), files["run.json"], "it is what the interface answers")
	require.Equal(t, b.db.text("SELECT body FROM run_verdicts"), files["verdict.json"], "the verdict is letter for letter what was frozen")
	sum := sha256.Sum256([]byte(files["verdict.json"]))
	require.Equal(t, b.db.text("SELECT encode(digest, 'hex') FROM run_verdicts"), hex.EncodeToString(sum[:]))
	require.Contains(t, strings.Join(strings.Fields(files["readme.txt"]), " "), hex.EncodeToString(sum[:]))

	readings := b.table(files["readings.csv"])
	require.Len(t, readings, 3)
	require.Equal(t, []string{"24.9", "", "25.1"}, []string{readings[0]["value"], readings[1]["value"], readings[2]["value"]})
	require.Equal(t, "s", readings[0]["unit"])
	quantity := b.table(files["quantities.csv"])
	require.Equal(t, "water_flow_m3s", quantity[0]["quantity"])
	require.Equal(t, "m³/s", quantity[0]["unit"])
	require.NotEmpty(t, b.table(files["verdict.csv"])[0]["outcome"])
	for name, text := range files {
		require.NotContains(t, text, "@thornwick.example", "%s holds an address", name)
		require.NotContains(t, text, "argon2id", name)
	}
	for _, line := range strings.Split(files["readme.txt"], "\n") {
		require.LessOrEqual(t, len([]rune(line)), 100, line)
	}
}

// Every column of every table, and every file, is explained in the readme.
func TestReadmeExplainsEveryFileAndColumn(t *testing.T) {
	t.Parallel()
	b := setup(t)
	b.judged("export-0001")
	b.written("export-0003", map[string]any{"text": "=HYPERLINK(\"http://x\")"})
	files := b.unzipped(b.as(b.member).get(b.projectURL() + "/export"))
	for name, text := range files {
		if name != "readme.txt" && name != "digests.txt" {
			require.Contains(t, files["readme.txt"], name)
		}
		if strings.HasSuffix(name, ".csv") {
			head, _, _ := strings.Cut(text, "\r\n")
			for _, column := range strings.Split(head, ",") {
				require.Contains(t, files["readme.txt"], "    "+column, "column of %s", name)
			}
		}
	}
	log := b.table(files["log.csv"])
	require.Equal(t, `'=HYPERLINK("http://x")`, log[0]["text"], "no spreadsheet takes it for a formula")
	require.Contains(t, files, "project.json")
	inputs := b.table(files["sheet-inputs.csv"])
	units := map[string]string{}
	for _, row := range inputs {
		units[row["at"]] = row["unit"]
	}
	require.Equal(t, "m", units["/trompe/downcomer/bore_m"])
	answers := b.table(files["sheet-answers.csv"])
	require.NotEmpty(t, answers[0]["value"])
	build := b.unzipped(b.as(b.member).get(b.finished("run-build-1") + "/export"))
	require.Contains(t, build, "run-1/verdict.json")
	require.Contains(t, build, "build.json")
	require.NotContains(t, fmt.Sprint(build), b.keeper.name, "who is not part of it is not in it")
}
