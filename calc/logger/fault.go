package logger

import (
	"fmt"
	"strings"
)

// Code says what kind of fault a file has.
type Code string

// The faults of a file.
const (
	TooLarge     Code = "too_large"     // more bytes, rows or columns than leat reads
	NoHeader     Code = "no_header"     // the first line does not name the columns
	NoRows       Code = "no_rows"       // nothing that has a time
	NotText      Code = "not_text"      // no UTF-8 text with lines
	UnitMissing  Code = "unit_missing"  // ask which
	UnitUnknown  Code = "unit_unknown"  // leat does not know it
	UnitMixed    Code = "unit_mixed"    // a cell with a unit of its own
	SecondHeader Code = "second_header" // headings or units below the first line
	ZoneMissing  Code = "zone_missing"  // ask which
	TimeMixed    Code = "time_mixed"    // dates and seconds in one column
	DecimalComma Code = "decimal_comma" // in a file whose columns are parted by commas
	DecimalMixed Code = "decimal_mixed" // points and commas in one file
	RowTooLong   Code = "row_too_long"  // more cells than headings
	NameTwice    Code = "name_twice"    // two columns of one name
	NotThere     Code = "not_there"     // a column that was asked for
)

// Fault is one reason why a file is not read.
type Fault struct {
	Code    Code
	Line    int    // from 1; 0: the file as a whole
	Column  int    // cell in the line, from 1; 0: the whole line
	Channel string // its name, where it is about one
	Message string // what is wrong and what to do
}

// Error tells where it is wrong, and what.
func (f Fault) Error() string {
	switch {
	case f.Line == 0:
		return f.Message
	case f.Column == 0:
		return fmt.Sprintf("Line %d: %s", f.Line, f.Message)
	}
	return fmt.Sprintf("Line %d, column %d: %s", f.Line, f.Column, f.Message)
}

// Faults are all that were found before reading ended; at least one.
type Faults []Fault

// Error tells them one below the other.
func (f Faults) Error() string {
	lines := make([]string, len(f))
	for i := range f {
		lines[i] = f[i].Error()
	}
	return strings.Join(lines, "\n")
}
