package notebook_test

import (
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

func TestDemo(t *testing.T) {
	t.Parallel()
	b := empty(t, notebook.Options{Demo: true})
	loaded, err := b.LoadDemo(ctx)
	require.NoError(t, err)
	require.True(t, loaded)
	loaded, err = b.LoadDemo(ctx)
	require.NoError(t, err)
	require.False(t, loaded, "loaded twice")
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
	require.Equal(t, []string{"Nursery pond air", "Water up the hill", "Air for the sawpit", "One pipe in another", "Quarry face, two pipes", "Workshop air from the roof", "Bench rig in the school lab"}, titles(projects))
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

func TestDemoIsLoadedOnce(t *testing.T) {
	t.Parallel()
	b := empty(t, notebook.Options{Demo: true})
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

func TestDemoIsAllOrNothing(t *testing.T) {
	t.Parallel()
	b := empty(t, notebook.Options{Demo: true})
	b.db.Exec(t, "ALTER TABLE sheets ADD CONSTRAINT no_garden CHECK (note NOT LIKE 'The stones lie%')") // the last sheet's note
	loaded, err := b.LoadDemo(ctx)
	require.Error(t, err)
	require.False(t, loaded)
	for _, table := range []string{"accounts", "projects", "sites", "designs", "sheets"} {
		require.Equal(t, 0, b.db.Number(t, "SELECT count(*) FROM "+table), table)
	}
	b.db.Exec(t, "ALTER TABLE sheets DROP CONSTRAINT no_garden")
	loaded, err = b.LoadDemo(ctx)
	require.NoError(t, err)
	require.True(t, loaded, "it can be tried again")
}
