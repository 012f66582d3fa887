package localpg

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// ErrNoServer says that PostgreSQL's server programs are not on this machine.
var ErrNoServer = errors.New("PostgreSQL's server programs (initdb and postgres) were not found: install them (Debian and Ubuntu: apt-get install postgresql), or say where they are with LEAT_POSTGRES_BIN, or give LEAT_DATABASE_URL of a server you have")

// usual is where packages put the server programs, besides the search path.
var usual = []string{
	"/usr/lib/postgresql/*/bin",
	"/usr/pgsql-*/bin",
	"/opt/homebrew/opt/postgresql@*/bin",
	"/usr/local/opt/postgresql@*/bin",
	"/Applications/Postgres.app/Contents/Versions/*/bin",
}

// programs are the server programs of one release.
type programs struct {
	folder string
	major  string
}

func (p programs) initdb() string   { return filepath.Join(p.folder, "initdb") }
func (p programs) postgres() string { return filepath.Join(p.folder, "postgres") }

// findPrograms looks for the server programs: in bin alone when it is given,
// else in the usual places. For a cluster that exists they must be of the
// release that made it; for a new one the newest is taken.
func findPrograms(bin, data string) (programs, error) {
	made, err := madeBy(data)
	if err != nil {
		return programs{}, err
	}
	var found []programs
	for _, folder := range candidates(bin) {
		p, err := inspect(folder)
		if err != nil {
			continue // not a complete set: the next place may have one
		}
		if made == "" || made == p.major {
			return p, nil
		}
		found = append(found, p)
	}
	switch {
	case len(found) > 0:
		return programs{}, fmt.Errorf("localpg: %s was made by PostgreSQL %s, but %s has release %s: install release %s", data, made, found[0].folder, found[0].major, made)
	case bin != "":
		return programs{}, fmt.Errorf("localpg: %s does not hold initdb and postgres", bin)
	}
	return programs{}, ErrNoServer
}

// madeBy returns the major release that made a cluster, or "" when there is
// none yet.
func madeBy(data string) (string, error) {
	text, err := os.ReadFile(filepath.Join(data, "PG_VERSION"))
	if errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	if err != nil {
		return "", fmt.Errorf("localpg: %w", err)
	}
	return strings.TrimSpace(string(text)), nil
}

func candidates(bin string) []string {
	if bin != "" {
		return []string{bin}
	}
	var folders []string
	for _, pattern := range usual {
		matches, err := filepath.Glob(pattern)
		if err != nil {
			panic(err) // a pattern of ours is malformed
		}
		folders = append(folders, newestFirst(matches)...)
	}
	if path, err := exec.LookPath("initdb"); err == nil {
		if real, err := filepath.EvalSymlinks(path); err == nil {
			folders = append(folders, filepath.Dir(real))
		}
	}
	return folders
}

func newestFirst(folders []string) []string {
	slices.SortFunc(folders, func(a, b string) int { return release(b) - release(a) })
	return folders
}

// release reads the number out of a folder's name: 15 from .../15/bin and from
// .../postgresql@15/bin.
func release(folder string) int {
	name := filepath.Base(filepath.Dir(folder))
	n, err := strconv.Atoi(strings.TrimLeft(name, "abcdefghijklmnopqrstuvwxyz-@"))
	if err != nil {
		return 0
	}
	return n
}

// inspect asks a folder's server for its release.
func inspect(folder string) (programs, error) {
	p := programs{folder: folder}
	if _, err := os.Stat(p.initdb()); err != nil {
		return programs{}, err
	}
	text, err := exec.Command(p.postgres(), "--version").Output()
	if err != nil {
		return programs{}, err
	}
	p.major = major(string(text))
	if p.major == "" {
		return programs{}, fmt.Errorf("localpg: %s says %q", p.postgres(), text)
	}
	return p, nil
}

// major reads the release out of "postgres (PostgreSQL) 15.18 (Debian ...)".
func major(text string) string {
	_, rest, ok := strings.Cut(text, "(PostgreSQL) ")
	if !ok {
		return ""
	}
	end := strings.IndexFunc(rest, func(r rune) bool { return r < '0' || r > '9' })
	if end < 0 {
		return rest
	}
	return rest[:end]
}
