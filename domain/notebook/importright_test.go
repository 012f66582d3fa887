package notebook_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/notebook"
)

// givesNoRightHere shows that what was signed in another group gives no right here, in the program nor in the
// database; and that it can be brought in where it came from, too.
func (b *bundle) givesNoRightHere(t *testing.T, ines domain.Actor) {
	t.Helper()
	project := domain.ProjectID(b.db.Number(t, "SELECT id FROM projects WHERE client_key = 'demo-bench-rig'"))
	p, _, err := bringIn(b, ines, b.takeAlong(t, ines, project), notebook.DemoPassword, "archive-0001", false)
	require.NoError(t, err)
	require.Equal(t, "Thornwick Wheelhouse", p.Origin.Group)
	require.Equal(t, b.db.Number(t, "SELECT count(*) FROM instruments"), b.db.Number(t, "SELECT count(DISTINCT (name, serial)) FROM instruments"), "gauges of the register are known again")

	builds, _, err := b.Builds(ctx, ines, p.ID, domain.Page{})
	require.NoError(t, err)
	require.Len(t, builds, 6)
	for _, build := range builds {
		require.False(t, build.Certificate.Valid)
		require.Equal(t, domain.CertifiedElsewhere("Thornwick Wheelhouse"), build.Certificate.Reasons[0])
	}
	tests, err := b.Tests(ctx, ines, p.ID, builds[5].ID, domain.Page{})
	require.NoError(t, err)
	require.Contains(t, tests.Refused, "was checked by Thornwick Wheelhouse, not here")
	_, err = b.db.SQL.Exec(`INSERT INTO build_versions (build_id, number, revision_id, differences, renewed, place, moves, report, calc_version, pressure_hash, note, made_by, made_at)
		SELECT b.id, 1, v.revision_id, '{}', '{}', 'mill', 0, v.report, v.calc_version, v.pressure_hash, '', v.made_by, now()
		FROM build_versions v, builds b WHERE v.build_id = $1 AND v.number = 1 AND b.id = $1`, builds[0].ID)
	require.ErrorContains(t, err, "it stands on what was signed in another group")
	_, err = b.db.SQL.Exec("INSERT INTO check_outcomes (revision_id, outcome, note, who, at, link) SELECT revision_id, 'clear', '', who, now(), link + 100000 FROM check_outcomes ORDER BY id DESC LIMIT 1")
	require.ErrorContains(t, err, "somebody who may not check this design", "the triggers stand aside in the import alone")
	_, err = b.VerifyRecord(ctx, nil)
	require.NoError(t, err)
}
