package parts

import (
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
)

// row is a line of an embedded table, by the names of its columns.
type row map[string]string

// readTable parses an embedded table with a line of names above. A table that
// can't be parsed is a defect of leat, found by the tests.
func readTable[T any](text string, parse func(row) (T, error)) (list []T, err error) {
	lines, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		return nil, err
	}
	for i, line := range lines[1:] {
		r := row{}
		for j, name := range lines[0] {
			r[name] = line[j]
		}
		entry, err := parse(r)
		if err != nil {
			return nil, fmt.Errorf("row %d: %w", i+2, err)
		}
		list = append(list, entry)
	}
	return list, nil
}

// number reads a column in a unit that is ten to the power times the SI unit;
// blank is unknown.
func (r row) number(name string, power int, err *error) *float64 {
	if r[name] == "" {
		return nil
	}
	x, e := strconv.ParseFloat(r[name]+"e"+strconv.Itoa(power), 64)
	if e != nil && *err == nil {
		*err = fmt.Errorf("%s: %w", name, e)
	}
	return &x
}

// needed is number for a column that must not be blank.
func (r row) needed(name string, power int, err *error) float64 {
	x := r.number(name, power, err)
	if x == nil {
		if *err == nil {
			*err = fmt.Errorf("%s is blank", name)
		}
		return 0
	}
	return *x
}

func (r row) yes(name string, err *error) bool {
	if r[name] != "yes" && r[name] != "no" && *err == nil {
		*err = fmt.Errorf("%s is neither yes nor no", name)
	}
	return r[name] == "yes"
}
