package archive

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// Column is a column of a table, with what a readme says about it. A number has its
// unit in the name, in SI, unless another column names the unit of each row.
type Column struct{ Name, About string }

// Table becomes a file of comma-separated values (RFC 4180): UTF-8, a point as
// decimal sign, no thousands, times in UTC. A cell without a value is empty.
type Table struct {
	Name    string // of the file
	About   string
	Columns []Column
	rows    [][]string
}

// NewTable returns a table whose columns are given as pairs of name and words.
func NewTable(name, about string, columns ...string) *Table {
	t := &Table{Name: name, About: about}
	for i := 0; i+1 < len(columns); i += 2 {
		t.Columns = append(t.Columns, Column{columns[i], columns[i+1]})
	}
	return t
}

// Add adds a row: a value for each column.
func (t *Table) Add(values ...any) {
	row := make([]string, len(t.Columns))
	for i := range min(len(values), len(row)) {
		row[i] = cell(values[i])
	}
	t.rows = append(t.rows, row)
}

// Rows returns how many rows the table has.
func (t *Table) Rows() int { return len(t.rows) }

// Text returns the table as a file.
func (t *Table) Text() ([]byte, error) {
	var text bytes.Buffer
	w := csv.NewWriter(&text)
	w.UseCRLF = true
	head := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		head[i] = c.Name
	}
	if err := w.Write(head); err != nil {
		return nil, err
	}
	if err := w.WriteAll(t.rows); err != nil {
		return nil, fmt.Errorf("archive: write %s: %w", t.Name, err)
	}
	return text.Bytes(), nil
}

// cell writes a value so that it reads back as itself. A number that is none is no
// value.
func cell(v any) string {
	switch x := v.(type) {
	case nil:
		return ""
	case string:
		return plainText(x)
	case []string:
		return plainText(strings.Join(x, "; "))
	case bool:
		return strconv.FormatBool(x)
	case int:
		return strconv.Itoa(x)
	case int64:
		return strconv.FormatInt(x, 10)
	case float64:
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return ""
		}
		return strconv.FormatFloat(x, 'g', -1, 64)
	case *float64:
		if x == nil {
			return ""
		}
		return cell(*x)
	case time.Time:
		return x.UTC().Format("2006-01-02T15:04:05.000Z")
	case *time.Time:
		if x == nil {
			return ""
		}
		return cell(*x)
	}
	return plainText(fmt.Sprint(v))
}

// plainText keeps a spreadsheet from taking a text for a formula: an apostrophe
// stands before one that begins like one.
func plainText(text string) string {
	if strings.ContainsAny(text[:min(1, len(text))], "=+-@\t\r\n") {
		return "'" + text
	}
	return text
}
