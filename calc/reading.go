package calc

import (
	"bytes"
	"encoding/json"
	"math"
)

// Reading is a number that may be missing: then it is NaN.
type Reading float64

// UnmarshalJSON reads a number. null and a text say that nothing was measured.
func (r *Reading) UnmarshalJSON(text []byte) error {
	if text[0] == 'n' || text[0] == '"' {
		*r = Reading(math.NaN())
		return nil
	}
	return json.Unmarshal(text, (*float64)(r))
}

// Readings is a list of numbers, NaN where one is missing.
type Readings []float64

// UnmarshalJSON reads each as a [Reading].
func (r *Readings) UnmarshalJSON(text []byte) error {
	var list []Reading
	err := json.Unmarshal(text, &list)
	*r = make(Readings, len(list))
	for i, x := range list {
		(*r)[i] = float64(x)
	}
	return err
}

// Matrix is a list of rows, NaN where a number is missing.
type Matrix [][]float64

// UnmarshalJSON reads each row as [Readings].
func (m *Matrix) UnmarshalJSON(text []byte) error {
	var rows []Readings
	err := json.Unmarshal(text, &rows)
	*m = make(Matrix, len(rows))
	for i, row := range rows {
		(*m)[i] = row
	}
	return err
}

// Is tells whether a matrix has so many rows and columns.
func (m Matrix) Is(rows, columns int) bool {
	return len(m) == rows && (rows == 0 || len(m[0]) == columns)
}

// ListOrRows is a list of numbers or a matrix; the other is nil.
type ListOrRows struct {
	List Readings
	Rows Matrix
}

// UnmarshalJSON tells the two apart by the first entry.
func (l *ListOrRows) UnmarshalJSON(text []byte) error {
	if inner := bytes.TrimLeft(text, "[ \t\r\n"); bytes.Count(text[:len(text)-len(inner)], []byte{'['}) > 1 {
		return json.Unmarshal(text, &l.Rows)
	}
	return json.Unmarshal(text, &l.List)
}

// OneOrList is one number for all, or a list with one for each.
type OneOrList struct {
	One  Reading
	List Readings // nil: one for all
}

// UnmarshalJSON tells the two apart by the bracket.
func (o *OneOrList) UnmarshalJSON(text []byte) error {
	if text[0] == '[' {
		return json.Unmarshal(text, &o.List)
	}
	return json.Unmarshal(text, &o.One)
}

// Freedom is a number of degrees of freedom: +Inf, written "inf", where a
// standard uncertainty is known for certain.
type Freedom float64

// UnmarshalJSON reads a number or the text "inf". null changes nothing.
func (f *Freedom) UnmarshalJSON(text []byte) error {
	if string(text) == `"inf"` {
		*f = Freedom(math.Inf(1))
		return nil
	}
	return json.Unmarshal(text, (*float64)(f))
}

// MarshalJSON writes a number or the text "inf".
func (f Freedom) MarshalJSON() ([]byte, error) {
	if math.IsInf(float64(f), 1) {
		return []byte(`"inf"`), nil
	}
	return json.Marshal(float64(f))
}

// OrNull is the number of a result, nil where it is NaN: there is none.
func OrNull(x float64) *float64 {
	if math.IsNaN(x) {
		return nil
	}
	return &x
}

const gapText = "NaN"

// isGap tells whether a value says that nothing was measured.
func isGap(v any) bool {
	return v == nil || v == gapText || v == "inf" || v == "-inf"
}

// markGaps writes one text wherever a field says that nothing was measured,
// which [Reading] reads. Where a default stands, a field that is null has it.
func markGaps(d Field, obj map[string]any) {
	group, name := splitPointer(d.At)
	within, ok := lookup(obj, group).(map[string]any)
	if !ok {
		return
	}
	v := within[name]
	list, isList := v.([]any)
	switch {
	case isList:
		markList(list)
	case d.Kind != Number && d.Kind != OneOrMany:
		return // a list itself has to be there
	case v == nil && d.Default != "":
		delete(within, name)
	case isGap(v):
		within[name] = gapText
	}
}

func markList(list []any) {
	for i, v := range list {
		if row, ok := v.([]any); ok {
			markList(row)
		} else if isGap(v) {
			list[i] = gapText
		}
	}
}
