package calc_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestFormulasHaveRecords demands of every exported function that returns a
// number that its comment says where it is valid and where it comes from. What
// it says is for a reviewer to read.
func TestFormulasHaveRecords(t *testing.T) {
	for _, folder := range []string{"water", "air", "trompe", "evidence", "source", "pipe", "ram", "receiver", "use", "units", "strength", "pressuretest", "parts"} {
		formulas := exportedFormulas(t, folder)
		require.NotEmpty(t, formulas, folder)
		for name, comment := range formulas {
			for _, word := range []string{"Valid", "Source"} {
				if !strings.Contains(comment, word) {
					t.Errorf("the comment of %s.%s lacks the word %q", folder, name, word)
				}
			}
		}
	}
}

// exportedFormulas returns the comments of the exported functions and methods
// of a package that return a float64, alone or among others.
func exportedFormulas(t *testing.T, folder string) map[string]string {
	files, err := filepath.Glob(filepath.Join(folder, "*.go"))
	require.NoError(t, err)
	comments := map[string]string{}
	for _, path := range files {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ParseComments|parser.SkipObjectResolution)
		require.NoError(t, err)
		for _, decl := range file.Decls {
			if f, ok := decl.(*ast.FuncDecl); ok && f.Name.IsExported() && returnsNumber(f.Type) {
				comments[f.Name.Name] = f.Doc.Text()
			}
		}
	}
	return comments
}

func returnsNumber(f *ast.FuncType) bool {
	if f.Results == nil {
		return false
	}
	for _, result := range f.Results.List {
		if name, ok := result.Type.(*ast.Ident); ok && name.Name == "float64" {
			return true
		}
	}
	return false
}
