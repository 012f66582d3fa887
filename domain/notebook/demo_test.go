package notebook_test

import (
	"encoding/json"
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/notebook"
)

func signInDemo(n *notebook.Notebook) (notebook.SignedIn, error) {
	return n.SignIn(ctx, domain.SignIn{Address: "petra@thornwick.example", Password: notebook.DemoPassword})
}

func titles(projects []domain.Project) (titles []string) {
	for _, p := range projects {
		titles = append(titles, p.Title)
	}
	return titles
}

// TestDemo loads one demo and looks at it from all sides: to load it takes seconds.
// At first it can't be loaded, then three try at once.
func TestDemo(t *testing.T) {
	t.Parallel()
	b := empty(t, notebook.Options{Demo: true})
	noted := b.NoteWorked()
	b.loadsAllOrNothing(t)
	b.loadsOnce(t)
	t.Run("worked out", func(t *testing.T) { requireWorked(t, noted) })
	t.Run("machines", b.showsEachMachine)
	t.Run("story", b.tellsTheStory)
	t.Run("evidence", b.showsEvidence)
	t.Run("waiting", b.whatWaits)
	t.Run("projects", b.keepsItsPeopleApart)
	t.Run("taken along", b.comesThroughItsArchives)
	t.Run("invited", b.invitesIntoTheDemo)
}

// keepsItsPeopleApart shows that the invented people sign in, on a server that
// shows the demo alone.
func (b *bundle) keepsItsPeopleApart(t *testing.T) {
	t.Helper()
	needs, err := b.NeedsKeeper(ctx)
	require.NoError(t, err)
	require.False(t, needs)

	for _, p := range notebook.DemoPeople() {
		_, err := b.SignIn(ctx, domain.SignIn{Address: p.Address, Password: notebook.DemoPassword})
		require.NoError(t, err, p.Name)
	}
	in, err := signInDemo(b.Notebook)
	require.NoError(t, err)
	who, err := b.Actor(ctx, in.Account.ID, in.Session)
	require.NoError(t, err)
	projects, err := b.Projects(ctx, who, domain.Page{})
	require.NoError(t, err)
	require.Equal(t, []string{"Nursery pond air", "Water up the hill", "Air for the sawpit", "One pipe in another", "Quarry face, two pipes", "Workshop air from the roof", "Rigs for the summer fairs", "Bench rig in the school lab"}, titles(projects))
	for _, p := range projects {
		p, err := b.Project(ctx, who, p.ID)
		require.NoError(t, err)
		require.NotNil(t, p.Site.FallM)
		for _, d := range p.Designs {
			require.NotNil(t, d.Newest, d.Title)
		}
	}

	plain := notebook.New(b.db.DB, notebook.Options{Now: b.clock.now})
	_, err = signInDemo(plain)
	requireCode(t, "sign-in-refused", err)
	_, err = plain.Actor(ctx, in.Account.ID, in.Session)
	requireCode(t, "signed-out", err)
	needs, err = plain.NeedsKeeper(ctx)
	require.NoError(t, err)
	require.True(t, needs, "invented people keep nobody out of a real server")
}

func TestDemoKeepsOut(t *testing.T) {
	t.Parallel()
	plain := empty(t, notebook.Options{})
	_, err := plain.LoadDemo(ctx)
	require.Error(t, err)
	require.Equal(t, 0, plain.db.Number(t, "SELECT count(*) FROM accounts"))

	lived := empty(t, notebook.Options{Demo: true})
	lived.db.Person(t, "Olwen Marsh")
	loaded, err := lived.LoadDemo(ctx)
	require.NoError(t, err)
	require.False(t, loaded)
	require.Equal(t, 1, lived.db.Number(t, "SELECT count(*) FROM accounts"))
}

func (b *bundle) loadsOnce(t *testing.T) {
	t.Helper()
	loads := make([]bool, 3)
	load := func(i int) (err error) {
		loads[i], err = b.LoadDemo(ctx)
		for domain.KindOf(err) == domain.TooMany { // busy: a slow machine loads for longer than anybody waits for a lock
			loads[i], err = b.LoadDemo(ctx)
		}
		return err
	}
	for _, err := range atOnce(3, load) {
		require.NoError(t, err)
	}
	count := 0
	for _, yes := range loads {
		if yes {
			count++
		}
	}
	require.Equal(t, 1, count)
	require.Equal(t, len(notebook.DemoPeople()), b.db.Number(t, "SELECT count(*) FROM accounts"))
}

func (b *bundle) loadsAllOrNothing(t *testing.T) {
	t.Helper()
	b.db.Exec(t, "ALTER TABLE sheets ADD CONSTRAINT no_seventh CHECK (note NOT LIKE 'A seventh tube%')") // the second sheet's note
	loaded, err := b.LoadDemo(ctx)
	require.Error(t, err)
	require.False(t, loaded)
	for _, table := range []string{"accounts", "projects", "sites", "designs", "sheets"} {
		require.Equal(t, 0, b.db.Number(t, "SELECT count(*) FROM "+table), table)
	}
	b.db.Exec(t, "ALTER TABLE sheets DROP CONSTRAINT no_seventh")
}

// What the demo group lived through is there to be read, and every rule that a
// group keeps was kept.
func (b *bundle) tellsTheStory(t *testing.T) {
	t.Helper()
	in, err := signInDemo(b.Notebook)
	require.NoError(t, err)
	who, err := b.Actor(ctx, in.Account.ID, in.Session)
	require.NoError(t, err)

	project := domain.ProjectID(b.db.Number(t, "SELECT id FROM projects WHERE client_key = 'demo-bench-rig'"))
	design := domain.DesignID(b.db.Number(t, "SELECT id FROM designs WHERE title = 'Low rig for the open day'"))
	for letter, state := range map[string]domain.State{"A": domain.Returned, "B": domain.Cleared} {
		check, err := b.Check(ctx, who, project, design, letter)
		require.NoError(t, err)
		require.Equal(t, state, check.Revision.State)
		require.Zero(t, check.Open.Stoppers)
	}
	builds, _, err := b.Builds(ctx, who, project, domain.Page{})
	require.NoError(t, err)
	require.Len(t, builds, 6)
	library, school := builds[0], builds[5]
	require.True(t, school.Certificate.Valid, school.Certificate.Reasons)
	require.Equal(t, domain.InService, school.State)
	require.False(t, library.Certificate.Valid, "its joint was made anew after the test, and an incident is open")
	require.Len(t, library.Certificate.Reasons, 2)

	tests, err := b.Tests(ctx, who, project, school.ID, domain.Page{})
	require.NoError(t, err)
	require.Len(t, tests.Items, 2)
	require.Equal(t, domain.TestPassed, tests.Items[0].Ended)
	require.Equal(t, domain.TestFailed, tests.Items[1].Ended)
	require.NotNil(t, tests.Items[1].Nonconformance.Closed)
	b.requireRecordHolds(t)
	head, err := b.VerifyRecord(ctx, nil)
	require.NoError(t, err)
	require.Greater(t, head.Number, int64(2*18), "the signatures of two short lists alone")
}

// requireWorked wants each verdict of the demo to be that of its readings, its machine
// and this version of the calculation: one that was worked out from anything else is
// not found. After a change of any of them: go run ./deploy/testpg go test
// ./domain/notebook -tags worked -run WorkTheDemoOut
func requireWorked(t *testing.T, noted map[string]json.RawMessage) {
	t.Helper()
	require.Equal(t, slices.Sorted(maps.Keys(notebook.Worked())), slices.Sorted(maps.Keys(noted)))
}

// showsEvidence shows what was measured: nine machines that count, an odd one among
// them, and runs that do not.
func (b *bundle) showsEvidence(t *testing.T) {
	t.Helper()
	require.Equal(t, 9, b.db.Number(t, "SELECT count(DISTINCT r.build_id) FROM runs r JOIN run_ends e ON e.run_id = r.id WHERE e.kind = 'confirmed'"))
	require.Equal(t, 1, b.db.Number(t, "SELECT count(*) FROM run_ends WHERE kind = 'set_aside'"))
	require.Equal(t, 12, b.db.Number(t, "SELECT count(*) FROM run_verdicts"))

	list, inForce, _, err := b.SetProposals(ctx, b.demoActor(t, "wanda"), domain.Page{})
	require.NoError(t, err)
	require.Len(t, list, 2)
	require.Equal(t, domain.SetAdopted, list[0].State)
	require.Equal(t, domain.SetRefused, list[1].State)
	require.Equal(t, list[0].Adoption.Set, inForce)
}
