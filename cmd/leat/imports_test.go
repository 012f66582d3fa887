package main

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// may is what a package may import: of leat, and from outside. Everything may
// import the standard library. A new row or word is a decision record.
type may struct{ leat, outside []string }

var imports = map[string]may{
	"calc":                   {},
	"calc/water":             {leat: words("calc")},
	"calc/air":               {leat: words("calc calc/water")},
	"calc/trompe":            {leat: words("calc calc/water calc/air calc/evidence")},
	"calc/source":            {leat: words("calc")},
	"calc/pipe":              {leat: words("calc")},
	"calc/ram":               {leat: words("calc calc/pipe")},
	"calc/receiver":          {leat: words("calc")},
	"calc/use":               {leat: words("calc calc/pipe")},
	"calc/units":             {leat: words("calc")},
	"calc/strength":          {leat: words("calc")},
	"calc/pressuretest":      {leat: words("calc calc/strength calc/use calc/water")},
	"calc/parts":             {leat: words("calc")},
	"calc/calctest":          {words("calc"), words("github.com/stretchr/testify/require")},
	"calc/evidence":          {words("calc calc/air calc/source calc/water"), words("gonum.org/v1/gonum/mat gonum.org/v1/gonum/stat gonum.org/v1/gonum/stat/distuv gonum.org/v1/gonum/dsp/fourier")},
	"calc/logger":            {leat: words("calc/evidence calc/units calc")},
	"calc/interval":          {leat: words("calc calc/trompe calc/evidence")},
	"calc/confront":          {leat: words("calc calc/evidence calc/interval calc/trompe")},
	"calc/gauge":             {leat: words("calc calc/confront calc/evidence calc/water")},
	"calc/lessons":           {leat: words("calc calc/confront calc/evidence calc/trompe")},
	"calc/search":            {leat: words("calc calc/water calc/trompe calc/parts")},
	"calc/reckon":            {leat: words("calc calc/trompe calc/source calc/pipe calc/ram calc/receiver calc/use calc/units calc/strength calc/pressuretest calc/parts calc/evidence")},
	"calc/build":             {leat: words("calc calc/parts calc/reckon calc/strength calc/trompe")},
	"calc/sheet":             {leat: words("calc calc/air calc/build calc/trompe calc/interval calc/reckon")},
	"calc/asbuilt":           {leat: words("calc calc/build calc/sheet calc/strength calc/trompe")},
	"calc/draw":              {leat: words("calc calc/build calc/strength calc/trompe calc/sheet")},
	"domain/picture":         {},
	"calc/procedure":         {leat: words("calc calc/build calc/pressuretest calc/sheet calc/strength calc/trompe")},
	"domain/digest":          {nil, words("github.com/gowebpki/jcs")},
	"domain/archive":         {leat: words("domain")},
	"domain":                 {leat: words("calc calc/asbuilt calc/build calc/confront calc/evidence calc/gauge calc/lessons calc/parts calc/pressuretest calc/procedure calc/sheet calc/trompe domain/digest calc/logger")},
	"domain/store":           {words("domain domain/archive domain/digest calc calc/procedure calc/sheet calc/trompe"), words("gorm.io/gorm gorm.io/gorm/clause gorm.io/gorm/logger gorm.io/driver/postgres github.com/jackc/pgx/v5 github.com/jackc/pgx/v5/pgconn github.com/jackc/pgx/v5/stdlib")},
	"domain/store/storetest": {words("domain domain/store migrations deploy/localpg"), words("github.com/pressly/goose/v3 github.com/stretchr/testify/require")},
	"domain/notebook":        {words("domain domain/archive domain/digest domain/picture domain/store calc calc/asbuilt calc/build calc/confront calc/evidence calc/gauge calc/lessons calc/procedure calc/sheet calc/draw calc/search calc/trompe calc/logger"), words("golang.org/x/crypto/argon2")},
	"api":                    {words("domain domain/archive domain/notebook calc calc/asbuilt calc/build calc/confront calc/gauge calc/lessons calc/parts calc/procedure calc/reckon calc/sheet calc/draw calc/search calc/trompe calc/logger"), words("github.com/boombuler/barcode/qr github.com/labstack/echo/v4 github.com/golang-jwt/jwt/v5")},
	"migrations":             {},
	"frontend":               {},
	"deploy/localpg":         {},
	"deploy/testpg":          {leat: words("deploy/localpg")},
	"cmd/leat": {
		words("api calc calc/evidence calc/interval calc/reckon calc/trompe deploy/localpg domain domain/digest domain/notebook domain/store frontend migrations"),
		words("github.com/pressly/goose/v3 github.com/pressly/goose/v3/database github.com/pressly/goose/v3/lock"),
	},
}

func words(text string) []string { return strings.Fields(text) }

func TestImports(t *testing.T) {
	seen := map[string]bool{}
	for _, p := range packages(t) {
		name := strings.TrimPrefix(p.ImportPath, "leat/")
		seen[name] = true
		allowed, ok := imports[name]
		if !ok {
			t.Errorf("package %s has no row in the table of imports", name)
			continue
		}
		for _, path := range p.Imports {
			if !allowed.allows(path) {
				t.Errorf("package %s must not import %s", name, path)
			}
		}
	}
	for name := range imports {
		if !seen[name] {
			t.Errorf("the table of imports has a row for %s, which is no package", name)
		}
	}
}

func (m may) allows(path string) bool {
	if own, ok := strings.CutPrefix(path, "leat/"); ok {
		return slices.Contains(m.leat, own)
	}
	first, _, _ := strings.Cut(path, "/")
	return !strings.Contains(first, ".") || slices.Contains(m.outside, path)
}

type listedPackage struct {
	ImportPath string
	Imports    []string
}

// packages asks go for the packages of leat.
func packages(t *testing.T) (list []listedPackage) {
	cmd := exec.CommandContext(t.Context(), "go", "list", "-json=ImportPath,Imports", "./...")
	cmd.Dir = "../.."
	text, err := cmd.Output()
	require.NoError(t, err)
	for dec := json.NewDecoder(strings.NewReader(string(text))); ; {
		var p listedPackage
		err := dec.Decode(&p)
		if errors.Is(err, io.EOF) {
			return list
		}
		require.NoError(t, err)
		list = append(list, p)
	}
}
