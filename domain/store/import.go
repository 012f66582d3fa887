package store

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/jackc/pgx/v5/pgconn"

	"leat/domain"
	"leat/domain/archive"
)

// importing is an archive while it is brought in.
type importing struct {
	tx      *Tx
	from    archive.Project
	cmd     domain.ImportProject
	bytes   func(digest string) ([]byte, error)
	who     domain.AccountID
	at      time.Time
	columns map[string][]column
	ids     map[string][]int64 // table, by place less one: the row here; 0 until it is there
	project domain.ProjectID
	id      int64
	keys    int
}

// Import brings a project in: every row of an archive, as new rows here, whose
// signed acts become links of the record here. bytes returns what has a digest. It
// returns an Invalid error for rows that cannot be used, with their place.
func (tx *Tx) Import(permit domain.Permit, cmd domain.ImportProject, from archive.Project, bytes func(digest string) ([]byte, error), now time.Time) (domain.ProjectID, error) {
	if err := permit.For(domain.BringIn); err != nil {
		return 0, err
	}
	i := importing{tx: tx, from: from, cmd: cmd, bytes: bytes, who: permit.Account(), at: now, ids: map[string][]int64{}}
	var err error
	if i.columns, err = tx.columns(); err != nil {
		return 0, err
	}
	for _, step := range []func() error{i.fits, i.known, i.addPeople, i.begin, i.addRows, i.retireInstruments, i.settled} {
		if err := step(); err != nil {
			return 0, err
		}
	}
	return i.project, nil
}

// fits looks whether the archive has the tables and the columns that it must have,
// and no others, and whether everything that a row names is there.
func (i *importing) fits() error {
	if len(i.from.Tables) != len(archiveTables) {
		return archive.Unfit("of all", 0, "it has other tables than an archive of this release")
	}
	for n, p := range i.from.People {
		if size := len([]rune(p.Name)); size < 1 || size > 80 || len([]rune(p.Group)) > 80 {
			return archive.Unfit("people", n+1, "a name has 1 to 80 signs")
		}
	}
	i.ids[people] = make([]int64, len(i.from.People))
	for n, a := range archiveTables {
		if i.from.Tables[n].Table != a.table {
			return archive.Unfit(i.from.Tables[n].Table, 0, "this release has no such table, or has it in another place")
		}
		i.ids[a.table] = make([]int64, len(i.from.Tables[n].Rows))
	}
	for n, a := range archiveTables {
		for r, row := range i.from.Tables[n].Rows {
			if why := i.misfit(a, row); why != "" {
				return archive.Unfit(a.table, r+1, why)
			}
		}
	}
	if len(i.from.Rows("projects")) != 1 {
		return archive.Unfit("projects", 0, "an archive holds one project")
	}
	return nil
}

// misfit says what is wrong with a row by itself.
func (i *importing) misfit(a archived, row archive.Row) string {
	columns := a.carried(i.columns[a.table])
	for _, c := range columns {
		if _, there := row[c]; !there {
			return "the column " + c + " is missing"
		}
	}
	for c := range row {
		if !slices.Contains(columns, c) {
			return "there is no column " + c
		}
	}
	for c, table := range a.refs {
		if _, err := i.named(table, string(row[c])); err != nil && !isNull(row[c]) {
			return c + " names a row of " + table + " that is not there"
		}
	}
	return ""
}

var errNowhere = errors.New("store: no such row in the archive")

// named returns the place of a row, less one.
func (i *importing) named(table, place string) (int, error) {
	n, err := strconv.Atoi(place)
	if err != nil || n < 1 || n > len(i.ids[table]) || place != strconv.Itoa(n) {
		return 0, errNowhere
	}
	return n - 1, nil
}

// addPeople gives everybody an account that nobody can ever sign in with.
func (i *importing) addPeople() error {
	for n, p := range i.from.People {
		id, err := one[int64](i.tx, "account", `INSERT INTO accounts (name, checker, steward, keeper, demo, created_at, closed_at)
			VALUES (?, false, false, false, false, ?, ?) RETURNING id`, domain.NameElsewhere(p.Name, p.Group), i.at, i.at)
		if err != nil {
			return unfit(err, "people", n+1)
		}
		i.ids[people][n] = id
	}
	return nil
}

// begin adds the project itself, and signs that it was brought in: what was signed
// elsewhere follows in the record.
func (i *importing) begin() error {
	if err := i.addRow(tableOf("projects"), 0, 0); err != nil {
		return err
	}
	i.project = domain.ProjectID(i.ids["projects"][0])
	signed := 0
	for n, a := range archiveTables {
		for r := range i.from.Tables[n].Rows {
			if a.signed != "" && i.ids[a.table][r] == 0 {
				signed++
			}
		}
	}
	s := signature{kind: domain.LinkImported, who: i.who, project: i.project, at: i.at}
	return i.tx.sign(s, func(link int64) error {
		id, err := one[int64](i.tx, "import", `INSERT INTO imports (project_id, group_name, written_at, record_number, record_link, digest, signed, who, at, client_key, link)
			VALUES (?, ?, ?, ?, decode(?, 'hex'), ?, ?, ?, ?, ?, ?) RETURNING id`, i.project, i.from.Group, i.from.WrittenAt, i.from.Record.Number, i.from.Record.Link,
			i.cmd.Digest[:], signed, i.who, i.at, i.cmd.Key, link)
		if err != nil {
			return unfit(err, "of all", 0)
		}
		i.id = id
		for n, p := range i.from.People {
			if _, err := run(i.tx, "INSERT INTO import_people (account_id, import_id, name, group_name) VALUES (?, ?, ?, ?)", i.ids[people][n], id, p.Name, p.Group); err != nil {
				return unfit(err, "people", n+1)
			}
		}
		return nil
	})
}

// addRows adds everything that is not here yet.
func (i *importing) addRows() error {
	for n, a := range archiveTables {
		for r, row := range i.from.Tables[n].Rows {
			if i.ids[a.table][r] != 0 {
				continue
			}
			if a.signed == "" || isNull(row[a.by]) {
				if err := i.addRow(a, r, 0); err != nil {
					return err
				}
				continue
			}
			if err := i.signRow(a, r, row); err != nil {
				return err
			}
		}
	}
	return nil
}

// signRow adds a row as a link of the record, under whoever signed it where it was
// signed, and when.
func (i *importing) signRow(a archived, place int, row archive.Row) error {
	var at time.Time
	if err := json.Unmarshal(row[a.at], &at); err != nil {
		return archive.Unfit(a.table, place+1, a.at+" is no time")
	}
	who, err := i.named(people, string(row[a.by]))
	if err != nil {
		return archive.Unfit(a.table, place+1, a.by+" names nobody")
	}
	s := signature{kind: cmp.Or(a.or[textIn(row["kind"])], a.signed), who: domain.AccountID(i.ids[people][who]), project: i.project, at: at.UTC()}
	return i.tx.sign(s, func(link int64) error { return i.addRow(a, place, link) })
}

// addRow adds a row, with the link that signs it.
func (i *importing) addRow(a archived, place int, link int64) error {
	row, err := i.row(a, place)
	if err != nil {
		return err
	}
	set := func(name string, value any) { row[name], _ = json.Marshal(value) } // of plain values
	if _, has := a.left["client_key"]; has {
		i.keys++
		set("client_key", fmt.Sprintf("archive-%d-%d", i.id, i.keys))
	}
	if link != 0 {
		set("link", link)
	}
	if err := i.own(a, row); err != nil {
		return err
	}
	var values []any
	names, selects := make([]string, 0, len(row)), make([]string, 0, len(row))
	for _, c := range i.columns[a.table] {
		if _, there := row[c.Name]; !there {
			continue
		}
		names = append(names, c.Name)
		if c.Name != a.bytes {
			selects = append(selects, "r."+c.Name)
			continue
		}
		content, err := i.bytes(textIn(row[c.Name]))
		if err != nil {
			return err
		}
		delete(row, c.Name)
		selects, values = append(selects, "?::bytea"), append(values, content)
	}
	text, err := json.Marshal(row)
	if err != nil {
		return fmt.Errorf("store: encode a row of %s: %w", a.table, err)
	}
	returning := "1::bigint"
	if a.key != "" {
		returning = a.key + "::bigint"
	}
	id, err := one[int64](i.tx, "row", fmt.Sprintf("INSERT INTO %s (%s) SELECT %s FROM jsonb_populate_record(NULL::%s, ?::jsonb) r RETURNING %s",
		a.table, strings.Join(names, ", "), strings.Join(selects, ", "), a.table, returning), append(values, string(text))...)
	if err != nil {
		return unfit(err, a.table, place+1)
	}
	i.ids[a.table][place] = id
	if a.table == "coefficient_sets" {
		_, err = run(i.tx, "INSERT INTO import_sets (set_name, import_id) VALUES (?, ?)", textIn(i.from.Rows(a.table)[place]["name"]), i.id)
	}
	return unfit(err, a.table, place+1)
}

// row returns a row of the archive with the ids of here.
func (i *importing) row(a archived, place int) (archive.Row, error) {
	row := archive.Row{}
	for c, v := range i.from.Rows(a.table)[place] {
		row[c] = v
	}
	id := func(table, place string) (string, error) {
		n, err := i.named(table, place)
		if err != nil || i.ids[table][n] == 0 {
			return "", errNowhere
		}
		return strconv.FormatInt(i.ids[table][n], 10), nil
	}
	for c, table := range a.refs {
		if isNull(row[c]) {
			continue
		}
		text, err := id(table, string(row[c]))
		if err != nil {
			return nil, archive.Unfit(a.table, place+1, c+" names a row that comes later")
		}
		row[c] = json.RawMessage(text)
	}
	for _, in := range a.in {
		text, err := in.rewrite(row[in.column], func(place string) (string, error) {
			if place == "0" {
				return place, nil
			}
			return id(in.table, place)
		})
		if err != nil {
			return nil, archive.Unfit(a.table, place+1, in.column+" names a row that is not there")
		}
		row[in.column] = text
	}
	return row, nil
}

// settled looks at what is else looked at only when all of it is kept.
func (i *importing) settled() error {
	_, err := run(i.tx, "SET CONSTRAINTS ALL IMMEDIATE")
	return unfit(err, "of all", 0)
}

func tableOf(name string) archived {
	return archiveTables[slices.IndexFunc(archiveTables, func(a archived) bool { return a.table == name })]
}

// unfit says where a row stands that the database does not take. What fails for
// another reason stays what it is.
func unfit(err error, table string, place int) error {
	pg, is := errors.AsType[*pgconn.PgError](err)
	if !is || !strings.HasPrefix(pg.Code, "22") && !strings.HasPrefix(pg.Code, "23") {
		return err
	}
	why := "it breaks a rule of the notebook"
	if pg.ConstraintName != "" {
		why += ", " + pg.ConstraintName
	}
	return archive.Unfit(table, place, why)
}
