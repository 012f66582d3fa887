package notebook_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/evidence"
	"leat/calc/sheet"
	"leat/calc/trompe"
	"leat/domain"
)

// adoptByHand puts a set into the database that has one coefficient elsewhere, as
// learned with a version of the calculation.
func (b *bundle) adoptByHand(t testing.TB, name, calcVersion string, m float64) {
	t.Helper()
	prior := evidence.PriorOf(1)
	set, err := trompe.NewSet(name, "for a test", trompe.Learned{
		Parent: "0", CalcVersion: calcVersion, Names: []string{"k_c0"}, M: []float64{m}, P: prior.P, Omega: prior.Omega, Delta: evidence.ModelLack,
	})
	require.NoError(t, err)
	text, err := set.Text()
	require.NoError(t, err)
	b.db.Exec(t, "ALTER TABLE coefficient_sets DISABLE TRIGGER coefficient_sets_adopted_check")
	b.db.Exec(t, "INSERT INTO coefficient_sets (name, calc, body) VALUES ($1, 'trompe', $2)", name, string(text))
}

// New answers are worked out with the newest set that was learned with this
// version of the calculation; what was saved stays, letter for letter.
func TestNewSheetsTakeTheNewestSetAndOldOnesKeepTheirBytes(t *testing.T) {
	t.Parallel()
	b := setup(t)
	in := machine(t, nil)
	before, version, err := b.SaveSheet(ctx, b.petra, b.save(1, in))
	require.NoError(t, err)
	kept := "SELECT hashtextextended(input::text || report::text || calc_version, 0) FROM sheets WHERE number = 1"
	text := b.db.Number(t, kept)

	b.adoptByHand(t, "1", calc.Version, -2)
	b.adoptByHand(t, "2", calc.Version+".1", 2)
	after, _, err := b.SaveSheet(ctx, b.petra, b.save(version, in))
	require.NoError(t, err)
	require.Equal(t, "1", after.CoefficientSet, "set 2 has to be learned again first")
	require.Equal(t, "1", after.Report.Trompe.Uncertainty.Set)
	require.NotEqual(t, before.Report.Trompe.FreeAirM3S, after.Report.Trompe.FreeAirM3S)
	require.Equal(t, text, b.db.Number(t, kept))

	preview, err := b.Preview(ctx, b.petra, sheet.Input{Trompe: in})
	require.NoError(t, err)
	require.Equal(t, "1", preview.CoefficientSet)
	require.InEpsilon(t, after.Report.Trompe.FreeAirM3S, preview.Trompe.FreeAirM3S, 1e-12)

	old, err := b.Sheet(ctx, b.petra, b.project.ID, b.design.ID, "A", 1)
	require.NoError(t, err)
	require.Equal(t, "0", old.CoefficientSet)
	differs := domain.Differs(old.Report, after.Report)
	require.NotEmpty(t, differs, "air that moved by two standard deviations of a coefficient")
}

// What was issued before a set was adopted is answered anew beside its own answer.
func TestANewerSetStandsBesideTheOldAnswer(t *testing.T) {
	t.Parallel()
	c := setupChecks(t, plain(t))
	check, err := c.issue(c.petra)
	c.took(t, check, err)
	before := c.db.Number(t, "SELECT hashtext(input::text || report::text) FROM sheets")
	for i, set := range []string{"1", "2"} {
		c.adoptByHand(t, set, calc.Version, -2)
		done, err := c.Recalculate(ctx)
		require.NoError(t, err)
		require.Equal(t, 1, done)
		done, err = c.Recalculate(ctx)
		require.NoError(t, err)
		require.Zero(t, done, "once is enough")
		require.Equal(t, i+1, c.db.Number(t, "SELECT count(DISTINCT coefficient_set) FROM recalculations"))
	}
	require.Equal(t, before, c.db.Number(t, "SELECT hashtext(input::text || report::text) FROM sheets"))
	for _, again := range c.check(t, c.petra).Again {
		require.NotEmpty(t, again.Differs)
	}
}
