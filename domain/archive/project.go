package archive

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"

	"leat/domain"
)

// Where the archive of a project keeps its rows, and the bytes of its files: each
// in a file that is named with its SHA-256.
const (
	Rows  = "archive.json"
	Files = "files"
)

// Format and Version are what the rows of a project say of themselves.
const (
	Format  = "leat project archive"
	Version = 1
)

// Project is everything that a project is made of, row by row. Rows name each other
// by their place, counted from 1, and people by their place in People.
type Project struct {
	Format    string    `json:"format"`
	Version   int       `json:"version"`
	Schema    int       `json:"schema"` // the migration that the rows are of
	Calc      string    `json:"calc_version"`
	Group     string    `json:"group"`
	WrittenAt time.Time `json:"written_at"`
	Record    RecordEnd `json:"record"`
	People    []Person  `json:"people"`
	Tables    []Rowed   `json:"tables"`
}

// RecordEnd is where the record of signed acts ended where the archive was written.
type RecordEnd struct {
	Number int64  `json:"number"`
	Link   string `json:"link"` // SHA-256, hexadecimal
}

// Person is somebody who did something in a project, with the group in which they
// did it.
type Person struct {
	Name  string `json:"name"`
	Group string `json:"group"`
}

// Rowed is the rows of a table.
type Rowed struct {
	Table string `json:"table"`
	Rows  []Row  `json:"rows"`
}

// Row is a row of a table, by column.
type Row map[string]json.RawMessage

// Rows returns the rows of a table.
func (p Project) Rows(table string) []Row {
	for _, t := range p.Tables {
		if t.Table == table {
			return t.Rows
		}
	}
	return nil
}

// Unfit is the error of rows that cannot be used, with the place. Row 0 is the
// table as a whole.
func Unfit(table string, row int, why string) error {
	place := "table " + table
	if row > 0 {
		place = fmt.Sprintf("%s, row %d", place, row)
	}
	return &domain.Error{Kind: domain.Invalid, Code: "archive-unfit", Message: fmt.Sprintf("What stands in %s (%s) cannot be used: %s. Nothing was saved. Have the archive written again where it was made.", Rows, place, why)}
}

// Project reads the rows of a project that has a schema. It returns an Invalid
// error for anything else.
func (r *Reader) Project(schema int) (p Project, err error) {
	text, err := r.Bytes(Rows)
	if err != nil {
		return p, err
	}
	var head struct {
		Format  string `json:"format"`
		Version int    `json:"version"`
		Schema  int    `json:"schema"`
	}
	if json.Unmarshal(text, &head) != nil || head.Format != Format {
		return p, Broken("%s in it is not the archive of a project. Of a run or a build alone nothing can be brought in: take along the whole project.", Rows)
	}
	if head.Version != Version || head.Schema != schema {
		return p, &domain.Error{Kind: domain.Invalid, Code: "archive-other-version", Message: fmt.Sprintf(
			"This archive was written by another release of leat: its rows are of schema %d, form %d; here schema %d, form %d are read. Nothing was saved. Bring both servers to the same release, then have the archive written again.",
			head.Schema, head.Version, schema, Version)}
	}
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&p); err != nil {
		return p, Broken("%s cannot be read: %v.", Rows, err)
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return p, Broken("Something stands behind the end of %s.", Rows)
	}
	return p, nil
}
