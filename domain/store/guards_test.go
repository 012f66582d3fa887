package store_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain/store"
	"leat/domain/store/storetest"
)

func TestEveryGuardIsKnownAndNoOther(t *testing.T) {
	t.Parallel()
	db := storetest.New(t)
	require.NoError(t, db.InTx(t.Context(), func(tx *store.Tx) error {
		n, err := tx.Guards()
		require.NoError(t, err)
		require.Equal(t, len(store.Constraints()), n)
		return tx.Grants()
	}))
}

func TestAGuardThatIsAwayIsNamed(t *testing.T) {
	t.Parallel()
	db := storetest.New(t)
	guards := func(tx *store.Tx) error { _, err := tx.Guards(); return err }
	for _, c := range []struct {
		statement string
		look      func(*store.Tx) error
		found     string
	}{
		{"ALTER TABLE sheets DISABLE TRIGGER sheets_append_only", guards, "sheets_append_only is switched off"},
		{"ALTER TABLE sheets ENABLE TRIGGER sheets_append_only", guards, "sheets_append_only is switched off"},
		{"DROP TRIGGER certificates_by_steward ON certificates", guards, "certificates_by_steward is missing"},
		{"ALTER TABLE crew DISABLE TRIGGER ALL", guards, "crew_project_id_fk is switched off"},
		{"ALTER TABLE crew DROP CONSTRAINT crew_project_id_fk, ADD CONSTRAINT crew_project_id_fk FOREIGN KEY (project_id) REFERENCES projects NOT VALID", guards, "crew_project_id_fk is switched off, or holds for new rows only"},
		{"ALTER TABLE crew ADD CONSTRAINT crew_odd_check CHECK (true)", guards, "crew_odd_check is none of leat's"},
		{"CREATE OR REPLACE FUNCTION refuse() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN NEW; END'", guards, "a trigger or a function is not as the migrations"},
		{"GRANT UPDATE ON sheets TO PUBLIC", (*store.Tx).Grants, "everybody may write to sheets"},
	} {
		require.ErrorIs(t, db.InTx(t.Context(), func(tx *store.Tx) error {
			_, err := tx.Execute(c.statement)
			require.NoError(t, err, c.statement)
			require.ErrorContains(t, c.look(tx), c.found, c.statement)
			return errUndone
		}), errUndone)
	}
}
