package logger

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"math"
	"time"
)

// What leat reads at most. Common practice, no source.
const (
	MostBytes   = 50_000_000
	MostRows    = 1_000_000
	MostColumns = 64
	longestLine = 64 * 1024
)

// Asked is what somebody said about a file that the file does not say itself.
type Asked struct {
	Units   map[string]string // by the name of a channel, or of the column of times
	Zone    *time.Location    // of dates without one
	Time    string            // the column of times; empty: the first
	Without []string          // columns to leave out
}

// Read reads the file of a logger: UTF-8 text, a line of headings with units,
// then a line a time. Cells are parted by commas, semicolons or tabs; with the
// last two a decimal comma is fine. Times are dates of ISO 8601 or numbers, which
// are seconds from a start where the heading has no unit. Blank lines and those
// that begin with # are passed over.
//
// An error is [Faults], but where the reading of in itself fails. Then there is
// no series.
func Read(in io.Reader, asked Asked) (Series, Report, error) {
	sum := sha256.New()
	lines := bufio.NewReaderSize(io.TeeReader(io.LimitReader(in, MostBytes+1), sum), longestLine)
	r := &reader{asked: asked, zone: asked.Zone}
	for len(r.faults) == 0 {
		line, err := lines.ReadSlice('\n')
		r.line++
		r.report.Bytes += len(line)
		switch {
		case errors.Is(err, bufio.ErrBufferFull) && bytes.IndexByte(line, '\r') >= 0:
			r.halfEnded()
		case errors.Is(err, bufio.ErrBufferFull):
			r.fault(TooLarge, 0, "", fmt.Sprintf("This line is longer than %d bytes. Is it a logger's file, with a line a time?", longestLine))
		case r.report.Bytes > MostBytes:
			r.fault(TooLarge, 0, "", fmt.Sprintf("The file is larger than %d MB. Part it, or log less often.", MostBytes/1_000_000))
		case err != nil && !errors.Is(err, io.EOF):
			return Series{}, Report{}, fmt.Errorf("read a logger's file: %w", err)
		default:
			r.take(line, err == nil)
		}
		if err != nil {
			break
		}
	}
	r.finish()
	if len(r.faults) > 0 {
		return Series{}, Report{}, r.faults
	}
	r.report.Digest = hex.EncodeToString(sum.Sum(nil))
	return r.series, r.report, nil
}

// reader is a file half read.
type reader struct {
	asked  Asked
	series Series
	report Report
	faults Faults

	line      int
	separator byte   // 0: the header is still to come
	mark      byte   // decimal point or comma, once seen
	first     []byte // the header as it stands
	columns   []int  // channel of each column, −1: none
	measures  []measure
	notUnits  map[string]bool // texts behind numbers that have been looked up
	beside    map[int]string  // the unit that a column left out holds

	timeAt     int
	timeName   string
	timeUnit   string
	timeFactor float64 // 0: dates, or no time seen yet
	dated      bool
	zone       *time.Location
	epoch      int64 // s and ns since 1970 of the first date
	epochNano  int64
	unsorted   bool

	values []float64 // of the row at hand
	bad    []bool
}

func (r *reader) fault(code Code, column int, channel, message string) {
	r.faults = append(r.faults, Fault{code, r.line, column, channel, message})
}

// take takes in a line; ended tells whether it had its end.
func (r *reader) take(line []byte, ended bool) {
	if r.line == 1 {
		line = bytes.TrimPrefix(line, []byte("\xef\xbb\xbf"))
	}
	line = bytes.TrimRight(line, "\r\n")
	if len(line) == 0 || line[0] == '#' || len(trim(line)) == 0 {
		return
	}
	if bytes.IndexByte(line, '\r') >= 0 {
		r.halfEnded()
		return
	}
	if r.separator == 0 {
		r.first = bytes.Clone(line)
		r.header(line)
		r.values, r.bad = make([]float64, len(r.measures)), make([]bool, len(r.measures))
		return
	}
	if bytes.Equal(line, r.first) {
		r.secondHeader(0)
		return
	}
	r.row(line, ended)
}

// halfEnded is a line that holds another, after a carriage return alone.
func (r *reader) halfEnded() {
	r.fault(NotText, 0, "", "Here a line ends with a carriage return alone, so that the next one can't be told from it. Save the file as CSV whose lines end with a line feed.")
}

func (r *reader) secondHeader(column int) {
	r.fault(SecondHeader, column, "", "Here headings or units stand again. A file has one line of headings, with the units in it; save runs with other units or a new start of the clock as files of their own.")
}

// row takes in a line of values. A row without a time cannot be placed, and one
// that breaks off at the end of the file may have lost digits: both are left out
// and reported.
func (r *reader) row(line []byte, ended bool) {
	for i := range r.values {
		r.values[i], r.bad[i] = math.NaN(), true
	}
	var when []byte
	column := 0
	for rest, more := line, true; more; column++ {
		var cell []byte
		cell, rest, more = r.cut(rest)
		switch {
		case column >= len(r.columns):
			if len(cell) > 0 {
				r.tooLong(line)
				return
			}
		case column == r.timeAt:
			when = cell
		case r.columns[column] < 0:
			if !r.leftOut(cell, column) {
				return
			}
		case !r.cell(cell, column):
			return
		}
	}
	if !ended && column < len(r.columns) {
		r.report.BrokenOff = r.line
		return
	}
	t, ok := r.moment(when)
	if len(r.faults) > 0 {
		return
	}
	if !ok {
		r.untimed(line)
		return
	}
	r.keep(t)
}

// cell reads the value of a channel. It returns false at a fault.
func (r *reader) cell(cell []byte, column int) bool {
	n := scan(cell)
	if n.size < len(cell) || n.size == 0 {
		return n.size == 0 || r.oddCell(n, cell, column)
	}
	if n.mark != r.mark && n.mark != 0 && !r.newMark(n.mark, column) {
		return false
	}
	channel := r.columns[column]
	m := &r.measures[channel]
	x := n.value*m.factor + m.offset
	if x-x == 0 { // neither NaN nor infinite
		r.values[channel], r.bad[channel] = x, false
	}
	return true
}

// newMark takes a decimal mark for that of the file, or finds a fault.
func (r *reader) newMark(mark byte, column int) bool {
	switch {
	case mark == ',' && r.separator == ',':
		r.fault(DecimalComma, column+1, "", "A decimal comma in a file whose columns are parted by commas cannot be told from a new column. Save it with semicolons or tabs, or with decimal points.")
		return false
	case r.mark != 0:
		r.fault(DecimalMixed, column+1, "", "Points and commas are both used for decimals or thousands. Save the file with one kind of decimal mark, and without marks for thousands.")
		return false
	}
	r.mark = mark
	return true
}

// oddCell looks at a cell that only begins with a number: it is missing, but a
// unit of its own or two kinds of marks are faults.
func (r *reader) oddCell(n scanned, cell []byte, column int) bool {
	after := trim(cell[n.size:])
	if mark := after[0]; n.mark != 0 && mark != n.mark && (mark == '.' || mark == ',') {
		r.mark = n.mark
		return r.newMark(mark, column)
	}
	if r.isUnit(after) {
		r.fault(UnitMixed, column+1, r.series.Channels[r.columns[column]].Name,
			fmt.Sprintf("This cell has a unit of its own, %q. A column has one unit, in its heading: take the units out of the cells, after looking whether all are the same.", after))
		return false
	}
	return true
}

// leftOut looks at a cell of a column that is left out. Where it holds a unit, and
// further down another of the same kind, it is that of a column that counts: this
// is a fault, and it returns false.
func (r *reader) leftOut(cell []byte, column int) bool {
	if len(cell) == 0 || string(cell) == r.beside[column] || scan(cell).size > 0 || !r.isUnit(cell) {
		return true
	}
	is, _ := findMeasure(string(cell))
	before, known := findMeasure(r.beside[column])
	if known && is.unit == before.unit && is != before {
		r.fault(UnitMixed, column+1, "", fmt.Sprintf("Here the unit changes from %q to %q. A column has one unit, in its heading: save what is in other units as files of their own.", r.beside[column], cell))
		return false
	}
	if r.beside == nil {
		r.beside = map[int]string{}
	}
	r.beside[column] = string(cell)
	return true
}

// isUnit looks a text up, each once, and no more than a file of a logger may
// have.
func (r *reader) isUnit(text []byte) bool {
	const most, longest = 1000, 16
	if r.notUnits[string(text)] || len(r.notUnits) >= most || len(text) > longest {
		return false
	}
	if isUnit(string(text)) {
		return true
	}
	if r.notUnits == nil {
		r.notUnits = map[string]bool{}
	}
	r.notUnits[string(text)] = true
	return false
}

func (r *reader) tooLong(line []byte) {
	if r.separator == ',' {
		r.fault(DecimalComma, 0, "", fmt.Sprintf("This line has more cells than the %d headings: decimal commas in a file whose columns are parted by commas? Save it with semicolons or tabs, or with decimal points.", len(r.columns)))
		return
	}
	r.fault(RowTooLong, 0, "", fmt.Sprintf("This line has %d cells and the first line %d headings. Name each column in the first line.",
		bytes.Count(line, []byte{r.separator})+1, len(r.columns)))
}

// untimed is a row whose time cannot be read. Where it holds headings or units
// the file is two in one.
func (r *reader) untimed(line []byte) {
	column := 0
	for rest, more := line, true; more; {
		var cell []byte
		cell, rest, more = r.cut(rest)
		column++
		if name := bytes.Trim(cell, "[]()"); len(name) > 0 && scan(cell).size == 0 && (r.isUnit(name) || r.isHeading(cell)) {
			r.secondHeader(column)
			return
		}
	}
	r.report.Untimed++
	if r.report.Untimed == 1 {
		r.report.FirstUntimed = r.line
	}
}

// isHeading tells whether a cell names a channel, or has a unit as a heading has.
func (r *reader) isHeading(cell []byte) bool {
	h := heading{name: string(cell)}
	if len(cell) <= longestName && bytes.ContainsAny(cell, "[(_") {
		h = readHeading(h.name)
	}
	for i := range r.series.Channels {
		if h.name == r.series.Channels[i].Name {
			return true
		}
	}
	return h.unit != "" && r.isUnit([]byte(h.unit))
}

// keep adds the row at hand.
func (r *reader) keep(t float64) {
	n := len(r.series.Time)
	if n == MostRows {
		r.fault(TooLarge, 0, "", fmt.Sprintf("The file has more than %d lines. Part it, or log less often.", MostRows))
		return
	}
	if n > 0 && t <= r.series.Time[n-1] {
		r.unsorted = true
		if t < r.series.Time[n-1] {
			r.report.OutOfOrder++
			if r.report.OutOfOrder == 1 {
				r.report.FirstOutOfOrder = r.line
			}
		}
	}
	r.series.Time = added(r.series.Time, t)
	for i, x := range r.values {
		c := &r.series.Channels[i]
		c.Values = added(c.Values, x)
	}
}

// added appends, doubling the room each time: of what is thrown away in growing
// there is then never more than there is in the end.
func added(list []float64, x float64) []float64 {
	if len(list) == cap(list) {
		more := make([]float64, len(list), max(1024, min(2*cap(list), MostRows)))
		copy(more, list)
		list = more
	}
	return append(list, x)
}

// farFromStart is in s, three years: no logger counts for so long, but some count
// from 1970, in s or in ms. Judgement, no source.
const farFromStart = 1e8

// moment reads a time, in s from the first date or from the start that the file
// counts from.
func (r *reader) moment(cell []byte) (t float64, ok bool) {
	if m, isDate := parseDate(cell); isDate {
		return r.date(m)
	}
	n := scan(cell)
	if n.size == 0 || n.size < len(cell) || !(math.Abs(n.value) < 1e15) {
		return 0, false
	}
	if n.mark != r.mark && n.mark != 0 && !r.newMark(n.mark, r.timeAt) {
		return 0, false
	}
	if r.dated {
		r.mixed()
		return 0, false
	}
	if r.timeFactor == 0 {
		factor, known := seconds[r.timeUnit]
		switch {
		case r.timeUnit == "" && math.Abs(n.value) >= farFromStart:
			r.fault(UnitMissing, r.timeAt+1, r.timeName, fmt.Sprintf("The times are too large for seconds from a start. Say what they are in, s or ms: write it into the heading, such as %q, or say it here.", r.timeName+" [ms]"))
			return 0, false
		case r.timeUnit == "":
			factor = 1 // from the start in seconds, as long as nothing else is said
		case !known:
			r.fault(UnitUnknown, r.timeAt+1, "", fmt.Sprintf("The times are numbers in %q. Write dates such as 2026-05-01T10:15:30Z, or a number in s, ms, min or h.", r.timeUnit))
			return 0, false
		}
		r.timeFactor = factor
	}
	return n.value * r.timeFactor, true
}

func (r *reader) mixed() {
	r.fault(TimeMixed, r.timeAt+1, "", "The times before are of another kind: dates and numbers do not go into one file.")
}

func (r *reader) date(m moment) (float64, bool) {
	switch {
	case r.timeFactor != 0:
		r.mixed()
		return 0, false
	case !m.zoned && r.zone == nil:
		r.fault(ZoneMissing, r.timeAt+1, "", "The dates have no time zone. Say which the logger's clock was set to, best as a fixed distance from UTC, such as +01:00.")
		return 0, false
	}
	second := m.unix(r.zone)
	if !r.dated {
		r.dated, r.epoch, r.epochNano = true, second, m.nano
	}
	return float64(second-r.epoch) + float64(m.nano-r.epochNano)*1e-9, true
}
