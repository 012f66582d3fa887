package store

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"

	"leat/domain"
	"leat/domain/archive"
	"leat/domain/digest"
)

// known looks which instruments, procedures and sets of coefficients of the archive
// are here already, letter for letter; those count as themselves.
func (i *importing) known() error {
	if err := i.knownInstruments(); err != nil {
		return err
	}
	if err := i.knownTemplates(); err != nil {
		return err
	}
	return i.knownSets()
}

// alike returns the digests of the rows of a table, with the rows that belong to
// each, by place. In them people are named.
func alike(a, part archived, column string, rows, parts []archive.Row, names []archive.Person) ([]digest.Sum, error) {
	type thing struct {
		Row   archive.Row
		Parts []archive.Row
	}
	things := make([]thing, len(rows))
	named := func(a archived, row archive.Row) archive.Row {
		out := archive.Row{}
		for c, v := range row {
			if a.refs[c] == people && !isNull(v) {
				place, _ := strconv.Atoi(string(v))
				v, _ = json.Marshal(names[place-1]) // of plain text
			}
			out[c] = v
		}
		return out
	}
	for n, row := range rows {
		things[n].Row = named(a, row)
	}
	for _, row := range parts {
		place, _ := strconv.Atoi(string(row[column]))
		p := named(part, row)
		delete(p, column)
		things[place-1].Parts = append(things[place-1].Parts, p)
	}
	sums := make([]digest.Sum, len(rows))
	for n, t := range things {
		var err error
		if sums[n], err = digest.Of(t); err != nil {
			return nil, err
		}
	}
	return sums, nil
}

func (i *importing) knownInstruments() error {
	a, part := tableOf("instruments"), tableOf("instrument_acts")
	wanted, err := alike(a, part, "instrument_id", i.from.Rows(a.table), i.from.Rows(part.table), i.from.People)
	if err != nil || len(wanted) == 0 {
		return err
	}
	rows, acts, names, ids, err := i.registered(a, part)
	if err != nil {
		return err
	}
	sums, err := alike(a, part, "instrument_id", rows, acts, names)
	for n, sum := range wanted {
		if at := slices.Index(sums, sum); at >= 0 {
			i.ids[a.table][n] = ids[at]
			i.skip(part, "instrument_id", n)
		}
	}
	return err
}

// registered returns the instruments of this group with their acts, as an archive of
// them all would have them.
func (i *importing) registered(a, part archived) (rows, acts []archive.Row, names []archive.Person, ids []int64, err error) {
	e := exporting{tx: i.tx, columns: i.columns, numbers: map[string]map[string]int{}, people: map[string]bool{}}
	if rows, err = e.rows(a, "true"); err != nil {
		return nil, nil, nil, nil, err
	}
	for _, row := range rows {
		id, err := strconv.ParseInt(string(row[a.key]), 10, 64)
		if err != nil {
			return nil, nil, nil, nil, fmt.Errorf("store: the id of an instrument: %w", err)
		}
		ids = append(ids, id)
	}
	e.number(a, rows)
	if acts, err = e.rows(part, notOfImports); err != nil {
		return nil, nil, nil, nil, err
	}
	e.number(part, acts)
	if names, err = e.named(); err != nil {
		return nil, nil, nil, nil, err
	}
	return rows, acts, names, ids, errors.Join(e.plainAll(a, rows), e.plainAll(part, acts))
}

// skip leaves out the rows that belong to one that is here already.
func (i *importing) skip(part archived, column string, place int) {
	for n, row := range i.from.Rows(part.table) {
		if string(row[column]) == strconv.Itoa(place+1) {
			i.ids[part.table][n] = -1
		}
	}
}

func (i *importing) knownTemplates() error {
	type templateBody struct {
		Version int64  `gorm:"column:version"`
		Body    string `gorm:"column:body"`
	}
	here, err := all[templateBody](i.tx, "SELECT version, body FROM templates ORDER BY version")
	if err != nil {
		return err
	}
	sums := map[[sha256.Size]byte]int64{}
	for _, t := range here {
		body, err := json.Marshal(t.Body)
		if err != nil {
			return err
		}
		row := archive.Row{"body": body}
		if err := withVersion(row, "0"); err != nil {
			return err
		}
		sums[sha256.Sum256([]byte(textIn(row["body"])))] = t.Version
	}
	for n, row := range i.from.Rows("templates") {
		i.ids["templates"][n] = sums[sha256.Sum256([]byte(textIn(row["body"])))]
		if i.ids["templates"][n] == 0 && isNull(row["proposed_by"]) {
			return archive.Unfit("templates", n+1, "it says of itself that leat comes with it, and this leat does not")
		}
	}
	return nil
}

// knownSets refuses a set that another one has the name of here: answers name their
// set, and what was signed with them cannot be changed.
func (i *importing) knownSets() error {
	for n, row := range i.from.Rows("coefficient_sets") {
		bodies, err := all[string](i.tx, "SELECT body FROM coefficient_sets WHERE name = ?", textIn(row["name"]))
		if err != nil {
			return err
		}
		if len(bodies) == 0 {
			continue
		}
		if bodies[0] != textIn(row["body"]) {
			return domain.SetDiffers(textIn(row["name"]), i.from.Group)
		}
		i.ids["coefficient_sets"][n] = -1
	}
	return nil
}

// own gives a row what must be its own in this group: the number of a procedure, the
// number on the label of a machine, where another one has it here, and of a logger a
// token that nobody has.
func (i *importing) own(a archived, row archive.Row) error {
	switch a.table {
	case "templates":
		version, err := one[int](i.tx, "template", "SELECT max(version) + 1 FROM templates")
		if err != nil {
			return err
		}
		row["version"] = json.RawMessage(strconv.Itoa(version))
		return withVersion(row, strconv.Itoa(version))
	case "loggers":
		token := make([]byte, sha256.Size)
		_, _ = rand.Read(token) // never fails
		row["token_sum"] = json.RawMessage(fmt.Sprintf(`"\\x%x"`, token))
	case "builds":
		tag, err := one[int](i.tx, "build", `SELECT CASE WHEN EXISTS (SELECT 1 FROM builds WHERE tag = x.tag) THEN (SELECT max(tag) + 1 FROM builds) ELSE x.tag END
			FROM (SELECT (?::jsonb #>> '{}')::integer AS tag) x`, string(row["tag"]))
		row["tag"] = json.RawMessage(strconv.Itoa(tag))
		return err
	}
	return nil
}

// retireInstruments says of the instruments that came with the archive that they are
// not here to be used.
func (i *importing) retireInstruments() error {
	for n, id := range i.ids["instruments"] {
		_, err := run(i.tx, `INSERT INTO instrument_acts (instrument_id, kind, day, text, who, at, client_key)
			SELECT i.id, 'retired', ?::date, ?, ?, ?, ? FROM instruments i JOIN import_people p ON p.account_id = i.added_by AND p.import_id = ?
			WHERE i.id = ? AND NOT EXISTS (SELECT 1 FROM instrument_acts x WHERE x.instrument_id = i.id AND x.kind = 'retired')`,
			i.at, domain.InstrumentElsewhere(i.from.Group), i.who, i.at, fmt.Sprintf("archive-%d-gauge-%d", i.id, n+1), i.id, id)
		if err != nil {
			return unfit(err, "instruments", n+1)
		}
	}
	return nil
}
