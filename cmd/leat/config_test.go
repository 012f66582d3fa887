package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/migrations"
)

func envOf(values map[string]string) func(string) string {
	return func(name string) string { return values[name] }
}

func TestREADMEListsTheSettings(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	var listed []string
	for _, row := range regexp.MustCompile("(?m)^\\| `(LEAT_[A-Z_]+)` \\|").FindAllSubmatch(text, -1) {
		listed = append(listed, string(row[1]))
	}
	require.Equal(t, settings, listed)
}

func TestEverySettingIsRead(t *testing.T) {
	asked := map[string]bool{}
	_, err := readConfig(func(name string) string {
		asked[name] = true
		return ""
	})
	require.NoError(t, err)
	for _, name := range settings {
		require.True(t, asked[name], name)
		require.True(t, asked[name+"_FILE"], name)
		delete(asked, name)
		delete(asked, name+"_FILE")
	}
	require.Empty(t, asked, "read, but not listed")
}

func TestPresets(t *testing.T) {
	c, err := readConfig(envOf(nil))
	require.NoError(t, err)
	require.Equal(t, "localhost:8080", c.listen)
	require.Equal(t, "http://localhost:8080", c.publicURL.String())
	require.Empty(t, c.databaseURL)
	require.Empty(t, c.trustedProxies)
	require.False(t, c.migrate)
}

func TestPublicAddressFollowsThePort(t *testing.T) {
	for listen, want := range map[string]string{
		"localhost:9000": "http://localhost:9000",
		"127.0.0.1:9000": "http://127.0.0.1:9000",
		":9000":          "http://localhost:9000",
	} {
		c, err := readConfig(envOf(map[string]string{"LEAT_LISTEN": listen}))
		require.NoError(t, err)
		require.Equal(t, want, c.publicURL.String())
	}
}

func TestSettingFromAFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "url")
	require.NoError(t, os.WriteFile(path, []byte("postgres://leat@db/leat\n"), 0o600))
	c, err := readConfig(envOf(map[string]string{"LEAT_DATABASE_URL_FILE": path}))
	require.NoError(t, err)
	require.Equal(t, "postgres://leat@db/leat", c.databaseURL)
}

func TestAllFaultsAtOnce(t *testing.T) {
	_, err := readConfig(envOf(map[string]string{
		"LEAT_DATABASE_URL":      "postgres://leat:secret@db/leat",
		"LEAT_DATABASE_URL_FILE": "/run/secrets/url",
		"LEAT_PUBLIC_URL":        "leat.example",
		"LEAT_TRUSTED_PROXIES":   "10.0.0.0/8, router",
		"LEAT_MIGRATE":           "yes",
		"LEAT_TLS_CERT":          "cert.pem",
		"LEAT_DATA_FILE":         "/nowhere/at/all",
		"LEAT_LISTEN":            "8080",
	}))
	for _, name := range []string{"LEAT_DATABASE_URL", "LEAT_PUBLIC_URL", "router", "LEAT_MIGRATE", "LEAT_TLS_KEY", "LEAT_DATA_FILE", "LEAT_LISTEN"} {
		require.ErrorContains(t, err, name)
	}
	require.NotContains(t, err.Error(), "secret@", "a password never prints")
}

// Whoever looks up in the README where a rule is held finds it there.
func TestREADMENamesWhatHoldsTheRules(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	_, section, found := strings.Cut(string(readme), "### Who may sign what")
	require.True(t, found)
	section, _, _ = strings.Cut(section, "\n## ")
	var schema strings.Builder
	files, err := fs.Glob(migrations.FS, "*.sql")
	require.NoError(t, err)
	for _, name := range files {
		text, err := migrations.FS.ReadFile(name)
		require.NoError(t, err)
		schema.Write(text)
	}
	rows := 0
	for line := range strings.Lines(section) {
		cells := strings.Split(line, "|")
		if len(cells) != 7 || !strings.Contains(cells[5], "`") {
			continue
		}
		rows++
		trigger := strings.Trim(cells[5], " `")
		require.Contains(t, schema.String(), "CREATE TRIGGER "+trigger+" ")
		require.Contains(t, schema.String(), "ENABLE ALWAYS TRIGGER "+trigger+";")
	}
	require.Equal(t, 17, rows)
	for _, file := range regexp.MustCompile("`([a-z/]+\\.go)`").FindAllStringSubmatch(section, -1) {
		require.FileExists(t, "../../"+file[1])
	}
}
