package store

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
)

// rulesSum is the SHA-256 of what the triggers and functions of the schema are, as
// the migrations wrote them.
const rulesSum = "1cbf0e53c03f9419fbd839b70751a24b2ea2557bd71f4d5f1b809acbe8aeb2c4"

// rulesText lists them. Of a trigger its condition is left out: each release of
// PostgreSQL may write it in its own way.
const rulesText = `SELECT encode(sha256(convert_to(string_agg(text, E'\n' ORDER BY text COLLATE "C"), 'UTF8')), 'hex') FROM (
	SELECT concat_ws(' ', 'trigger', c.relname, t.tgname, t.tgtype, p.proname, t.tgdeferrable, t.tginitdeferred, t.tgattr) AS text
	FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid JOIN pg_proc p ON p.oid = t.tgfoid
	WHERE NOT t.tgisinternal AND c.relnamespace = current_schema()::regnamespace
	UNION ALL SELECT concat_ws(' ', 'function', p.proname, pg_get_function_identity_arguments(p.oid), p.prosecdef, p.provolatile, p.proconfig::text, p.prosrc)
	FROM pg_proc p WHERE p.pronamespace = current_schema()::regnamespace
		AND NOT EXISTS (SELECT 1 FROM pg_depend d WHERE d.classid = 'pg_proc'::regclass AND d.objid = p.oid AND d.deptype = 'e')) r`

// guardsFound lists every key, check and refusing trigger of the schema, and whether
// it holds for all: a foreign key holds by triggers of its own.
const guardsFound = `SELECT name, bool_and(holds) AS holds FROM (
	SELECT k.conname AS name, k.convalidated AND NOT EXISTS (SELECT 1 FROM pg_trigger t WHERE t.tgconstraint = k.oid AND t.tgisinternal AND t.tgenabled NOT IN ('O', 'A')) AS holds
	FROM pg_constraint k JOIN pg_class c ON c.oid = k.conrelid WHERE k.connamespace = current_schema()::regnamespace AND k.contype <> 'n' AND c.relname <> 'goose_db_version'
	UNION ALL SELECT i.relname, x.indisvalid FROM pg_index x JOIN pg_class i ON i.oid = x.indexrelid JOIN pg_class c ON c.oid = x.indrelid
	WHERE x.indisunique AND c.relnamespace = current_schema()::regnamespace AND c.relname <> 'goose_db_version'
	UNION ALL SELECT t.tgname, t.tgenabled = 'A' FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid WHERE NOT t.tgisinternal AND c.relnamespace = current_schema()::regnamespace) g
	GROUP BY name`

// Guards returns how many keys, checks and triggers hold the rules of this release
// in the database, or an error when one is missing, switched off, changed or added.
func (tx *Tx) Guards() (int, error) {
	type guard struct {
		Name  string `gorm:"column:name"`
		Holds bool   `gorm:"column:holds"`
	}
	found, err := all[guard](tx, guardsFound)
	if err != nil {
		return 0, err
	}
	missing := maps.Clone(constraints)
	var faults []string
	for _, g := range found {
		_, known := missing[g.Name]
		delete(missing, g.Name)
		switch {
		case !known:
			faults = append(faults, g.Name+" is none of leat's")
		case !g.Holds:
			faults = append(faults, g.Name+" is switched off, or holds for new rows only")
		}
	}
	for name := range missing {
		faults = append(faults, name+" is missing")
	}
	if len(faults) > 0 {
		slices.Sort(faults)
		return 0, errors.New(strings.Join(faults, "; "))
	}
	rules, err := one[string](tx, "rules", rulesText)
	if err == nil && rules != rulesSum {
		err = fmt.Errorf("a trigger or a function is not as the migrations of this release made it (sum %s, not %s)", rules, rulesSum)
	}
	return len(found), err
}

// Grants returns an error when another role than a table's owner may write to it.
func (tx *Tx) Grants() error {
	found, err := all[string](tx, `SELECT DISTINCT format('%s may write to %s', coalesce(r.rolname, 'everybody'), c.relname) AS fault
		FROM pg_class c CROSS JOIN aclexplode(c.relacl) a LEFT JOIN pg_roles r ON r.oid = a.grantee
		WHERE c.relnamespace = current_schema()::regnamespace AND c.relkind IN ('r', 'S') AND a.grantee <> c.relowner AND a.privilege_type <> 'SELECT' ORDER BY fault`)
	if err == nil && len(found) > 0 {
		err = errors.New(strings.Join(found, "; "))
	}
	return err
}
