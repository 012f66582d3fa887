package logger

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"
)

// heading is one cell of the first line.
type heading struct {
	whole string // as it stands, without quotes
	name  string // without its unit
	unit  string // as it stands; empty: none
}

// readHeading parts a heading into a name and a unit: "Tank [bar]", "Tank (bar)"
// or "tank_bar". Round brackets may hold something else, as in "Tank (north)".
// The last form needs a unit of two letters or more, and not inches: p_m or
// flow_in may well mean something else.
func readHeading(cell string) heading {
	for _, b := range []string{"[]", "()"} {
		name, inside, ok := cutLast(cell, b[:1])
		unit, closed := strings.CutSuffix(inside, b[1:])
		if ok && closed && name != "" && (b == "[]" || isUnit(unit)) {
			return heading{cell, strings.TrimSpace(name), strings.TrimSpace(unit)}
		}
	}
	for i, c := range cell {
		unit := strings.ReplaceAll(cell[i+1:], "_", "/")
		if c == '_' && i > 0 && utf8.RuneCountInString(unit) > 1 && unit != "in" && isUnit(unit) {
			return heading{cell, cell[:i], unit}
		}
	}
	return heading{whole: cell, name: cell}
}

// separatorOf is what parts the cells of a header: a tab where there is one,
// else a semicolon, else a comma; 0 where there is none.
func separatorOf(line []byte) byte {
	var seen [128]bool
	quoted := false
	for _, c := range line {
		if c == '"' {
			quoted = !quoted
		}
		if !quoted && c < 128 {
			seen[c] = true
		}
	}
	for _, c := range []byte("\t;,") {
		if seen[c] {
			return c
		}
	}
	return 0
}

// header takes the first line apart, and the units of all its columns. It tells
// all that is wrong at once, so that all can be asked at once.
func (r *reader) header(line []byte) {
	if !utf8.Valid(line) || slices.Contains(line, 0) {
		r.fault(NotText, 0, "", "This is not UTF-8 text. Save it as CSV in UTF-8.")
		return
	}
	r.separator = separatorOf(line)
	if r.separator == 0 {
		r.fault(NoHeader, 0, "", "The first line must name a column of times and at least one channel, parted by commas, semicolons or tabs.")
		return
	}
	var headings []heading
	for rest, more := line, true; more; {
		var cell []byte
		if cell, rest, more = r.cut(rest); len(cell) > longestName {
			r.fault(NoHeader, len(headings)+1, "", "The first line must name the columns; this is too long for a name.")
			return
		}
		if len(cell) == 0 && !more && len(headings) > 1 {
			break // a separator at the end of each line
		}
		if len(headings) == MostColumns {
			r.fault(TooLarge, 0, "", fmt.Sprintf("There are more than %d columns. Leave out those that nobody needs.", MostColumns))
			return
		}
		headings = append(headings, readHeading(strings.ReplaceAll(string(cell), `""`, `"`)))
	}
	r.timeColumn(headings)
	if len(r.faults) == 0 {
		r.channels(headings)
	}
}

// timeColumn finds the times: the first column, unless another is asked for.
func (r *reader) timeColumn(headings []heading) {
	if name := r.asked.Time; name != "" {
		r.timeAt = slices.IndexFunc(headings, func(h heading) bool { return h.name == name || h.whole == name })
		if r.timeAt < 0 {
			r.fault(NotThere, 0, name, fmt.Sprintf("There is no column %q. The headings are: %s.", name, names(headings)))
			return
		}
	}
	h := headings[r.timeAt]
	if _, ok := parseDate([]byte(h.whole)); ok || isNumber(h.whole) || h.whole == "" {
		r.fault(NoHeader, r.timeAt+1, "", "The first line must name the columns, such as: time [s], tank [bar].")
		return
	}
	if name, unit, found := cutLast(h.whole, "_"); h.unit == "" && found && seconds[unit] != 0 {
		h.name, h.unit = name, unit
	}
	if asked, ok := r.asked.Units[h.name]; ok {
		h.unit = asked
	}
	r.timeName, r.timeUnit = h.name, h.unit
	if name, inside, ok := cutLast(h.whole, "("); ok && name != "" && h.unit == "" {
		r.timeUnit = strings.TrimSuffix(inside, ")")
	}
	if r.timeUnit == "UTC" {
		r.zone = time.UTC
	}
}

func cutLast(text, at string) (before, after string, found bool) {
	i := strings.LastIndex(text, at)
	if i < 0 {
		return text, "", false
	}
	return text[:i], text[i+len(at):], true
}

func (r *reader) channels(headings []heading) {
	taken := map[string]bool{}
	for i, h := range headings {
		r.columns = append(r.columns, -1)
		if i == r.timeAt || slices.Contains(r.asked.Without, h.name) || slices.Contains(r.asked.Without, h.whole) {
			continue
		}
		switch {
		case h.name == "":
			r.fault(NoHeader, i+1, "", "This column has no name. Give it one in the first line, or leave it out of the file.")
			continue
		case taken[h.name]:
			r.fault(NameTwice, i+1, h.name, fmt.Sprintf("Two columns are named %q. Give each its own name.", h.name))
			continue
		}
		taken[h.name] = true
		m, unit := r.unitOf(i, h)
		r.columns[i] = len(r.series.Channels)
		r.measures = append(r.measures, m)
		r.series.Channels = append(r.series.Channels, Channel{Name: h.name, Unit: m.unit, Counted: m.counted, FileUnit: unit})
	}
	if len(r.series.Channels) == 0 && len(r.faults) == 0 {
		r.fault(NoHeader, 0, "", "There is no channel beside the times.")
	}
}

// unitOf is the unit in the heading, or that which was asked for.
func (r *reader) unitOf(column int, h heading) (m measure, unit string) {
	unit = h.unit
	if asked, ok := r.asked.Units[h.name]; ok {
		unit = asked
	}
	if unit == "" {
		r.fault(UnitMissing, column+1, h.name, fmt.Sprintf("In which unit is %q? Write it into the heading, such as %q, or say it here: %s. Or leave the column out.", h.name, h.name+" [bar]", someUnits))
		return m, ""
	}
	m, ok := findMeasure(unit)
	if !ok {
		r.fault(UnitUnknown, column+1, h.name, fmt.Sprintf("The unit %q of %q is not known here. Say which it is, %s. Or leave the column out.", unit, h.name, someUnits))
	}
	return m, unit
}

// longestName bounds a heading, in bytes.
const longestName = 200

func names(headings []heading) string {
	all := make([]string, len(headings))
	for i, h := range headings {
		all[i] = h.whole
	}
	return strings.Join(all, ", ")
}
