package store

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"gorm.io/gorm"

	"leat/calc"
	"leat/domain"
	"leat/domain/archive"
)

// Snapshot runs a use case that only reads, and that sees everything as it was at
// one moment.
func (db *DB) Snapshot(ctx context.Context, do func(*Tx) error) error {
	return translate(db.gorm.WithContext(ctx).Transaction(func(g *gorm.DB) error {
		return do(&Tx{gorm: g})
	}, &sql.TxOptions{Isolation: sql.LevelRepeatableRead, ReadOnly: true}))
}

// column is what the schema says of a column.
type column struct {
	Table     string `gorm:"column:table_name"`
	Name      string `gorm:"column:column_name"`
	Generated bool   `gorm:"column:generated"`
}

// columns returns the columns of all tables, in the order of the schema.
func (tx *Tx) columns() (map[string][]column, error) {
	rows, err := all[column](tx, `SELECT table_name, column_name, is_generated = 'ALWAYS' AS generated FROM information_schema.columns
		WHERE table_schema = 'public' ORDER BY table_name, ordinal_position`)
	of := map[string][]column{}
	for _, c := range rows {
		of[c.Table] = append(of[c.Table], c)
	}
	return of, err
}

// carried lists the columns of a table that an archive holds.
func (a archived) carried(columns []column) (names []string) {
	for _, c := range columns {
		if _, left := a.left[c.Name]; !left && c.Name != a.key {
			names = append(names, c.Name)
		}
	}
	return names
}

// Blob is where the bytes of a row stand, for as long as its snapshot lasts.
type Blob struct {
	Digest        string
	table, column string
	place         string
}

// exporting is an archive while it is written.
type exporting struct {
	tx      *Tx
	columns map[string][]column
	numbers map[string]map[string]int // table, key, place in the archive
	people  map[string]bool
	blobs   []Blob
}

// Archive returns everything that a project is made of, and where its bytes stand.
func (tx *Tx) Archive(project domain.ProjectID, now time.Time) (archive.Project, []Blob, error) {
	e := exporting{tx: tx, numbers: map[string]map[string]int{}, people: map[string]bool{}}
	p := archive.Project{Format: archive.Format, Version: archive.Version, Schema: SchemaVersion, Calc: calc.Version, WrittenAt: now, People: []archive.Person{}}
	var err error
	if e.columns, err = tx.columns(); err != nil {
		return p, nil, err
	}
	for _, a := range archiveTables {
		rows, err := e.rows(a, a.rows, slices.Repeat([]any{project}, strings.Count(a.rows, "?"))...)
		if err != nil {
			return p, nil, err
		}
		e.number(a, rows)
		p.Tables = append(p.Tables, archive.Rowed{Table: a.table, Rows: rows})
	}
	if p.People, err = e.named(); err != nil {
		return p, nil, err
	}
	for i, a := range archiveTables {
		if err := e.plainAll(a, p.Tables[i].Rows); err != nil {
			return p, nil, err
		}
	}
	head, err := tx.RecordHead()
	if err != nil {
		return p, nil, err
	}
	p.Record = archive.RecordEnd{Number: head.Number, Link: head.Sum.String()}
	p.Group, err = one[string](tx, "group", "SELECT name FROM group_settings")
	return p, e.blobs, err
}

// rows reads rows of a table as the database writes them as JSON, with their key.
// The bytes of a row are its digest.
func (e *exporting) rows(a archived, condition string, args ...any) ([]archive.Row, error) {
	columns := a.carried(e.columns[a.table])
	if a.key != "" {
		columns = append(columns, a.key)
	}
	for i, c := range columns {
		columns[i] = "t." + c
		if c == a.bytes {
			columns[i] = "encode(sha256(t." + c + "), 'hex') AS " + c + ", t.ctid::text AS place"
		}
	}
	texts, err := all[string](e.tx, "SELECT (SELECT to_jsonb(r) FROM (SELECT "+strings.Join(columns, ", ")+") r)::text FROM "+a.table+" t WHERE "+condition+" ORDER BY "+a.order, args...)
	rows := make([]archive.Row, len(texts))
	for i, text := range texts {
		if err := json.Unmarshal([]byte(text), &rows[i]); err != nil {
			return nil, fmt.Errorf("store: decode a row of %s: %w", a.table, err)
		}
		if a.bytes != "" {
			b := Blob{table: a.table, column: a.bytes, Digest: textIn(rows[i][a.bytes]), place: textIn(rows[i]["place"])}
			delete(rows[i], "place")
			e.blobs = append(e.blobs, b)
		}
	}
	return rows, err
}

// number gives the rows their places, and remembers whom they name.
func (e *exporting) number(a archived, rows []archive.Row) {
	places := map[string]int{}
	for i, row := range rows {
		if a.key != "" {
			places[string(row[a.key])] = i + 1
			delete(row, a.key)
		}
		for column, table := range a.refs {
			if table == people && !isNull(row[column]) {
				e.people[string(row[column])] = true
			}
		}
		for _, in := range a.in {
			if in.table == people {
				_, _ = in.rewrite(row[in.column], func(id string) (string, error) { e.people[id] = true; return id, nil })
			}
		}
	}
	e.numbers[a.table] = places
}

// named returns the names of all people, with the group in which they are known.
func (e *exporting) named() ([]archive.Person, error) {
	type nameRow struct {
		ID    int64  `gorm:"column:id"`
		Name  string `gorm:"column:name"`
		Group string `gorm:"column:group_name"`
	}
	ids := []int64{}
	for text := range e.people {
		if id, err := strconv.ParseInt(text, 10, 64); err == nil {
			ids = append(ids, id)
		}
	}
	rows, err := all[nameRow](e.tx, `SELECT a.id, coalesce(i.name, a.name) AS name, coalesce(i.group_name, g.name) AS group_name
		FROM group_settings g, accounts a LEFT JOIN import_people i ON i.account_id = a.id WHERE a.id IN ? ORDER BY a.id`, ids)
	list, places := make([]archive.Person, len(rows)), map[string]int{}
	for i, r := range rows {
		list[i], places[strconv.FormatInt(r.ID, 10)] = archive.Person{Name: r.Name, Group: r.Group}, i+1
	}
	e.numbers[people] = places
	return list, err
}

func (e *exporting) plainAll(a archived, rows []archive.Row) error {
	for _, row := range rows {
		if err := e.plain(a, row); err != nil {
			return err
		}
	}
	return nil
}

// plain puts places where a row names other rows.
func (e *exporting) plain(a archived, row archive.Row) error {
	for column, table := range a.refs {
		if isNull(row[column]) {
			continue
		}
		place, there := e.numbers[table][string(row[column])]
		if !there {
			return fmt.Errorf("store: %s.%s of %s names a row that is not in the archive", a.table, column, row[column])
		}
		row[column] = json.RawMessage(strconv.Itoa(place))
	}
	for _, in := range a.in {
		// What names nothing here is of a refused entry: 0 names nothing anywhere.
		text, err := in.rewrite(row[in.column], func(id string) (string, error) { return strconv.Itoa(e.numbers[in.table][id]), nil })
		if err != nil {
			return err
		}
		row[in.column] = text
	}
	if a.table == "templates" {
		return withVersion(row, "0")
	}
	return nil
}

// withVersion puts a number where the body of a procedure says which version it is.
// Every other letter of it stays.
func withVersion(row archive.Row, number string) error {
	var body string
	if err := json.Unmarshal(row["body"], &body); err != nil {
		return fmt.Errorf("store: decode a procedure: %w", err)
	}
	dec := json.NewDecoder(strings.NewReader(body))
	dec.UseNumber()
	depth, name := 0, ""
	for {
		token, err := dec.Token()
		if err != nil {
			return fmt.Errorf("store: a procedure without a version: %w", err)
		}
		end := int(dec.InputOffset())
		switch t := token.(type) {
		case json.Delim:
			depth += map[json.Delim]int{'{': 1, '[': 1, '}': -1, ']': -1}[t]
			name = ""
			continue
		case json.Number:
			if depth == 1 && name == "version" {
				text, err := json.Marshal(body[:end-len(t.String())] + number + body[end:])
				row["body"] = text
				return err
			}
		}
		text, isText := token.(string)
		if name != "" || !isText {
			name = ""
			continue
		}
		name = text
	}
}

// rewrite puts other numbers where the JSON of a column names rows.
func (in inside) rewrite(text json.RawMessage, other func(id string) (string, error)) (json.RawMessage, error) {
	var thing any
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.UseNumber()
	if err := dec.Decode(&thing); err != nil {
		return nil, fmt.Errorf("store: decode %s: %w", in.column, err)
	}
	if err := in.walk(thing, other); err != nil {
		return nil, err
	}
	var out bytes.Buffer
	enc := json.NewEncoder(&out)
	enc.SetEscapeHTML(false)
	err := enc.Encode(thing)
	return json.RawMessage(bytes.TrimSpace(out.Bytes())), err
}

func (in inside) walk(thing any, other func(id string) (string, error)) error {
	switch t := thing.(type) {
	case []any:
		for _, each := range t {
			if err := in.walk(each, other); err != nil {
				return err
			}
		}
	case map[string]any:
		_, beside := t[in.beside]
		if id, is := t[in.member].(json.Number); is && (in.beside == "" || beside) {
			place, err := other(id.String())
			if err != nil {
				return err
			}
			t[in.member] = json.Number(place)
		}
		for _, each := range t {
			if err := in.walk(each, other); err != nil {
				return err
			}
		}
	}
	return nil
}

// BlobBytes returns the bytes of a row.
func (tx *Tx) BlobBytes(b Blob) ([]byte, error) {
	type body struct {
		Bytes []byte `gorm:"column:bytes"`
	}
	row, err := one[body](tx, "file", "SELECT "+b.column+" AS bytes FROM "+b.table+" WHERE ctid = ?::tid", b.place)
	return row.Bytes, err
}

func isNull(text json.RawMessage) bool { return len(text) == 0 || string(text) == "null" }

// textIn returns a JSON string, or nothing.
func textIn(text json.RawMessage) (s string) {
	_ = json.Unmarshal(text, &s)
	return s
}
