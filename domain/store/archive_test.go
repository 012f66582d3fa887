package store_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain/store"
	"leat/domain/store/storetest"
)

// No table is forgotten: it is in the archive of a project, or it stands among those
// that are not, with the reason.
func TestEveryTableIsInTheArchiveOrLeftOutForAReason(t *testing.T) {
	t.Parallel()
	db := storetest.New(t)
	there := namesOf(t, db, "SELECT tablename FROM pg_tables WHERE schemaname = 'public'")
	tables, _, _, _ := store.Archived()
	for table, why := range store.NotArchived() {
		require.NotEmpty(t, why, table)
		tables = append(tables, table)
	}
	require.ElementsMatch(t, there, tables)
}

// No column is forgotten either: whatever names a row of another table is known to
// do so, so that it names the new one after an import, and what is left out has a
// reason.
func TestEveryColumnThatNamesARowIsKnownToDoSo(t *testing.T) {
	t.Parallel()
	db := storetest.New(t)
	tables, keys, refs, left := store.Archived()
	columns := namesOf(t, db, "SELECT table_name || '.' || column_name FROM information_schema.columns WHERE table_schema = 'public'")
	for _, table := range tables {
		for column := range refs[table] {
			require.Contains(t, columns, table+"."+column)
		}
		for column, why := range left[table] {
			require.Contains(t, columns, table+"."+column)
			require.NotEmpty(t, why, table+"."+column)
		}
		for _, key := range keys[table] {
			require.Contains(t, columns, table+"."+key)
		}
	}
	for _, key := range namesOf(t, db, `SELECT c.relname || '.' || a.attname || '>' || f.relname FROM pg_constraint k JOIN pg_class c ON c.oid = k.conrelid JOIN pg_class f ON f.oid = k.confrelid
		CROSS JOIN LATERAL unnest(k.conkey, k.confkey) x (own, other) JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum = x.own JOIN pg_attribute o ON o.attrelid = f.oid AND o.attnum = x.other
		WHERE k.contype = 'f' AND k.connamespace = 'public'::regnamespace AND o.attname IN ('id', 'version')`) {
		column, other, _ := strings.Cut(key, ">")
		table, name, _ := strings.Cut(column, ".")
		if !slices.Contains(tables, table) {
			continue
		}
		require.Equal(t, other, refs[table][name], "%s names a row of %s, and the archive does not know", column, other)
	}
	// A column of ids without a key is known by its type: all of them are bigint.
	for _, column := range namesOf(t, db, "SELECT table_name || '.' || column_name FROM information_schema.columns WHERE table_schema = 'public' AND data_type = 'bigint' AND column_name NOT IN ('version')") {
		table, name, _ := strings.Cut(column, ".")
		if slices.Contains(tables, table) && !slices.Contains(keys[table], name) {
			_, named := refs[table][name]
			_, gone := left[table][name]
			require.True(t, named || gone || slices.Contains([]string{"loggers.bytes"}, column), "%s is no key that is known, and is carried as it is", column)
		}
	}
}
